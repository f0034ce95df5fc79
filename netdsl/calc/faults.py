"""Fault currents at every point of the power circuit, largest and smallest (IEC 60909-0)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import exp, sqrt
from typing import TYPE_CHECKING, NamedTuple

from netdsl.calc.fault_results import FaultResults
from netdsl.calc.inner_transformers import inner_source
from netdsl.calc.leads import Impedances
from netdsl.calc.motor_infeed import MotorInfeed
from netdsl.calc.parallel_sources import ParallelSources, Together
from netdsl.calc.ratings import word
from netdsl.calc.results import Given, Result
from netdsl.calc.returns import Way
from netdsl.calc.source_impedance import Source, SourceImpedance, Supplies
from netdsl.calc.steps import Path
from netdsl.findings import Span

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class FaultLevel(NamedTuple):
    """Fault currents at a device, A: three-phase largest and smallest, two-phase smallest, line to neutral smallest, line to
    earth smallest, peak; None where they do not exist or cannot be computed. `largest`: the largest that can flow through the
    poles that enter the device: three-phase, between two poles, or from one pole to neutral; `peak` belongs to it. `motors`: the
    part of it that running motors add; `beside`: that other sources in parallel add."""

    three_max: float | None
    three_min: float | None
    two_min: float | None
    neutral_min: float | None
    earth_min: float | None
    peak: float | None
    largest: float = 0.0
    motors: float = 0.0
    beside: float = 0.0


@dataclass(slots=True, eq=False)
class Point:
    """A device where a fault is looked at. `near`: the way of least impedance, from the source `strong`; `far`: that
    of most, from `weak`. `poles`: live poles that
    enter the device, 1 to 3. Impedances in ohm: `cold` and `end` of one pole, source included, for the largest and the smallest
    current; `out` and `back` of the return through the neutral for the largest and the smallest, 0 with three poles; `earth`: of
    the return through earth outside the source at the smallest current, None where none is known. `together`: where several
    sources feed the device together, which count for the largest current. `returning`: the neutral conductors from the device to
    its source, where they are found: the impedances of the return are then theirs."""

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
    together: Together | None = None
    returning: Way = ()

    @property
    def loop(self) -> complex | None:
        """Impedance of the earth-fault loop, ohm."""
        return None if self.earth is None else self.end + self.weak.impedance.earth_min + self.earth


class Faults:
    """Fault currents by device.

    Largest: conductors cold, the way of least impedance, voltage factor c_max, motors switched on the mains added, and sources
    that feed together (`potential ... parallel=yes`). Smallest:
    conductors at the end of the fault, the way of most impedance, c_min. Nothing is computed behind a drive, whose own limits
    count there, nor for direct current. A fault to earth is computed where it returns through metal, in TN systems; where a
    device has no protective conductor of its own, to the enclosure it stands in.
    """

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._circuit = calculation.circuit
        self._supplies = Supplies(calculation)
        self._sources: dict[str, Source | None] = {}
        self._points: dict[str, Point | None] = {}
        self._levels: dict[str, FaultLevel | None] = {}
        self._of_origin: dict[tuple[str, str], tuple[Point, FaultLevel] | None] = {}
        self._returns: dict[Path, complex] = {}
        self._phases: dict[str, frozenset[str]] = {}
        self._results = FaultResults(calculation)
        self._parallel = ParallelSources(calculation)

    # --- what others ask ------------------------------------------------------------------------------------------
    def source(self, device: str) -> SourceImpedance | None:
        """The impedance of a supply or transformer; None where the netlist does not say enough (the gap is noted)."""
        found = self._source(device)
        return found.impedance if found else None

    def at(self, device: str) -> FaultLevel | None:
        """Fault currents at the terminals where power enters a device; None behind a drive or where a value is missing."""
        if device not in self._levels:
            point = self.point(device)
            self._levels[device] = self._level(point) if point else None
        return self._levels[device]

    def fed_by(self, device: str, origin: str) -> tuple[Point, FaultLevel] | None:
        """A device as a place of a fault that `origin` feeds, alone where several sources reach it one at a time, and the currents
        there."""
        point = self.point(device)
        together = point.together.origins if point is not None and point.together is not None else ()
        if point is None or origin in together or {path.origin for path in self._circuit.paths(device)} == {origin}:
            level = self.at(device)
            return (point, level) if point and level else None
        key = (device, origin)
        if key not in self._of_origin:
            ways = [way for way in self._ways(device) if way[0].origin == origin]
            alone = self._between(device, ways) if ways else None
            self._of_origin[key] = (alone, self._level(alone)) if alone else None
        return self._of_origin[key]

    def given(self, device: str, origin: str, kind: str, amps: float, words: str) -> Given:
        """A fault current at a device that `origin` feeds, to put into a formula: it leads to the result of that kind (`largest`,
        `smallest`, `earth`), or to the origin where the result is about another source."""
        point, span = self.point(device), self._calculation.plant.devices[origin].span
        whose = point and (point.near if kind == "largest" else point.far).origin
        if whose == origin:
            return Given("I_k", amps, "A", f"{words} at {device}", result=f"fault-current.{kind} {device}")
        return Given("I_k", amps, "A", f"{words} at {device}, fed by {origin}", span)

    def earth_max(self, point: Point) -> Given | None:
        """The largest current to earth at a place of a fault, A, conductors cold; None where its return is not known, or where
        several sources feed it together."""
        own = point.strong.impedance
        if not own.earthed or point.together is not None:
            return None
        back = self._way_to_earth(point.device, point.near.origin)
        amps = self._c_max * own.to_earth / abs(point.cold + own.earth_max + (back[0] if back else 0j))
        return Given("I_k", amps, "A", f"largest current to earth at {point.device}, conductors cold", point.span)

    def largest(self, device: str) -> Result | None:
        """The largest prospective current at a device as a result, A (three-phase, or line to neutral of one phase)."""
        point, level = self.point(device), self.at(device)
        return self._results.largest(point, level) if point and level else None

    def smallest(self, device: str) -> Result | None:
        """The smallest current between the poles of a device (line to neutral of one phase) as a result, A."""
        point, level = self.point(device), self.at(device)
        return self._results.smallest(point, level) if point and level else None

    def earth(self, device: str) -> Result | None:
        """The smallest line-to-earth current at a device as a result, A."""
        point, level = self.point(device), self.at(device)
        return self._results.earth(point, level) if point and level and level.earth_min is not None else None

    def loop(self, device: str) -> complex | None:
        """Impedance of the earth-fault loop at a device, ohm, conductors at the temperature of the smallest fault current."""
        point = self.point(device)
        return point.loop if point else None

    def second_fault(self, device: str, origin: str) -> Point | None:
        """A device of an IT system as a place of a second fault, which returns through the protective conductors to another line
        conductor: its `loop` is that of one line conductor, source included, and the protective conductors. None where there is no
        way back through metal, or a value is missing."""
        if word(self._calculation.plant.devices[origin], "system") != "IT":
            return None
        fed = self.fed_by(device, origin)
        earth = self._to_earth(device, origin) if fed and fed[0].weak.impedance.phases == 3 else None
        return replace(fed[0], earth=earth) if fed and earth is not None else None

    def loop_result(self, device: str) -> Result | None:
        """The magnitude of the earth-fault loop's impedance at a device as a result, ohm."""
        point = self.point(device)
        return self._results.loop(point) if point and point.earth is not None else None

    def absent(self, device: str) -> str:
        """Why no fault current is computed at a device although nothing is missing, "" where one is."""
        paths = self._circuit.paths(device)
        drive = next((path.drive for path in paths if path.drive), "")
        if drive and all(path.drive for path in paths):
            return f"behind drive {drive}, whose own limits count; the fault current there is not computed"
        return ""

    def results(self) -> Iterator[Result]:
        """`fault-current.*` and `loop-impedance` of every device of the power circuit."""
        for device in self._calculation.network.power.order:
            source = self._source(device) if self._origin(device) else None
            yield from source.results if source else ()
            point, level = self.point(device), self.at(device)
            if point and level:
                yield self._results.largest(point, level)
                yield self._results.peak(point, level)
                yield self._results.smallest(point, level)
                if level.earth_min is not None:
                    yield self._results.loop(point)
                    yield self._results.earth(point, level)
                elif (second := self.second_fault(device, point.far.origin)) is not None:
                    yield self._results.second_loop(second)

    # --- points ---------------------------------------------------------------------------------------------------
    def point(self, device: str) -> Point | None:
        """A device as a place of a fault; None behind a drive, where nothing feeds it and where a value is missing."""
        if device not in self._points:
            self._points[device] = self._point(device)
        return self._points[device]

    def _point(self, device: str) -> Point | None:
        ways = self._ways(device)
        if not ways or not all(path.known for path, _ in ways):
            return None
        point, together = self._between(device, ways), self._parallel.at(ways)
        return replace(point, together=together) if together is not None else point

    def _ways(self, device: str) -> list[tuple[Path, Source]]:
        return [(path, source) for path in self._circuit.paths(device)
                if not path.drive and (source := self._source(path.origin)) is not None]  # fmt: skip

    def _between(self, device: str, ways: list[tuple[Path, Source]]) -> Point:
        near, strong = min(ways, key=lambda way: abs(way[1].impedance.largest + way[0].cold)) if len(ways) > 1 else ways[0]
        far, weak = max(ways, key=lambda way: abs(way[1].impedance.smallest + way[0].end)) if len(ways) > 1 else ways[0]
        poles = self._poles(device) if strong.impedance.phases == 3 else 1
        own = self._neutral(device) if poles == 1 and near is far else None
        out = (own[1][0] if own else near.neutral_cold) + strong.impedance.neutral_max if poles == 1 else 0j
        back = (own[1][2] if own else self._back(far)) + weak.impedance.neutral_min
        earth = self._to_earth(device, far.origin) if weak.impedance.earthed else None
        return Point(device, strong, weak, near, far, poles, strong.impedance.largest + near.cold,
                     weak.impedance.smallest + far.end, out, back, earth,
                     self._calculation.plant.devices[device].span, returning=own[0] if own else ())  # fmt: skip

    def _origin(self, device: str) -> bool:
        made = self._calculation.plant.devices[device]
        return made.category == "supply" or made.kind == "transformer"

    def _source(self, device: str) -> Source | None:
        if device not in self._sources:
            made = self._calculation.plant.devices[device]
            if made.category == "supply":
                self._sources[device] = self._supplies.of(made)
            else:
                self._sources[device] = self._inner(device) if made.kind == "transformer" else None
        return self._sources[device]

    def _inner(self, device: str) -> Source | None:
        point = self.point(device) if self._circuit.into.get(device) else None  # one that nothing feeds is its own origin
        primary: tuple[complex, complex] | None = None
        if point is not None:
            there_and_back = 2 if point.poles == 2 else 1
            back = point.back if point.poles == 1 else 0j
            primary = (point.cold * there_and_back + point.out, point.end * there_and_back + back)
        return inner_source(self._calculation, self._calculation.plant.devices[device], primary, f"fault-current.largest {device}")

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

    def _phases_of(self, net: str) -> frozenset[str]:
        found = self._phases.get(net)
        if found is None:
            potentials = self._calculation.network.nets[net].possible
            found = self._phases[net] = frozenset(each.id for each in potentials if each.kind == "ac" and each.pole not in ("N", "PEN"))
        return found

    def _neutral(self, device: str) -> tuple[Way, Impedances] | None:
        """The neutral conductors from a device to its source, wherever they run, and their impedance, ohm; None where they are not
        found, or one is not known."""
        way = self._calculation.loads.returns.way(device)
        found = [self._circuit.impedances.parallel(conductors, None) for conductors in way or ()]
        known = [each for each in found if each is not None]
        if not way or not known or len(known) < len(found):
            return None
        return way, (sum(each[0] for each in known), sum(each[1] for each in known), sum(each[2] for each in known))

    def _back(self, path: Path) -> complex:
        """Impedance of the neutral along a path at the smallest current, ohm. Where it runs elsewhere than beside the poles, a
        step's neutral counts as long as its pole."""
        pending: list[Path] = []
        here = path
        while here not in self._returns and here.parent is not None:
            pending.append(here)
            here = here.parent
        total = self._returns.setdefault(here, 0j)
        for each in reversed(pending):
            before = each.parent
            if before is not None and each.step is not None:
                total += each.neutral_end - before.neutral_end if each.step.neutral else each.end - before.end
            self._returns[each] = total
        return total

    def _to_earth(self, device: str, origin: str) -> complex | None:
        """Impedance of the protective conductors from a device, or else from what it stands in, to the supply, ohm."""
        found = self._way_to_earth(device, origin)
        if found is None and self._calculation.plant.devices[device].category == "supply":
            return 0j
        return found[2] if found else None

    def _way_to_earth(self, device: str, origin: str) -> Impedances | None:
        if device in self._calculation.network.earth.node_of:
            return self._circuit.earths.impedance(device, origin)
        place = self._calculation.plant.places.get(self._calculation.plant.devices[device].place)
        return self._circuit.earths.impedance(place.id, origin, note=False) if place else None

    # --- currents -------------------------------------------------------------------------------------------------
    def _level(self, point: Point) -> FaultLevel:
        own, weak = point.strong.impedance, point.weak.impedance
        three = own.phases == 3
        volts, cold = own.to_earth, point.cold
        alone = self._c_max * volts / abs(cold)
        ohms = cold
        if three and self._motors is not None:
            whole = self.point(point.device)
            if whole is None or whole.near is point.near:
                ohms = self._motors.at(point.device, cold, alone)
            elif (level := self.at(point.device)) is not None:  # by another source than the strongest: motors add the same
                ohms = cold * alone / (alone + level.motors)
        beside = 0.0
        if point.together is not None:
            beside = self._c_max * volts / abs(point.together.ohms) - alone
            ohms = 1 / (1 / ohms + 1 / point.together.ohms - 1 / cold)
        three_max = self._c_max * volts / abs(ohms) if three else None
        if point.poles == 1:
            ohms = (point.together.ohms if point.together else cold) + point.out
            largest = self._c_max * volts / abs(ohms)
            beside = largest - self._c_max * volts / abs(cold + point.out)
        else:
            largest = (three_max or 0.0) * (1 if point.poles == 3 else sqrt(3) / 2)
            beside *= 1 if point.poles == 3 else sqrt(3) / 2
        three_min = self._c_min * weak.to_earth / abs(point.end) if three else None
        neutral = self._c_min * weak.to_earth / abs(point.end + point.back) if self._has_neutral(point) else None
        loop = point.loop
        earth = None if loop is None else self._c_min * weak.to_earth / abs(loop)
        two_min = three_min * sqrt(3) / 2 if three_min is not None and point.poles > 1 else None
        motors = 0.0
        if point.poles > 1 and self._motors is not None:
            motors = largest - beside - alone * (1 if point.poles == 3 else sqrt(3) / 2)
        return FaultLevel(three_max, three_min, two_min, neutral, earth, _peak(ohms) * largest, largest, motors, beside)

    def _has_neutral(self, point: Point) -> bool:
        made = self._calculation.plant.devices[point.far.origin]
        return point.weak.impedance.phases == 1 or "N" in made.terminals or "PEN" in made.terminals

    @cached_property
    def _c_max(self) -> float:
        return self._calculation.settings.number("voltage-factor-max")

    @cached_property
    def _c_min(self) -> float:
        return self._calculation.settings.number("voltage-factor-min")

    @cached_property
    def _motors(self) -> MotorInfeed | None:
        """What running motors add; None where the project leaves it out or there are none without a drive."""
        devices, settings = self._calculation.plant.devices, self._calculation.settings
        points = [point for name in self._calculation.network.power.order if (point := self.point(name)) is not None]
        motors = [point.device for point in points if devices[point.device].kind == "motor" and point.poles == 3]
        if not motors or settings.word("motor-contribution") != "yes":
            return None
        settings.assume("drive-contribution", "drives add nothing to a fault current: they do not feed back", "IEC 60909-0",
                        "common practice")  # fmt: skip
        sources = {point.near.origin: point.strong.impedance.largest for point in points}
        return MotorInfeed(self._calculation, motors, {point.device: point.near for point in points}, sources)


def _peak(ohms: complex) -> float:
    """Peak over root-mean-square current: the factor kappa times the square root of two (IEC 60909-0, radial networks)."""
    kappa = 1.02 + 0.98 * exp(-3 * ohms.real / ohms.imag) if ohms.imag > 0 else 1.02
    return kappa * sqrt(2)
