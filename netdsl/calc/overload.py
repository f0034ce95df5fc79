"""Overload coordination: load current, protective device, conductor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.characteristics import Characteristic
from netdsl.calc.control_branches import ControlBranches
from netdsl.calc.control_overload import ControlOverloads
from netdsl.calc.control_returns import ControlReturns
from netdsl.calc.limits import LIMITERS, Limit, Limits
from netdsl.calc.results import Given, Result, Sense
from netdsl.calc.steps import Step
from netdsl.findings import Span

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation

_SOURCE = "IEC 60364-4-43, 433.1"


class Overloads:
    """IEC 60364-4-43, 433.1 for every step of the power circuit."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self.limits = Limits(calculation)
        self.control = ControlOverloads(calculation)
        self.branches = ControlBranches(calculation)
        self._returns = ControlReturns(calculation)

    def device_for(self, step: Step) -> Characteristic | None:
        """The device that protects the conductors of a step against overload: before them, or anywhere behind up to the load;
        behind a drive the drive itself, with its rated output current. None where there is none."""
        limit = self.limits.of(step)
        return limit.release if limit else None

    def results(self) -> Iterator[Result]:
        """`overload.rated` (I_b <= I_n), `overload.capacity` (I_n <= I_z) and `overload.tripping` (I_2 <= 1.45 I_z) of every step,
        `overload.control`, `overload.branch` and `overload.return` of control circuits."""
        for step in self._calculation.circuit.steps.values():
            if step.poles and not self.limits.idle(step.fed):
                yield from self.of(step)
        yield from self.control.results()
        yield from self.branches.results()
        yield from self._returns.results()

    def of(self, step: Step) -> Iterator[Result]:
        """The three conditions of one step, as far as they can be computed."""
        capacity, limit = self._calculation.capacities.step(step), self.limits.of(step)
        if limit is None:
            return
        subject = self._calculation.capacities.subject(step)
        i_n = self._rated(limit)
        amps = self._calculation.loads.step(step)
        if amps is not None and limit.release.kind not in LIMITERS:
            load = Given(
                "I_b",
                amps,
                "A",
                f"load current from {step.feeder} to {step.fed}",
                result=f"load-current {step.feeder} -> {step.fed}",
            )
            yield self._result("rated", step, subject, amps, "{I_b}", (load,), limit.amps, "rated current", i_n)
        if capacity is None:
            return
        i_z = Given("I_z", capacity.value, "A", f"capacity of {subject}", result=capacity.key)
        words = "current-carrying capacity"
        yield self._result("capacity", step, subject, limit.amps, "{I_n}", (i_n,), capacity.value, words, i_z)
        yield from self._tripping(step, subject, limit, i_z)

    def _tripping(self, step: Step, subject: str, limit: Limit, i_z: Given) -> Iterator[Result]:
        release = limit.release
        if release.tripping_a is None:
            return
        if release.kind == "fuse" and self._calculation.settings.word("fuse-overload-rule") == "rated-current":
            return
        amps = release.tripping_a * limit.share
        i_2 = Given("I_2", amps, "A", f"conventional tripping current of {release.device}", _place(release))
        words = "1.45 times the current-carrying capacity"
        yield self._result("tripping", step, subject, amps, "{I_2}", (i_2,), 1.45 * float(i_z.value), words, i_z)

    def _rated(self, limit: Limit) -> Given:
        release = limit.release
        words = release.givens[0].words if release.kind in LIMITERS else f"rated or set current of {release.device}"
        share = "" if limit.share == 1.0 else f", {limit.share:.3g} of it in these conductors"
        return Given("I_n", limit.amps, "A", words + share, _place(release, release.set_a))

    def _result(
        self,
        name: str,
        step: Step,
        subject: str,
        value: float,
        formula: str,
        givens: tuple[Given, ...],
        limit: float,
        words: str,
        given: Given,
    ) -> Result:
        question = f"overload.{name}"
        circuit = self._calculation.circuit
        key = self._calculation.capacities.key_of(question, step)
        return Result(
            key,
            question,
            subject,
            circuit.feeder(step.fed),
            value,
            "A",
            formula,
            givens,
            _SOURCE,
            limit,
            Sense.AT_MOST,
            words,
            given,
            conductors=step.conductors,
            span=circuit.span_of(subject),
        )


def _place(release: Characteristic, amps: float | None = None) -> Span | None:
    """Where a current of a release is stated: the line that gives this very value, else the first there is."""
    spans = [given.span for given in release.givens if given.span is not None and given.value == amps]
    return next(iter(spans), None) or next((given.span for given in release.givens if given.span is not None), None)
