"""Terminal drawings: every conductor end on its sheet, nothing touching, breaks that name each other, numbers that stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

from netdsl.model import read_plant
from netdsl.network import Network, build_network
from render.build import drawing_set
from render.drawing import Drawing
from render.drawings.terminal_plan import drawn_devices
from render.drawings.terminals import terminal_keys
from render.drawings.terminals import terminal_sheets as draw_terminals
from render.layout.frame import framed
from render.layout.overlap import overlaps, overlaps_of
from render.sheet import Arc, Circle, Label, Line, Sheet
from tests.cases import each_of
from tests.render.plants import EXAMPLES, HATCHERY, example, terminals
from tests.render.random_plants import random_drawing, random_network

HEAD = """netdsl 1
project "Recirculation hall" {
  number = "RH-E-010"
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
place +BOX "Box" kind=box
route TRAY1 kind=tray length=40m
device -XE1 earth-bar at=+MCP ways=10
"""
PUMP = """
function =RP1 "Pump 1" at=+MCP {
  device -T1 vsd-7.5kw
  device -M1 motor at=+HALL power=4kW current=8A winding=400/690V
  connect -M1 delta
  wire -T1:PE to -XE1:3 10mm2 GNYE
  cable -W1 7G2.5 screened length=35m along=TRAY1 spare=insulated "motor cable" {
    1      -T1:U   to -M1:U1
    2      -T1:V   to -M1:V1
    3      -T1:W   to -M1:W1
    GNYE   -T1:PE2 to -M1:PE
    screen -T1:SH clamp to -M1:SH gland
  }
}
"""


def network_of(text: str, folder: Path) -> Network:
    """The network of a plant given as text; the text must be readable."""
    (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None
    assert not [finding.message for finding in findings if finding.severity == "error"]
    return build_network(plant)[0]


def labels(sheet: Sheet) -> list[Label]:
    """The texts of a sheet."""
    return [part for part in sheet.primitives if isinstance(part, Label)]


def texts(sheets: list[Sheet] | Sheet) -> list[str]:
    """What is written on one sheet or several."""
    return [label.text for sheet in (sheets if isinstance(sheets, list) else [sheets]) for label in labels(sheet)]


def terminal_sheets(network: Network) -> list[Sheet]:
    """The terminal drawings of a network."""
    return list(draw_terminals(Drawing(network)))


@cache
def random_sheets(seed: int) -> list[Sheet]:
    """The terminal drawings of the plant of `seed`."""
    return list(draw_terminals(random_drawing(seed)))


def terminal_sheet_keys(network: Network) -> Mapping[str, str]:
    """Key of the sheet of each terminal."""
    return terminal_keys(Drawing(network))


def by_key(sheets: list[Sheet]) -> dict[str, Sheet]:
    """Sheets by key, which must be unique."""
    found = {sheet.key: sheet for sheet in sheets}
    assert len(found) == len(sheets)
    return found


def assert_ends_drawn(network: Network, drawn_sheets: list[Sheet] | None = None) -> None:
    """Each end of each conductor at a drawn device is on that device's sheet, with where it goes and what it is."""
    sheets, drawn = by_key(drawn_sheets or terminal_sheets(network)), set(drawn_devices(network))
    pages: dict[str, list[str]] = {}
    for key, sheet in sheets.items():
        for of in dict.fromkeys(label.of for label in labels(sheet)):
            pages.setdefault(of, []).append(key)
    written = {key: texts(sheet) for key, sheet in sheets.items()}
    joined = {key: "".join(words) for key, words in written.items()}
    for conductor in network.plant.conductors.values():
        for index, end in enumerate(conductor.ends):
            if end.device not in drawn:
                assert not conductor.cable
                continue
            far = conductor.ends[1 - index]
            printed = f"{far.device[far.device.index('-') :] if '-' in far.device else far.device}:{far.terminal}"
            shown = [key for key in pages[end.id] if key in pages[far.id] and printed in joined[key]]
            assert shown, (conductor.id, end.id)
            assert not conductor.cable or any(conductor.core in written[key] for key in shown), (conductor.id, end.id)


@each_of("folder", EXAMPLES)
def test_every_example_puts_every_conductor_end_on_its_drawing(folder: Path) -> None:
    assert_ends_drawn(example(folder).network, list(terminals(folder)))


@pytest.mark.parametrize("seed", range(0, 24, 2))
def test_random_plants_put_every_conductor_end_on_its_drawing(seed: int) -> None:
    assert_ends_drawn(random_network(seed), random_sheets(seed))


@pytest.mark.parametrize("seed", range(24))
def test_no_text_touches_anything_on_random_plants(seed: int) -> None:
    network = random_network(seed)
    assert overlaps_of([framed(sheet, network.plant.project, 1) for sheet in random_sheets(seed)]) == []


def test_every_end_has_two_boxes_to_tick(tmp_path: Path) -> None:
    network = network_of(HEAD + PUMP, tmp_path)
    sheets = by_key(terminal_sheets(network))
    sheet = sheets[terminal_sheet_keys(network)["=RP1-T1:U"]]
    squares = [part for part in sheet.primitives if isinstance(part, Line) and part.closed and part.of == "=RP1-W1 1"]
    assert len(squares) == 2


def test_another_function_leaves_the_sheets_of_the_first_as_they_were(tmp_path: Path) -> None:
    one = by_key(terminal_sheets(network_of(HEAD + PUMP, tmp_path)))
    second = PUMP.replace("RP1", "RP0").replace("XE1:3", "XE1:4")
    two = by_key(terminal_sheets(network_of(HEAD + second + PUMP, tmp_path)))
    assert [key for key in one if "RP1" in key]
    assert all(two[key] == sheet for key, sheet in one.items() if "RP1" in key)


def test_motor_box_shows_its_links_its_screen_and_its_spare_cores(tmp_path: Path) -> None:
    network = network_of(HEAD + PUMP, tmp_path)
    sheets, keys = by_key(terminal_sheets(network)), terminal_sheet_keys(network)
    motor, drive = sheets[keys["=RP1-M1"]], sheets[keys["=RP1-T1:U"]]
    assert "delta" in " ".join(texts(motor))
    assert "U1–W2" in " ".join(texts(motor))
    assert {"gland -M1:SH", "-T1:SH clamp", "-T1:U", "spare, insulated", "4", "5", "6"} <= set(texts(motor))
    assert {"clamp -T1:SH", "-M1:SH gland", "-M1:U1", "-W1", "7G2.5 screened, 35 m", "motor cable"} <= set(texts(drive))
    links = [part for part in motor.primitives if isinstance(part, Circle) and part.fill and part.of.startswith("=RP1-M1")]
    assert len(links) == 6
    assert any(isinstance(part, Arc) and part.dash for part in drive.primitives)


def test_a_screen_that_no_line_mentions_is_drawn_unterminated(tmp_path: Path) -> None:
    text = HEAD + PUMP.replace("    screen -T1:SH clamp to -M1:SH gland\n", "").replace(
        "  wire -T1:PE to -XE1:3 10mm2 GNYE\n", ""
    )
    network = network_of(text, tmp_path)
    sheets, keys = by_key(terminal_sheets(network)), terminal_sheet_keys(network)
    assert texts(sheets[keys["=RP1-T1:U"]]).count("unterminated") == 2


STRIP = """
supply -G0 system=TN-S voltage=400V
device -Q0 switch-disconnector at=+MCP
strip -X0 "Incoming" at=+MCP {
  :L1 :L2 :L3  35mm2
  :N           neutral 35mm2
  :PE          earth 35mm2
}
cable -W0 5G35 length=20m {
  BN   -G0:L1 to -X0:L1
  BK   -G0:L2 to -X0:L2
  GY   -G0:L3 to -X0:L3
  BU   -G0:N  to -X0:N
  GNYE -G0:PE to -X0:PE
}
wire -X0:L1,L2,L3 to -Q0:1,3,5 35mm2 BK
wire -Q0:2 to -X1:1 10mm2 BK
strip -X1 "Field terminals" at=+MCP field=SIDE {
  :1..40  2.5mm2 "run"
  bridge :1..30
}
outside -A1 "Control room" at=+HALL {
  terminal :1..40 plain 0.5..2.5mm2
}
cable -W1 12x1 length=9m {
  1  -X1:2 to -A1:1
  2  -X1:3 to -A1:2
}
"""


def test_terminals_ahead_of_the_main_isolator_are_marked_live(tmp_path: Path) -> None:
    network = network_of(HEAD + STRIP.replace("SIDE", "right"), tmp_path)
    sheets, keys = by_key(terminal_sheets(network)), terminal_sheet_keys(network)
    live = [label.of for sheet in sheets.values() for label in labels(sheet) if label.text == "LIVE"]
    assert sorted(live) == sorted([f"{device}:{pole}" for device in ("-G0", "-X0") for pole in ("L1", "L2", "L3")])
    assert any("LIVE: stays live with -Q0 off." in text for text in [" ".join(texts(sheets[keys["-X0"]]))])


def test_a_contact_fed_from_elsewhere_stays_live_too(tmp_path: Path) -> None:
    foreign = """
outside -A2 "Building control" at=+HALL {
  terminal :1 supply-out 0.5..2.5mm2 voltage=24V dc
  terminal :2 supply-common 0.5..2.5mm2
  source :1 to :2 voltage=24V dc current=1A
}
strip -X7 "From elsewhere" at=+MCP {
  :1..3  2.5mm2
}
cable -W7 2x1.5 length=30m {
  BN -A2:1 to -X7:1
  BU -A2:2 to -X7:2
}
"""
    network = network_of(HEAD + STRIP.replace("SIDE", "right") + foreign, tmp_path)
    live = {label.of for sheet in terminal_sheets(network) for label in labels(sheet) if label.text == "LIVE"}
    assert {"-A2:1", "-X7:1"} <= live
    assert not {"-X7:2", "-X7:3", "-X1:1"} & live


def test_without_a_main_isolator_nothing_is_marked(tmp_path: Path) -> None:
    text = HEAD + STRIP.replace("SIDE", "right").replace("switch-disconnector at=+MCP", "switch-disconnector at=+HALL")
    assert "LIVE" not in texts(terminal_sheets(network_of(text, tmp_path)))


def test_empty_terminals_stay_visible_and_parts_name_each_other(tmp_path: Path) -> None:
    network = network_of(HEAD + STRIP.replace("SIDE", "right"), tmp_path)
    parts = [sheet for sheet in terminal_sheets(network) if any(label.of == f"-X1:{label.text}" for label in labels(sheet))]
    assert len(parts) > 1
    first = int(parts[0].key.removeprefix("terminals-at-MCP."))
    assert [part.key for part in parts] == [f"terminals-at-MCP.{first + n}" for n in range(len(parts))]
    shown = [label.of for part in parts for label in labels(part) if label.of == f"-X1:{label.text}"]
    assert shown == [f"-X1:{n}" for n in range(1, 41)]
    upper, lower = "\n".join(texts(parts[0])), "\n".join(texts(parts[1]))
    assert f"Continues on sheet {parts[1].number}" in upper
    assert f"Continued from sheet {parts[0].number}" in lower
    assert "Bridge 1..30 continues" in upper
    assert "Bridge 1..30 continues" in lower
    assert all("/T" in part.number or part.number.startswith("T") for part in parts)


def test_a_cable_is_not_split_where_a_break_beside_it_is_possible(tmp_path: Path) -> None:
    text = HEAD + STRIP.replace("SIDE", "right").replace("-X1:2 ", "-X1:18 ").replace("-X1:3 ", "-X1:22 ").replace(
        "bridge :1..30", ""
    )
    parts = [sheet for sheet in terminal_sheets(network_of(text, tmp_path)) if sheet.key.startswith("terminals-at-MCP")]
    assert sum("-W1" in texts(part) for part in parts) == 1


def test_the_field_may_lie_left(tmp_path: Path) -> None:
    sides = {}
    for side in ("left", "right"):
        network = network_of(HEAD + STRIP.replace("SIDE", side), tmp_path)
        sheet = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["-X1:2"]]
        number = next(label.x for label in labels(sheet) if label.of == "-X1:2" and label.text == "2")
        sides[side] = next(label.x for label in labels(sheet) if label.text == "-A1:1") > number
    assert sides == {"left": False, "right": True}


