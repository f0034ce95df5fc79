"""Whether overload releases bear that a motor starts often: the current that heats them alike over an hour."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, formula, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.run_up import RunUps
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.protection import Trips
from netdsl.model.kinds import SET_TO_MOTOR

_MEAN = formula("sqrt({I_M}^2 + ({I_s}^2 - {I_M}^2) * {t_s} * {n} / 3600)")


class StartDuties(SheetQuestion):
    """A release remembers the heat of earlier starts: in the mean over many it does not operate where the square of the current,
    averaged over the hour, stays below that of its non-tripping current. A single start after a short stop may trip earlier."""

    place = 718
    answers = (Answer("starting.duty", "Current that heats alike, with its starts", "I_eq"),)

    def results(self) -> Iterator[Result]:
        """`starting.duty MOTOR by DEVICE` of every overload release and motor breaker on the way to a motor on the mains that
        states `starts-per-hour` and whose starting time is known, A."""
        for motor in self._calculation.of(RunUps).motors():
            made = self._calculation.plant.devices[motor]
            if amount(made, "starts-per-hour"):
                for device in self._releases(motor):
                    found = self._of(motor, device)
                    if found is not None:
                        yield found

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Motors that state `starts-per-hour` and of which nothing is computed, with the reason."""
        reason = "how its starts heat its release: its starting time, its current or the setting of a release is not known"
        stating = [each for each in self._calculation.of(RunUps).motors() if self._states(each)]
        judged = {result.subject for result in self._calculation.results_of(StartDuties)}
        return tuple((motor, reason) for motor in stating if motor not in judged)

    def _states(self, motor: str) -> bool:
        return bool(amount(self._calculation.plant.devices[motor], "starts-per-hour"))

    def _releases(self, motor: str) -> tuple[Characteristic, ...]:
        devices, known = self._calculation.plant.devices, self._calculation.of(Characteristics)
        paths = [path for path in self._calculation.of(Circuit).paths(motor) if not path.drive]
        names = dict.fromkeys(name for path in paths for name in path.devices if devices[name].kind in SET_TO_MOTOR)
        return tuple(found for name in names if (found := known.of(name)) is not None and found.holds)

    def _of(self, motor: str, device: Characteristic) -> Result | None:
        loads, made = self._calculation.of(LoadCurrents), self._calculation.plant.devices[motor]
        time, start, running = self._calculation.of(RunUps).of(motor), loads.starts.of(motor), loads.device(motor)
        if time is None or start is None or running is None or time.question != "starting.time":
            return None
        held = device.holds[0]
        limit = Given("I_h", held.amps, "A", held.words, held.span, held.source, held.confidence)
        return Result.worked(
            "starting.duty",
            motor,
            self._calculation.of(Circuit).feeder(motor),
            _MEAN,
            "A",
            (
                Given("I_M", running, "A", f"current of {motor}", result=loads.key_of(motor)),
                Given("I_s", abs(start.phasor), "A", f"current of {motor} while it starts", made.span),
                Given("t_s", time.value, "s", f"time in which {motor} runs up", result=time.key),
                rating(made, "starts-per-hour", "n", "1/h", f"starts of {motor} in an hour"),
                *(given for given in start.givens if given.symbol != "I_s"),
            ),
            "mean of the square of the current, as heat is lost slowly; IEC 60947-4-1, table 3",
            Limit(held.amps, Sense.AT_MOST, held.words, limit),
            key=f"starting.duty {motor} by {device.device}",
            note=f"{self._calculation.of(Trips).named(device)}; it runs between its starts",
            span=made.span,
        )
