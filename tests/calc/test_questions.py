"""Questions of the calculation: found in their rooms, in the order of the sheet, each with the results it announces."""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import answers, sheet_questions
from netdsl.calc.circuit import Circuit
from tests.readings import PLANTS, calculation_of


@pytest.fixture(scope="module")
def calculations() -> list[Calculation]:
    return [calculation_of(plant) for plant in PLANTS]


def test_each_question_announces_its_results(calculations: list[Calculation]) -> None:
    for calculation in calculations:
        for each in sheet_questions():
            known = {answer.question for answer in each.answers}
            assert {result.question for result in calculation.results_of(each)} <= known, each


def test_no_two_questions_announce_the_same() -> None:
    assert len(answers()) == sum(len(each.answers) for each in sheet_questions())


def test_the_sheet_has_the_questions_in_their_order(calculations: list[Calculation]) -> None:
    order = list(answers())
    whose = {answer.question: number for number, each in enumerate(sheet_questions()) for answer in each.answers}
    assert order == sorted(order, key=whose.__getitem__)
    for calculation in calculations:
        numbers = [whose[result.question] for result in calculation.results]
        assert numbers == sorted(numbers)


def test_a_question_is_asked_once(calculations: list[Calculation]) -> None:
    calculation = calculations[0]
    assert calculation.of(Circuit) is calculation.of(Circuit)
    assert calculation.of(Circuit) is not calculations[1].of(Circuit)
