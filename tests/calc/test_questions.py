"""Questions of the calculation: found in their rooms, in the order of the sheet, each with the results it announces."""

from __future__ import annotations

import subprocess
import sys

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import answers, sheet_questions
from netdsl.calc.circuit import Circuit
from tests.readings import EXAMPLES, PLANTS, calculation_of

#: a plant with a drive
SMALL = EXAMPLES / "two-wire-start" / "plant.netdsl"


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


def test_a_check_loads_no_simulation() -> None:
    code = (
        "import sys\n"
        "from netdsl.calc import calculate\nfrom netdsl.model import read_plant\nfrom netdsl.network import build_network\n"
        f"plant, _ = read_plant(__import__('pathlib').Path({str(SMALL)!r}))\n"
        "from lint import check\ncheck(build_network(plant)[0])\n"
        "print(*sorted(sys.modules))\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "netdsl.calc.drives.distortion" in found
    assert not {"numpy", "netdsl.calc.drives.rectifier", "netdsl.calc.sheet"} & set(found)
