"""Words of connection drawings: which group a common stands in, what closes a contact, what settings govern."""

from __future__ import annotations

from pathlib import Path

from render.drawing import Drawing
from render.drawings.connection_trace import Tracer, steps_of
from render.drawings.connection_words import groups_of, leads_to
from render.words.names import Names
from render.words.purposes import setting_lines
from tests.render.plants import drawing_in

PLANT = """netdsl 1
project "Mill" {
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
part converter "Converter 4 kW, with everything" {
  kind = drive   letter = T
  terminal :L1 line-in
  terminal :U motor-out
  terminal :24V supply-out voltage=24V dc
  terminal :DI1 digital-in common=:COM function=start
  terminal :DI2 digital-in common=:COM function=preset-1,reset
  terminal :COM digital-common
  terminal :AI1 analogue-in common=:ACOM function=speed
  terminal :AO1 analogue-out common=:ACOM
  terminal :DO1 digital-out common=:MIX
  terminal :AI2 analogue-in common=:MIX
  terminal :ACOM analogue-common
  terminal :MIX analogue-common
  terminal :DO2 digital-out common=:MIX2
  terminal :AI3 analogue-in common=:MIX2
  terminal :MIX2 digital-common
  terminal :STO1 safety-in common=:STOC function=safe-torque-off-1
  terminal :STOC digital-common
  terminal :LONE supply-common
  terminal :RC :RB :RA contact "fault"
  changeover :RC to :RB :RA by=fault
  setting ai1 ma volts
  setting delay 1..10s
}
part guard "Guard switch, two contacts" {
  kind = switch   letter = B
  terminal :1 :2 :3 :4 contact
  contact :1 to :2 make early by=handle
  contact :3 to :4 break late by=handle
}
device -T1 converter at=+MCP
device -B1 guard "Lid" at=+HALL
device -B2 guard at=+MCP
device -S1 selector-3 "Mode" at=+MCP
set -T1 ai1=ma
wire -T1:24V to -B1:1 1mm2
wire -B1:2 to -B2:3 1mm2
wire -B2:4 to -S1:13 1mm2
wire -S1:14 to -T1:DI1 1mm2
"""


def mill(folder: Path) -> Drawing:
    return drawing_in(folder, PLANT)


def test_a_common_stands_with_what_is_measured_against_it_where_that_is_one_group(tmp_path: Path) -> None:
    drawing = mill(tmp_path)
    device = drawing.plant.devices["-T1"]
    found = groups_of(drawing, device, Names(drawing.plant, device.function))
    said = [(name, [(point.number, point.purpose, point.settings, point.used) for point in points]) for name, points in found]
    assert said == [
        ("Supply", [("L1", "line in", (), False)]),
        ("Motor", [("U", "motor out", (), False)]),
        (
            "Digital",
            [
                ("24V", "24 V DC", (), True),
                ("DI1", "start", (), True),
                ("DI2", "preset 1 or reset", (), False),
                ("COM", "digital common", (), False),
                ("DO1", "digital out", (), False),
                ("DO2", "digital out", (), False),
                ("MIX2", "digital common", (), False),
                ("LONE", "supply common", (), False),
            ],
        ),
        (
            "Analogue",
            [
                ("AI1", "speed", ("ai1: ma",), False),
                ("AO1", "analogue out", (), False),
                ("AI2", "analogue in", (), False),
                ("ACOM", "analogue common", (), False),
                ("MIX", "analogue common", (), False),
                ("AI3", "analogue in", (), False),
            ],
        ),
        ("Relays", [("RC", "fault, common", (), False), ("RB", "fault, break", (), False), ("RA", "fault, make", (), False)]),
        ("Safety", [("STO1", "safe torque off 1", (), False), ("STOC", "digital common", (), False)]),
    ]


def test_what_closes_each_contact_on_a_way_is_said_in_its_order(tmp_path: Path) -> None:
    drawing = mill(tmp_path)
    (way,), _ = Tracer(drawing.network).ways("-T1", "DI1")
    assert leads_to(drawing.network, list(steps_of(way)), drawing.plant.devices["-T1"]) == (
        "Mode, closed in hand; Guard switch, opens late by handle; Lid at +HALL, closes early by handle"
    )


def test_settings_are_listed_in_the_order_of_the_part(tmp_path: Path) -> None:
    lines = setting_lines(mill(tmp_path).plant.devices["-T1"])
    assert [(line.name, line.value, line.given, line.choice) for line in lines] == [
        ("ai1", "ma", True, "ma, volts"),
        ("delay", "as delivered", False, "1..10 s"),
    ]
