"""Partitions and end plates of a strip: where they stand, and that they are counted."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from netdsl.findings import Source
from netdsl.network import build_network
from netdsl.syntax import format_text
from render.drawing import Drawing
from render.tables.strips import strip_pieces

STRIP = """\
place +BOX "Box" kind=box material=plastic
strip -X1 at=+BOX {
  :1..2      2.5mm2
  partition  "24 V and 230 V"
  :3..4      2.5mm2
  end-plate
  :5         2.5mm2
  partition
  bridge :1..2
}
"""


def test_plates_stand_behind_the_terminal_before_them(tmp_path: Path) -> None:
    pieces = sound(tmp_path, STRIP).devices["-X1"].pieces
    assert [(piece.kind, piece.behind, piece.text) for piece in pieces] == [
        ("partition", "2", "24 V and 230 V"),
        ("end-plate", "4", ""),
        ("partition", "5", ""),
    ]


def test_plates_are_counted(tmp_path: Path) -> None:
    plant = sound(tmp_path, STRIP)
    rows = [
        [cell.text for cell in entry.cells]
        for entry in strip_pieces(Drawing(build_network(plant)[0], (), None)).entries
        if entry.cells
    ]
    told = {row[2]: (row[0], row[3]) for row in rows if "plate" in row[2]}
    assert told == {
        "end plate for feed-through 2.5 mm²": ("2", "behind 5, 4"),
        "partition plate": ("2", "behind 2, 5"),
    }


def test_a_plate_takes_a_text_alone(tmp_path: Path) -> None:
    _, findings = read(tmp_path, STRIP.replace("end-plate\n", "end-plate 2.5mm2\n"))
    assert [finding.rule for finding in findings] == ["unknown-word"]


def test_plates_have_one_form() -> None:
    text = "netdsl 1\n" + STRIP
    assert format_text(Source("plant.netdsl", text)) == format_text(
        Source("plant.netdsl", text.replace("  partition", "partition "))
    )
