"""What stops: buttons, emergency stops and trips, and whether each takes the voltage from what it is to stop, in every state."""

from __future__ import annotations

from dataclasses import dataclass

from netdsl.model.kinds import Category, Kind
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.loops import influences, signs_in
from netdsl.states.machine import Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.reach import Reach
from netdsl.states.targets import Target, is_wired, targets, told_to_run
from netdsl.states.types import Cause, Edge, Mover
from netdsl.states.ways import Noted

#: kinds whose inputs act by a program that no netlist states
_PROGRAMMED = frozenset({Kind.CONTROLLER, Kind.OUTSIDE})


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop and a thing that it is to stop. `outcome`: whether that can run while the stop is actuated; `by_pulling`: it is a
    relay that has to pull for it, or a contact that has to close, so that behind a broken wire the stop does nothing."""

    mover: Mover
    target: str
    outcome: Outcome
    by_pulling: bool = False


class Stops:
    """The stops of a circuit."""

    def __init__(self, prover: Prover) -> None:
        self._prover = prover
        self._circuit = prover.circuit
        self._devices = prover.circuit.network.plant.devices

    def stops(self) -> tuple[Stop, ...]:
        """Each stop with each contactor and drive on which it acts."""
        found = []
        for target in targets(self._prover):
            acting = influences(self._prover.wants, self._circuit, self._prover.variables, target.wanted)
            for mover in self._circuit.movements:
                signs = acting.get(mover)
                if signs is None or True not in signs:
                    continue
                if self.is_emergency(mover) or (self._is_button(mover) and signs == {True}):
                    found.append(Stop(mover, target.device, self._asked(mover, target), self._by_pulling(mover, target)))
        return tuple(found)

    def idle(self) -> tuple[tuple[Mover, str], ...]:
        """Emergency stops that act on nothing, and why that is not judged where a program may act ("" where none can)."""
        wants = self._prover.wants
        moved = [wants.of(m) for m, moves in self._circuit.movements.items() if moves.cause in (Cause.COIL, Cause.RELEASE)]
        taken = [wants.fed(load) for load in self._circuit.loads if load.kind == "input"]
        acting = set(self._prover.builder.read_by((*moved, *taken)))
        found = []
        for mover in self._circuit.movements:
            if self.is_emergency(mover) and mover not in acting:
                found.append((mover, self._programmed(mover)))
        return tuple(found)

    def is_emergency(self, mover: Mover) -> bool:
        """Whether a mover is the actuator of an emergency stop."""
        return self._devices[mover.device].kind == Kind.EMERGENCY_STOP if mover.device in self._devices else False

    def _is_button(self, mover: Mover) -> bool:
        return self._devices[mover.device].kind == Kind.PUSH_BUTTON and self._breaks(mover)

    def _breaks(self, mover: Mover) -> bool:
        """Whether a wired contact opens when the mover is actuated."""
        return any(not edge.closed.on and is_wired(self._prover, edge) for edge in self._edges(mover))

    def _by_pulling(self, mover: Mover, target: Target) -> bool:
        """Whether what is stopped may be kept from running only by a coil that the stop makes pull."""
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        stopped = formulas.assuming(target.wanted, {variables.number(mover): True})
        if stopped == FALSE:
            return False
        for relay, signs in signs_in(variables, stopped).items():
            if self._circuit.movements[relay].cause is Cause.COIL and True in signs:
                acting = influences(self._prover.wants, self._circuit, variables, self._prover.wants.of(relay))
                if False in acting.get(mover, ()):
                    return True
        return False

    def _edges(self, mover: Mover) -> list[Edge]:
        return [edge for edge in self._circuit.edges if mover in edge.closed.movers]

    def _programmed(self, mover: Mover) -> str:
        """What a stop leads to that acts by a program: it is not known then what it stops."""
        points = {point for edge in self._edges(mover) if is_wired(self._prover, edge) for point in (edge.a, edge.b)}
        islands = {island for point in points for island in self._prover.islands.at(point)}
        for name, device in self._devices.items():
            if device.kind in _PROGRAMMED or device.category == Category.OUTSIDE:
                for terminal in device.terminals:
                    node = f"{name}:{terminal}"
                    if node in self._circuit.network.net_of:
                        point = self._circuit.node_point(node)
                        if point in points or (
                            islands.intersection(self._prover.islands.at(point)) and point not in self._circuit.roots
                        ):
                            return f"it leads to `{name}`, which acts by its program"
        return ""

    def _asked(self, mover: Mover, target: Target) -> Outcome:
        """Whether the target can run while the stop is actuated and everything has come to rest."""
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        stopped = formulas.assuming(target.wanted, {variables.number(mover): True})
        if stopped == FALSE:
            return Outcome(Answer.NEVER)
        bad = formulas.both(target.runs, variables.of(mover))
        noted = Noted("nothing")
        return self._prover.outcome(bad, (Note(noted, (), lambda _: FALSE),))


def trips(prover: Prover) -> tuple[tuple[Mover, Outcome], ...]:
    """Each overload relay with a wired contact, and whether current can flow on through its poles while it has tripped."""
    circuit = prover.circuit
    found = []
    for device in circuit.network.plant.devices.values():
        mover = Mover(device.id, "overload")
        contacts = [edge for edge in circuit.edges if mover in edge.closed.movers and is_wired(prover, edge)]
        if device.kind != Kind.OVERLOAD or not contacts:
            continue
        fed = _fed(prover, device.id)
        followed = prover.builder.cone((fed,))
        if not any(circuit.movements[m].cause is Cause.COIL for m in followed):
            continue  # nothing between source and motor that it could open: for other rules to say
        if mover not in followed:
            found.append((mover, Outcome(Answer.NOT_JUDGED, reason="its contact acts on no coil or input that is drawn")))
            continue
        bad = prover.variables.formulas.both(prover.variables.of(mover), fed)
        found.append((mover, prover.outcome(bad, (Note(Noted("nothing"), (), lambda _: FALSE),))))
    return tuple(found)


def _fed(prover: Prover, relay: str) -> int:
    """When a source comes to the supply side of an overload relay's poles: of drives, one that is told to run."""
    circuit, formulas = prover.circuit, prover.variables.formulas
    own = [edge for edge in circuit.edges if edge.device == relay and edge.path is not None and edge.path.kind == "pole"]
    found = FALSE
    for edge in own:
        if edge.a in circuit.roots:
            continue
        (island,) = prover.islands.at(edge.a)
        others = [other for other in prover.islands.edges[island] if other not in own]
        roots = prover.islands.roots_of.get(island, {})
        reach = Reach(formulas, others, roots, prover.wants.closed)
        for root in roots:
            for pole in circuit.roots[root]:
                runs: int | None = TRUE
                if pole.potential.kind == "pwm":
                    runs = told_to_run(prover, circuit.network.plant.devices[pole.potential.device])
                found = formulas.either(found, formulas.both(reach.joined(edge.a, root), TRUE if runs is None else runs))
    return found
