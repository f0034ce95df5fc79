"""Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from netdsl.calc.basis import Answer, Calculation, Given, Result, Sense, SheetQuestion, amount, figure, one_table, single, word
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.faults import Faults
from netdsl.calc.loads import to_neutral
from netdsl.model.kinds import CONVERTERS, TAPPED
from netdsl.model.plant import Device

#: nominal voltages of IEC 60038 lie in a column with their tolerance: 240 V counts as 230 V
_TOLERANCE = 1.05
#: devices that break short circuits by their own rating
_BREAKING = ("breaker", "fuse", "motor-breaker")
#: rated current up to which the times of the table hold for a final circuit, A
FINAL_A = 32.0
TOUCH_V = 50.0


class Trip(NamedTuple):
    """The device that disconnects first of those on a path, the current, A, that operates it within `time`, s."""

    device: Characteristic
    current: Given
    time: Given


class Disconnections(SheetQuestion):
    """Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

    place = 700
    answers = (Answer("disconnection", "Automatic disconnection", "Z_s"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._trips: dict[str, Trip] = {}

    def results(self) -> Iterator[Result]:
        """`disconnection` of every final circuit and distribution circuit, at its exposed part; what is left out, and why, is in
        `not_judged`."""
        for device, paths in self._ends:
            found = self._judged(device, paths)
            if found is not None:
                yield found

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Exposed parts at the end of a circuit whose disconnection is not computed, with the reason."""
        return tuple(
            (device, reason)
            for device in self._calculation.network.power.order
            if self._ends_here(device) and (reason := self._exempt(device))
        )

    def trip_at(self, device: str) -> Trip | None:
        """What disconnects a device that `results` judged."""
        return self._trips.get(device)

    def trip(self, path: Path) -> Trip | None:
        """The device on a path that needs least current to operate in the time required; None where none does in any case."""
        characteristics, time = self._calculation.of(Characteristics), self.time_for(path)
        found: Trip | None = None
        for each in self.protecting(path):
            currents = [characteristics.current_for(each, float(time.value))] if each.short_circuit else []
            if self._system(path) != "TN-C":
                currents.append(characteristics.residual_for(each, float(time.value)))
            for current in currents:
                if current is not None and (found is None or float(current.value) < float(found.current.value)):
                    found = Trip(each, current, time)
        return found

    def protecting(self, path: Path) -> list[Characteristic]:
        """Characteristics of the protective devices on a path, what protects ahead of its supply first."""
        names = (path.origin, *self._circuit.protections(path))
        return [found for name in dict.fromkeys(names) if (found := self._calculation.of(Characteristics).of(name)) is not None]

    def unrated(self, path: Path) -> bool:
        """Whether a device on a path that breaks short circuits does not state its rating: what a fault lets through is not known."""
        return any(
            self._calculation.of(Characteristics).of(name) is None
            for name in self._circuit.protections(path)
            if self._plant.devices[name].kind in _BREAKING
        )

    def time_for(self, path: Path) -> Given:
        """The longest time, s, in which a fault at the end of a path must be disconnected."""
        if self._calculation.settings.stated("disconnection-time"):
            chosen = self._plant.project.choices["disconnection-time"]
            return Given("t_a", chosen.values[0].value, "s", "disconnection time", chosen.span)  # type: ignore[union-attr]
        made = self._plant.devices[path.device]
        rated = self._rated(path)
        column = "TT_ac_s" if self._system(path) == "TT" else "TN_ac_s"
        if made.category in TAPPED or rated is None or rated > FINAL_A:
            longest = single(one_table("protection", "disconnection_time_other"), f"distribution_or_over_32A_{column[:2]}_s")
            return Given(
                "t_a",
                longest.value,
                "s",
                "disconnection time, distribution or above 32 A",
                None,
                longest.source,
                longest.confidence,
            )
        table = one_table("protection", "disconnection_time")
        row = bisect_left([upto * _TOLERANCE for upto in table["u0_upto_V"]], self.volts_to_earth(path) or 0.0)
        words = f"disconnection time, final circuit up to 32 A, above {table['u0_over_V'][row]} V to earth"
        longest = figure(table, column, row)
        return Given("t_a", longest.value, "s", words, None, longest.source, longest.confidence)

    def volts_to_earth(self, path: Path) -> float | None:
        """Nominal voltage to earth of the source of a path, V."""
        source = self._calculation.of(Faults).source(path.origin)
        if source is None:
            return None
        return to_neutral(source.voltage) if source.phases == 3 else source.voltage

    # --- which parts ----------------------------------------------------------------------------------------------
    @cached_property
    def _ends(self) -> tuple[tuple[str, tuple[Path, ...]], ...]:
        """Exposed parts at the end of a circuit, with the paths that are judged."""
        return tuple(
            (device, tuple(path for path in self._circuit.paths(device) if not path.drive))
            for device in self._calculation.network.power.order
            if self._ends_here(device) and not self._exempt(device)
        )

    def _ends_here(self, device: str) -> bool:
        """Whether a circuit ends at a device that can become live to the touch: a load of class I, a converter; or a busbar or
        strip from which several circuits leave, or none."""
        made = self._plant.devices[device]
        if not self._circuit.into.get(device):
            return False
        if made.category in TAPPED:
            return len(self._circuit.out_of.get(device, ())) != 1
        if self._circuit.out_of.get(device) and made.kind not in CONVERTERS:
            return False
        return self.exposed(made)

    def exposed(self, made: Device) -> bool:
        """Whether a device is an exposed part: of class I or with a protective earth of its own."""
        node = self._calculation.network.earth.node_of.get(made.id)
        if node is None or made.protection_class in ("II", "III"):
            return False
        return bool(self._calculation.network.earth.graph.nodes[node]["node"].needs_earth)

    def _exempt(self, device: str) -> str:
        """Why disconnection at a device is not computed, "" where it is."""
        reasons = [self._exempt_path(path) for path in self._circuit.paths(device)]
        return reasons[0] if reasons and all(reasons) else ""

    def _exempt_path(self, path: Path) -> str:
        if path.drive:
            return f"behind {path.drive}: the drive's own limits count"
        if self._plant.devices[path.origin].kind == "supply-24v":
            return f"extra-low voltage of {path.origin}"
        system = self._system(path)
        if system == "IT" and self._calculation.of(Faults).points.second_fault(path.device, path.origin) is None:
            return f"{path.origin} is an IT system: a first fault need not disconnect; insulation monitoring is not judged"
        if system == "TT" and self._plant.devices[path.device].category in TAPPED and not self._in_metal(path.device):
            return f"{path.device} stands in an enclosure of insulating material"
        return f"{path.origin} is direct current" if system == "DC" else ""

    def _in_metal(self, device: str) -> bool:
        """Whether anything around a device is a body that a fault could make live."""
        here = self._plant.places.get(self._plant.devices[device].place)
        while here is not None:
            if here.metal:
                return True
            here = self._plant.places.get(here.parent) if here.parent else None
        return False

    def _system(self, path: Path) -> str:
        return word(self._plant.devices[path.origin], "system")

    def _rated(self, path: Path) -> float | None:
        """Rated current of the overcurrent device nearest to the end of a path, A."""
        return next((each.rated_a for each in reversed(self.protecting(path)) if each.short_circuit and each.rated_a), None)

    # --- results --------------------------------------------------------------------------------------------------
    def _judged(self, device: str, paths: tuple[Path, ...]) -> Result | None:
        """The result at a device: of several ways that feed it, the one that is nearest to its limit or farthest beyond it."""
        if self._calculation.of(Faults).loop(device) is None and all(self._system(path) not in ("TT", "IT") for path in paths):
            return None
        if any(
            self._calculation.of(Characteristics).of(name) is None for path in paths for name in self._circuit.protections(path)
        ):
            return None
        trips = [(path, self.trip(path)) for path in paths]
        worst: Result | None = None
        for path, trip in ((path, trip) for path, trip in trips if trip is not None):
            ways = {"TT": self._by_electrode, "IT": self._by_second_fault}
            result = ways.get(self._system(path), self._by_loop)(device, path, trip)
            if result is not None and (
                worst is None or result.value / (result.limit or 1.0) > worst.value / (worst.limit or 1.0)
            ):
                self._trips[device], worst = trip, result
        return worst

    def _by_loop(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`Zs * Ia <= c * U0`."""
        fed, volts = self._calculation.of(Faults).fed_by(device, path.origin), self.volts_to_earth(path)
        loop = fed[0].loop if fed else None
        if loop is None or volts is None:
            return None
        factor, current = self._factor, trip.current
        limit = float(factor.value) * volts / float(current.value)
        ohms = abs(loop)
        return Result(
            f"disconnection {device}",
            "disconnection",
            device,
            self._circuit.feeder(device),
            ohms,
            "Ω",
            "{Z_s} <= {c} * {U_0} / {I_a}",
            (
                self._loop_given(device, path.origin, ohms),
                factor,
                Given("U_0", volts, "V", f"voltage to earth of {path.origin}", self._plant.devices[path.origin].span),
                current,
                trip.time,
                *trip.device.givens,
            ),
            "IEC 60364-4-41, 411.4.4",
            limit,
            Sense.AT_MOST,
            f"largest loop impedance for {self.named(trip.device)} within {trip.time.shown}",
            note=f"disconnected by {self.named(trip.device)} within {trip.time.shown}",
            span=self._plant.devices[device].span,
        )

    def _by_second_fault(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`2 Zs * Ia <= c * U` in an IT system without neutral, bodies joined by protective conductors."""
        point = self._calculation.of(Faults).points.second_fault(device, path.origin)
        if point is None or point.loop is None:
            return None
        factor, current, volts = self._factor, trip.current, point.weak.impedance.voltage
        limit = float(factor.value) * volts / (2 * float(current.value))
        return Result(
            f"disconnection {device}",
            "disconnection",
            device,
            self._circuit.feeder(device),
            abs(point.loop),
            "Ω",
            "{Z_s} <= {c} * {U} / (2 * {I_a})",
            (
                Given("Z_s", abs(point.loop), "Ω", "impedance of the fault loop", result=f"loop-impedance {device}"),
                factor,
                Given("U", volts, "V", f"voltage between phases of {path.origin}", self._plant.devices[path.origin].span),
                current,
                trip.time,
                *trip.device.givens,
            ),
            "IEC 60364-4-41, 411.6.4",
            limit,
            Sense.AT_MOST,
            f"largest loop impedance for {self.named(trip.device)} within {trip.time.shown}",
            note=f"second fault, disconnected by {self.named(trip.device)} within {trip.time.shown}; that the first is noticed, by an "
            "insulation monitor or otherwise, is not judged",
            span=self._plant.devices[device].span,
        )

    def _loop_given(self, device: str, origin: str, ohms: float) -> Given:
        """The impedance of the fault loop; where several sources feed a device, its result is about one of them."""
        point = self._calculation.of(Faults).points.at(device)
        if point is None or point.far.origin == origin:
            return Given("Z_s", ohms, "Ω", "impedance of the fault loop", result=f"loop-impedance {device}")
        return Given("Z_s", ohms, "Ω", f"impedance of the fault loop, fed by {origin}", self._plant.devices[origin].span)

    def _by_electrode(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`RA * Ia <= 50 V` in a TT system, by a residual-current device or an overcurrent device that needs so little."""
        supply = self._plant.devices[path.origin]
        ohms = amount(supply, "earth-resistance")
        if ohms is None:
            return None
        limit = TOUCH_V / float(trip.current.value)
        touch = Given("U_L", TOUCH_V, "V", "touch voltage that may remain", None, "IEC 60364-4-41, 411.5.3", "verified")
        return Result(
            f"disconnection {device}",
            "disconnection",
            device,
            self._circuit.feeder(device),
            ohms,
            "Ω",
            "{R_A} <= {U_L} / {I_a}",
            (
                Given("R_A", ohms, "Ω", f"earth resistance of {supply.id}", supply.span),
                touch,
                trip.current,
                trip.time,
                *trip.device.givens,
            ),
            "IEC 60364-4-41, 411.5.3",
            limit,
            Sense.AT_MOST,
            f"largest earth resistance for {self.named(trip.device)}",
            note=f"disconnected by {self.named(trip.device)}",
            span=self._plant.devices[device].span,
        )

    @cached_property
    def _factor(self) -> Given:
        return self._calculation.settings.given("loop-factor", "c")

    def named(self, device: Characteristic) -> str:
        """A protective device with its rating: `-Q1 (C25)`, `what protects ahead of -G0 (gG 63 A)`."""
        rated = f"{device.rated_a:g}" if device.rated_a else ""
        text = f"{device.curve}{rated}" if device.curve in ("B", "C", "D") else f"{device.curve} {rated} A".strip()
        if device.kind == "residual-device" and device.residual_a is not None:
            text = f"{device.residual_a * 1000:g} mA residual current"
        ahead = self._plant.devices[device.device].category == "supply"
        return f"{'what protects ahead of ' if ahead else ''}{device.device} ({text})"
