"""Length of motor cables against the drive's limits, and the reflected voltage at the motor."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cached_property
from math import sqrt

from msgspec import Struct

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Figure,
    Formula,
    Gap,
    Given,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    amount,
    at_or_above,
    formula,
    one_table,
    word,
)
from netdsl.calc.circuit import Circuit
from netdsl.calc.drives.circuits import circuits
from netdsl.model.plant import Cable, Device, Role

_GUIDE = "drive installation instructions; IEC 61800-3 for the categories of emission"
_PEAK = Formula("{k} * {U}")
_ABSENT = ("motor cable length", "peak voltage at the motor")


class _Limit(Struct, frozen=True):
    """What limits the motor cables of a drive: where it is stated, in words, and what else must be known."""

    given: Given | None
    words: str = ""
    note: str = ""


class MotorCables(SheetQuestion):
    """Length of motor cables against the drive's limits, and the reflected voltage at the motor."""

    place = 1100
    answers = (
        Answer("motor-cable.length", "Motor cable length", "L"),
        Answer("motor-cable.peak", "Peak voltage at the motor", "U_pk"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._plant = calculation.plant

    def results(self) -> Iterator[Result]:
        """`motor-cable.length` of every drive and `motor-cable.peak` of every motor behind a drive."""
        for drive, cables in self.of_drive.items():
            if self._known(drive, cables):
                yield self._length(self._plant.devices[drive], cables)
        for (drive, motor), cables in self.of_motor.items():
            if all(cable.length_m is not None for cable in cables):
                yield from self._peak(self._plant.devices[drive], self._plant.devices[motor], cables)

    # --- which cables ---------------------------------------------------------------------------------------------
    @cached_property
    def of_drive(self) -> dict[str, tuple[Cable, ...]]:
        """Motor cables of each drive, all of them together, in order of declaration."""
        found: dict[str, list[Cable]] = {}
        for use in self._calculation.network.cables.values():
            drive = self._plant.devices.get(use.drive or "")
            if drive is not None and drive.kind == "drive":
                found.setdefault(drive.id, []).append(use.cable)
        return {drive: tuple(cables) for drive, cables in found.items()}

    @cached_property
    def of_motor(self) -> dict[tuple[str, str], tuple[Cable, ...]]:
        """Motor cables by drive and the motor they serve."""
        found: dict[tuple[str, str], list[Cable]] = {}
        for use in self._calculation.network.cables.values():
            drive, motor = (self._plant.devices.get(name or "") for name in (use.drive, use.load))
            if drive is not None and motor is not None and drive.kind == "drive" and motor.kind == "motor":
                found.setdefault((drive.id, motor.id), []).append(use.cable)
        return {key: tuple(cables) for key, cables in found.items()}

    @cached_property
    def _before(self) -> dict[str, tuple[str, ...]]:
        """Filters and reactors between the drive and each cable behind them."""
        circuit, found = self._calculation.of(Circuit), {}
        softening = {device.id for device in self._plant.devices.values() if device.kind in ("filter", "reactor")}
        for device in self._plant.devices if softening else ():
            for path in circuit.paths(device):
                if path.drive and path.step is not None and path.parent is not None:
                    between = tuple(name for name in path.parent.devices if name in softening)
                    found.update(dict.fromkeys(path.step.cables, between) if between else {})
        return found

    def _soft(self, cables: Sequence[Cable], kind: str) -> list[Device]:
        """Filters of a kind (`sine`, `dvdt`) or output reactors (`reactor`) ahead of any of the cables."""
        names = dict.fromkeys(name for cable in cables for name in self._before.get(cable.id, ()))
        devices = (self._plant.devices[name] for name in names)
        return [device for device in devices if (device.kind if kind == "reactor" else word(device, "filter")) == kind]

    def _known(self, drive: str, cables: tuple[Cable, ...]) -> bool:
        """Whether every length is stated; notes those that are not."""
        circuit = self._calculation.of(Circuit)
        unknown = [cable for cable in cables if cable.length_m is None]
        for cable in unknown:
            gap = Gap(circuit.feeder(drive), "length", (cable.id,), _ABSENT, cable.span, "add `length=`")
            self._calculation.gaps.note(gap)
        return not unknown

    # --- length ---------------------------------------------------------------------------------------------------
    def total_m(self, drive: str) -> float | None:
        """Length of all motor cables of a drive together, m; None where one is not stated or there is none."""
        cables = self.of_drive.get(drive, ())
        if not cables or any(cable.length_m is None for cable in cables):
            return None
        return sum((cable.length_m or 0.0) * cable.parallel for cable in circuits(self._calculation.network, cables))

    @cached_property
    def _motors(self) -> dict[str, int]:
        """Number of motors behind each drive."""
        return Counter(drive for drive, _ in self.of_motor)

    def _length(self, drive: Device, cables: tuple[Cable, ...]) -> Result:
        cables = circuits(self._calculation.network, cables)
        counted = tuple(cable for cable in cables if not self._soft((cable,), "sine"))
        summed = counted or cables
        text, givens = _summed(summed)
        limit = self._limit(drive, counted) if counted else _Limit(None, "", "behind a sine filter: the data of the filter hold")
        notes = [limit.note] if limit.note else []
        total = formula(text).of(givens)
        motors = self._motors.get(drive.id, 0)
        if motors > 1 and self._calculation.settings.word("several-motor-cables") == "root":
            notes.append(f"{total:.4g} m laid")
            text, givens = (
                f"({text}) * sqrt({{n}})",
                (*givens, Given("n", motors, "", f"motors behind {drive.id}", drive.span)),
            )
        elif motors > 1:
            notes.append(f"{total * sqrt(motors):.4g} m by the rule that multiplies by the root of the number of motors")
        return Result.worked(
            "motor-cable.length",
            drive.id,
            self._calculation.of(Circuit).feeder(drive.id),
            formula(text),
            "m",
            givens,
            _GUIDE,
            Limit(limit.given.value, Sense.AT_MOST, limit.words, limit.given) if limit.given else None,
            note="; ".join(notes),
            conductors=tuple(name for cable in summed for name in cable.conductors),
            span=summed[0].span,
        )

    def _limit(self, drive: Device, cables: tuple[Cable, ...]) -> _Limit:
        """The shortest of the limits that hold: of the drive, of its category of emission, of a filter at its output."""
        soft = [*self._soft(cables, "dvdt"), *self._soft(cables, "reactor")]
        if soft:
            stated = [_limit_of(device, "max-cable-length") for device in soft]
            found = [given for given in stated if given is not None]
            shown = ", ".join(device.id for device in soft)
            if not found:
                return self._own_or_missing(drive, cables, soft, shown)
            return _Limit(min(found, key=_value), f"stated for {shown}")
        screened = all(cable.screen for cable in cables)
        plain = _limit_of(drive, "max-cable-length")
        if not screened:
            plain = _limit_of(drive, "max-cable-length-unscreened") or plain
        emission = self.emission(drive)
        category = _limit_of(drive, f"max-cable-length-{emission.lower()}") if emission else None
        if category is not None and screened and (plain is None or _value(category) <= _value(plain)):
            return _Limit(category, f"of the drive in category {emission}")
        note = "" if plain else "the drive states no longest motor cable"
        return _Limit(plain, "of the drive" if plain else "", note)

    def _own_or_missing(self, drive: Device, cables: tuple[Cable, ...], soft: list[Device], shown: str) -> _Limit:
        """Behind filters of which no longest cable is stated: what the drive allows without them is allowed with them; beyond
        that it is not known, and noted as missing."""
        own = _limit_of(drive, "max-cable-length")
        total = sum((cable.length_m or 0.0) * cable.parallel for cable in cables)
        if own is not None and total <= _value(own):
            return _Limit(own, "of the drive", f"{shown} states none of its own")
        things = (*(cable.id for cable in cables), *(device.id for device in soft))
        remedy = "add `max-cable-length=` to the filter or reactor, or to its part"
        feeder = self._calculation.of(Circuit).feeder(drive.id)
        gap = Gap(feeder, "longest motor cable behind the filter", things, _ABSENT[:1], cables[0].span, remedy)
        self._calculation.gaps.note(gap)
        return _Limit(None, "", f"behind {shown}, of which no `max-cable-length` is stated: its data hold")

    def emission(self, drive: Device) -> str:
        """Category of emission the drive has to keep, C1 to C4: its own, else the project's; "" where nobody says."""
        own = word(drive, "emission") or self._calculation.settings.word("emission")
        return "" if own == "none" else own

    # --- reflected voltage ----------------------------------------------------------------------------------------
    def _peak(self, drive: Device, motor: Device, cables: tuple[Cable, ...]) -> Iterator[Result]:
        line = self._line(drive)
        if line is None or self._soft(cables, "dvdt"):
            return
        sine = bool(self._soft(cables, "sine"))
        table = one_table("emc", "reflection_sine" if sine else "reflection")
        factor = (
            Given("k", table["factor"], "", "peak over voltage between phases", None, table["source"], table["confidence"])
            if sine
            else self._calculation.settings.given("reflection-factor", "k")
        )
        length = sum(cable.length_m or 0.0 for cable in cables)
        watch = self._calculation.settings.number("reflection-length")
        bears = _rated(motor, "peak-voltage", "U_w", "peak the winding bears")
        words = "of the motor"
        if bears is None:
            found = at_or_above(one_table("emc", "insulation_grade"), "supply_v", line.value, "peak_v")
            bears, words = _grade(found), "usual insulation for this voltage; the motor states none"
        short = length < watch and not sine
        note = (
            f"the most there can be: with {length:.4g} m of cable, below {watch:g} m, the wave is not reflected in full"
            if short
            else ""
        )
        yield Result.worked(
            "motor-cable.peak",
            motor.id,
            self._calculation.of(Circuit).feeder(motor.id),
            _PEAK,
            "V",
            (factor, line),
            str(table["source"]),
            Limit(bears.value, Sense.AT_MOST, words, bears) if bears is not None and not short else None,
            note=note,
            span=motor.span,
        )

    def _line(self, drive: Device) -> Given | None:
        """Voltage between the phases that feed a drive; None where nothing does."""
        network = self._calculation.network
        fed = [
            potential
            for name, terminal in drive.terminals.items()
            if terminal.role is Role.LINE_IN
            for potential in network.nets[network.net_of[f"{drive.id}:{name}"]].possible
            if potential.kind == "ac" and potential.voltage
        ]
        if not fed:
            return None
        most = max(fed, key=lambda potential: potential.voltage or 0.0)
        span = self._calculation.of(Circuit).span_of(most.device)
        return Given("U", most.voltage or 0.0, "V", f"voltage between phases of {most.device}", span)


def _summed(cables: Sequence[Cable]) -> tuple[str, tuple[Given, ...]]:
    """The sum of lengths as a formula with its givens; a cable laid several times counts as often."""
    terms, givens = [], []
    for number, cable in enumerate(cables, 1):
        symbol = "L" if len(cables) == 1 else f"L_{number}"
        terms.append(f"{cable.parallel} * {{{symbol}}}" if cable.parallel > 1 else f"{{{symbol}}}")
        givens.append(Given(symbol, cable.length_m or 0.0, "m", f"length of {cable.id}", cable.span))
    return " + ".join(terms), tuple(givens)


def _rated(device: Device, name: str, symbol: str, words: str, unit: str = "V") -> Given | None:
    value = amount(device, name)
    return None if value is None else Given(symbol, value, unit, f"{words}, `{name}` of {device.id}", device.span)


def _limit_of(device: Device, name: str) -> Given | None:
    return _rated(device, name, "L_max", "longest motor cable", "m")


def _grade(found: Figure | None) -> Given | None:
    if found is None:
        return None
    return Given("U_w", found.value, "V", "peak the usual winding bears", None, found.source, found.confidence)


def _value(given: Given) -> float:
    return given.value
