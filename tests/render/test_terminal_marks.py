"""Marks of terminal drawings: boxes at their own end, joints of twin ferrules, levels, what is unused, screens where they end."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from render.drawings.terminals import terminal_sheets
from render.layout.overlap import overlaps
from render.sheet import Arc, Circle, Label, Line, Sheet
from tests.readings import EXAMPLES, drawing_of
from tests.render.plants import drawing_in

BOX = """netdsl 1
project "Box" {
}
place +BOX "Box" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V fault-current=6kA earth-fault-current=3kA
device -XE1 earth-bar at=+BOX ways=6
"""
TWIN = """
device -H1 lamp at=+BOX
device -H2 lamp at=+BOX
strip -X1 at=+BOX {
  :1..3 2.5mm2
}
wire -X1:1 to -H1:X1 1mm2 RD
wire -X1:1 to -H2:X1 1mm2 RD
wire -X1:2 to -H1:X2 1mm2 RD
twin -X1:1
"""
PASSED = """
device -Q2 field-isolator at=+HALL
device -XSH screen-bar at=+BOX
device -M1 motor at=+HALL power=4kW current=8A
strip -X1 at=+BOX {
  :1..3 2.5mm2
}
cable -W1 4G2.5 screened length=9m {
  BN     -X1:1 to -Q2:1
  BK     -X1:2 to -Q2:3
  GY     -X1:3 to -Q2:5
  screen -XSH:1 clamp to -Q2:PE1 gland
}
"""


def drawn(folder: Path, text: str) -> list[Sheet]:
    return list(terminal_sheets(drawing_in(folder, BOX + text)))


def of(sheets: list[Sheet], name: str) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label) and part.of == name]


def boxes(sheets: list[Sheet], name: str) -> list[Line]:
    """The boxes to tick of a conductor."""
    return [
        part
        for sheet in sheets
        for part in sheet.primitives
        if isinstance(part, Line) and part.of == name and part.closed and len(part.points) == 4
    ]


def test_boxes_stand_at_the_end_that_they_are_about(tmp_path: Path) -> None:
    sheets = drawn(tmp_path, TWIN)
    (sheet,) = [sheet for sheet in sheets if any(label.text == "-X1" for label in of([sheet], "-X1"))]
    (wire,) = [
        part for part in sheet.primitives if isinstance(part, Line) and part.of == "-X1:2 -- -H1:X2" and part.width == 0.35
    ]
    near = max(x for x, _ in wire.points)  # the strip's inside is left of it
    found = boxes([sheet], "-X1:2 -- -H1:X2")
    assert len(found) == 2 and all(near - 12.0 < x < near for box in found for x, _ in box.points)
    assert "here" in {part.text for part in sheet.primitives if isinstance(part, Label)}


def test_two_conductors_in_one_ferrule_meet_before_one_clamp(tmp_path: Path) -> None:
    (sheet,) = [sheet for sheet in drawn(tmp_path, TWIN) if any(label.text == "-X1" for label in of([sheet], "-X1"))]
    upright = [
        p for p in sheet.primitives if isinstance(p, Line) and p.of.endswith("-H2:X1") and p.points[0][0] == p.points[-1][0]
    ]
    assert len([line for line in upright if len(line.points) == 2]) == 1
    left = min(p.x for p in sheet.primitives if isinstance(p, Circle) and p.of == "-X1:1")
    clamps = [p for p in sheet.primitives if isinstance(p, Circle) and p.of == "-X1:1" and p.x == left]
    assert len(clamps) == 1


def test_levels_of_a_terminal_share_a_box(tmp_path: Path) -> None:
    text = """
strip -X1 at=+BOX {
  :1..2 two-level 2.5mm2
}
wire -X1:1.1 to -X1:2.2 1mm2 RD
"""
    sheets = drawn(tmp_path, text)
    dashed = [p for sheet in sheets for p in sheet.primitives if isinstance(p, Line) and p.of.startswith("-X1:") and p.dash]
    assert len(dashed) == 2


def test_unused_terminals_are_named() -> None:
    sheets = list(terminal_sheets(drawing_of(EXAMPLES / "hatchery" / "plant.netdsl")))
    said = " ".join(label.text for label in of(sheets, "=RP1-T1"))
    assert "Unused: " in said and "RO2" in said


def test_a_screen_is_told_where_it_ends_once(tmp_path: Path) -> None:
    sheets = drawn(tmp_path, PASSED)
    told = [(sheet.title, label.text) for sheet in sheets for label in of([sheet], "-XSH:1") if "clamp" in label.text]
    assert [text for _, text in told if text == "clamp -XSH:1"] == ["clamp -XSH:1"]


def test_a_cable_whose_cores_are_apart_is_told_once_and_rows_stay_of_one_height() -> None:
    sheets = list(terminal_sheets(drawing_of(EXAMPLES / "hatchery" / "plant.netdsl")))
    assert [label.text for label in of(sheets, "=LV1-W2")].count("-W2") == 2  # at the box and at the switch
    assert not any("follows" in label.text for label in of(sheets, "=LV1-W2"))
    rows = [label.y for n in range(1, 8) for label in of(sheets, f"=LV1-X5:{n}") if label.text == str(n)]
    assert len({round(b - a, 3) for a, b in pairwise(rows)}) == 1


COUPLED = """
device -XJ1 plug-6p-sockets at=+BOX
device -XP1 plug-6p-pins at=+HALL
couple -XJ1 -XP1
device -M1 motor at=+HALL power=1.1kW current=2.5A
cable -W1 4G1.5 length=9m {
  BN   -XP1:1  to -M1:U1
  BK   -XP1:2  to -M1:V1
  GNYE -XP1:PE to -M1:PE
}
cable -W2 4G1.5 length=9m {
  BN   -G0:L1 to -XJ1:1
  GNYE -G0:PE to -XJ1:PE
}
"""


def test_a_half_of_a_plug_shows_which_of_them_is_male(tmp_path: Path) -> None:
    sheets = drawn(tmp_path, COUPLED)
    parts = [part for sheet in sheets for part in sheet.primitives if part.of.startswith("-X")]
    assert {part.of for part in parts if isinstance(part, Line) and part.fill} == {"-XP1:1", "-XP1:2", "-XP1:PE"}
    assert {part.of for part in parts if isinstance(part, Arc) and part.end - part.start == 180.0 and ":" in part.of} == {
        "-XJ1:1",
        "-XJ1:PE",
    }
    said = " ".join(label.text for sheet in sheets for label in sheet.primitives if isinstance(label, Label))
    assert "Bar: pin. Half circle: socket." in said
    for sheet in sheets:
        assert overlaps(sheet) == [], sheet.key


def test_a_plant_without_plugs_says_nothing_of_them(tmp_path: Path) -> None:
    said = [label.text for sheet in drawn(tmp_path, TWIN) for label in sheet.primitives if isinstance(label, Label)]
    assert "Half circle" not in " ".join(said)
