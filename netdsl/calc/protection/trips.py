"""What disconnects a fault: the protective devices on a way, the time they have, and the current that operates the first."""

from __future__ import annotations

from bisect import bisect_left

from msgspec import Struct

from netdsl.calc.basis import Calculation, Given, Question, figure, one_table, single, word
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.faults import Faults
from netdsl.calc.loads import to_neutral
from netdsl.calc.protection.circuit_ends import CircuitEnds
from netdsl.kept import kept
from netdsl.model.kinds import BREAKING, PROTECTIVE, TAPPED

#: nominal voltages of IEC 60038 lie in a column with their tolerance: 240 V counts as 230 V
_TOLERANCE = 1.05
#: rated current up to which the times of the table hold for a final circuit, A
FINAL_A = 32.0


class Trip(Struct, frozen=True):
    """A device that disconnects, the current, A, that operates it within `time`, s; `residual`: one to earth alone."""

    device: Characteristic
    current: Given
    time: Given
    residual: bool


class Trips(Question):
    """Protective devices on the ways of the power circuit, as they disconnect a fault at its end."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant

    @kept
    def trips(self, path: Path) -> tuple[Trip, ...]:
        """The devices on a path that some current operates in the time required, each with the least such current: first those
        that a short circuit operates, then those that a residual current does, of either the nearest to its end first. A
        protective device at its end does not see a fault where power enters it."""
        characteristics, time = self._calculation.of(Characteristics), self.time_for(path)
        devices = self.protecting(self._calculation.of(CircuitEnds).ahead(path))[::-1]
        found = [(each, characteristics.current_for(each, time.value), False) for each in devices if each.short_circuit]
        if self.system(path) != "TN-C":
            found += [(each, characteristics.residual_for(each, time.value), True) for each in devices]
        return tuple(Trip(each, current, time, residual) for each, current, residual in found if current is not None)

    @kept
    def protecting(self, path: Path) -> tuple[Characteristic, ...]:
        """Characteristics of the protective devices on a path, what protects ahead of its supply first."""
        names, known = (path.origin, *self._circuit.protections(path)), self._calculation.of(Characteristics)
        return tuple(found for name in dict.fromkeys(names) if (found := known.of(name)) is not None)

    @kept
    def unrated(self, path: Path) -> bool:
        """Whether a device on a path that breaks short circuits does not state its rating: what a fault lets through is not
        known."""
        return any(
            self._calculation.of(Characteristics).of(name) is None
            for name in self._circuit.protections(path)
            if self._plant.devices[name].kind in BREAKING
        )

    @kept
    def time_for(self, path: Path) -> Given:
        """The longest time, s, in which a fault at the end of a path must be disconnected."""
        if self._calculation.settings.stated("disconnection-time"):
            chosen = self._plant.project.choices["disconnection-time"]
            return Given("t_a", chosen.values[0], "s", "disconnection time", chosen.span)
        made = self._plant.devices[path.device]
        rated = self._rated(path)
        column = "TT_ac_s" if self.system(path) == "TT" else "TN_ac_s"
        if made.category in TAPPED or made.kind in PROTECTIVE or rated is None or rated > FINAL_A:
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
        upto = [volts * _TOLERANCE for volts in table["u0_upto_V"]]
        row = bisect_left(upto[:-1], self.volts_to_earth(path) or 0.0)  # the last row has no upper end
        words = f"disconnection time, final circuit up to 32 A, above {table['u0_over_V'][row]} V to earth"
        longest = figure(table, column, row)
        return Given("t_a", longest.value, "s", words, None, longest.source, longest.confidence)

    def volts_to_earth(self, path: Path) -> float | None:
        """Nominal voltage to earth of the source of a path, V."""
        source = self._calculation.of(Faults).source(path.origin)
        if source is None:
            return None
        return to_neutral(source.voltage) if source.phases == 3 else source.voltage

    def system(self, path: Path) -> str:
        """Earthing system of the source of a path, "" where it states none."""
        return word(self._plant.devices[path.origin], "system")

    def _rated(self, path: Path) -> float | None:
        """Rated current of the overcurrent device nearest to the end of a path, A."""
        return next((each.rated_a for each in reversed(self.protecting(path)) if each.short_circuit and each.rated_a), None)

    def tripped(self, trip: Trip) -> str:
        """What disconnects, with the rating that does, and the time."""
        return f"{self.named(trip.device, trip.residual)} within {trip.time.shown}"

    def described(self, device: Characteristic) -> str:
        """The same with both: `-F1 (C10; 30 mA residual current)`."""
        named = self.named(device, residual=False)
        if device.kind != "residual-device" or device.residual_a is None:
            return named
        return f"{named.removesuffix(')')}; {device.residual_a * 1000:g} mA residual current)"

    def named(self, device: Characteristic, residual: bool = True) -> str:
        """A protective device with its rating: `-Q1 (C25)`, `what protects ahead of -G0 (gG 63 A)`; `residual`: with that of its
        residual current, where it has one."""
        rated = f"{device.rated_a:g}" if device.rated_a else ""
        text = f"{device.curve}{rated}" if device.curve in ("B", "C", "D") else f"{device.curve} {rated} A".strip()
        if residual and device.kind == "residual-device" and device.residual_a is not None:
            text = f"{device.residual_a * 1000:g} mA residual current"
        ahead = self._plant.devices[device.device].category == "supply"
        return f"{'what protects ahead of ' if ahead else ''}{device.device} ({text})"
