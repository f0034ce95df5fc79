"""Whether coils that act on themselves come to rest wherever they stand: one question, before a proof over what rest leads to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from netdsl.states.clauses import Clauses, literal_of
from netdsl.states.machine import TURNS, Builder
from netdsl.states.types import Mover

Pair = tuple[Mover, Mover]

#: most movers asked about, and conflicts of the solver after which it is left: turns in any order are many for a few movers more
MOST = 6
CONFLICTS = 2_000
#: conflicts where only the proof over what rest leads to is left, which takes some times as long
LAST_CONFLICTS = 10_000


def settle(builder: Builder, movers: Sequence[Mover]) -> bool:
    """Whether, from any state whatever and while all else stands, `movers` cannot turn one after the other more often than
    `TURNS` allows each. Then no moment goes on for ever, however the circuit came into it. False: not known."""
    return _pulled(builder, movers, (), CONFLICTS) is None


def settle_apart(builder: Builder, movers: Sequence[Mover], are_never: Callable[[Pair], bool]) -> bool:
    """Whether they cannot from any state in which no two of them have pulled that `are_never` both: asked of two at a time, of
    such as have pulled where they turn oftener."""
    apart: list[Pair] = []
    while (pulled := _pulled(builder, movers, apart, LAST_CONFLICTS)) is not None:
        pair = next(filter(are_never, combinations(pulled, 2)), None)
        if pair is None:
            return False
        apart.append(pair)
    return True


def _pulled(builder: Builder, movers: Sequence[Mover], apart: Sequence[Pair], conflicts: int) -> list[Mover] | None:
    """Which of `movers` have pulled where they begin to turn oftener than that, in a state in which no two are that are kept
    `apart`; none where no such state is known. None: there is no such state."""
    if len(movers) > MOST:
        return []
    variables, formulas = builder.variables, builder.variables.formulas
    pending = [builder.pending(mover, builder.partners.get(mover, ())) for mover in movers]
    clauses = Clauses()
    own = [formulas.node_of_variable(variables.number(mover)) for mover in movers]
    held: dict[int, int] = {0: -clauses.true}  # what stands has one literal for all steps
    for number in formulas.signs(formulas.any(pending)):
        held.setdefault(formulas.node_of_variable(number), clauses.fresh())
    now = [clauses.fresh() for _ in movers]
    for n, one in enumerate(movers):
        for m in (m for m, other in enumerate(movers[:n]) if other in builder.partners.get(one, ())):
            clauses.add([-now[n], -now[m]])
    first = dict(zip(movers, now, strict=True))
    for pair in apart:
        clauses.add([-first[mover] for mover in pair])
    for _ in range((TURNS - 1) * len(movers) + 1):
        literal = held | dict(zip(own, now, strict=True))
        for clause in formulas.clauses(pending, literal, clauses.fresh):
            clauses.add(clause)
        turns = [clauses.fresh() for _ in movers]
        clauses.add(turns)
        after = [clauses.fresh() for _ in movers]
        for n, turn in enumerate(turns):
            clauses.add([-turn, literal_of(literal, pending[n])])
            for other in turns[:n]:
                clauses.add([-turn, -other])
            for a, b in ((now[n], after[n]), (-now[n], -after[n])):
                clauses.add([-turn, -a, -b])
                clauses.add([turn, -a, b])
        now = after
    found = clauses.solve_within(conflicts)
    on = clauses.holds(first.values()) if found else ()
    clauses.close()
    return None if found is False else [mover for mover, pulled in zip(movers, on, strict=False) if pulled]
