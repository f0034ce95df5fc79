"""Fault currents at every point of the power circuit, largest and smallest (IEC 60909-0)."""

from __future__ import annotations

from functools import cache
from math import exp

from msgspec import Struct

from netdsl.calc.basis import Calculation, Formula, Given, Question, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.motor_infeed import MotorInfeed
from netdsl.calc.faults.points import FaultPoints, Point
from netdsl.calc.faults.series import current_text, earth_text, largest_text, of_largest, of_loop, of_smallest, smallest_text
from netdsl.calc.faults.source import SourceImpedance
from netdsl.kept import cached_property, kept

#: peak of a fault current (IEC 60909-0)
PEAK = Formula("{kappa} * sqrt(2) * {I_k}")


class FaultLevel(Struct, frozen=True):
    """Fault currents at a device, A: three-phase largest and smallest, two-phase smallest, line to neutral smallest, line to
    earth smallest; None where they do not exist. `largest`: the largest that can flow through the poles that enter the device:
    three-phase, between two poles, or from one pole to neutral; `motors`: the part of it that running motors add, `beside`: that
    other sources in parallel add. `peak`: its peak, `kappa` times the root of 2 as high. `smallest`: the smallest between
    conductors. `loop`: impedance of the earth-fault loop, ohm.

    `largest`, `peak`, `smallest`, `earth_min` and `loop` are what the printed formulas give. What motors and other sources add
    are sums of phasors: worked out node by node, and added here by their amount.
    """

    three_max: float | None
    three_min: float | None
    two_min: float | None
    neutral_min: float | None
    earth_min: float | None
    peak: float
    kappa: float
    largest: float
    smallest: float
    loop: float | None
    motors: float
    beside: float


