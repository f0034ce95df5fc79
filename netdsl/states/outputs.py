"""Contactors and isolators in the output of a drive: whether one moves while the wiring tells the drive to run."""

from __future__ import annotations

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device
from netdsl.network.types import Potential
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.loops import influences
from netdsl.states.machine import Moment, Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.targets import is_start_unsaid, motor_points, told_to_run, torque_inputs
from netdsl.states.types import Cause, Edge, Mover
from netdsl.states.ways import Noted


class Switching(Struct, frozen=True):
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
        self._motors = motor_points(prover.circuit)
        self._roots: dict[str, list[int]] = {}  # points at the outputs of each drive
        for pole in prover.circuit.poles:
            if pole.potential.kind == "pwm":
                self._roots.setdefault(pole.potential.device, []).append(pole.point)

    def switchings(self) -> tuple[Switching, ...]:
        """One for each drive and each device that opens its output."""
        found = []
        for drive in self._circuit.network.plant.devices.values():
            movers = self._movers(drive) if drive.kind == Kind.DRIVE else {}
            for mover, edges in movers.items():
                manual = self._circuit.movements[mover].cause is not Cause.COIL
                outcome = self._asked(drive, mover, self._reached(drive.id, edges))
                found.append(Switching(drive.id, mover, manual, outcome))
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

    def _asked(self, drive: Device, mover: Mover, reached: int) -> Outcome:
        runs, told = (told_to_run(self._prover, drive, heard=heard) for heard in (True, False))
        if runs is None or told is None:
            return Outcome(Answer.NOT_JUDGED, reason="no input of the drive that starts or releases it is wired")
        if is_start_unsaid(self._prover, drive):
            return Outcome(Answer.NOT_JUDGED, reason="nothing says which of the drive's inputs start it")
        if FALSE in (told, reached) or self._prover.is_kept_apart(reached, mover):
            return Outcome(Answer.NEVER)
        moved = self._moved(mover, runs, reached) if runs != FALSE else Outcome(Answer.NEVER)
        if moved.answer is not Answer.NEVER or not self._may_follow(drive, mover, told):
            return moved
        return self._closed(drive, mover, told, reached)

    def _moved(self, mover: Mover, runs: int, reached: int) -> Outcome:
        """Whether the mover moves while the drive is told to run, and was when all last stood still."""
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

    def _may_follow(self, drive: Device, mover: Mover, told: int) -> bool:
        """Whether a mover may pull just behind the command that starts its drive: not where a coil gives that command for which
        the mover does not wait, as which of the two is first nobody knows, or where the drive's own relay has to move for it."""
        prover, movements = self._prover, self._circuit.movements
        if movements[mover].cause is not Cause.COIL:
            return False
        wanted = prover.wants.of(mover)
        telling = {m for m in prover.builder.read_by((told,)) if movements[m].cause is Cause.COIL}
        torque = map(prover.wants.fed, torque_inputs(prover, drive))
        if telling.difference(prover.builder.read_by((wanted, *torque))):
            return False
        acting = influences(prover.wants, self._circuit, prover.variables, wanted)
        own = {m: False for m in acting if m.device == drive.id and movements[m].cause is Cause.FREE}
        return prover.at_rest(wanted, own) != FALSE

    def _closed(self, drive: Device, mover: Mover, told: int, reached: int) -> Outcome:
        """Whether a mover pulls when its drive is already told to run, though by the same command. What only gives the drive its
        torque back starts none: its torque has to be on when all last stood still."""
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        torque = formulas.all(map(self._prover.wants.fed, torque_inputs(self._prover, drive)))
        released, under = Noted("its torque on when last at rest"), Noted("closed while told to run")

        def was_released(moment: Moment) -> int:
            return formulas.choose(moment.passes, torque, variables.of(released))

        def has_closed(moment: Moment) -> int:
            kept = formulas.both(moment.passes ^ 1, variables.of(under))
            pulls = formulas.all((variables.of(released), reached, variables.of(mover) ^ 1, moment.changes(mover)))
            return formulas.both(told, formulas.either(kept, pulls))

        notes = (Note(released, (torque,), was_released), Note(under, (told, variables.of(mover), reached), has_closed))
        return self._prover.outcome(formulas.both(variables.of(under), told), notes)

    def _movers(self, drive: Device) -> dict[Mover, list[Edge]]:
        """What opens the poles on the ways from the output of a drive to what it feeds, with those poles."""
        found: dict[Mover, list[Edge]] = {}
        for root in self._roots.get(drive.id, ()):
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
        kept = self._motors | {root}
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
