"""Fault currents at every point of the power circuit, largest and smallest (IEC 60909-0)."""

from __future__ import annotations

from functools import cached_property
from math import exp, sqrt
from typing import NamedTuple

from netdsl.calc.basis import Calculation, Given, Question
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.motor_infeed import MotorInfeed
from netdsl.calc.faults.points import FaultPoints, Point
from netdsl.calc.faults.source import SourceImpedance
from netdsl.kept import kept


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
        if not own.earthed or point.together is not None:
            return None
        back = self.points.way_to_earth(point.device, point.near.origin)
        amps = self._c_max * own.to_earth / abs(point.cold + own.earth_max + (back[0] if back else 0j))
        return Given("I_k", amps, "A", f"largest current to earth at {point.device}, conductors cold", point.span)

    def loop(self, device: str) -> complex | None:
        """Impedance of the earth-fault loop at a device, ohm, conductors at the temperature of the smallest fault current."""
        point = self.points.at(device)
        return point.loop if point else None

    # --- currents -------------------------------------------------------------------------------------------------
    @kept
    def _level(self, point: Point) -> FaultLevel:
        own, together = point.strong.impedance, point.together
        three, volts, cold = own.phases == 3, own.to_earth, point.cold
        alone = self._c_max * volts / abs(cold)
        ohms, beside = self._with_motors(point, alone) if three else cold, 0.0
        if together is not None:
            beside = self._c_max * volts / abs(together.ohms) - alone
            ohms = 1 / (1 / ohms + 1 / together.ohms - 1 / cold)
        three_max = self._c_max * volts / abs(ohms) if three else None
        share = sqrt(3) / 2 if point.poles == 2 else 1.0  # of the three-phase current that flows between two poles
        if point.poles == 1:
            ohms = (together.ohms if together else cold) + point.out
            largest = self._c_max * volts / abs(ohms)
            beside = largest - self._c_max * volts / abs(cold + point.out)
        else:
            largest, beside = (three_max or 0.0) * share, beside * share
        motors = largest - beside - alone * share if point.poles > 1 and self._motors is not None else 0.0
        return FaultLevel(three_max, *self._smallest(point, three), _peak(ohms) * largest, largest, motors, beside)

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

    def _smallest(self, point: Point, three: bool) -> tuple[float | None, float | None, float | None, float | None]:
        """Smallest currents, A: three-phase, between two poles, line to neutral, line to earth."""
        volts, loop = point.weak.impedance.to_earth, point.loop
        three_min = self._c_min * volts / abs(point.end) if three else None
        two_min = three_min * sqrt(3) / 2 if three_min is not None and point.poles > 1 else None
        neutral = self._c_min * volts / abs(point.end + point.back) if self._has_neutral(point) else None
        return three_min, two_min, neutral, None if loop is None else self._c_min * volts / abs(loop)

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
        points = [point for name in self._calculation.network.power.order if (point := self.points.at(name)) is not None]
        motors = [point.device for point in points if devices[point.device].kind == "motor" and point.poles == 3]
        if not motors or settings.word("motor-contribution") != "yes":
            return None
        settings.assume(
            "drive-contribution", "drives add nothing to a fault current: they do not feed back", "IEC 60909-0", "common practice"
        )
        sources = {point.near.origin: point.strong.impedance.largest for point in points}
        return MotorInfeed(self._calculation, motors, {point.device: point.near for point in points}, sources)


def _peak(ohms: complex) -> float:
    """Peak over root-mean-square current: the factor kappa times the square root of two (IEC 60909-0, radial networks)."""
    kappa = 1.02 + 0.98 * exp(-3 * ohms.real / ohms.imag) if ohms.imag > 0 else 1.02
    return kappa * sqrt(2)
