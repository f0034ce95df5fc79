"""Coils that act on themselves so that they may never come to rest: a contact that opens its own coil's circuit."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.states.types import Cause, Circuit, Mover
from netdsl.states.ways import Variables, Wants


def restless(circuit: Circuit, wants: Wants, variables: Variables, movers: Iterable[Mover]) -> tuple[Mover, ...]:
    """Of `movers`, those that lie in a ring of undelayed influence with an odd number of opening contacts, and all that such
    a ring acts on. Most of them do come to rest all the same: an interlock held by another contact looks alike."""
    fast = [mover for mover in sorted(movers) if circuit.movements[mover].cause in (Cause.COIL, Cause.RELEASE)]
    acts: dict[Mover, dict[Mover, frozenset[bool]]] = {
        mover: {m: signs for m, signs in signs_in(variables, wants.of(mover)).items() if m in fast} for mover in fast
    }
    odd = {mover for mover in fast if (mover, True) in _reached(acts, mover)}
    found = {mover for mover in fast if mover in odd or any(other in odd for other, _ in _reached(acts, mover))}
    return tuple(mover for mover in fast if mover in found)


_DECIDED = (Cause.COIL, Cause.RELEASE, Cause.DELAY)


def influences(
    wants: Wants, circuit: Circuit, variables: Variables, formula: int, through: tuple[Cause, ...] = _DECIDED
) -> dict[Mover, frozenset[bool]]:
    """Movers that act on a formula, also over the coils between, with whether they help it to hold (False), keep it from holding
    (True), or both. `through`: what else acts by way of."""
    found: dict[Mover, set[bool]] = {}
    open_ = [(mover, sign) for mover, signs in signs_in(variables, formula).items() for sign in signs]
    while open_:
        mover, turned = open_.pop()
        if turned in found.setdefault(mover, set()):
            continue
        found[mover].add(turned)
        if circuit.movements[mover].cause in through:
            acting = signs_in(variables, wants.of(mover))
            open_ += [(other, turned != sign) for other, signs in acting.items() for sign in signs]
    return {mover: frozenset(signs) for mover, signs in found.items()}


def _reached(acts: dict[Mover, dict[Mover, frozenset[bool]]], start: Mover) -> set[tuple[Mover, bool]]:
    """What acts on `start` at first and further hand, with whether it does so the opposite way."""
    found: set[tuple[Mover, bool]] = set()
    open_ = [(start, False)]
    while open_:
        mover, turned = open_.pop()
        for other, signs in acts[mover].items():
            for sign in signs:
                step = (other, turned != sign)
                if step not in found:
                    found.add(step)
                    open_.append(step)
    return found


def signs_in(variables: Variables, formula: int) -> dict[Mover, frozenset[bool]]:
    """Movers in a formula, with whether they occur as they are (False) or turned round (True)."""
    signs = variables.formulas.signs(formula)
    return {named: found for number, found in signs.items() if isinstance(named := variables.named[number], Mover)}
