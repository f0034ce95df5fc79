"""What keeps poles apart that never meet: a mechanical interlock, the coil circuits, or both together."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.states.induction import Budget, reachable
from netdsl.states.joins import Joins, Question
from netdsl.states.prover import Answer, Prover


def barrier(joins: Joins, question: Question, *, thorough: bool = True) -> str:
    """In words, what a proved question rests on; for a reviewer to see what one fault would take away. Without `thorough`, a
    mechanical interlock that holds by itself is enough of an answer."""
    prover, bad = joins.prover, joins.joined(question)
    pairs = [pair for pair in prover.circuit.interlocked if {mover.device for mover in pair} & set(question.devices)]
    named = ", ".join(f"`{one.device}` and `{other.device}`" for one, other in pairs)
    if not pairs:
        return "the coil circuits keep the contactors apart, no mechanical interlock does"
    if reachable(prover.builder.machine(bad, frozenset()), Budget()) is False:
        held = f"the mechanical interlock of {named} keeps them apart whatever the coils do"
        if not thorough:
            return held
        alone = "so do the coil circuits by themselves" if _by_coils(prover, question) else "the coil circuits alone do not"
        return f"{held}; {alone}"
    if _by_coils(prover, question):
        return f"the coil circuits keep the contactors apart; the mechanical interlock of {named} alone does not"
    return f"the coil circuits and the mechanical interlock of {named} keep the contactors apart together, neither does alone"


def _by_coils(prover: Prover, question: Question) -> bool:
    """Whether the proof holds without any mechanical interlock."""
    bare = Joins(Prover(replace(prover.circuit, interlocked=())))
    same = next(asked for asked in bare.questions() if (asked.drive, asked.pairs) == (question.drive, question.pairs))
    return bare.verdict(same).answer is Answer.NEVER
