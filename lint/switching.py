"""Questions about switching states, asked once for all rules, and sequences of operations as findings tell them."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from netdsl.findings import NotJudged, Related
from netdsl.kept import cached_property
from netdsl.model.kinds import Category
from netdsl.states import Answer, Circuit, Joins, Mover, Outcome, Prover, Verdict, circuit_of, told
from netdsl.states.locks import Unlocking, unlockings
from netdsl.states.outputs import Outputs, Switching
from netdsl.states.restarts import Restart, restarts
from netdsl.states.stops import Stops, trips
from netdsl.states.types import Edge

#: operations of a sequence that are shown with their places
_SHOWN = 12

#: ways through devices, each with the point it leads to
Way = tuple[tuple[Edge, int], ...]


def behind(way: Way) -> str | None:
    """The terminal at which a way leaves the last contact that something closes."""
    leaving = [edge.nodes[edge.b == point] for edge, point in way if edge.path is not None and not edge.path.certain]
    return leaving[-1] if leaving else None


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
        """The answers to all of them."""
        return tuple(map(self.joins.verdict, self.joins.questions()))

    @cached_property
    def meetings(self) -> tuple[Verdict, ...]:
        """The answers about potentials of several sources, and earth, that contacts might join."""
        return tuple(map(self.joins.verdict, self.joins.meetings()))

    def told(self, outcome: Outcome) -> str:
        """The operations that lead to a state, or why it is not proved that none do."""
        return told.stages(self.circuit, outcome.trace.stages) if outcome.trace else outcome.reason

    def along(self, way: Way) -> Iterator[Related]:
        """Where the devices on a closed way are declared."""
        devices = self.network.plant.devices
        seen: dict[str, None] = {}
        for edge, _ in way:
            if devices[edge.device].category == Category.DEVICE:
                seen[edge.device] = None
        for name in list(seen)[:_SHOWN]:
            yield Related(f"`{name}` lies on the closed way", devices[name].span)

    @cached_property
    def switchings(self) -> tuple[Switching, ...]:
        """What moves in the outputs of drives."""
        return Outputs(self.prover).switchings()

    @cached_property
    def unlockings(self) -> tuple[Unlocking, ...]:
        """Guards with locking, and whether one is released while its drive is told to run."""
        return unlockings(self.prover)

    @cached_property
    def stops(self) -> Stops:
        """What stops."""
        return Stops(self.prover)

    @cached_property
    def trips(self) -> tuple[tuple[Mover, Outcome], ...]:
        """Overload relays, and whether current can flow on."""
        return trips(self.prover)

    @cached_property
    def restarts(self) -> tuple[Restart, ...]:
        """What runs again after an emergency stop."""
        return restarts(self.prover)

    @property
    def not_judged(self) -> tuple[NotJudged, ...]:
        """What the rules about switching states could not judge, and why: never to be taken for passed."""
        found = [NotJudged("", unjudged.device, unjudged.reason) for unjudged in self.circuit.unjudged]
        for verdict in self.meetings:
            if verdict.answer is Answer.NOT_PROVED:
                found.append(NotJudged("potentials-joined", verdict.question.devices[0], verdict.reason))
        for verdict in self.verdicts:
            rule = "output-backfed" if verdict.question.drive and verdict.question.foreign else "switching-short"
            if verdict.answer is Answer.NOT_PROVED:
                found.append(NotJudged(rule, verdict.question.drive or verdict.question.devices[0], verdict.reason))
        for switching in self.switchings:
            if switching.outcome.answer is Answer.NOT_JUDGED:
                found.append(NotJudged("output-switched", switching.mover.device, switching.outcome.reason))
        for mover, program in self.stops.idle():
            if program:
                found.append(NotJudged("stop-circuit", mover.device, program))
        for mover, outcome in self.trips:
            if outcome.answer is Answer.NOT_JUDGED:
                found.append(NotJudged("stop-circuit", mover.device, outcome.reason))
        for restart in self.restarts:
            if restart.outcome.answer is Answer.NOT_JUDGED:
                found.append(NotJudged("restart-unexpected", restart.target, restart.outcome.reason))
        return tuple(found)
