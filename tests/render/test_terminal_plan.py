"""Which terminal drawings a plant has: what is drawn, which blocks share a sheet, in which order, under which names."""

from __future__ import annotations

from pathlib import Path

from render.drawings.terminal_plan import TerminalPlan, drawn_devices, remarks
from render.layout.fonts import Box
from render.words.remarks import CAUTION, MARKS
from tests.render.plants import drawing_in

PLANT = """netdsl 1
project "Stirrer" {
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
place +TANK "Tank" kind=box enclosure=steel
supply -G0 "Mains" system=TN-S voltage=400V
device -XE1 earth-bar at=+MCP ways=6
strip -X1 at=+MCP {
  :1..11 2.5mm2
}
strip -X2 at=+MCP {
  :1..10 2.5mm2
}
strip -X3 at=+MCP {
  :1 2.5mm2
}
cable -W0 3G2.5 {
  BN -G0:L1 to -X1:1
  BU -G0:N to -X1:2
  GNYE -G0:PE to +TANK:PE
}
function =P1 "Stirrer" {
  device -H1 lamp at=+HALL
  strip -X9 at=+HALL {
    :1..11 2.5mm2
  }
  wire -X1:11 to -X9:11 2.5mm2
  cable -W1 2x1 {
    BN -X2:1 to -H1:X1
    BU -X3:1 to -H1:X2
  }
}
"""


def test_strips_and_what_cables_land_on_are_drawn_and_places_last(tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, PLANT)
    assert drawn_devices(drawing.network) == ["-G0", "-X1", "-X2", "-X3", "=P1-H1", "=P1-X9", "+TANK"]
    plan = TerminalPlan(drawing)
    assert [(each.key, each.number, each.titles, each.function, each.place) for each in plan.stacks] == [
        ("terminals-at-MCP", "T.MCP", ("Terminals -G0, -X1", "Terminals -X2, -X3"), "", "+MCP"),
        ("terminals-at-TANK", "T.TANK", ("Terminals +TANK",), "", "+TANK"),
        ("terminals-P1-at-HALL", "P1/T.HALL", ("Terminals -H1, -X9",), "=P1", "+HALL"),
    ]
    blocks = [[[piece.laid.block.id for piece in page] for page in each.stack.pages] for each in plan.stacks]
    assert blocks == [[["-G0", "-X1"], ["-X2", "-X3"]], [["+TANK"]], [["=P1-H1", "=P1-X9"]]]
    assert [each.part(0) for each in plan.stacks] == [".1", "", ""]
    names = ("-X1", "-X1:11", "-X2:1", "-X3", "=P1-H1", "=P1-X9:11", "+TANK:PE")
    sheets = ("at-MCP.1", "at-MCP.1", "at-MCP.2", "at-MCP.2", "P1-at-HALL", "P1-at-HALL", "at-TANK")
    assert [plan.keys[name] for name in names] == [f"terminals-{sheet}" for sheet in sheets]


def test_what_stays_live_is_said_before_the_caution() -> None:
    area = Box(0, 0, 2000, 20)
    signs = (
        "Boxes: this end wired, checked. Joint: one ferrule. Ring: one cable, dashed: screened, below it both ends of the screen."
        " Below a wire or in brackets: sheet of the other end."
    )

    def said(function: str, isolators: tuple[str, ...]) -> list[str]:
        words, caution = remarks(function, isolators, ("a shade",), False, area).lines
        assert caution == CAUTION
        return words.removeprefix(f"{signs} {MARKS} a shade").strip().split(". ")

    scope = "A name without = belongs to =P1, or to the common part where =P1 has none of that name"
    assert said("", ()) == [""]
    assert said("=P1", ()) == [f"{scope}."]
    assert said("", ("-Q0",)) == ["LIVE: stays live with -Q0 off."]
    assert said("=P1", ("-Q0", "-F1")) == [scope, "LIVE: stays live with -Q0, -F1 off."]
