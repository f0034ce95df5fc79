"""Whether coils that act on themselves come to rest wherever they stand: one question, before a proof over what rest leads to."""

from __future__ import annotations

from collections.abc import Sequence

from netdsl.states.clauses import Clauses, literal_of
from netdsl.states.machine import TURNS, Builder
from netdsl.states.types import Mover

#: most movers asked about, and conflicts of the solver after which it is left: turns in any order are many for a few movers more
MOST = 6
CONFLICTS = 2_000


def settle(builder: Builder, movers: Sequence[Mover]) -> bool:
    """Whether, from any state whatever and while all else stands, `movers` cannot turn one after the other more often than
    `TURNS` allows each. Then no moment goes on for ever, however the circuit came into it. False: not known."""
    if len(movers) > MOST:
        return False
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
    found = clauses.solve_within(CONFLICTS)
    clauses.close()
    return found is False