def test_two_conductors_at_one_point_give_two_rows_and_say_twin(tmp_path: Path) -> None:
    text = HEAD + STRIP.replace("SIDE", "right") + "wire -X1:38 to -X1:39 to -X1:40 1.5mm2 BU twin\n"
    network = network_of(text, tmp_path)
    sheet = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["-X1:39"]]
    assert texts(sheet).count("twin") == 2
    assert {"-X1:38", "-X1:40"} <= set(texts(sheet))


BOX = """
strip -X9 "Junction box" at=+BOX {
  :1..3  2.5mm2
}
strip -X1 "Panel" at=+MCP {
  :1..3  2.5mm2
}
outside -A1 "Control room" at=+HALL {
  terminal :1..3 plain 0.5..2.5mm2
}
cable -W1 4G1.5 length=9m {
  BN   -X1:1 to -X9:1
  BK   -X1:2 to -X9:2
  GY   -X1:3 to -X9:3
  GNYE -X1:1 to +BOX:PE
}
cable -W2 3x1.5 length=9m {
  BN -X9:1 to -A1:1
  BK -X9:2 to -A1:2
  GY -X9:3 to -A1:3
}
"""


def test_in_a_junction_box_each_cable_is_gathered_once(tmp_path: Path) -> None:
    network = network_of(HEAD + BOX, tmp_path)
    sheets, keys = by_key(terminal_sheets(network)), terminal_sheet_keys(network)
    sheet = sheets[keys["-X9"]]
    arcs = [part.of for part in sheet.primitives if isinstance(part, Arc) and part.y < 130]
    assert sorted(arcs)[:2] == ["-W1", "-W1"]
    assert arcs.count("-W2") == 2


