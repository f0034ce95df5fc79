"""What runs again by itself when an emergency stop is taken back, or the stop button of a soft starter let go."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.states.loops import influences
from netdsl.states.machine import Moment, Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.targets import Target, fed_motors, is_start_unsaid, targets
from netdsl.states.types import Cause, Mover
from netdsl.states.ways import Noted


class Restart(Struct, frozen=True):
    """An emergency stop, or the stop button of a soft starter, and what it stops: whether that runs again when the stop is taken
    back and the safety relay is reset, and nothing else is operated."""

    mover: Mover
    target: str
    outcome: Outcome


def restarts(prover: Prover) -> tuple[Restart, ...]:
    """Each such stop with each drive, and each motor on the mains, that it stops. A drive that asks for a new command after
    its torque was off does not run again; one that does not say is not judged."""
    circuit = prover.circuit
    devices = circuit.network.plant.devices
    found = []
    place = {mover: number for number, mover in enumerate(circuit.movements)}
    drives = [target for target in targets(prover) if devices[target.device].kind == Kind.DRIVE]
    for target in (*drives, *fed_motors(prover)):
        acting = influences(prover.wants, circuit, prover.variables, target.wanted)
        for mover in sorted(acting, key=place.__getitem__):
            if devices[mover.device].kind != Kind.EMERGENCY_STOP and not _may_outlast(prover, mover, acting):
                continue
            found.append(Restart(mover, target.device, _asked(prover, mover, target, frozenset(acting))))
    return tuple(found)


def _may_outlast(prover: Prover, mover: Mover, acting: Collection[Mover]) -> bool:
    """Whether a mover is a stop button beside a soft starter whose own contacts, which stay closed while it ramps down, act."""
    devices, movements = prover.circuit.network.plant.devices, prover.circuit.movements
    made = devices[mover.device]
    if made.kind != Kind.PUSH_BUTTON or not any(path.kind == "break" and path.by == mover.word for path in made.paths):
        return False
    return any(movements[m].cause is Cause.DELAY and devices[m.device].kind == Kind.SOFT_STARTER for m in acting)


def _asked(prover: Prover, stop: Mover, target: Target, acting: frozenset[Mover]) -> Outcome:
    devices = prover.circuit.network.plant.devices
    device = devices[target.device]
    if device.kind == Kind.DRIVE:
        answer = device.settings.get("restart")
        if answer == "new-command":
            return Outcome(Answer.NEVER)
        if answer is None:
            return Outcome(Answer.NOT_JUDGED, reason="its part does not say whether a new command is needed (`restart`)")
        if is_start_unsaid(prover, device):
            return Outcome(Answer.NOT_JUDGED, reason="nothing says which of its inputs start it")
    formulas, variables = prover.variables.formulas, prover.variables
    resets = _resets(prover)
    given = (Cause.FREE, Cause.POSITION, Cause.VOLTAGE)
    others = [m for m in acting if prover.circuit.movements[m].cause in given and m != stop and m not in resets]
    buttons = [m for m in acting if devices[m.device].kind == Kind.PUSH_BUTTON]
    stopped = Noted("stopped by it, and nothing else operated")
    reset = formulas.any(variables.of(mover) for mover in resets if mover in acting)
    held = formulas.any(variables.of(mover) for mover in buttons)

    def after(moment: Moment) -> int:
        foreign = formulas.any(moment.changes(other) for other in others)
        on = variables.of(stop)
        pressed = formulas.all((moment.passes, target.runs, on ^ 1, held ^ 1, moment.changes(stop)))
        # a reset comes after the stop is taken back; what ran on until then was not stopped by it
        ran = formulas.all((moment.passes, target.runs, moment.changes(stop)))
        kept = formulas.both(variables.of(stopped), formulas.both(on, formulas.either(reset, ran)) ^ 1)
        return formulas.both(foreign ^ 1, formulas.either(pressed, kept))

    bad = formulas.all((variables.of(stopped), target.runs, variables.of(stop) ^ 1, reset ^ 1))
    return prover.outcome(bad, (Note(stopped, tuple(variables.of(mover) for mover in sorted(acting)), after),))


def _resets(prover: Prover) -> frozenset[Mover]:
    """Buttons in the reset loops of safety relays."""
    circuit = prover.circuit
    devices = circuit.network.plant.devices
    found: set[Mover] = set()
    for channels in circuit.releases.values():
        for channel in channels:
            if channel.reset:
                formula = prover.wants.roots_of(channel.back).get(channel.feed)
                if formula is not None:
                    found |= {m for m in prover.builder.read_by((formula,)) if devices[m.device].kind == Kind.PUSH_BUTTON}
    return frozenset(found)
