"""Guards with locking: whether a lock is released while the drive that it keeps people from is told to run."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.machine import Moment, Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.targets import told_to_run, torque_inputs
from netdsl.states.types import Mover
from netdsl.states.ways import Noted


class Unlocking(Struct, frozen=True):
    """What came of asking whether the coil `lock` of a guard is pulled when `drive`, whose torque the guard's contacts take, was
    told to run when all last stood still, and its own relay, where that is read, said that it runs."""

    lock: Mover
    drive: str
    outcome: Outcome


def unlockings(prover: Prover) -> tuple[Unlocking, ...]:
    """One for each guard with locking and each drive that it stops."""
    return tuple(
        Unlocking(lock, drive.id, _asked(prover, drive, lock))
        for device in prover.circuit.network.plant.devices.values()
        for lock in _locks(prover, device)
        for drive in _stopped(prover, device)
    )


def _locks(prover: Prover, device: Device) -> list[Mover]:
    """Coils of a guard switch that open a positive contact of it: those of its lock."""
    if device.kind != Kind.SWITCH:
        return []
    coils = dict.fromkeys(consumer.name for consumer in device.consumers if consumer.kind == "coil")
    opening = {path.by for path in device.paths if path.kind == "break" and "positive" in path.marks}
    return [lock for name in coils if name in opening and (lock := Mover(device.id, name)) in prover.circuit.movements]


def _stopped(prover: Prover, guard: Device) -> Iterator[Device]:
    """Drives whose torque a guard takes, over a safety relay or at once."""
    for drive in prover.circuit.network.plant.devices.values():
        inputs = torque_inputs(prover, drive) if drive.kind == Kind.DRIVE else []
        deciding = prover.builder.cone(map(prover.wants.fed, inputs))
        if any(mover.device == guard.id for mover in deciding):
            yield drive


def _asked(prover: Prover, drive: Device, lock: Mover) -> Outcome:
    formulas, variables = prover.variables.formulas, prover.variables
    runs, wanted = told_to_run(prover, drive, heard=True), prover.wants.of(lock)
    if runs is None or FALSE in (runs, wanted):
        return Outcome(Answer.NEVER)
    running = Mover(drive.id, "running")
    # what says that the drive stands may release the lock in the same moment
    runs_still = variables.of(running) if running in prover.builder.read_by((runs,)) else TRUE
    told, under = Noted("told to run when last at rest"), Noted("released while told to run")

    def was_told(moment: Moment) -> int:
        return formulas.choose(moment.passes, runs, variables.of(told))

    def has_pulled(moment: Moment) -> int:
        told_before = formulas.choose(moment.passes, TRUE, variables.of(told))
        kept = formulas.both(moment.passes ^ 1, variables.of(under))
        return formulas.either(kept, formulas.all((told_before, runs_still, variables.of(lock) ^ 1, moment.changes(lock))))

    notes = (Note(told, (runs,), was_told), Note(under, (variables.of(lock), runs_still), has_pulled))
    return prover.outcome(variables.of(under), notes)
