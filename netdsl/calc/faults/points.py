"""Places of a fault: the ways from the sources to a device, and the impedance there and back."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc.basis import Calculation, word
from netdsl.calc.circuit import Circuit, Impedances, Path, in_series
from netdsl.calc.faults.inner_transformers import inner_source
from netdsl.calc.faults.parallel_sources import ParallelSources, Together
from netdsl.calc.faults.ring_ways import RingWays
from netdsl.calc.faults.source import Source
from netdsl.calc.faults.supplies import Supplies
from netdsl.calc.loads import Branch, LoadCurrents, Way
from netdsl.findings import Span
from netdsl.kept import Asking, kept, meanwhile
from netdsl.sums import sum_of

#: no ring on a way
_OPEN: tuple[complex, tuple[str, ...]] = 0j, ()


class Point(Struct, eq=False):
    """A device where a fault is looked at.

    `near`: the way of least impedance, from the source `strong`; `far`: that of most, from `weak`. `poles`: live poles that enter
    the device, 1 to 3. Impedances in ohm: `cold` and `end` of one pole, source included, for the largest and the smallest
    current; `out` and `back` of the return through the neutral for the largest and the smallest, 0 with three poles; `earth`: of
    the return through earth outside the source at the smallest current, None where none is known. `together`: where several
    sources feed the device together, which count for the largest current. `has_neutral`: whether `weak` has one. `returning`: the
    neutral conductors from the device to its source, where they are found: the impedances of the return are then theirs.
    """

    device: str
    strong: Source
    weak: Source
    near: Path
    far: Path
    poles: int
    cold: complex
    end: complex
    out: complex
    back: complex
    earth: complex | None
    span: Span
    has_neutral: bool
    together: Together | None = None
    returning: Way = ()

    @property
    def loop(self) -> complex | None:
        """Impedance of the earth-fault loop, ohm."""
        return None if self.earth is None else self.end + self.weak.impedance.earth_min + self.earth


class FaultPoints:
    """Places of a fault by device, each worked out once."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._circuit = calculation.of(Circuit)
        self._supplies = Supplies(calculation)
        self._parallel = ParallelSources(calculation, self._cold, self.source)
        self._rings = RingWays(calculation)

    @kept
    def source(self, device: str) -> Source | None:
        """A supply or transformer as a source; None where the netlist does not say enough (the gap is noted), and for all
        else."""
        made = self._calculation.plant.devices[device]
        if made.category == "supply":
            return self._supplies.of(made)
        return self._inner(device) if made.kind == "transformer" else None

    @kept
    def at(self, device: str) -> Point | None:
        """A device as a place of a fault; None behind a drive, where nothing feeds it and where a value is missing."""
        ways = self._ways(device)
        if not ways or not all(path.known and self._rings.of(path) is not None for path, _ in ways):
            return None
        point = self._between(device, ways)
        # of ways that differ by the branch they take alone one is enough: `_cold` counts those beside it
        together = self._parallel.at([way for way in ways if self._first(way[0])])
        beside = self._beside(point.near)
        if beside:
            own = point.strong.impedance.largest + self._cold(point.near)
            origins = together.origins if together is not None else (point.near.origin,)
            together = Together(together.ohms if together is not None else own, (*origins, *beside))
        return replace(point, together=together) if together is not None else point

    @kept
    def fed_by(self, device: str, origin: str) -> Point | None:
        """A device as a place of a fault that `origin` feeds, alone where several sources reach it one at a time."""
        point = self.at(device)
        together = point.together.origins if point is not None and point.together is not None else ()
        if point is None or origin in together or {path.origin for path in self._circuit.paths(device)} == {origin}:
            return point
        ways = [way for way in self._ways(device) if way[0].origin == origin]
        return self._between(device, ways) if ways else None

    def second_fault(self, device: str, origin: str) -> Point | None:
        """A device of an IT system as a place of a second fault, which returns through the protective conductors to another line
        conductor: its `loop` is that of one line conductor, source included, and the protective conductors. None where there is
        no way back through metal, or a value is missing."""
        if word(self._calculation.plant.devices[origin], "system") != "IT":
            return None
        point = self.fed_by(device, origin)
        earth = self._to_earth(device, origin) if point and point.weak.impedance.phases == 3 else None
        return replace(point, earth=earth) if point and earth is not None else None

    @kept
    def _branches(self, path: Path) -> tuple[Branch, ...]:
        """Branches with others beside them on a way to a device, all of which feed it."""
        parallel = self._calculation.of(LoadCurrents).flows.parallel
        found, here = [], path.parent if parallel else None
        while here is not None:
            branch = parallel.of(here.device)
            if branch is not None and here.device == branch.devices[-1]:
                found.append(branch)
            here = here.parent
        return tuple(found)

    def _cold(self, path: Path) -> complex:
        """Impedance of one pole of a way, ohm, conductors cold, with the branches beside those that it takes, and the other ways
        round of rings."""
        less, _ = self._rings.of(path) or _OPEN
        return path.cold + sum_of((branch.together - branch.cold for branch in self._branches(path)), 0j) + less

    def _first(self, path: Path) -> bool:
        """Whether a way takes the first of all branches that lie side by side."""
        return all(branch.devices[0] < min(branch.beside) for branch in self._branches(path))

    def _beside(self, path: Path) -> tuple[str, ...]:
        """The first devices of branches beside those that a way takes, and devices on the other ways round of rings."""
        names = (name for branch in self._branches(path) for name in branch.beside)
        _, round_about = self._rings.of(path) or _OPEN
        return tuple(dict.fromkeys((*names, *round_about)))

    def _ways(self, device: str) -> list[tuple[Path, Source]]:
        return [
            (path, source)
            for path in self._circuit.paths(device)
            if not path.drive and (source := self.source(path.origin)) is not None
        ]

    def _between(self, device: str, ways: list[tuple[Path, Source]]) -> Point:
        near, strong = min(ways, key=lambda way: abs(way[1].impedance.largest + way[0].cold)) if len(ways) > 1 else ways[0]
        far, weak = max(ways, key=lambda way: abs(way[1].impedance.smallest + way[0].end)) if len(ways) > 1 else ways[0]
        poles = self._poles(device) if strong.impedance.phases == 3 else 1
        own = self._neutral(device) if poles == 1 and near is far else None
        out = (own[1][0] if own else near.neutral_cold) + strong.impedance.neutral_max if poles == 1 else 0j
        back = (own[1][2] if own else self._back(far)) + weak.impedance.neutral_min
        earth = self._to_earth(device, far.origin) if weak.impedance.earthed else None
        return Point(
            device,
            strong,
            weak,
            near,
            far,
            poles,
            strong.impedance.largest + near.cold,
            weak.impedance.smallest + far.end,
            out,
            back,
            earth,
            self._calculation.plant.devices[device].span,
            weak.impedance.phases == 1 or not {"N", "PEN"}.isdisjoint(self._calculation.plant.devices[far.origin].terminals),
            returning=own[0] if own else (),
        )

    def _inner(self, device: str) -> Source | None:
        point = self.at(device) if self._circuit.into.get(device) else None  # one that nothing feeds is its own origin
        primary: tuple[complex, complex] | None = None
        if point is not None:
            there_and_back = 2 if point.poles == 2 else 1
            back = point.back if point.poles == 1 else 0j
            primary = (point.cold * there_and_back + point.out, point.end * there_and_back + back)
        return inner_source(
            self._calculation, self._calculation.plant.devices[device], primary, f"fault-current.largest {device}"
        )

    def _poles(self, device: str) -> int:
        """How many phases enter a device: 3 where it is the supply itself."""
        phases: frozenset[str] = frozenset()
        nets: set[str] = set()
        for step in self._circuit.into.get(device, ()):
            for pole in step.poles:
                net = self._calculation.network.runs[pole[0]].net
                nets.add(net)
                phases |= self._phases_of(net)
        return max(1, min(3, len(nets), len(phases))) if nets else 3

    @kept
    def _phases_of(self, net: str) -> frozenset[str]:
        potentials = self._calculation.network.nets[net].possible
        return frozenset(each.id for each in potentials if each.kind == "ac" and each.pole not in ("N", "PEN"))

    def _neutral(self, device: str) -> tuple[Way, Impedances] | None:
        """The neutral conductors from a device to its source, wherever they run, and their impedance, ohm; None where they are
        not found, or one is not known."""
        way = self._calculation.of(LoadCurrents).returns.way(device)
        found = [self._circuit.impedances.parallel(conductors, None) for conductors in way or ()]
        known = [each for each in found if each is not None]
        if not way or not known or len(known) < len(found):
            return None
        return way, in_series(known)

    @meanwhile(0j)
    def _back(self, path: Path) -> Asking[complex]:
        """Impedance of the neutral along a path at the smallest current, ohm. Where it runs elsewhere than beside the poles, a
        step's neutral counts as long as its pole."""
        before = path.parent
        if before is None:
            return 0j
        total: complex = yield self._back, before
        if path.step is not None:
            total += path.neutral_end - before.neutral_end if path.step.neutral else path.end - before.end
        return total

    def _to_earth(self, device: str, origin: str) -> complex | None:
        """Impedance of the protective conductors from a device, or else from what it stands in, to the supply, ohm."""
        found = self.way_to_earth(device, origin)
        if found is None and self._calculation.plant.devices[device].category == "supply":
            return 0j
        return found[2] if found else None

    def way_to_earth(self, device: str, origin: str) -> Impedances | None:
        """Impedance of the protective conductors from a device, or else from its enclosure, to a supply, ohm; None if unknown."""
        if device in self._calculation.network.earth.node_of:
            return self._circuit.earths.impedance(device, origin)
        place = self._calculation.plant.places.get(self._calculation.plant.devices[device].place)
        return self._circuit.earths.impedance(place.id, origin, note=False) if place else None
