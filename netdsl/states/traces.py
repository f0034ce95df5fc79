"""The shortest way from rest to a bad state, with as few operations as will do."""

from __future__ import annotations

import itertools
from typing import NamedTuple

from netdsl.states.clauses import Clauses, Step
from netdsl.states.machine import Machine
from netdsl.states.types import Cause, Circuit, Mover
from netdsl.states.ways import Arc

#: steps after which no way is looked for
STEPS = 80


class Stage(NamedTuple):
    """Something operated or elapsed (`given`, with new states; none: the circuit comes to rest from where it stands), and what
    moves upon it, in order."""

    given: tuple[tuple[Mover, bool], ...]
    moved: tuple[tuple[Mover, bool], ...]


class Trace(NamedTuple):
    """A way to a bad state: its stages, all bits in that state, and the coils whose poles still conduct by an arc."""

    stages: tuple[Stage, ...]
    state: dict[Mover, bool]
    arcs: frozenset[Mover]


def shortest(circuit: Circuit, made: Machine, steps: int = STEPS) -> Trace | None:
    """The way of fewest steps to a bad state, None where there is none within `steps`."""
    clauses = Clauses()
    try:
        now = [clauses.true if on else -clauses.true for on in made.rest]
        frames: list[Step] = []
        for _ in range(steps + 1):
            frames.append(Step(clauses, made, now))
            if clauses.solve([frames[-1].bad]):
                return _trace(circuit, made, _calmed(circuit, made, clauses, frames))
            now = frames[-1].after
        return None
    finally:
        clauses.close()


def _calmed(circuit: Circuit, made: Machine, clauses: Clauses, frames: list[Step]) -> list[list[bool]]:
    """States of a way to the last frame's bad state on which as little as possible is operated, and what follows moves as soon as
    it can, what stands first in the text before the rest."""
    movers = {n: bit for n, bit in enumerate(made.bits) if isinstance(bit, Mover)}
    given = [n for n, bit in movers.items() if _is_given(circuit, bit)]
    kept: list[int] = [frames[-1].bad]
    states = _states(clauses, frames)
    # every choice is made here and none left to the solver: what it answers depends on what it was asked before
    for bits, moves in ((given, False), (sorted(movers.keys() - set(given)), True)):
        for number, bit in itertools.product(range(len(frames) - 1), bits):
            one, other = frames[number].now[bit], frames[number + 1].now[bit]
            literal = _unlike(clauses, one, other) if moves else -_unlike(clauses, one, other)
            if (states[number][bit] != states[number + 1][bit]) is not moves:
                if not clauses.solve([*kept, literal]):
                    continue
                states = _states(clauses, frames)
            kept.append(literal)
    return states


def _unlike(clauses: Clauses, one: int, other: int) -> int:
    """A literal that holds where exactly one of two does."""
    literal = clauses.fresh()
    clauses.add([-literal, one, other])
    clauses.add([-literal, -one, -other])
    clauses.add([literal, -one, other])
    clauses.add([literal, one, -other])
    return literal


def _is_given(circuit: Circuit, mover: Mover) -> bool:
    return circuit.movements[mover].cause in (Cause.FREE, Cause.POSITION, Cause.VOLTAGE, Cause.DELAY)


def _states(clauses: Clauses, frames: list[Step]) -> list[list[bool]]:
    return [clauses.holds(frame.now) for frame in frames]


def _trace(circuit: Circuit, made: Machine, states: list[list[bool]]) -> Trace:
    """States as stages: a change of what is given, or of what waited for a time, begins a new one."""
    stages: list[Stage] = []
    for before, after in itertools.pairwise(states):
        changed = [(bit, after[n]) for n, bit in enumerate(made.bits) if isinstance(bit, Mover) and before[n] is not after[n]]
        if not changed:
            continue
        in_time = [change for change in changed if _took_time(circuit, *change)]
        if in_time:
            stages.append(Stage(tuple(changed), ()))
        else:
            last = stages.pop() if stages else Stage((), ())
            stages.append(Stage(last.given, (*last.moved, *changed)))
    last_state = {bit: states[-1][n] for n, bit in enumerate(made.bits) if isinstance(bit, Mover)}
    arcs = frozenset(bit.coil for n, bit in enumerate(made.bits) if isinstance(bit, Arc) and states[-1][n])
    return Trace(tuple(stages), last_state, arcs)


def _took_time(circuit: Circuit, mover: Mover, on: bool) -> bool:
    movement = circuit.movements[mover]
    if movement.cause is Cause.DELAY:
        return movement.slow[0 if on else 1]
    return movement.cause in (Cause.FREE, Cause.POSITION, Cause.VOLTAGE)
