"""Contactors and isolators in the output of a drive: whether one moves while the wiring tells the drive to run."""

from __future__ import annotations

from dataclasses import dataclass

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device
from netdsl.network.types import Potential
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.machine import Moment, Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.targets import motor_points, told_to_run
from netdsl.states.types import Cause, Edge, Mover
from netdsl.states.ways import Noted


@dataclass(frozen=True, slots=True)
class Switching:
    """What came of asking whether `mover`, whose poles lie in the output of `drive`, moves while the drive is told to run before
    and after. `manual`: a hand moves it."""

    drive: str
    mover: Mover
    manual: bool
    outcome: Outcome


class Outputs:
    """Drives with something that opens between them and their motors."""

    def __init__(self, prover: Prover) -> None:
        self._prover = prover
        self._circuit = prover.circuit

    def switchings(self) -> tuple[Switching, ...]:
        """One for each drive and each device that opens its output."""
        found = []
        for drive in self._circuit.network.plant.devices.values():
            movers = self._movers(drive) if drive.kind == Kind.DRIVE else {}
            runs = told_to_run(self._prover, drive, heard=True) if movers else None
            for mover, edges in movers.items():
                manual = self._circuit.movements[mover].cause is not Cause.COIL
                found.append(Switching(drive.id, mover, manual, self._asked(mover, runs, self._reached(drive.id, edges))))
        return tuple(found)

    def _reached(self, drive: str, edges: list[Edge]) -> int:
        """When the output of a drive comes as far as the poles that a mover opens. A way that leads through one of these poles
        has come to that pole first, so that they need not be left out."""
        formulas = self._prover.variables.formulas
        found = FALSE
        for edge in edges:
            island = next(iter(self._prover.islands.at(edge.a if edge.a not in self._circuit.roots else edge.b)))
            reach = self._prover.wants.reach(island)
            for root in self._prover.islands.roots_of[island]:
                if any(_is_output(pole.potential, drive) for pole in self._circuit.roots[root]):
                    ends = (TRUE if root in (edge.a, edge.b) else FALSE, reach.joined(edge.a, root), reach.joined(edge.b, root))
                    found = formulas.either(found, formulas.any(ends))
        return found

    def _asked(self, mover: Mover, runs: int | None, reached: int) -> Outcome:
        if runs is None:
            return Outcome(Answer.NOT_JUDGED, reason="no input of the drive that starts or releases it is wired")
        if FALSE in (runs, reached) or self._prover.is_kept_apart(reached, mover):
            return Outcome(Answer.NEVER)
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        before, under = Noted("told to run when last at rest"), Noted("moved while told to run")

        def was_told(moment: Moment) -> int:
            return formulas.choose(moment.passes, runs, variables.of(before))

        def has_moved(moment: Moment) -> int:
            told_before = formulas.choose(moment.passes, TRUE, variables.of(before))
            kept = formulas.both(moment.passes ^ 1, variables.of(under))
            moves = formulas.both(reached, moment.changes(mover))
            return formulas.all((runs, told_before, formulas.either(kept, moves)))

        notes = (Note(before, (runs,), was_told), Note(under, (variables.of(mover), reached), has_moved))
        return self._prover.outcome(formulas.both(variables.of(under), runs), notes)

    def _movers(self, drive: Device) -> dict[Mover, list[Edge]]:
        """What opens the poles on the ways from the output of a drive to what it feeds, with those poles."""
        found: dict[Mover, list[Edge]] = {}
        roots = [pole.point for pole in self._circuit.poles if _is_output(pole.potential, drive.id)]
        for root in roots:
            for island in self._prover.islands.at(root):
                for edge in self._leading_on(island, root):
                    if edge.path is not None and edge.path.kind == "pole":
                        for mover in edge.closed.movers:
                            found.setdefault(mover, []).append(edge)
        return found

    def _leading_on(self, island: int, root: int) -> list[Edge]:
        """Edges of an island between a root and motors: dead ends, and ways that end at another root, are taken away."""
        edges = list(self._prover.islands.edges.get(island, ()))
        edges = [e for e in edges if not ({e.a, e.b} & self._circuit.roots.keys()) - {root}]
        kept = motor_points(self._circuit) | {root}
        while True:
            ends: dict[int, int] = {}
            for edge in edges:
                for point in (edge.a, edge.b):
                    ends[point] = ends.get(point, 0) + 1
            more = [edge for edge in edges if all(ends[point] > 1 or point in kept for point in (edge.a, edge.b))]
            if len(more) == len(edges):
                return edges
            edges = more


def _is_output(potential: Potential, drive: str) -> bool:
    return potential.kind == "pwm" and potential.device == drive
