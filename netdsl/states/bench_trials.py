"""What an operation at the bench would come to, tried on a copy of the state."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.states.operating import operable
from netdsl.states.simulation import Simulation
from netdsl.states.types import Cause, Circuit, Load, Mover

Change = tuple[Mover, bool]


def hangs(simulation: Simulation, load: Load, back: Change | None) -> bool:
    """Whether a load is on, and off where `back` is done."""
    if not simulation.joined.fed(load) or back is None:
        return bool(simulation.joined.fed(load))
    without = simulation.copy()
    without.operate(*back)
    return not without.joined.fed(load)


def starts(simulation: Simulation, load: Load, change: Change) -> bool:
    """Whether a load is off, and on where `change` is done."""
    if simulation.joined.fed(load):
        return False
    started = simulation.copy()
    started.operate(*change)
    return bool(started.joined.fed(load))


def key(simulation: Simulation) -> tuple[bool, ...]:
    """How everything stands, to tell states apart."""
    return tuple(simulation.state.values())


def locked_out(simulation: Simulation, rest: Simulation, changes: Iterable[Change]) -> list[Change]:
    """Those of `changes` that switch something on from `rest`, and nothing at all in `simulation`, where it is off too: an
    interlock keeps it off."""
    before = _fed(simulation)
    found = []
    for change in changes:
        now, alone = simulation.copy(), rest.copy()
        now.operate(*change)
        alone.operate(*change)
        if _fed(alone) - _fed(rest) - before and _fed(now) == before:
            found.append(change)
    return found


def _fed(simulation: Simulation) -> set[Load]:
    return {load for load in simulation.circuit.loads if simulation.joined.fed(load)}


def undone(circuit: Circuit, wanted: Simulation, present: Simulation) -> list[Change]:
    """What to operate so that everything given stands as in `wanted`; selectors turn to where they stood."""
    changes = [(m, wanted.state[m]) for m in operable(circuit) if wanted.state[m] is not present.state[m]]
    turned = {mover.device for mover, on in changes if on and circuit.movements[mover].cause is Cause.POSITION}
    return [
        (mover, on)
        for mover, on in changes
        if on or circuit.movements[mover].cause is not Cause.POSITION or mover.device not in turned
    ][::-1]


def outlasting(simulation: Simulation, timed: Iterable[Mover]) -> bool:
    """Whether one of `timed` contacts still stands as its coil held it, which has lost its voltage."""
    return any(simulation.state[mover] and not simulation.wants(mover) for mover in timed)
