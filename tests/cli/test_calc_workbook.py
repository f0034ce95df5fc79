"""`netdsl calc --format xlsx`: numbers are numbers, units stand in the heads, every figure is there, the same bytes twice."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from netdsl.cli.calc_workbook import workbook_bytes
from netdsl.cli.work import connect
from tests.readings import HATCHERY, calculation_of

_NAMES = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
Cell = str | float


def sheets(data: bytes, folder: Path) -> dict[str, list[dict[str, Cell]]]:
    """The rows of each sheet, by the letters of their columns: texts as texts, numbers as numbers."""
    (folder / "book.xlsx").write_bytes(data)
    with zipfile.ZipFile(folder / "book.xlsx") as book:
        shared = ElementTree.fromstring(book.read("xl/sharedStrings.xml"))
        texts = ["".join(part.text or "" for part in item.iter(f"{{{_NAMES['m']}}}t")) for item in shared]
        named = ElementTree.fromstring(book.read("xl/workbook.xml")).findall("m:sheets/m:sheet", _NAMES)
        found: dict[str, list[dict[str, Cell]]] = {}
        for number, sheet in enumerate(named, 1):
            rows = ElementTree.fromstring(book.read(f"xl/worksheets/sheet{number}.xml")).findall("m:sheetData/m:row", _NAMES)
            found[sheet.attrib["name"]] = [dict(_cells(row, texts)) for row in rows]
    return found


def _cells(row: ElementTree.Element, texts: list[str]) -> list[tuple[str, Cell]]:
    cells: list[tuple[str, Cell]] = []
    for cell in row:
        value = cell.find("m:v", _NAMES)
        if value is not None and value.text is not None:
            text = value.text
            cells.append((re.sub(r"\d", "", cell.attrib["r"]), texts[int(text)] if cell.get("t") == "s" else float(text)))
    return cells


def test_every_figure_is_a_number_under_a_head_with_its_unit(tmp_path: Path) -> None:
    calculation = calculation_of(HATCHERY)
    book = sheets(workbook_bytes(calculation, calculation.results), tmp_path)
    for unit in {result.unit for result in calculation.results}:
        head, *rows = book[f"In {unit.replace('/', ' per ')}" if unit else "Plain numbers"]
        assert head["D"] == (f"value [{unit}]" if unit else "value")
        wanted = [result for result in calculation.results if result.unit == unit]
        assert sorted(float(row["D"]) for row in rows) == pytest.approx(sorted(result.value for result in wanted))
        margins = [result.margin_percent for result in wanted if result.margin_percent is not None]
        assert sorted(float(row["G"]) for row in rows if "G" in row) == pytest.approx(sorted(margins), abs=1e-9)


def test_the_circuits_have_numbers_and_the_cautions_stand_first(tmp_path: Path) -> None:
    calculation = calculation_of(HATCHERY)
    book = sheets(workbook_bytes(calculation, calculation.results), tmp_path)
    assert next(iter(book)) == "About"
    assert any("a licensed person checks and signs" in str(row.get("A")) for row in book["About"])
    head, *rows = book["Circuits"]
    pump = next(row for row in rows if row["A"] == "=RP1")
    by_head = {str(head[column]): value for column, value in pump.items()}
    assert by_head["load [A]"] == 15.5 and by_head["Ik max [A]"] == pytest.approx(4289, abs=1)
    assert by_head["voltage drop [%]"] == pytest.approx(0.8789, abs=1e-4)
    assert len(book["Assumptions"]) == 1 + len(calculation.assumptions)


def test_the_same_bytes_twice() -> None:
    made = calculation_of(HATCHERY), connect(HATCHERY).calculation
    one, other = (workbook_bytes(each, each.results) for each in made if each is not None)
    assert made[0] is not made[1] and one == other
