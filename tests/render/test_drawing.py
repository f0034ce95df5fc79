"""What drawings ask of a Drawing, and how they are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.calc import calculate
from netdsl.findings import Finding, Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from render.build import drawing_set
from render.drawing import Drawing, in_set, members
from render.sheet import Sheet
from tests.render.hand_built import HERE, hall

EXAMPLE = Path(__file__).parents[2] / "examples" / "direct-on-line"


@pytest.fixture(scope="module")
def drawing() -> Drawing:
    plant, _ = read_plant(EXAMPLE)
    assert plant is not None
    return Drawing(build_network(plant)[0])


def test_the_set_is_found_in_its_order() -> None:
    """Others may join it."""
    order = [member.draw.__name__ for member in members()]
    known = ["single_line_sheets", "circuit_sheets", "device_sheets", "terminal_sheets", "wire_sheets", "cable_sheets"]
    assert [name for name in order if name in known] == known


def test_no_two_drawings_stand_at_one_place() -> None:
    def second(_drawing: Drawing) -> list[Sheet]:
        return []

    with pytest.raises(ValueError, match="place 400"):
        in_set(400)(second)


def test_what_is_planned_is_planned_once(drawing: Drawing) -> None:
    made: list[Drawing] = []

    def plan(of: Drawing) -> int:
        made.append(of)
        return len(made)

    assert (drawing.of(plan), drawing.of(plan)) == (1, 1)
    assert made == [drawing]


def test_the_calculation_of_the_check_is_used_where_it_is_handed_over() -> None:
    network = hall()
    calculation = calculate(network)
    assert Drawing(network, (), calculation).calculation is calculation
    own = Drawing(network)
    assert own.calculation is own.calculation
    assert own.calculation.network is network


def test_errors_are_counted_without_what_is_allowed() -> None:
    error = Finding("earth-missing", Severity.ERROR, "no path", "add a wire", HERE)
    note = Finding("spare", Severity.NOTE, "a spare core", "mark it", HERE)
    assert Drawing(hall(), (error, error.allow("reviewed"), note)).errors == 1


def test_a_terminal_leads_to_the_sheet_that_shows_it_and_a_device_to_its_first(drawing: Drawing) -> None:
    shown = {sheet.key: {part.of for part in sheet.primitives} for sheet in drawing_set(drawing)}
    assert "=TD1-M1:U1" in shown[drawing.key_of("=TD1-M1:U1")]
    assert "=TD1-M1" in shown[drawing.key_of("=TD1-M1")]
    assert drawing.key_of("=TD1-M1") == drawing.key_of("=TD1-M1:not-drawn") != drawing.key_of("=TD1-M1:U1")
    assert drawing.key_of("-Q99") == drawing.key_of("-Q99:1") == ""


def test_sheets_say_what_they_are_part_of(drawing: Drawing) -> None:
    assert drawing.part_of("=TD1", "+MCP") == f"=TD1 {drawing.plant.functions['=TD1'].title}"
    assert drawing.part_of("", "+MCP") == f"+MCP {drawing.plant.places['+MCP'].title}"
    assert drawing.part_of("", "") == ""