def test_a_device_says_where_it_stands_and_where_its_handle_is(tmp_path: Path) -> None:
    text = """place +BOX.D "Lid" kind=door
device -Q2 switch-disconnector "Pump off" at=+BOX operated-at=+BOX.D
outside -A1 "Control room" at=+HALL {
  terminal :1..3 plain 0.5..2.5mm2
}
cable -W1 3x1.5 length=9m {
  BN -A1:1 to -Q2:1
  BK -A1:2 to -Q2:3
}
"""
    network = network_of(HEAD + text, tmp_path)
    sheet = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["-Q2"]]
    assert [label.text for label in labels(sheet) if label.of == "-Q2"][:2] == ["-Q2", "Pump off, at +BOX, handle on +BOX.D"]
    assert overlaps(framed(sheet, network.plant.project)) == []


def test_a_core_that_lands_on_an_enclosure_is_drawn_at_its_stud(tmp_path: Path) -> None:
    network = network_of(HEAD + BOX, tmp_path)
    keys = terminal_sheet_keys(network)
    sheet = by_key(terminal_sheets(network))[keys["+BOX:PE"]]
    assert any(label.of == "+BOX:PE" for label in labels(sheet))
    assert "GNYE" in texts(sheet)


def test_ends_lead_to_the_sheet_of_their_device() -> None:
    drawing = example(HATCHERY)
    known = {sheet.key for sheet in drawing_set(drawing)}
    links = [(sheet.key, label.link) for sheet in terminal_sheets(drawing.network) for label in labels(sheet) if label.link]
    assert links
    assert all(link in known and link != key for key, link in links)


