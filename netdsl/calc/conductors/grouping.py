"""Circuits that lie side by side in a route, counted once for all."""

from __future__ import annotations

from netdsl.calc.basis import Given
from netdsl.calc.circuit import Circuit, Step
from netdsl.kept import Asking, cached_property, kept, meanwhile
from netdsl.model.kinds import CONVERTERS, PROTECTIVE, TAPPED
from netdsl.model.plant import Cable, Conductor, RouteWay
from netdsl.network.types import ConductorClass
from netdsl.sums import sum_of

_POWER = frozenset({ConductorClass.MOTOR, ConductorClass.MAINS})
#: circuits of a way that are named one by one
_NAMED = 8


class Grouping:
    """Loaded circuits by way."""

    def __init__(self, circuit: Circuit) -> None:
        self._circuit, self._plant, self._network = circuit, circuit.plant, circuit.network

    def circuits(self, conductor: Conductor, cable: Cable | None, way: str, route: RouteWay | None) -> Given:
        """Loaded circuits side by side: as stated, else as many as lie in the route, at least those of the cable itself."""
        stated = (cable.attributes if cable else conductor.attributes).amount("circuits")
        if stated is not None:
            return Given("n_c", round(stated), "", "circuits side by side", cable.span if cable else conductor.span)
        own = self._own(conductor)
        if route is None:
            return Given("n_c", own, "", "circuits side by side: it shares no route", cable.span if cable else conductor.span)
        count = max(own, sum_of(self.shared.get(way, {}).values()))
        return Given("n_c", count, "", self._sharing(way), route.span)

    @kept
    def _sharing(self, way: str) -> str:
        """What lies side by side in a way, in words: the first piece of each circuit."""
        names = [f"{feeder} -> {fed}" for feeder, fed in self.shared.get(way, ())]
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        return f"power circuits in {way}" + (": " + ", ".join(names[:_NAMED]) + more if names else "")

    @cached_property
    def shared(self) -> dict[str, dict[tuple[str, str], int]]:
        """By way (a route, or a compartment of it): circuits that lie in it, each with the number of its cables side by side.

        Pieces that follow each other in one circuit count once. Control, bus and protective conductors do not count.
        """
        found: dict[str, dict[tuple[str, str], int]] = {}
        owner: dict[str, tuple[str, str]] = {}
        for step in self._circuit.steps.values():
            if not step.poles or self._network.runs[step.poles[0][0]].klass not in _POWER:
                continue
            root = self._root(step) or (step.feeder, step.fed)
            here: dict[str, dict[str, int]] = {}
            for name in step.poles[0]:
                conductor = self._plant.conductors[name]
                thing = conductor.cable or name
                if owner.setdefault(thing, root) == root:
                    for way in self._network.runs[name].routes:
                        here.setdefault(way, {})[thing] = self._own(conductor)
            for way, things in here.items():
                circuits = found.setdefault(way, {})
                circuits[root] = max(circuits.get(root, 0), sum_of(things.values()))
        return found

    def _own(self, conductor: Conductor) -> int:
        """Circuits that the cable of a conductor is: one per cable in parallel, twice that with more than three loaded cores."""
        if not conductor.cable:
            return 1
        cores = self._loaded.get(conductor.cable, 1)
        return self._plant.cables[conductor.cable].parallel * max(1, -(-cores // 3))

    @cached_property
    def _loaded(self) -> dict[str, int]:
        """Loaded cores of each cable of the power circuit: its live ones; neutrals where each live core has its own."""
        found: dict[str, tuple[set[str], set[str]]] = {}
        for step in self._circuit.steps.values():
            for kind, names in enumerate((step.conductors, step.neutral) if step.cables else ()):
                for name in names:
                    cable = self._plant.conductors[name].cable
                    if cable:
                        found.setdefault(cable, (set(), set()))[kind].add(name)
        return {cable: len(live) * (2 if len(neutral) >= len(live) else 1) for cable, (live, neutral) in found.items()}

    @meanwhile(None)
    def _root(self, step: Step) -> Asking[tuple[str, str] | None]:
        """The step with which the circuit of a step begins: behind a source, or where circuits part at a bar or a strip; in a
        ring one of its steps."""
        feeder = self._plant.devices[step.feeder]
        before = self._circuit.into.get(step.feeder, ())
        parted = len(self._circuit.out_of[step.feeder]) > 1 and (
            feeder.category in TAPPED or self._plant.devices[step.fed].kind in PROTECTIVE
        )
        goes_on = before and not parted and feeder.category != "supply" and feeder.kind not in CONVERTERS
        root: tuple[str, str] | None = (yield self._root, before[0]) if goes_on else None
        return root or (step.feeder, step.fed)
