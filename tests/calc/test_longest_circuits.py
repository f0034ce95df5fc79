"""Longest circuits that are still disconnected in TT and IT systems, of sound plants that are kept for the rules."""

from __future__ import annotations

from math import hypot
from pathlib import Path

import pytest

from netdsl.calc.basis import Result
from netdsl.calc.coordination import LongestCircuits
from tests.readings import calculation_of

PLANTS = Path(__file__).parents[1] / "lint" / "plants"


def longest(plant: str) -> dict[str, Result]:
    return {result.subject: result for result in calculation_of(PLANTS / f"{plant}.netdsl").of(LongestCircuits).results()}


def test_in_a_tt_system_the_electrode_leaves_the_rest_to_the_protective_conductor() -> None:
    """A socket behind 30 mA, which certainly trips at 60 mA in 0.2 s: 50 V / 0.06 A = 833.3 ohm, less 40 ohm of the electrode,
    over 2.5 mm2 of 7.41 ohm/km, 8.866 in service at 70 degrees."""
    found = longest("tt-groups")["-XS1"]
    assert found.value == pytest.approx((50 / 0.06 - 40) / (7.41e-3 * (1 + 0.00393 * 50)), rel=2e-3)
    assert found.beside is not None
    assert found.beside.value == 20


def test_in_an_it_system_it_is_the_loop_of_the_second_fault() -> None:
    """With the cable as long as that the loop is the largest that disconnects it."""
    found = longest("it-230v")["=PP1-M1"]
    by = {given.symbol: given.value for given in found.givens}
    loop = hypot(by["R_0"] + by["r"] * found.value, by["X_0"] + by["x"] * found.value)
    assert loop == pytest.approx(by["Z_max"])
    assert found.source == "IEC 60364-4-41, 411.6.4"


def test_what_lies_on_no_cable_has_none_and_is_nothing_left_out() -> None:
    question = calculation_of(PLANTS / "tt-groups.netdsl").of(LongestCircuits)
    assert "-WB1" not in longest("tt-groups")
    assert question.not_judged() == ()
