"""Overload coordination: load current, protective device, conductor."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.conductors.capacity import Capacities
from netdsl.calc.conductors.limits import LIMITERS, DeviceLimit, Limits
from netdsl.calc.devices import Characteristic
from netdsl.calc.loads import RatedLoads
from netdsl.findings import Span

_SOURCE = "IEC 60364-4-43, 433.1"
#: what the conventional tripping current is held to
_TRIPPING_LIMIT = formula("1.45 * {I_z}")


class Overloads(SheetQuestion):
    """IEC 60364-4-43, 433.1 for every step of the power circuit."""

    place = 300
    answers = (
        Answer("overload.rated", "Overload: load against rated current", "I_b", of_conductors=True),
        Answer("overload.capacity", "Overload: rated current against conductor", "I_n", of_conductors=True),
        Answer("overload.tripping", "Overload: tripping current against conductor", "I_2", of_conductors=True),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self.limits = calculation.of(Limits)

    def device_for(self, step: Step) -> Characteristic | None:
        """The device that protects the conductors of a step against overload: before them, or anywhere behind up to the load;
        behind a drive the drive itself, with its rated output current. None where there is none."""
        limit = self.limits.of(step)
        return limit.release if limit else None

    def results(self) -> Iterator[Result]:
        """`overload.rated` (I_b <= I_n), `overload.capacity` (I_n <= I_z) and `overload.tripping` (I_2 <= 1.45 I_z) of every
        step."""
        for step in self._calculation.of(Circuit).steps.values():
            if step.poles and not self.limits.idle(step.fed):
                yield from self.of(step)

    def of(self, step: Step) -> Iterator[Result]:
        """The three conditions of one step, as far as they can be computed."""
        capacity, limit = self._calculation.of(Capacities).step(step), self.limits.of(step)
        if limit is None:
            return
        subject = self._calculation.of(Capacities).subject(step)
        i_n = self._rated(limit)
        load = self._calculation.of(RatedLoads).judged(step)
        if load is not None and limit.release.kind not in LIMITERS:
            yield self._result("rated", step, subject, load, limit.amps, "rated current", i_n)
        if capacity is None:
            return
        i_z = Given("I_z", capacity.value, "A", f"capacity of {subject}", result=capacity.key)
        words = "current-carrying capacity"
        yield self._result("capacity", step, subject, i_n, capacity.value, words, i_z)
        yield from self._tripping(step, subject, limit, i_z)

    def _tripping(self, step: Step, subject: str, limit: DeviceLimit, i_z: Given) -> Iterator[Result]:
        release = limit.release
        if release.tripping_a is None:
            return
        if release.kind == "fuse" and self._calculation.settings.word("fuse-overload-rule") == "rated-current":
            return
        amps = release.tripping_a * limit.share
        i_2 = Given("I_2", amps, "A", f"conventional tripping current of {release.device}", _place(release))
        words = "1.45 times the current-carrying capacity"
        yield self._result("tripping", step, subject, i_2, _TRIPPING_LIMIT.of((i_z,)), words, i_z)

    def _rated(self, limit: DeviceLimit) -> Given:
        release = limit.release
        words = release.givens[0].words if release.kind in LIMITERS else f"rated or set current of {release.device}"
        share = "" if limit.share == 1.0 else f", {limit.share:.3g} of it in these conductors"
        return Given("I_n", limit.amps, "A", words + share, _place(release, release.set_a))

    def _result(self, name: str, step: Step, subject: str, held: Given, limit: float, words: str, given: Given) -> Result:
        """A current as it is, held to its limit."""
        text = f"{{{held.symbol}}}"
        question = f"overload.{name}"
        circuit = self._calculation.of(Circuit)
        key = self._calculation.of(Capacities).key_of(question, step)
        return Result.worked(
            question,
            subject,
            circuit.feeder(step.fed),
            formula(text),
            "A",
            (held,),
            _SOURCE,
            Limit(limit, Sense.AT_MOST, words, given),
            key=key,
            conductors=step.conductors,
            span=circuit.span_of(subject),
        )


def _place(release: Characteristic, amps: float | None = None) -> Span | None:
    """Where a current of a release is stated: the line that gives this very value, else the first there is."""
    spans = [given.span for given in release.givens if given.span is not None and given.value == amps]
    return next(iter(spans), None) or next((given.span for given in release.givens if given.span is not None), None)