def test_a_name_that_the_common_part_has_too_is_printed_in_full(tmp_path: Path) -> None:
    text = HEAD + "device -T1 supply-24v at=+MCP\n" + PUMP
    network = network_of(text, tmp_path)
    motor = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["=RP1-M1"]]
    assert "=RP1-T1:U" in texts(motor)
    assert "-T1:U" not in texts(motor)


SHARED = """
strip -X1 "Panel" at=+MCP {
  :1..4  2.5mm2 clamps=2
}
outside -A1 "Control room" at=+HALL {
  terminal :1..4 plain 0.5..2.5mm2
}
wire -X1:1/out to -X1:2/out 1.5mm2 BK
wire -X1:1 to -X1:3 1.5mm2 RD
cable -W1 4x1.5 length=9m {
  BN -X1:1 to -A1:1
  BK -X1:3/in to -A1:3
  GY -X1:2 to -A1:2
}
"""


def column(sheet: Sheet, terminal: str, right: bool) -> list[str]:
    """What lands at a terminal on one side, from the top: the far ends, as they are printed."""
    (number,) = [label for label in labels(sheet) if label.of == terminal and label.text == terminal.partition(":")[2]]
    rows = [label for label in labels(sheet) if label.height == number.height and ":" in label.text]
    beside = [label for label in rows if (label.x > number.x) == right and -2 < label.y - number.y < 20]
    return [label.text for label in sorted(beside, key=lambda label: label.y)]


