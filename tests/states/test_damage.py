"""Pumps handed from drive to mains: each interlock, contact or wire taken away gives a sequence, or a reason why not."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from msgspec.structs import replace

from netdsl.network import build_network
from netdsl.states import Answer, Circuit, Joins, Prover, Verdict, circuit_of
from netdsl.states.barriers import barrier
from netdsl.states.told import movements, operations
from netdsl.states.types import Closed
from tests.states.changed_examples import changed

#: damage after which a sequence leads to the mains on the drive's output; with all else the plant is still sound
UNSOUND: dict[str, set[str]] = {
    "mains-bypass": {"without the interlock of =OB1-K1 and =OB1-K2"},
    "alternating-pumps": set(),
    "fixed-lead-pumps": set(),
}


def damaged(circuit: Circuit) -> Iterator[tuple[str, Circuit]]:
    """The circuit with one thing taken away: an interlock, a contact (bridged, or always open), a wire."""
    for pair in circuit.interlocked:
        left = tuple(other for other in circuit.interlocked if other != pair)
        yield f"without the interlock of {pair[0].device} and {pair[1].device}", replace(circuit, interlocked=left)
    for number, edge in enumerate(circuit.edges):
        if edge.path is None or edge.path.kind not in ("make", "break"):
            continue
        for word, closed in (("bridged", Closed((), on=False)), ("open", Closed(()))):
            edges = (*circuit.edges[:number], edge._replace(closed=closed), *circuit.edges[number + 1 :])
            yield f"{' to '.join(edge.nodes)} {word}", replace(circuit, edges=edges)
    plant = circuit.network.plant
    for name, conductor in plant.conductors.items():
        if circuit.network.runs[name].klass.value in ("control", "safety"):
            conductors = {other: found for other, found in plant.conductors.items() if other != name}
            yield f"without wire {conductor.id}", circuit_of(build_network(replace(plant, conductors=conductors))[0])


def explained(circuit: Circuit, verdict: Verdict, joins: Joins) -> str:
    """The sequence, or the reason, in words."""
    if verdict.answer is Answer.REACHED:
        return "; ".join(f"{operations(circuit, s.given)}: {movements(circuit, s.moved)}" for s in verdict.stages)
    return barrier(joins, verdict.question, thorough=False)


@pytest.mark.parametrize("example", UNSOUND)
def test_each_thing_taken_away_gives_a_sequence_or_a_reason(example: str) -> None:
    unsound, count = set(), 0
    for what, circuit in damaged(circuit_of(changed(example))):
        joins = Joins(Prover(circuit))
        for question in joins.questions():
            verdict = joins.verdict(question)
            assert verdict.answer is not Answer.NOT_PROVED, (what, verdict.reason)
            if verdict.answer is Answer.REACHED:
                unsound.add(what)
                assert verdict.stages and verdict.way
            assert explained(circuit, verdict, joins), what
        count += 1
    assert count > 40
    assert unsound == UNSOUND[example]


def test_the_reason_names_what_holds() -> None:
    joins = Joins(Prover(circuit_of(changed("mains-bypass"))))
    (question,) = joins.questions()
    assert barrier(joins, question) == (
        "the mechanical interlock of `=OB1-K1` and `=OB1-K2` keeps them apart whatever the coils do; "
        "the coil circuits alone do not"
    )


def test_two_things_taken_away_are_told() -> None:
    """Without the mechanical interlocks each further fault that matters has its sequence."""
    base = replace(circuit_of(changed("alternating-pumps")), interlocked=())
    told = {}
    for contact in ("=BP1-K5:15 to =BP1-K5:18", "=BP1-K3:11 to =BP1-K3:14", "=BP2-K4:41 to =BP2-K4:42"):
        circuit = next(made for what, made in damaged(base) if what == f"{contact} bridged")
        joins = Joins(Prover(circuit))
        for question in joins.questions():
            verdict = joins.verdict(question)
            assert verdict.answer is Answer.REACHED and verdict.in_a_moment
            told[contact] = explained(circuit, verdict, joins)
    assert len(told) == 3
    assert all("pulls" in sequence for sequence in told.values())
