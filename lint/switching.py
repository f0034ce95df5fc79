"""Questions about switching states, asked once for all rules, and sequences of operations as findings tell them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from lint.facts import Facts
from netdsl.findings import Related
from netdsl.model.kinds import Category
from netdsl.states import Answer, Circuit, Joins, Outcome, Prover, Verdict, circuit_of
from netdsl.states.told import movements, operations
from netdsl.states.traces import Stage

#: operations of a sequence that are shown with their places
_SHOWN = 12


class Switched:
    """A plant in motion, and what is proved of it. Everything is worked out on first use."""

    def __init__(self, facts: Facts) -> None:
        self.network = facts.network

    @cached_property
    def circuit(self) -> Circuit:
        """What moves and what conducts."""
        return circuit_of(self.network)

    @cached_property
    def prover(self) -> Prover:
        """What answers questions about its states."""
        return Prover(self.circuit)

    @cached_property
    def joins(self) -> Joins:
        """Questions about poles that might meet."""
        return Joins(self.prover)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """The answers to all of them; those that rest on contacts of equipment beyond the scope are not among them."""
        return tuple(verdict for verdict in map(self.joins.verdict, self.joins.questions()) if not self._is_guessed(verdict))

    def _is_guessed(self, verdict: Verdict) -> bool:
        """Whether a way leads over contacts of which only the terminals are stated."""
        return any(edge.path is None for edge, _ in verdict.way)

    def sequence(self, verdict: Verdict) -> str:
        """The operations that join two poles, in a line: `1. turn -S1 to hand; 2. ...`."""
        told = self._line(verdict.stages)
        late = ", ".join(f"`{mover.device}`" for mover in verdict.late)
        arcs = ", ".join(f"`{mover.device}`" for mover in sorted(verdict.arcs))
        return told + (f" before {late} drops" if late else "") + (f" while an arc still burns in {arcs}" if arcs else "")

    def told(self, outcome: Outcome) -> str:
        """The operations that lead to a state, or why it is not proved that none do."""
        return self._line(outcome.trace.stages) if outcome.trace else outcome.reason

    def _line(self, stages: Iterable[Stage]) -> str:
        steps = [text for text in map(self._step, stages) if text]
        return "; ".join(f"{number}. {text}" for number, text in enumerate(steps, 1)) or "as soon as the supply is on"

    def _step(self, stage: Stage) -> str:
        done, moved = operations(self.circuit, stage.given), movements(self.circuit, stage.moved)
        return f"{done}: {moved}" if done and moved else done or moved

    def places(self, verdict: Verdict) -> Iterator[Related]:
        """Where the devices on the closed way are declared."""
        devices = self.network.plant.devices
        seen: dict[str, None] = {}
        for edge, _ in verdict.way:
            if devices[edge.device].category == Category.DEVICE:
                seen[edge.device] = None
        for name in list(seen)[:_SHOWN]:
            yield Related(f"`{name}` lies on the closed way", devices[name].span)

    @property
    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """What no question could be answered about: a device or drive, and why."""
        found = [(unjudged.device, unjudged.reason) for unjudged in self.circuit.unjudged]
        found += [
            (verdict.question.drive or verdict.question.devices[0], verdict.reason)
            for verdict in self.verdicts
            if verdict.answer is Answer.NOT_PROVED
        ]
        return tuple(found)