def test_cores_lie_before_wires_and_each_on_the_side_that_is_named(tmp_path: Path) -> None:
    network = network_of(HEAD + SHARED, tmp_path)
    sheet = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["-X1:1"]]
    assert column(sheet, "-X1:1", True)[:2] == ["-A1:1", "-X1:2"]
    assert column(sheet, "-X1:1", False)[0] == "-X1:3"
    assert "-A1:3" in column(sheet, "-X1:3", False)
    assert "-A1:3" not in column(sheet, "-X1:1", True)


def test_spare_cores_stand_on_the_side_of_most_cores_and_right_where_both_have_as_many(tmp_path: Path) -> None:
    for cores, right in (("out", True), ("in", False)):
        text = f"""
strip -X1 "Panel" at=+MCP {{
  :1..4  2.5mm2
}}
outside -A1 "Control room" at=+HALL {{
  terminal :1..4 plain 0.5..2.5mm2
}}
cable -W1 4x1.5 length=9m {{
  BN -X1:1/out to -A1:1
  BK -X1:2/in  to -A1:2
  GY -X1:3/{cores} to -A1:3
}}
cable -W2 3x1.5 length=9m {{
  BN -X1:4/out to -A1:4
  BK -X1:4/in  to -A1:4
}}
"""
        network = network_of(HEAD + text, tmp_path)
        sheet = by_key(terminal_sheets(network))[terminal_sheet_keys(network)["-X1:1"]]
        number = next(label for label in labels(sheet) if label.of == "-X1:1")
        spares = [label for label in labels(sheet) if label.text == "spare"]
        sides = {label.of: label.x > number.x for label in reversed(spares)}  # those at the strip, which stands first
        assert sides == {"-W1 BU": right, "-W2 GY": True}


def test_other_cores_of_a_cable_name_the_sheet_on_which_they_land() -> None:
    sheets = list(draw_terminals(example(next(folder for folder in EXAMPLES if folder.name == "direct-on-line"))))
    ((said, number),) = [(text, sheet.number) for sheet in sheets for text in texts(sheet) if text.startswith("other cores at ")]
    bar = next(sheet.number for sheet in sheets if "-XE1" in texts(sheet))
    assert said == f"other cores at -XE1 ({bar})" and number != bar


def test_where_few_cores_of_a_cable_land_the_sheet_of_the_others_is_named() -> None:
    sheets = list(draw_terminals(example(next(folder for folder in EXAMPLES if folder.name == "brake-motor-drive"))))
    drive = next(sheet.number for sheet in sheets if "=SR1-T1" in texts(sheet))
    said = " ".join(text for sheet in sheets for text in texts(sheet))  # broken to two lines where there is no room
    assert f"its other cores: see =SR1-T1 ({drive})" in said


def test_links_of_windings_are_asked_for_at_motors_of_three_phases_alone(tmp_path: Path) -> None:
    small = list(draw_terminals(example(next(folder for folder in EXAMPLES if folder.name == "dosing-pump"))))
    assert any("=LD1-M1" in texts(sheet) for sheet in small) and not [text for text in texts(small) if "inding" in text]
    text = """
device -M1 motor "Pump" at=+HALL power=1.5kW current=3.6A
device -Q1 mcb-3p at=+MCP current=10A
cable -W1 4G1.5 length=9m {
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
}
"""
    assert any("Winding links not stated." in said for said in texts(terminal_sheets(network_of(HEAD + text, tmp_path))))


def test_a_sheet_stands_behind_what_a_cable_leads_to_and_not_behind_its_name() -> None:
    sheets = list(draw_terminals(example(next(folder for folder in EXAMPLES if folder.name == "motor-isolator-drive"))))
    said = [text for sheet in sheets for text in texts(sheet)]
    assert {"to the isolator", "to the motor"} <= set(said)
    assert not [text for text in said if re.match(r"to the (isolator|motor) \(", text)]
    assert any(re.fullmatch(r"to \+MCP -T1 \(FB1/T\.MCP\.\d\)", text) for text in said)
