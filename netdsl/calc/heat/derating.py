"""Derating of drives by altitude and temperature."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Given, Limit, Result, Sense, SheetQuestion, amount, formula, one_table
from netdsl.calc.circuit import Circuit
from netdsl.calc.heat.enclosures import Enclosures
from netdsl.calc.heat.surroundings import Surroundings
from netdsl.kept import cached_property
from netdsl.model.plant import Device
from netdsl.sums import sum_of

_ALTITUDE = "1 - {d_h} / 100 * ({h} - {h_0}) / 100"
_WARMTH = "1 - {d_T} / 100 * ({T} - {T_0})"


class Deratings(SheetQuestion):
    """Derating of drives by altitude and temperature."""

    place = 1800
    answers = (Answer("drive-derating", "Current of the drive as installed", "I"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._table = one_table("thermal", "derating")

    def results(self) -> Iterator[Result]:
        """`drive-derating` of every drive, held to the current its motor needs."""
        yield from self._by_drive.values()

    def of(self, drive: str) -> Result | None:
        """The current a drive gives where it stands, A; None where its rated current is not stated."""
        return self._by_drive.get(drive)

    def motors(self, drive: str) -> tuple[Device, ...]:
        """Motors behind a drive that it feeds at the same time: of those behind interlocked contactors the largest."""
        return self._motors(drive)

    @cached_property
    def _by_drive(self) -> dict[str, Result]:
        drives = (device for device in self._calculation.plant.devices.values() if device.kind == "drive")
        found = ((drive.id, self._result(drive)) for drive in drives)
        return {name: result for name, result in found if result is not None}

    # --- one drive ------------------------------------------------------------------------------------------------
    def _result(self, drive: Device) -> Result | None:
        rated = amount(drive, "current")
        if rated is None:
            return None
        high, free, per_100m = self._altitude(drive)
        warm, mild, per_kelvin = self._warmth(drive)
        above_m, above_k = high.value > free.value, warm.value > mild.value
        givens: tuple[Given, ...] = (
            Given("I_n", rated, "A", f"rated current of {drive.id}", drive.span),
            high,
            free,
            per_100m,
            warm,
            mild,
            per_kelvin,
        )
        factors = "{I_n}"
        further = amount(drive, "correction")
        if further is not None:
            givens = (*givens, Given("k", further, "", f"further factor that {drive.id} states", drive.span))
            factors += " * {k}"
        factors += _factor(_ALTITUDE, givens) if above_m else ""
        factors += _factor(_WARMTH, givens) if above_k else ""
        need = self._need(drive.id)
        return Result.worked(
            "drive-derating",
            drive.id,
            self._calculation.of(Circuit).feeder(drive.id),
            formula(factors),
            "A",
            givens,
            self._table["combined_source"],
            Limit(need.value, Sense.AT_LEAST, "current of the motors behind it", need) if need else None,
            note=self._note(drive, warm),
            span=drive.span,
        )

    def _altitude(self, drive: Device) -> tuple[Given, Given, Given]:
        table, place = self._table, self._calculation.plant.places.get(drive.place)
        source, sure = table["altitude_source"], table["altitude_confidence"]
        per = self._own(
            drive, "derating-altitude", "d_h", "%", "derating per 100 m", table["altitude_percent_per_100m"], source, sure
        )
        free = self._own(
            drive,
            "derating-from-altitude",
            "h_0",
            "m",
            "altitude up to which nothing is lost",
            table["altitude_free_m"],
            source,
            sure,
        )
        return self._calculation.of(Surroundings).altitude(place), free, per

    def _warmth(self, drive: Device) -> tuple[Given, Given, Given]:
        """Temperature around the drive, temperature from which it is derated, derating per kelvin.

        The temperature computed for its enclosure, at most the highest allowed there: beyond that the enclosure is what is wrong.
        """
        table, calculation = self._table, self._calculation
        place = calculation.plant.places.get(drive.place)
        source, sure = table["temperature_source"], table["temperature_confidence"]
        mild = self._own(
            drive, "derating-from", "T_0", "°C", "temperature up to which nothing is lost", table["from_c"], source, sure
        )
        per = self._own(
            drive, "derating-per-kelvin", "d_T", "%", "derating per kelvin", table["percent_per_kelvin"], source, sure
        )
        limit = calculation.of(Surroundings).limit(place)
        inside = calculation.of(Enclosures).temperature(place.enclosure) if place and place.enclosure else None
        if inside is not None and inside.value <= limit.value:
            return Given("T", inside.value, "°C", "temperature inside the enclosure", result=inside.key), mild, per
        ambient = place.attributes.amount("ambient") if place is not None and not place.enclosure else None
        if inside is None and place is not None and ambient is not None:
            return Given("T", ambient, "°C", f"ambient of {place.id}", place.span), mild, per
        return Given("T", limit.value, "°C", limit.words, limit.span, limit.source, limit.confidence), mild, per

    @staticmethod
    def _own(drive: Device, name: str, symbol: str, unit: str, words: str, usual: float, source: str, sure: str) -> Given:
        stated = amount(drive, name)
        if stated is not None:
            return Given(symbol, stated, unit, words, drive.span)
        return Given(symbol, float(usual), unit, words, None, source, sure)

    def _note(self, drive: Device, warm: Given) -> str:
        last = amount(drive, "derating-to") or float(self._table["to_c"])
        return f"derating is stated up to {last:g} °C only" if warm.value > last + 1e-9 else ""

    # --- what the motors need -------------------------------------------------------------------------------------
    def _need(self, drive: str) -> Given | None:
        """The current that the motors behind a drive take together; None where there is none or one states no current."""
        motors = self._motors(drive)
        currents = [self.current(motor) for motor in motors]
        known = [current for current in currents if current is not None]
        if not known or len(known) < len(currents):
            return None
        words = "current of " + ", ".join(motor.id for motor in motors)
        return Given("I_M", sum_of(known), "A", words, motors[0].span)

    def current(self, motor: Device) -> float | None:
        """The rated current of a motor in the connection it is wired in, A; None where it is not stated."""
        return motor.ratings.upper("current") if motor.connection == "star" else motor.ratings.amount("current")

    def _motors(self, drive: str) -> tuple[Device, ...]:
        plant, circuit = self._calculation.plant, self._calculation.of(Circuit)
        found: dict[str, str] = {}
        waiting = [(drive, "")]
        seen = {drive}
        for here, contactor in waiting:
            for step in circuit.out_of.get(here, ()):
                fed = plant.devices[step.fed]
                if fed.id in seen:
                    continue
                seen.add(fed.id)
                if fed.kind == "motor":
                    found[fed.id] = contactor
                else:
                    waiting.append((fed.id, fed.id if fed.kind == "contactor" else contactor))
        return self._together([plant.devices[name] for name in found], found)

    def _together(self, motors: list[Device], contactors: dict[str, str]) -> tuple[Device, ...]:
        """Of motors behind contactors that are interlocked with each other, the one of the largest current."""
        kept: list[Device] = []
        for motor in sorted(motors, key=lambda motor: -(self.current(motor) or 0.0)):
            mine = contactors[motor.id]
            pairs = [set(pair.devices) for pair in self._calculation.plant.interlocks if mine in pair.devices]
            if not any(contactors[other.id] != mine and contactors[other.id] in pair for other in kept for pair in pairs):
                kept.append(motor)
        return tuple(motor for motor in motors if motor in kept)


def _factor(text: str, givens: tuple[Given, ...]) -> str:
    """A further factor; so high or so warm that nothing would be left it is none, not less."""
    return f" * max(0; {text})" if formula(text).of(givens) < 0 else f" * ({text})"
