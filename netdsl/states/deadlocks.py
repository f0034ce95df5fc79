"""Coils that no operation ever pulls, because the way to each leads over contacts that only they would close."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.states.clauses import is_possible
from netdsl.states.formulas import FALSE
from netdsl.states.prover import Prover
from netdsl.states.types import Cause, Mover

_DECIDED = (Cause.COIL, Cause.RELEASE, Cause.DELAY)


class Deadlock(NamedTuple):
    """Coils and releases of safety relays that wait for one another, or one that waits for itself."""

    movers: tuple[Mover, ...]


def deadlocks(prover: Prover) -> tuple[Deadlock, ...]:
    """What is never pulled from rest, whatever is operated and in whatever order, though its circuit is closed in some state.
    What waits for one of them and would be pulled without it is not among them.

    What may pull is found from below: nothing that is decided by a coil has pulled; whatever can pull while all but those found
    stay dropped, is found. No state of the plant pulls more."""
    formulas, variables, wants = prover.variables.formulas, prover.variables, prover.wants
    left = {m for m, movement in prover.circuit.movements.items() if movement.cause in _DECIDED and not movement.rest}

    def is_kept(mover: Mover, down: set[Mover]) -> bool:
        return formulas.assuming(wants.of(mover), {variables.number(other): False for other in down}) == FALSE

    left -= {mover for mover in left if wants.of(mover) == FALSE}  # nothing feeds it in any state: another fault
    while moved := {mover for mover in left if not is_kept(mover, left)}:
        left -= moved
    rings = _rings(prover, left) if left else ()
    return tuple(Deadlock(ring) for ring in rings if all(is_kept(mover, set(ring)) for mover in ring))


def contradictions(prover: Prover) -> tuple[Mover, ...]:
    """Coils whose circuit is closed in no state: nothing feeds it, or each way leads through contacts that are never closed
    together, as a make and a break of one button."""
    formulas, wants = prover.variables.formulas, prover.wants
    coils = (m for m, movement in prover.circuit.movements.items() if movement.cause is Cause.COIL)
    return tuple(m for m in coils if not is_possible(formulas, wants.of(m)))


def _rings(prover: Prover, left: set[Mover]) -> list[tuple[Mover, ...]]:
    """Those of `left` that wait for one another, or each for itself, in order."""
    import networkx as nx

    graph = nx.DiGraph()
    for mover in left:
        read = prover.builder.read_by((prover.wants.of(mover),))
        graph.add_edges_from((mover, other) for other in read if other in left)
    found = (tuple(sorted(ring)) for ring in nx.strongly_connected_components(graph))
    return sorted(ring for ring in found if len(ring) > 1 or graph.has_edge(ring[0], ring[0]))
