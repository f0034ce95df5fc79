"""Which fault and touch currents each protective conductor of a power circuit carries."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from netdsl.calc.basis import Calculation, Given, amount
from netdsl.calc.circuit import Circuit, Path, Step
from netdsl.calc.faults import Faults
from netdsl.calc.protection.let_through import Stress, largest
from netdsl.calc.protection.trips import Trips
from netdsl.calc.protection.withstand import Withstands
from netdsl.kept import kept
from netdsl.sums import sum_of


class Edge(Struct):
    """Protective conductors in parallel between two earth nodes, and what their circuits ask of them.

    `line_mm2`: the largest phase conductors whose fault current they carry, one pole, all in parallel together; `step`: where
    these lie, None where only touch currents are known. `stress`: the largest energy of a fault whose current they carry.
    `touch`: devices whose touch current they carry to the main terminal. `share`: how much of the fault current is theirs, where
    others beside them carry the rest; None: all of it.
    """

    conductors: tuple[str, ...]
    line_mm2: float = 0.0
    step: Step | None = None
    stress: Stress | None = None
    touch: list[str] = field(default_factory=list)
    share: Given | None = None


class EarthFaults:
    """Protective conductors with their faults, found once."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._circuit = calculation.of(Circuit)
        self._earth = calculation.network.earth
        self._touch_limit = calculation.settings.given("touch-current-limit").value

    def edges(self) -> list[Edge]:
        """Protective conductors on the way of the power circuits, in the order in which they are met."""
        found: dict[tuple[str, ...], Edge] = {}
        for thing, (step, device) in self._faults().items():
            for origin, line, stress in self._fed(device, step):
                for conductors in self._circuit.earths.path(thing, origin) or ():
                    if conductors:
                        beside = self._beside_in_cable(conductors, device, origin)
                        least = min((each for each in (step, beside) if each), key=self.line_mm2)
                        own = line if least is step else self.line_mm2(least)
                        _enter(found.setdefault(conductors, Edge(conductors)), min(line, own), least, stress)
        for edge in self._beside(frozenset(name for conductors in found for name in conductors)):
            found.setdefault(edge.conductors, edge)
        for device in self._calculation.plant.devices:
            if self.touch_a(device) > self._touch_limit:
                for conductors in self._to_main(device):
                    found.setdefault(conductors, Edge(conductors)).touch.append(device)
        return list(found.values())

    def faults(self) -> Iterator[tuple[str, float, Step, Stress | None, str]]:
        """Faults to the body of each fed device and place: that, the phase conductors, mm2, with their step, the energy let
        through, the source."""
        for thing, (step, device) in self._faults().items():
            for origin, line, stress in self._fed(device, step):
                yield thing, min(line, self.line_mm2(step)), step, stress, origin

    def _beside(self, known: frozenset[str]) -> Iterator[Edge]:
        """Protective cores of cables of which none lies on such a way, as of one cable of two in parallel: a fault inside the
        cable returns by them."""
        plant, runs, leads = self._calculation.plant, self._calculation.network.runs, self._circuit.leads
        earth = {name for _, _, data in self._earth.graph.edges(data=True) for name in data["conductors"]}
        seen: set[str] = set()
        for step in self._circuit.steps.values():
            for cable in step.cables:
                cores = tuple(name for name in plant.cables[cable].conductors if name in earth)
                if cable in seen or not cores or not known.isdisjoint(cores):
                    continue
                seen.add(cable)
                own = [runs[name] for name in step.conductors if plant.conductors[name].cable == cable]
                line = max(((run.section_mm2 or 0.0) * leads.parallel(run.conductor) for run in own), default=0.0)
                if line:
                    yield Edge(cores, line, step, largest(stress for _, _, stress in self._fed(step.fed, step)))

    def _beside_in_cable(self, conductors: tuple[str, ...], device: str, origin: str) -> Step | None:
        """Of protective cores the phases of their own cable, if what feeds a device flows through these: larger wires behind,
        as inside a warm enclosure, ask no more of the cable than its own phases do."""
        plant = self._calculation.plant
        cables = {plant.conductors[name].cable for name in conductors}
        for path in self._circuit.paths(device):
            for each in path.steps if path.origin == origin and None not in cables else ():
                if cables <= set(each.cables):
                    return each
        return None

    @kept
    def line_mm2(self, step: Step) -> float:
        """Section of one pole of a step, all in parallel together, mm2; 0 where a section is missing."""
        runs, parallel = self._calculation.network.runs, self._circuit.leads.parallel
        first = step.poles[0] if step.poles else ()
        return sum_of((runs[name].section_mm2 or 0.0) * parallel(runs[name].conductor) for name in first)

    def touch_a(self, device: str) -> float:
        """Touch current of a device, A; 0 where none is stated."""
        made = self._calculation.plant.devices[device]
        return amount(made, "touch-current") or 0.0 if "touch-current" in made.ratings else 0.0

    def _faults(self) -> dict[str, tuple[Step, str]]:
        """Of each earth node by one of its members, the largest step that feeds it, with the device this feeds. A fault inside an
        enclosure goes to it from the largest conductors of the devices at that place."""
        by_node: dict[str, tuple[str, Step, str, float]] = {}
        for device in self._calculation.network.power.order:
            steps = self._circuit.into.get(device)
            if not steps:
                continue
            step = max(steps, key=self.line_mm2) if len(steps) > 1 else steps[0]
            line = self.line_mm2(step)
            for thing in (device, self._calculation.plant.devices[device].place):
                node = self._earth.node_of.get(thing)
                if node is not None and (node not in by_node or line > by_node[node][3]):
                    by_node[node] = (thing, step, device, line)
        return {thing: (step, device) for thing, step, device, _ in by_node.values()}

    def _fed(self, device: str, step: Step) -> Iterator[tuple[str, float, Stress | None]]:
        """Each source of a device, with the section of its phase conductors and the largest energy that a fault to earth lets
        through on any way from it past no drive. Of several sources each has the thinnest conductors on its own way."""
        ways: dict[str, list[Path]] = {}
        for path in self._circuit.paths(device):
            if not path.drive:
                ways.setdefault(path.origin, []).append(path)
        for origin, paths in (ways or {"": []}).items():
            line = self.line_mm2(step)
            if len(ways) > 1:
                line = max(min((self.line_mm2(each) for each in path.steps), default=line) for path in paths)
            yield origin, line, largest(self._stress_of(path) for path in paths)

    def _stress_of(self, path: Path) -> Stress | None:
        """At the beginning of the last step or at its end, whichever lets more through."""
        withstands, faults = self._calculation.of(Withstands), self._calculation.of(Faults)
        fed = faults.fed_by(path.device, path.origin)
        if fed is None or fed[1].earth_min is None:
            return None
        devices = self._calculation.of(Trips).protecting(path)
        if not devices or self._calculation.of(Trips).unrated(path):
            return None
        smallest = faults.given(path.device, path.origin, "earth", fed[1].earth_min, "earth-fault current")
        end = withstands.least(devices, smallest, "end")
        if end is None:
            return None
        first = path.parent.device if path.parent is not None else path.origin
        before = faults.fed_by(first, path.origin)
        if before is not None and before[1].largest:
            current = faults.earth_max(before[0]) or faults.given(
                first, path.origin, "largest", before[1].largest, "largest fault current"
            )
            beginning = withstands.least(devices, current, "beginning")
            return largest((beginning, end))
        return end

    def _to_main(self, device: str) -> Iterator[tuple[str, ...]]:
        """Protective conductors from a device's earth terminal to the main terminal."""
        node = self._earth.node_of.get(device)
        for conductors in self._circuit.earths.path(device) or ():
            if node is None or node == self._earth.root or node in self._earth.bars.values():
                return
            if conductors:
                yield conductors
            neighbours = self._earth.graph[node].items()
            node = next((other for other, data in neighbours if tuple(data["conductors"]) == conductors), None)


def _enter(edge: Edge, line: float, step: Step, stress: Stress | None) -> None:
    if line > edge.line_mm2:
        edge.line_mm2, edge.step = line, step
    if stress is not None and stress.exceeds(edge.stress):
        edge.stress = stress
