"""Length of motor cables against the drive's limits, and the reflected voltage at the motor."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from math import sqrt

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
    at_or_above,
    formula,
    one_table,
    word,
)
from netdsl.calc.circuit import Circuit
from netdsl.calc.drives.cable_limits import ABSENT, CableLimit, CableLimits, rated
from netdsl.calc.drives.circuits import circuits
from netdsl.kept import cached_property
from netdsl.model.plant import Cable, Device, Role
from netdsl.sums import sum_of

_GUIDE = "drive installation instructions; IEC 61800-3 for the categories of emission"
_PEAK = Formula("{k} * {U}")


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
        self._limits = CableLimits(calculation, self.emission)

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

    def _known(self, drive: str, cables: tuple[Cable, ...]) -> bool:
        """Whether every length is stated; notes those that are not."""
        circuit = self._calculation.of(Circuit)
        unknown = [cable for cable in cables if cable.length_m is None]
        for cable in unknown:
            gap = Gap(circuit.feeder(drive), "length", (cable.id,), ABSENT, cable.span, "add `length=`")
            self._calculation.gaps.note(gap)
        return not unknown

    # --- length ---------------------------------------------------------------------------------------------------
    def total_m(self, drive: str) -> float | None:
        """Length of all motor cables of a drive together, m; None where one is not stated or there is none."""
        cables = self.of_drive.get(drive, ())
        if not cables or any(cable.length_m is None for cable in cables):
            return None
        return sum_of((cable.length_m or 0.0) * cable.parallel for cable in circuits(self._calculation.network, cables))

    @cached_property
    def _motors(self) -> dict[str, int]:
        """Number of motors behind each drive."""
        return Counter(drive for drive, _ in self.of_motor)

    def _length(self, drive: Device, cables: tuple[Cable, ...]) -> Result:
        cables = circuits(self._calculation.network, cables)
        counted = tuple(cable for cable in cables if not self._limits.soft((cable,), "sine"))
        summed = counted or cables
        text, givens = _summed(summed)
        sine = CableLimit(None, "", "behind a sine filter: the data of the filter hold")
        limit = self._limits.of(drive, counted) if counted else sine
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

    def emission(self, drive: Device) -> str:
        """Category of emission the drive has to keep, C1 to C4: its own, else the project's; "" where nobody says."""
        own = word(drive, "emission") or self._calculation.settings.word("emission")
        return "" if own == "none" else own

    # --- reflected voltage ----------------------------------------------------------------------------------------
    def _peak(self, drive: Device, motor: Device, cables: tuple[Cable, ...]) -> Iterator[Result]:
        line = self._line(drive)
        if line is None or self._limits.soft(cables, "dvdt"):
            return
        sine = bool(self._limits.soft(cables, "sine"))
        table = one_table("emc", "reflection_sine" if sine else "reflection")
        factor = (
            Given("k", table["factor"], "", "peak over voltage between phases", None, table["source"], table["confidence"])
            if sine
            else self._calculation.settings.given("reflection-factor", "k")
        )
        length = sum(cable.length_m or 0.0 for cable in cables)
        watch = self._calculation.settings.number("reflection-length")
        bears = rated(motor, "peak-voltage", "U_w", "peak the winding bears")
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


def _grade(found: Figure | None) -> Given | None:
    if found is None:
        return None
    return Given("U_w", found.value, "V", "peak the usual winding bears", None, found.source, found.confidence)
