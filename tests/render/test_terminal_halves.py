"""Terminal drawings on sheets too narrow for both sides of a block: what each half says, and where blocks are parted."""

from __future__ import annotations

import re

from render.drawings.terminal_plan import TerminalPlan
from render.drawings.terminals import terminal_sheets
from tests.readings import small_drawing_of
from tests.render.plants import EXAMPLES, example, texts

BY_NAME = {folder.name: folder for folder in EXAMPLES}


def test_each_half_says_how_its_own_terminals_are_tightened() -> None:
    (sheet,) = [
        sheet for sheet in terminal_sheets(small_drawing_of(BY_NAME["heater-contactor"] / "plant.netdsl")) if "-K2" in sheet.title
    ]
    said = texts(sheet)
    inside, field = (" ".join(said[start:]) for start in (index for index, text in enumerate(said) if text == "=HH1-K2"))
    assert "1, 3, 5: strip 10 mm, tighten 1.7 to 2.5 N m; A1, A2: strip length" in inside
    assert field.split(" Here ")[0].endswith("Strip 10 mm, tighten 1.7 to 2.5 N m.") and "Unused" not in field


def test_closer_rows_keep_a_block_whole_of_which_few_would_go_on() -> None:
    plan = TerminalPlan(small_drawing_of(BY_NAME["reversing"] / "plant.netdsl"))
    pieces = [piece for each in plan.stacks for page in each.stack.pages for piece in page if piece.laid.block.id == "=SG1-K1"]
    assert [(piece.first, piece.last == len(piece.laid.heights)) for piece in pieces] == [(0, True), (0, True)]


def test_each_device_to_which_a_cable_leads_has_its_sheet_behind_it() -> None:
    (sheet,) = [sheet for sheet in terminal_sheets(example(BY_NAME["heater-contactor"])) if sheet.number == "HH1/T.HALL"]
    said = texts(sheet)
    assert re.fullmatch(r"and -XE1 \(T\.MCP(\.\d)?\)", said[said.index("to +MCP -K2 (HH1/T.MCP)") + 1])
