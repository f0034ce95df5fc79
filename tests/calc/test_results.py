"""A result is what its formula gives, and stands to its limit as it says."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from netdsl.calc.basis import Given, Limit, Result, Said, Sense, formula
from tests.cases import each_of

INPUTS = (Given("I", 2.0, "A"), Said("method", "B2"), Given("R", 3.0, "Ω"))


def drop(limit: Limit | None = None) -> Result:
    return Result.worked("drop", "-W1", "-F1", formula("{I} * {R}"), "V", INPUTS, "Ohm's law", limit)


def test_it_is_what_its_formula_gives() -> None:
    found = drop()
    assert (found.key, found.value, found.shown) == ("drop -W1", 6.0, "6 V")
    assert (found.formula_text, found.inserted, found.computed) == ("I · R", "2 A · 3 Ω", True)
    assert found.rests_on == INPUTS and found.givens == (INPUTS[0], INPUTS[2])
    assert not replace(found, formula=formula("{I}")).computed


@each_of(
    ("value", "sense", "kept", "margin"),
    [
        (8.0, Sense.AT_MOST, True, 25.0),
        (5.0, Sense.AT_MOST, False, -20.0),
        (5.0, Sense.AT_LEAST, True, 20.0),
        (8.0, Sense.AT_LEAST, False, -25.0),
        (6.0 / (1 + 0.9e-5), Sense.AT_MOST, True, pytest.approx(0, abs=1e-3)),
        (6.0 / (1 + 1.1e-5), Sense.AT_MOST, False, pytest.approx(0, abs=1e-2)),
        (0.0, Sense.AT_MOST, False, None),
    ],
)
def test_it_is_held_to_its_limit(value: float, sense: Sense, kept: bool, margin: float | None) -> None:
    given = Given("U_max", value, "V")
    found = drop(Limit(value, sense, "largest drop", given))
    assert (found.limit, found.sense, found.limit_words, found.limit_given) == (value, sense, "largest drop", given)
    assert (found.holds, found.margin_percent) == (kept, margin)


@each_of("limit", [None, Limit(1.0, Sense.NONE, "section that is laid")])
def test_what_nothing_limits_holds(limit: Limit | None) -> None:
    """What it stands beside may still be said."""
    found = drop(limit)
    assert (found.limit, found.sense, found.holds, found.margin_percent) == (None, Sense.NONE, True, None)
    assert found.limit_words == ("section that is laid" if limit else "")


def test_values_put_in_keep_brackets_where_a_power_or_a_sign_would_else_be_of_a_part_of_them() -> None:
    inputs = (Given("r", 0.02, "Ω/m"), Given("s", -0.9, ""), Given("k", 3.0, ""))
    for text, said in (
        ("{r}^2 + {k}^2", "(0.02 Ω/m)^2 + 3^2"),
        ("{k} * {s}", "3 · (-0.9)"),
        ("{k} - {s}", "3 - (-0.9)"),
        ("{s}^2 * {k}", "(-0.9)^2 · 3"),
        ("{s} * {k}", "-0.9 · 3"),
    ):
        assert Result.worked("drop", "-W1", "-F1", formula(text), "V", inputs, "").inserted == said
