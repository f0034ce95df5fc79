"""A list of motors as a workbook: read as the same list in text."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from netdsl.starting import NoWorkbook, read_motor_list, text_of, workbook

HEAD = ["designation", "description", "power [kW]", "voltage", "way of running", "cable length", "place"]


def saved(folder: Path, *rows: list[object]) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    path = folder / "motors.xlsx"
    book.save(path)
    return path


def test_a_sheet_is_the_list_that_it_shows(tmp_path: Path) -> None:
    path = saved(
        tmp_path, HEAD, ["P1", "Pump, north", 5.5, "400V", "two-wire", "20m", "Hall"], [], ["P2", None, 4.0, None, "star-delta"]
    )
    text = text_of(path)
    assert text.splitlines()[1] == 'P1,"Pump, north",5.5,400V,two-wire,20m,Hall'
    assert text.splitlines()[3] == "P2,,4,,star-delta,,"  # its line has the number of its row
    motors, findings = read_motor_list(text, "motors.xlsx")
    assert [(motor.designation, motor.description, motor.power_w) for motor in motors] == [
        ("P1", "Pump, north", 5500.0),
        ("P2", "P2", 4000.0),
    ]
    assert [finding for finding in findings if finding.severity == "error"] == []


def test_a_fault_is_told_with_its_row(tmp_path: Path) -> None:
    path = saved(tmp_path, HEAD, [], ["P1", "Pump", "much", "400V", "two-wire", "20m", "Hall"])
    (finding,) = read_motor_list(text_of(path), "motors.xlsx")[1]
    assert (finding.span.begin[0], "much" in finding.message) == (3, True)


def test_what_is_no_workbook_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "motors.xlsx"
    path.write_bytes(b"designation,power\n")
    with pytest.raises(NoWorkbook, match="damaged, or no workbook"):
        text_of(path)
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("other.xml", "<x/>")
    with pytest.raises(NoWorkbook, match="damaged, or no workbook"):
        text_of(path)
    monkeypatch.setattr(workbook, "MAX_ROWS", 3)
    assert text_of(saved(tmp_path, *([["x"]] * 3))) == "x\nx\nx\n"
    with pytest.raises(NoWorkbook, match="more than 3 rows"):
        text_of(saved(tmp_path, *([["x"]] * 4)))