class Faults(Question):
    """Fault currents by device.

    Largest: conductors cold, the way of least impedance, voltage factor c_max, motors switched on the mains added, and sources
    that feed together (`potential ... parallel=yes`). Smallest: conductors at the end of the fault, the way of most impedance,
    c_min. Nothing is computed behind a drive, whose own limits count there, nor for direct current. A fault to earth is computed
    where it returns through metal, in TN systems; where a device has no protective conductor of its own, to the enclosure it
    stands in.
    """

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self.points = FaultPoints(calculation)

    # --- what others ask ------------------------------------------------------------------------------------------
    def source(self, device: str) -> SourceImpedance | None:
        """The impedance of a supply or transformer; None where the netlist does not say enough (the gap is noted)."""
        found = self.points.source(device)
        return found.impedance if found else None

    @kept
    def at(self, device: str) -> FaultLevel | None:
        """Fault currents at the terminals where power enters a device; None behind a drive or where a value is missing."""
        point = self.points.at(device)
        return self._level(point) if point else None

    def fed_by(self, device: str, origin: str) -> tuple[Point, FaultLevel] | None:
        """A device as a place of a fault that `origin` feeds, alone where several sources reach it one at a time, and the
        currents there."""
        point = self.points.fed_by(device, origin)
        if point is None or point is self.points.at(device):
            level = self.at(device)
            return (point, level) if point and level else None
        return point, self._level(point)

    def given(self, device: str, origin: str, kind: str, amps: float, words: str) -> Given:
        """A fault current at a device that `origin` feeds, to put into a formula: it leads to the result of that kind (`largest`,
        `smallest`, `earth`), or to the origin where the result is about another source."""
        point, span = self.points.at(device), self._calculation.plant.devices[origin].span
        whose = point and (point.near if kind == "largest" else point.far).origin
        if whose == origin:
            return Given("I_k", amps, "A", f"{words} at {device}", result=f"fault-current.{kind} {device}")
        return Given("I_k", amps, "A", f"{words} at {device}, fed by {origin}", span)

    def earth_max(self, point: Point) -> Given | None:
        """The largest current to earth at a place of a fault, A, conductors cold; None where its return is not known, or where
        several sources feed it together."""
        own = point.strong.impedance
        together = point.together
        devices = self._calculation.plant.devices
        if not own.earthed or (together is not None and sum(devices[name].category == "supply" for name in together.origins) > 1):
            return None
        cold = point.cold if together is None else together.ohms
        back = self.points.way_to_earth(point.device, point.near.origin)
        amps = _current(self._c_max, own, 1, cold + own.earth_max + (back[0] if back else 0j))
        return Given("I_k", amps, "A", f"largest current to earth at {point.device}, conductors cold", point.span)

    def loop(self, device: str) -> complex | None:
        """Impedance of the earth-fault loop at a device, ohm, conductors at the temperature of the smallest fault current."""
        point = self.points.at(device)
        return point.loop if point else None

    def cold_loop(self, device: str, origin: str) -> float | None:
        """Impedance of the earth-fault loop at a device that `origin` feeds, ohm, conductors cold as where nothing runs; None
        where it is not known."""
        point = self.points.fed_by(device, origin)
        back = self.points.way_to_earth(device, origin) if point is not None else None
        if point is None or (back is None and point.earth is None):
            return None
        source = point.weak.impedance
        ohms = source.smallest + source.earth_min + point.far.cold + (back[0] if back else 0j)
        return abs(ohms)

    # --- currents -------------------------------------------------------------------------------------------------
    @kept
    def _level(self, point: Point) -> FaultLevel:
        ohms, motors, beside = self._fed(point)
        strong, weak = point.strong.impedance, point.weak.impedance
        three_max = _current(self._c_max, strong, 3, ohms) if strong.phases == 3 else None
        if point.poles == 1:
            ohms = (point.together.ohms if point.together else point.cold) + point.out
        kappa, c_min, series = _kappa(ohms), self._c_min, of_largest(point)
        text = largest_text(point, motors)
        largest = formula(text)(c=self._c_max, U=strong.voltage, I_P=beside, I_M=motors, **series.values)
        smallest = formula(smallest_text(point))(c=c_min, U=weak.voltage, **of_smallest(point).values)
        neutral = smallest if point.poles == 1 else _current(c_min, weak, 1, point.end + point.back)
        loop = None if point.earth is None else of_loop(point).ohms
        return FaultLevel(
            three_max,
            _current(c_min, weak, 3, point.end) if strong.phases == 3 else None,
            smallest if point.poles > 1 else None,
            neutral if point.has_neutral else None,
            None if loop is None else formula(earth_text(point))(c=c_min, U=weak.voltage, Z_s=loop),
            PEAK(kappa=kappa, I_k=largest),
            kappa,
            largest,
            smallest,
            loop,
            motors,
            beside,
        )

    def _fed(self, point: Point) -> tuple[complex, float, float]:
        """Impedance of one pole from which all that feeds a fault with more than one pole does, ohm, and what motors and other
        sources add to the largest current, A."""
        own, together, cold = point.strong.impedance, point.together, point.cold
        ohms = self._with_motors(point, _current(self._c_max, own, 3, cold)) if own.phases == 3 else cold
        running = ohms != cold
        if together is not None:
            ohms = 1 / (1 / ohms + 1 / together.ohms - 1 / cold) if running else together.ohms
        alone = _current(self._c_max, own, point.poles, cold + point.out)
        beside = _current(self._c_max, own, point.poles, together.ohms + point.out) - alone if together is not None else 0.0
        if point.poles == 1 or not running:
            return ohms, 0.0, beside
        return ohms, _current(self._c_max, own, point.poles, ohms) - beside - alone, beside

    def _with_motors(self, point: Point, alone: float) -> complex:
        """Impedance of one pole from which source and running motors feed a fault, ohm; `alone`: current of the source alone,
        A."""
        if self._motors is None:
            return point.cold
        whole = self.points.at(point.device)
        if whole is None or whole.near is point.near:
            return self._motors.at(point.device, point.cold, alone)
        level = self.at(point.device)  # by another source than the strongest: motors add the same
        return point.cold if level is None else point.cold * alone / (alone + level.motors)

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
        points = [point for name in self._calculation.network.power.order if (point := self.points.at(name)) is not None]
        motors = [point.device for point in points if devices[point.device].kind == "motor" and point.poles == 3]
        if not motors or settings.word("motor-contribution") != "yes":
            return None
        settings.assume(
            "drive-contribution", "drives add nothing to a fault current: they do not feed back", "IEC 60909-0", "common practice"
        )
        sources = {point.near.origin: point.strong.impedance.largest for point in points}
        return MotorInfeed(self._calculation, motors, {point.device: point.near for point in points}, sources)


def _current(factor: float, source: SourceImpedance, poles: int, ohms: complex) -> float:
    """Current of a source through so many poles over an impedance of one of them, A; `factor`: voltage factor."""
    return _of_poles(poles, source.phases)(c=factor, U=source.voltage, Z=abs(ohms))


@cache
def _of_poles(poles: int, phases: int) -> Formula:
    return formula(current_text(poles, phases, "{Z}"))


def _kappa(ohms: complex) -> float:
    """Peak over crest of the steady current (IEC 60909-0, radial networks)."""
    return 1.02 + 0.98 * exp(-3 * ohms.real / ohms.imag) if ohms.imag > 0 else 1.02
