"""What can be operated in a circuit, and operations as a person writes them: `-S1=on`, `-S2=hand`, `-T1:running=on`, `wait`."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.spelling import nearest
from netdsl.states.simulation import Moved, Simulation
from netdsl.states.types import Cause, Circuit, Mover

_OPERATED = (Cause.FREE, Cause.POSITION, Cause.VOLTAGE)
ON, OFF, PUSH, WAIT = "on", "off", "push", "wait"


class Operation(NamedTuple):
    """One operation as written: movers and their new states, one after the other; none of them: `wait`."""

    text: str
    moves: tuple[tuple[Mover, bool], ...]


class UnknownOperation(Exception):
    """An operation that names nothing that can be operated; its text says what could be meant."""


def operable(circuit: Circuit) -> tuple[Mover, ...]:
    """What is moved from outside, in order of the plant; early contacts move with their handle."""
    return tuple(m for m, movement in circuit.movements.items() if movement.cause in _OPERATED and m not in circuit.early)


def read_operation(circuit: Circuit, text: str) -> Operation:
    """The operation that `text` means; UnknownOperation where it means none."""
    text = text.strip()
    if text == WAIT:
        return Operation(text, ())
    target, equals, value = text.rpartition("=")
    if not equals or not target:
        raise UnknownOperation(f"`{text}` is no operation: write a designation and a value, `-S1=on`, or `wait`")
    name, _, word = target.strip().partition(":")
    value = value.strip()
    movers = [mover for mover in operable(circuit) if mover.device == name]
    if not movers:
        raise UnknownOperation(_nothing_of(circuit, name))
    if name in circuit.selectors:
        return Operation(text, _turned(circuit, name, value))
    if word:
        movers = [mover for mover in movers if mover.word == word]
    if len(movers) != 1:
        words = ", ".join(f"`{name}:{mover.word}`" for mover in operable(circuit) if mover.device == name)
        raise UnknownOperation(f"`{target}` can be several things or none: say one of {words}")
    if value == PUSH:
        return Operation(text, ((movers[0], True), (movers[0], False)))
    if value not in (ON, OFF):
        raise UnknownOperation(f"`{target}` is {ON}, {OFF} or {PUSH}, not `{value}`")
    return Operation(text, ((movers[0], value == ON),))


def play(simulation: Simulation, operation: Operation) -> list[Moved]:
    """Carry an operation out; what moves upon it, in order."""
    if not operation.moves:
        return simulation.wait()
    moved: list[Moved] = []
    for mover, on in operation.moves:
        moved += simulation.operate(mover, on)
    return moved


def _turned(circuit: Circuit, name: str, value: str) -> tuple[tuple[Mover, bool], ...]:
    positions = {mover.word.removeprefix("at "): mover for mover in circuit.selectors[name]}
    if value in positions:
        return ((positions[value], True),)
    if value == OFF:
        return tuple((mover, False) for mover in circuit.selectors[name])
    near = nearest(value, positions)
    known = ", ".join(f"`{position}`" for position in (*positions, OFF))
    hint = f"did you mean `{near}`?" if near else f"it has {known}"
    raise UnknownOperation(f"selector `{name}` has no position `{value}`: {hint}")


def _nothing_of(circuit: Circuit, name: str) -> str:
    """Why nothing of that name can be operated."""
    if name not in circuit.network.plant.devices:
        near = nearest(name, dict.fromkeys(mover.device for mover in operable(circuit)))
        return f"`{name}` is not in this plant" + (f": did you mean `{near}`?" if near else "")
    if any(mover.device == name for mover in circuit.movements):
        return f"`{name}` is moved by its wiring, not from outside"
    return f"nothing of `{name}` can be operated"
