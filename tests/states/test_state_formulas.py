"""What formulas say about themselves, held against every assignment of their variables."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from netdsl.states.formulas import Formulas

NAMES = 4
_GATES = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30), st.booleans(), st.booleans()), min_size=1, max_size=8)


@given(_GATES)
def test_what_is_needed_holds_wherever_the_formula_does(gates: list[tuple[int, int, bool, bool]]) -> None:
    formulas = Formulas()
    made = [formulas.variable(number) for number in range(NAMES)]
    for one, other, negated, either in gates:
        parts = made[one % len(made)] ^ negated, made[other % len(made)]
        made.append(formulas.either(*parts) if either else formulas.both(*parts))
    needed = formulas.needed(made[-1])
    for values in product((False, True), repeat=NAMES):
        if formulas.value(made[-1], lambda number, values=values: values[number]):  # type: ignore[misc]
            assert all(values[number] for number in needed)


def test_what_stands_in_every_way_is_needed() -> None:
    formulas = Formulas()
    a, b, c = (formulas.variable(number) for number in range(3))
    assert formulas.needed(formulas.either(formulas.both(a, b), formulas.both(a, c))) == {0}
    assert formulas.needed(formulas.all((a, b, c ^ 1))) == {0, 1}
    assert formulas.needed(formulas.both(a, b) ^ 1) == frozenset()
