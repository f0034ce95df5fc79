"""`netdsl verify` and what stands on paper: fingerprints, what a revision changes, and what it leaves alone."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.model import read_plant
from netdsl.network import build_network
from render.build import drawing_set
from render.drawing import Drawing
from render.layout.overlap import overlaps
from render.sheet import Label, Sheet
from render.tables.register import Fingerprints, Sources, register
from render.writers.svg import svg_bytes
from tests.readings import HATCHERY, sheets_of

PLANT = """netdsl 1
project "Ferry" {
  number = "F-1"   status = "for approval"
  revision A 2026-01-05 "first issue"
}
place +P "Panel" kind=cabinet
place +Q "Quay" kind=field
strip -X1 at=+P {
  :1..9 2.5mm2
}
function =RA1 "Ramp" {
  device -S1 push-button at=+P
  device -B1 level-switch at=+Q
  cable -W1 2x1 length=12m {
    BN -X1:1 to -B1:11
    BU -X1:2 to -B1:14
  }
  wire -X1:3 to -S1:13 1mm2 BU length=1m
}
function =HA1 "Hatch" {
  device -S1 push-button at=+P
  device -B1 level-switch at=+Q
  cable -W1 2x1 length=20m {
    BN -X1:5 to -B1:11
    BU -X1:6 to -B1:14
  }
  wire -X1:7 to -S1:13 1mm2 BU length=1m
}
"""
REVISED = PLANT.replace("length=20m", "length=21m").replace(
    '"first issue"\n', '"first issue"\n  revision B 2026-02-07 "longer cable"\n'
)


def plant(folder: Path, text: str) -> Path:
    (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    return folder


@cache
def drawn(folder: Path) -> Drawing:
    read, findings = read_plant(folder)
    assert read is not None
    return Drawing(build_network(read)[0], findings)


def verify(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["verify", *arguments])
    return int(ended.value.code or 0)


def texts(sheet: Sheet) -> list[str]:
    return [part.text for part in sheet.primitives if isinstance(part, Label)]


def printed(sheet: Sheet) -> str:
    """The fingerprint that stands on a sheet, "" where none does."""
    found = [re.match(r"Fingerprint ([0-9a-f]{8})\b", text) for text in texts(sheet)]
    return next((match[1] for match in found if match), "")


def test_every_sheet_but_cover_and_register_says_its_fingerprint_and_its_files() -> None:
    sheets = sheets_of(HATCHERY)
    without = {sheet.kind for sheet in sheets if not printed(sheet)}
    assert without == {"Cover", "Register"}
    marked = [sheet for sheet in sheets if printed(sheet)]
    assert len({printed(sheet) for sheet in marked}) == len(marked)
    assert all(any(", from " in text and ".netdsl" in text for text in texts(sheet)) for sheet in marked)
    assert all("for construction" in texts(sheet) for sheet in sheets)
    assert all(
        any(part.link == "cover-1" for part in sheet.primitives if isinstance(part, Label))
        for sheet in sheets
        if sheet.kind != "Cover"
    )


def test_paper_agrees_with_the_text_it_was_drawn_from(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = plant(tmp_path, PLANT)
    sheets = drawing_set(drawn(folder))
    of_hatch = next(sheet for sheet in sheets if sheet.number == "HA1/T.P" or sheet.key.startswith("terminals-HA1"))
    assert verify(str(folder), printed(of_hatch)) == 0
    said = capsys.readouterr().out
    assert f"sheet {of_hatch.number} agrees" in said and ", from plant.netdsl 2" in said
    whole = drawn(folder).of(Fingerprints).whole
    assert f"Fingerprint of the set {whole}" in " ".join(texts(sheets[0]))
    assert verify(str(folder), f"NETDSL {whole.upper()}") == 0
    assert f"its {len(drawn(folder).of(Fingerprints).sheets)} sheets" in capsys.readouterr().out
    later = tmp_path / "later"
    later.mkdir()
    plant(later, REVISED)
    assert verify(str(later), printed(of_hatch)) == 1
    assert "no sheet of this text agrees" in capsys.readouterr().out
    assert verify(str(later), printed(of_hatch), "--sheet", of_hatch.number) == 1
    assert f"sheet {of_hatch.number} does not agree: this text gives" in capsys.readouterr().out
    assert verify(str(later), whole) == 1
    assert verify(str(later), printed(of_hatch), "--sheet", "Z9") == 1
    assert verify(str(later), "12345") == 2
    assert "`12345` is no fingerprint" in capsys.readouterr().err


def test_a_new_revision_changes_the_sheets_concerned_and_the_cover_alone(tmp_path: Path) -> None:
    sets = []
    for name, text in (("one", PLANT), ("two", REVISED)):
        (tmp_path / name).mkdir()
        sets.append({sheet.key: svg_bytes(sheet) for sheet in drawing_set(drawn(plant(tmp_path / name, text)))})
    before, after = sets
    assert before.keys() == after.keys()
    changed = {key for key in before if before[key] != after[key]}
    assert "cover-1" in changed and any("HA1" in key for key in changed)
    assert not any("RA1" in key for key in changed)
    # a line of text was written above all others: of what the register says that changes the fingerprints alone
    shared = {"terminals-X1", "terminals-at-P", "mounting-P", "wires-1", "cables-1", "register-1"}
    assert {key for key in changed if "HA1" not in key and not key.startswith("cover-")} <= shared


def test_status_comments_and_order_of_statements_leave_fingerprints_alone(tmp_path: Path) -> None:
    prints = []
    text = PLANT.replace("for approval", "as built").replace("function =HA1", "# moved down\n\nfunction =HA1")
    for name, written in (("one", PLANT), ("two", text)):
        (tmp_path / name).mkdir()
        prints.append(drawn(plant(tmp_path / name, written)).of(Fingerprints))
    assert prints[0].whole == prints[1].whole


def test_the_register_says_the_lines_of_each_sheet_and_what_they_declare(tmp_path: Path) -> None:
    drawing = drawn(plant(tmp_path, PLANT))
    rows = {entry.cells[0].text: entry.cells for entry in drawing.of(register).entries}
    of_hatch = [cells for number, cells in rows.items() if number.startswith("HA1/")]
    assert of_hatch and all(cells[3].text.startswith("plant.netdsl 2") and cells[4].text == "=HA1" for cells in of_hatch)
    spans = [re.findall(r"(\d+)\.\.(\d+)", cells[3].text) for cells in rows.values()]
    assert all(int(first) < int(last) for found in spans for first, last in found)  # a single line is said once
    assert all(drawing.of(Sources).of(sheet) for sheet, _ in drawing.of(Fingerprints).sheets if sheet.kind == "Terminal diagram")


def test_a_new_revision_moves_lines_and_changes_nothing_else_of_the_register(tmp_path: Path) -> None:
    """It is a line above all others."""
    registers = []
    for name, text in (
        ("one", PLANT),
        ("two", PLANT.replace('"first issue"\n', '"first issue"\n  revision B 2026-02-07 "same"\n')),
    ):
        (tmp_path / name).mkdir()
        entries = drawn(plant(tmp_path / name, text)).of(register).entries
        registers.append([(*entry.cells[:3], entry.cells[4]) for entry in entries])
    assert registers[0] == registers[1]
    assert "+P to =HA1" in [cells[3].text for cells in registers[0]]


def test_the_cover_reads_well_with_its_code_and_places_to_sign() -> None:
    cover = sheets_of(HATCHERY)[0]
    assert overlaps(cover) == []
    assert {"drawn", "checked", "approved", "responsible engineer"} <= set(texts(cover))
