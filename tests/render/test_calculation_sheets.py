"""The calculation sheets: nothing on them touches, a formula and its values begin lines of their own, units stay with numbers."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from netdsl.calc import calculate
from netdsl.calc.calculation import Calculation
from netdsl.model import read_plant
from netdsl.network import build_network
from render.layout.columns import broken
from render.layout.overlap import overlaps
from render.sheet import Label, Sheet
from render.tables.calculation import calculation_sheets

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANTS = sorted(file.parent for file in EXAMPLES.glob("*/plant.netdsl"))


def computed(folder: Path) -> Calculation:
    """The calculation of the plant in `folder`."""
    plant, _ = read_plant(folder)
    assert plant is not None
    return calculate(build_network(plant)[0])


@cache
def example(folder: Path) -> tuple[Sheet, ...]:
    """The sheets of an example, with their frames."""
    calculation = computed(folder)
    return calculation_sheets(calculation, calculation.results, 1)


def faults(sheets: tuple[Sheet, ...]) -> list[str]:
    return [f"{sheet.key}: {fault}" for sheet in sheets for fault in overlaps(sheet)]


@pytest.mark.parametrize("folder", PLANTS, ids=lambda folder: folder.name)
def test_nothing_touches_on_the_calculation_sheets_of_every_example(folder: Path) -> None:
    sheets = example(folder)
    assert sheets
    assert faults(sheets) == []


def test_nothing_touches_on_small_sheets(tmp_path: Path) -> None:
    text = (EXAMPLES / "two-wire-start" / "plant.netdsl").read_text(encoding="utf-8")
    assert "sheet-size = A3" in text
    (tmp_path / "plant.netdsl").write_text(text.replace("sheet-size = A3", "sheet-size = A4"), encoding="utf-8")
    calculation = computed(tmp_path)
    sheets = calculation_sheets(calculation, calculation.results)
    assert {sheet.size for sheet in sheets} == {"A4"}
    assert faults(sheets) == []


def test_the_values_put_in_begin_a_line_below_the_formula() -> None:
    texts = [part.text for sheet in example(EXAMPLES / "hatchery") for part in sheet.primitives if isinstance(part, Label)]
    formula = texts.index("i_p = kappa · √(2) · I_k")
    assert texts[formula + 1].startswith("= ")
    assert not any(text.startswith(("Ω", "mm²")) for text in texts)


def test_a_number_keeps_its_unit_where_a_line_is_broken() -> None:
    text = "= 0.95 · 400 V / (0.06387 Ω + 0.01596 Ω)"
    for width in range(20, 60):
        lines = broken(text, float(width), united=True)
        assert " ".join(lines) == text
        assert not any(line.startswith(("V", "Ω")) for line in lines)
