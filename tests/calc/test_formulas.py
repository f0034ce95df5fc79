"""A formula computes what it prints, and nothing but arithmetic."""

from __future__ import annotations

from math import inf, pi, sqrt

import pytest
from hypothesis import given, strategies

from netdsl.calc.basis import Given, Said, Words
from netdsl.calc.basis.formulas import Formula, formula
from tests.cases import each_of

NUMBERS = strategies.floats(min_value=0.01, max_value=1e4)


@given(NUMBERS, NUMBERS, NUMBERS)
def test_it_computes_as_a_textbook_reads_it(a: float, b: float, c: float) -> None:
    assert formula("sqrt({R}^2 + {X}^2)")(R=a, X=b) == sqrt(a**2 + b**2)
    assert formula("{a} / 100 * {b}^2 / {c}")(a=a, b=b, c=c) == a / 100 * b**2 / c
    assert formula("min({a}; -{b}; max({c}; 2))")(a=a, b=b, c=c) == min(a, -b, max(c, 2))
    assert formula("2 * pi * {f}")(f=a) == 2 * pi * a


def test_symbols_may_be_words_that_mean_something_elsewhere() -> None:
    assert Formula("{lambda} + {sqrt} + {pi}")(**{"lambda": 1.0, "sqrt": 2.0, "pi": 3.0}) == 6.0
    assert Formula("{b} + {a} + {b}").symbols == ("b", "a")


def test_it_takes_its_values_from_givens_and_leaves_out_those_that_it_does_not_name() -> None:
    values = (Given("I", 2.0, "A"), Given("R", 3.0, "Ω"), Given("S", 50.0, "mm²"), Said("method", "B2"), Given("R", 9.0, "Ω"))
    assert Formula("{I}^2 * {R}").of(values) == 12.0  # of two with one symbol the first
    with pytest.raises(KeyError):
        Formula("{I} * {U}").of(values)
    with pytest.raises(KeyError):
        Formula("{I} * {method}").of(values)


def test_what_is_too_large_for_a_number_is_infinite() -> None:
    assert Formula("sqrt({R}^2 + {X}^2)")(R=1e200, X=1.0) == inf
    assert Formula("{U} / sqrt({R}^2 + 1)")(U=400.0, R=1e200) == 0.0
    assert Formula("{k} * 1e308 * {k}")(k=10.0) == inf


def test_words_have_symbols_as_a_formula_has() -> None:
    assert Words("min({I_d}; |sum of {n} currents|) where {n} > {I_d}").symbols == ("I_d", "n")


def test_the_same_text_is_compiled_once() -> None:
    assert formula("{a} + 1") is formula("{a} + 1")
    assert formula("{a} + 1") == Formula("{a} + 1") != Formula("{a} + 2")


def test_a_sum_may_have_very_many_terms() -> None:
    total = formula(" + ".join(f"{{I_{n}}}" for n in range(5000)))
    assert total.of([Given(f"I_{n}", float(n), "A") for n in range(5000)]) == sum(range(5000))
    assert Formula("{a} + {a} + {b}")(a=1.0, b=2.0) == 4.0
    products = Formula(" + ".join(f"2 * {{P_{n}}} / {{U}} + {{I_{n}}}" for n in range(2500)))
    assert products(**{f"P_{n}": 6.0 for n in range(2500)}, **{f"I_{n}": float(n) for n in range(2500)}, U=3.0) == 10_000 + sum(
        range(2500)
    )


def test_a_sum_inside_a_formula_may_have_very_many_terms() -> None:
    terms, values = " + ".join(f"{{P_{n}}}" for n in range(3000)), {f"P_{n}": float(n) for n in range(3000)}
    assert Formula(f"{{k}} * (({terms} + {{P_v}}) / ({{U}} * ({terms})))")(**values, k=6.0, P_v=sum(range(3000)), U=3.0) == 4.0


@each_of(
    "text",
    [
        "{a} +",
        "a + 1",
        "{a} if {a} else 1",
        "__import__('os')",
        "open('x')",
        "{a}.real",
        "[{a}]",
        "sum of {n} currents",
        "{a} <= {b}",
        "{a}, {b}",
        "{a}: {b}",
        "lambda: {a}",
        "{a}) + (lambda: {b}",
    ],
)
def test_what_is_no_arithmetic_is_no_formula(text: str) -> None:
    with pytest.raises(ValueError, match="no arithmetic"):
        Formula(text)
