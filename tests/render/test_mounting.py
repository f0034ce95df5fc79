"""Mounting drawings: everything in an enclosure is there, nothing covers anything, stated positions hold, little moves."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from pathlib import Path

import pytest
from msgspec.structs import replace

from render.drawing import Drawing, members
from render.drawings.mounted import enclosures
from render.drawings.mounting import mounting_sheets
from render.drawings.mounting_bodies import Body, Zone, inside_body, is_mounted
from render.drawings.mounting_doors import door_layout
from render.drawings.mounting_layout import Layout, layout
from render.layout.fonts import Box, text_width
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.layout.views import Mark, View, labels_along, pack, table
from render.sheet import DESIGNATION, Circle, Label, Line, Sheet
from tests.cases import each_of
from tests.readings import EXAMPLES, PLANTS, drawing_of, drawn_by, network_of, sized, small_drawing_of
from tests.render.hand_built import Workshop
from tests.render.plants import drawing_in
from tests.render.test_fullness import used

PANEL = """netdsl 1
project "Panel" {{
  sheet-size = {size}
}}
place +MCP "Panel" kind=cabinet size=600x1200x300mm
place +MCP.D "Door" kind=door
device -Q1 motor-breaker-10a at=+MCP {q1}
device -K1 contactor-9a at=+MCP
device -T1 vsd-4kw at=+MCP
strip -X1 at=+MCP {{
  :1..10 2.5mm2
}}
device -S1 push-button-start "Start" at=+MCP.D {s1}
device -S2 push-button-stop "Stop" at=+MCP.D
"""


def panel(folder: Path, size: str = "A3", q1: str = "", s1: str = "") -> Drawing:
    return drawing_in(folder, PANEL.format(size=size, q1=q1, s1=s1))


def mounted(drawing: Drawing) -> tuple[Sheet, ...]:
    """The mounting drawings of an example."""
    return drawn_by(mounting_sheets, drawing)


def texts(sheets: Sequence[Sheet]) -> list[str]:
    return [part.text for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


@each_of("plant", PLANTS)
def test_every_device_of_an_enclosure_is_named_on_its_sheets(plant: Path) -> None:
    drawing = drawing_of(plant)
    sheets = mounted(drawing)
    named = {label.of for sheet in sheets for label in sheet.primitives if isinstance(label, Label)}
    said = " ".join(texts(sheets))
    assert "NOT ENOUGH ROOM" not in said
    places = drawing.plant.places
    for device in drawing.plant.devices.values():
        if is_mounted(device) and device.place in places and places[device.place].enclosure:
            assert device.id in named or device.id in said, device.id


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_nothing_touches(tmp_path: Path, size: str) -> None:
    drawing = panel(tmp_path, size, q1="position=100x100mm", s1="position=120x180mm")
    assert [fault for sheet in mounting_sheets(drawing) for fault in overlaps(framed(sheet, drawing.plant.project))] == []


def bodies(seed: int, count: int) -> list[Body]:
    """Bodies by chance, of several functions in order, some with room to be kept free."""
    chance = random.Random(seed)
    shop = Workshop()
    made = []
    for number in range(count):
        device = shop.devices[shop.device(f"=F{number // 4}-K{number}", "contactor")]
        width, height = chance.choice([(18, 90), (45, 85), (75, 185), (130, 260), (250, 60)])
        above = chance.choice([0.0, 0.0, 50.0, 100.0])
        made.append(Body(device, width, height, 75.0, Zone(chance.randrange(4)), above=above, below=above))
    return made


def meeting(made: Layout) -> list[tuple[str, str]]:
    """Bodies that cover each other or reach over the plate."""
    found = []
    for number, one in enumerate(made.placed):
        box = one.box
        if not (box.left >= made.plate.left and box.right <= made.plate.right and box.bottom <= made.plate.bottom):
            found.append((one.body.device.id, "plate"))
        for other in made.placed[number + 1 :]:
            beside = box.right <= other.x + 0.1 or other.box.right <= box.left + 0.1
            over = box.bottom <= other.y + 0.1 or other.box.bottom <= box.top + 0.1
            if not (beside or over):
                found.append((one.body.device.id, other.body.device.id))
    return found


@each_of("seed", range(12))
def test_found_places_cover_nothing_and_keep_the_room_above_and_below(seed: int) -> None:
    made = layout(bodies(seed, 5 + 4 * seed), None)
    assert made.left_over == [] and meeting(made) == []
    for one in made.placed:
        for other in made.placed:
            if one is not other and one.x < other.box.right and other.x < one.box.right and one.box.bottom <= other.y:
                assert other.y - one.box.bottom >= max(one.body.below, other.body.above) - 0.1


def test_power_is_above_control_and_terminals_below() -> None:
    made = layout(bodies(3, 30), None)
    heights = {zone: [p.y for p in made.placed if p.body.zone == zone] for zone in (0, 1, 2, 3)}
    assert max(heights[0]) < min(heights[1]) and max(heights[1]) < min(heights[2]) and max(heights[2]) < min(heights[3])


def test_a_function_more_moves_nothing_and_a_device_more_only_what_stands_right_of_it_in_its_zone() -> None:
    before = bodies(5, 24)
    size = (1200.0, 2000.0)

    def places(of: list[Body]) -> dict[str, tuple[float, float]]:
        return {p.body.device.id: (p.x, p.y) for p in layout(of, size).placed}

    old = places(before)
    more = Workshop()
    added = replace(
        before[0], device=more.devices[more.device("=Z9-K1", "contactor")], zone=Zone.TERMINALS, width=20.0, height=60.0
    )
    low = replace(added, above=0.0, below=0.0)
    assert {name: at for name, at in places([*before, low]).items() if name != "=Z9-K1"} == old
    small = replace(low, device=more.devices[more.device("=F0-K99", "contactor")], zone=before[1].zone)
    moved = [name for name, at in places([*before[:2], small, *before[2:]]).items() if name in old and old[name] != at]
    assert all(next(b for b in before if b.device.id == name).zone == before[1].zone for name in moved)


def test_what_states_its_position_stands_there_and_the_rows_give_way() -> None:
    first, *others = bodies(5, 20)
    found = layout([first, *others], (1200.0, 2000.0)).placed
    taken = next(p for p in found if p.body is not first and p.body.zone == Zone.POWER)
    stated = replace(first, at=(taken.x, taken.y), width=45.0, height=85.0)
    made = layout([stated, *others], (1200.0, 2000.0))
    there = next(p for p in made.placed if p.body is stated)
    assert (there.x, there.y, there.row) == (taken.x, taken.y, 0)
    assert [pair for pair in meeting(made) if "plate" not in pair] == []


def test_a_stated_row_is_that_from_above_and_found_ones_take_the_numbers_between() -> None:
    first, *others = bodies(5, 20)
    second = replace(first, row=2)
    made = layout([second, *others], (1200.0, 2000.0))
    rows = {p.body.device.id: p.row for p in made.placed}
    assert rows[first.device.id] == 2
    assert [name for name, row in rows.items() if row == 2] == [first.device.id] and 1 in rows.values() and 3 in rows.values()
    assert made.left_over == [] and meeting(made) == []


def test_what_stands_beside_a_drive_has_a_rail_that_begins_behind_it_and_a_drive_alone_has_none() -> None:
    first, second, *_ = bodies(5, 20)
    drive, breaker = replace(first, zone=Zone.HEAT, row=1), replace(second, zone=Zone.POWER, row=1)
    made = layout([drive, breaker], (1200.0, 2000.0))
    ((row,), (screwed, clipped)) = made.rows, sorted(made.placed, key=lambda placed: placed.x)
    assert (screwed.body, clipped.body) == (drive, breaker)
    assert row.rail and screwed.box.right <= row.left <= clipped.x and clipped.box.right <= row.right
    assert [row.rail for row in layout([drive], (1200.0, 2000.0)).rows] == [False]


@each_of("seed", range(4))
def test_on_stated_rails_everything_stands_with_its_middle_on_one_and_covers_nothing(seed: int) -> None:
    rails = (250.0, 700.0, 1100.0, 1400.0, 1700.0)
    first, *others = bodies(seed, 16)
    made = layout([replace(first, row=3), *others], (2400.0, 2000.0), rails)
    assert made.left_over == [] and [pair for pair in meeting(made) if "plate" not in pair] == []
    assert {p.y + p.body.height / 2 for p in made.placed} <= set(rails) and [row.y for row in made.rows] == list(rails)
    assert next(p.row for p in made.placed if p.body.device.id == first.device.id) == 3
    lowest = {p.row for p in made.placed if p.body.zone == Zone.TERMINALS}
    assert not lowest or max(lowest) == len(rails)
    missing = layout([replace(first, row=6), *others], (2400.0, 2000.0), rails)
    assert [body.device.id for body in missing.left_over] == [first.device.id]


def test_fixing_holes_and_stated_cut_outs_are_listed(tmp_path: Path) -> None:
    drawing = panel(tmp_path, s1="cutout=30.5mm")
    words = texts(list(mounting_sheets(drawing)))
    assert "ø 30.5" in words and "ø 22.5" in words and not any("usual)" in text for text in words)
    at = words.index("Fixing holes in +MCP")
    assert words[at + 1 : at + 5] == ["Designation", "hole", "x", "y"]
    holes = [words[start : start + 4] for start in range(at + 5, at + 21, 4)]
    body = drawing.plant.devices["-T1"].ratings.quantity("fixing")
    assert body is not None and {hole[0] for hole in holes} == {"-T1"} and {hole[1] for hole in holes} == {"ø 5.5"}
    across, down = (1000 * value for value in body.values)
    assert float(holes[1][2]) - float(holes[0][2]) == pytest.approx(across, abs=1)
    assert float(holes[2][3]) - float(holes[0][3]) == pytest.approx(down, abs=1)


def test_a_rotary_handle_in_a_door_has_no_hole_of_a_push_button(tmp_path: Path) -> None:
    for q0, word in (("", "see its handle"), (" cutout=30mm", "ø 30")):
        text = f'device -Q0 switch-disconnector "Main" at=+MCP operated-at=+MCP.D current=25A{q0}\n'
        drawing = drawing_in(tmp_path, PANEL.format(size="A3", q1="", s1="") + text)
        sheets = list(mounting_sheets(drawing))
        words = texts(sheets)
        at = max(number for number, said in enumerate(words) if said == "-Q0")
        assert words[at + 2] == word
        rounds = [part for sheet in sheets for part in sheet.primitives if isinstance(part, Circle) and part.of == "-Q0"]
        assert len(rounds) == (word != "see its handle")


@each_of("size", ["A3", "A4"])
@each_of("plant", PLANTS)
def test_the_rows_of_an_enclosure_are_met_from_above_and_its_glands_stand_side_by_side(plant: Path, size: str) -> None:
    own = drawing_of(plant)
    drawing = own if own.size == size else small_drawing_of(plant)
    assert drawing.size == size
    sheets = list(drawing.drawn(next(member for member in members() if member.draw is mounting_sheets)))
    met: dict[str, list[int]] = {}
    for sheet in sheets:
        heads = [part for part in sheet.primitives if isinstance(part, Label) and re.match(r"\S+ row \d+, ", part.text)]
        places: dict[str, list[tuple[int, float, float]]] = {}
        for head in heads:
            name, _, number = head.text.split()[:3]
            places.setdefault(name, []).append((int(number.rstrip(",")), head.x, head.y))
        for name, rows in places.items():
            rows.sort()
            for at, (_, x, y) in enumerate(rows[1:], start=1):  # below the one before, or right of all before
                assert y > rows[at - 1][2] or all(x > before for _, before, _ in rows[:at])
            met.setdefault(name, []).extend(number for number, _, _ in rows)
    assert all(rows == sorted(rows) for rows in met.values())
    further = [said for said in texts(sheets) if said.endswith(", further cables")]
    assert len(further) < 3


def test_a_table_says_all_in_more_lines_where_columns_have_no_room_and_leaves_out_those_that_say_nothing() -> None:
    rows = [("-W1", "a type of many words that is longer than the room", "", "+FIELD, -M1"), ("-W2", "short", "", "+HALL")]
    (view,) = table("Cables", ("Cable", "type", "entry", "leads to"), rows, 100.0, lambda name: f"to {name}", 80.0)
    said = [(part.text, round(part.y, 1)) for part in view.parts if isinstance(part, Label)]
    assert [text for text, _ in said[:3]] == ["Cable", "type", "leads to"]
    assert " ".join(text for text, _ in said[4:-4]) == rows[0][1]
    heights, broken = dict(said), [y for _, y in said[4:-4]]
    assert len(broken) > 1 and heights["-W1"] == broken[0] == heights["+FIELD, -M1"] and heights["-W2"] > broken[-1]
    assert view.width <= 80.0 and max(y for _, y in said) < view.height
    links = {part.text: part.link for part in view.parts if isinstance(part, Label)}
    assert links["-W1"] == "to -W1" and not links["short"]
    parts = table("Cables", ("Cable", "type"), [(f"-W{n}", "x") for n in range(20)], 50.0, lambda _: "", 80.0)
    assert [part.title for part in parts] == ["Cables", *["Cables, continued"] * (len(parts) - 1)] and len(parts) > 1
    assert all(part.height <= 50.0 for part in parts)
    assert [label.text for part in parts for label in part.parts if isinstance(label, Label) and label.text[0] == "-"] == [
        f"-W{n}" for n in range(20)
    ]
    assert table("Cables", ("Cable",), [], 50.0, lambda _: "", 80.0) == []


def test_views_of_a_series_are_met_in_their_order_and_others_fill_what_is_left() -> None:
    area = Box(0.0, 0.0, 100.0, 100.0)
    sizes = [(90.0, 30.0), (40.0, 60.0), (90.0, 40.0), (20.0, 10.0)]
    series = [View(f"row {n}", *size, series="+A") for n, size in enumerate(sizes)]
    pages = pack([*series, View("table", 45.0, 50.0)], area)
    met = [view.title for page in pages for view, x, y in sorted(page, key=lambda held: (held[2], held[1])) if view.series]
    assert met == [f"row {n}" for n in range(4)]
    assert len(pages) == 2
    assert [view.title for page in pages for view, _, _ in page].count("table") == 1


def test_what_finds_no_room_is_told(tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, PANEL.format(size="A3", q1="", s1="").replace("600x1200x300mm", "300x300x200mm"))
    assert "NOT ENOUGH ROOM: " in " ".join(texts(list(mounting_sheets(drawing))))


def test_a_part_without_a_size_says_so_and_has_a_broken_outline(tmp_path: Path) -> None:
    drawing = panel(tmp_path)
    assert inside_body(drawing.plant.devices["-T1"]).stated and not inside_body(drawing.plant.devices["-X1"]).stated
    (sheet,) = mounting_sheets(drawing)
    outlines = {p.of: p.dash for p in sheet.primitives if isinstance(p, Line) and p.closed and p.width == 0.35}
    assert outlines["-X1"] and not outlines["-T1"]
    assert any("size not stated, a usual one" in text for text in texts([sheet]))


def test_a_door_from_behind_is_mirrored_and_its_cut_outs_are_listed(tmp_path: Path) -> None:
    drawing = panel(tmp_path, s1="position=300x180mm")
    (sheet,) = mounting_sheets(drawing)
    rows = texts([sheet])
    at = rows.index("stated")
    assert rows[at - 5 : at + 2] == ["-S1", "1", "ø 22.5", "315", "200", "stated", "Start"]
    outside, behind = [
        [p.x for p in sheet.primitives if isinstance(p, Label) and p.anchor == "middle" and p.text == name]
        for name in ("-S1", "-S2")
    ]
    assert len(outside) == len(behind) == 2
    assert (outside[0] - behind[0]) * (outside[1] - behind[1]) < 0  # left of each other once, right of each other once


def test_things_of_a_door_stand_apart() -> None:
    placed = door_layout([replace(body, width=30.0, height=40.0, cutout=(22.5,)) for body in bodies(1, 30)], 800.0)
    for number, one in enumerate(placed):
        assert one.box.right <= 800.0
        for other in placed[number + 1 :]:
            assert abs(one.x - other.x) >= 60.0 or abs(one.y - other.y) >= 60.0


@each_of("seed", range(10))
def test_labels_along_an_edge_keep_their_order_and_touch_nothing(seed: int) -> None:
    chance = random.Random(seed)
    at = sorted(chance.uniform(0.0, 150.0) for _ in range(3 + 2 * seed))
    marks = [Mark(x, f"-K{number}" * chance.randrange(1, 3), "") for number, x in enumerate(at)]
    made = [part for part in labels_along(marks, 150.0).parts if isinstance(part, Label)]
    assert [label.text for label in made] == [mark.text for mark in marks]
    for number, one in enumerate(made):
        for other in made[number + 1 :]:
            apart = (text_width(one.text, DESIGNATION) + text_width(other.text, DESIGNATION)) / 2
            assert abs(one.y - other.y) > DESIGNATION or other.x - one.x > apart


def test_a_strip_stands_where_it_says(tmp_path: Path) -> None:
    text = PANEL.format(size="A3", q1="", s1="").replace("strip -X1 at=+MCP {", "strip -X1 at=+MCP position=60x200mm {")
    drawing = drawing_in(tmp_path, text)
    assert inside_body(drawing.plant.devices["-X1"]).at == (60.0, 200.0)
    made = layout([inside_body(device) for device in drawing.plant.devices.values() if device.place == "+MCP"], (600.0, 1200.0))
    assert [(p.x, p.y, p.row) for p in made.placed if p.body.device.id == "-X1"] == [(60.0, 200.0, 0)]


def test_mounting_sheets_of_the_examples_are_full_but_the_last() -> None:
    for plant in PLANTS:
        drawing = drawing_of(plant)
        sheets = mounted(drawing)
        assert len(sheets) <= (3 if plant.parent.name in ("booster", "hatchery") else 2), plant
        assert [sheet.key for sheet in sheets[:-1] if used(sheet.primitives, drawing.area) < 0.6] == []


def test_a_box_stands_as_a_whole_on_the_last_sheet_of_the_panel_where_that_has_room() -> None:
    sheets = mounted(drawing_of(EXAMPLES / "hatchery" / "plant.netdsl"))
    boxed = [sheet.key for sheet in sheets if any(part.of == "=LV1-X5" for part in sheet.primitives)]
    assert boxed == [sheets[-1].key] and sheets[-1].title == "Mounting of +MCP, +HALL.JB"
    assert [sheet.title for sheet in sheets[:-1]] == ["Mounting of +MCP"] * (len(sheets) - 1)


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_views_are_at_scales_of_iso_5455(tmp_path: Path, size: str) -> None:
    said = " ".join(texts(list(mounting_sheets(panel(tmp_path, size)))))
    scales = re.findall(r"scale 1:(\S+?)(?:,|\s|$)", said)
    assert len(scales) >= 4 and set(scales) <= {"1", "2", "5", "10", "20", "50", "100"}


def test_names_of_cables_stand_above_their_glands_without_crossing_lines(tmp_path: Path) -> None:
    cables = "".join(f"cable -W{n} 2x1.5 {{\n  BN -X1:{n} to -B{n}:1\n}}\n" for n in range(1, 10))
    far = "".join(f"outside -B{n} at=+HALL {{\n  terminal :1 plain 2.5mm2\n}}\n" for n in range(1, 10))
    drawing = drawing_in(tmp_path, PANEL.format(size="A3", q1="", s1="") + 'place +HALL "Hall" kind=field\n' + far + cables)
    parts = [part for sheet in mounting_sheets(drawing) for part in sheet.primitives]
    for number in range(1, 10):
        (gland,) = (part for part in parts if isinstance(part, Circle) and part.of == f"-W{number}")
        assert any(isinstance(part, Label) and part.text == f"-W{number}" and abs(part.x - gland.x) < 0.1 for part in parts)


@pytest.mark.parametrize(("panel_end", "motor_end", "wanted"), [("clamp", "gland", False), ("gland", "clamp", True)])
def test_a_gland_for_a_screen_is_asked_for_where_the_screen_ends_in_it(
    tmp_path: Path, panel_end: str, motor_end: str, wanted: bool
) -> None:
    far = 'place +HALL "Hall" kind=field\ndevice -M1 motor at=+HALL power=4kW current=8A winding=400/690V\n'
    cable = f"cable -W1 4G1.5 screened {{\n  BN -T1:U to -M1:U1\n  screen -T1:SH {panel_end} to -M1:SH {motor_end}\n}}\n"
    drawing = drawing_in(tmp_path, PANEL.format(size="A3", q1="", s1="") + far + cable)
    words = texts(list(mounting_sheets(drawing)))
    assert ("metal, screen all round" in words) == wanted and "4G1.5 screened" in words


def test_the_list_of_cutouts_says_from_which_side_it_counts_beside_the_door_from_behind(tmp_path: Path) -> None:
    words = texts(list(mounting_sheets(panel(tmp_path))))
    assert "Cut-outs in +MCP.D, x from the left as seen from outside" in words


def test_upright_sheets_keep_a_door_from_outside_beside_its_cutouts() -> None:
    plant = next(plant for plant in PLANTS if plant.parent.name == "star-delta")
    *_, last = mounted(small_drawing_of(plant))
    titles = [part.text for part in last.primitives if isinstance(part, Label) and part.text.startswith(("+MCP.D", "Cut-outs"))]
    assert [title.partition(",")[0] for title in titles] == [
        "+MCP.D from outside",
        "+MCP.D from behind: cut-outs",
        "Cut-outs in +MCP.D",
    ]


@each_of("size", ["A3", "A4"])
@each_of("plant", PLANTS)
def test_no_word_of_a_mounting_drawing_is_cut(plant: Path, size: str) -> None:
    assert not [text for text in texts(mounted(sized(plant, size))) if "…" in text]


def test_labels_of_a_door_leave_out_the_name_of_their_function_where_they_have_no_room_with_it() -> None:
    said = texts(mounted(drawing_of(EXAMPLES / "booster" / "plant.netdsl")))
    assert said.count("Booster pump 1: hand - off - automatic") == 1  # in the list of cut-outs, whole
    at = said.index("hand - off -")
    assert said[at - 1 : at + 2] == ["=BP1-S1", "hand - off -", "automatic"]


@each_of("size", ["A3", "A4"])
def test_a_door_whose_lowest_words_reach_far_down_is_broken_off_below_them(size: str) -> None:
    sheets = mounted(sized(EXAMPLES / "serial-bus" / "plant.netdsl", size))
    (outside,) = (sheet for sheet in sheets if any(text.startswith("+MCP.D from outside") for text in texts([sheet])))
    labels = [part for part in outside.primitives if isinstance(part, Label)]
    assert [label.text for label in labels].count("Local -") == 3
    first = next(label for label in labels if label.text.startswith("+MCP.D from outside"))
    frame = next(p for p in outside.primitives if isinstance(p, Line) and p.of == "+MCP.D" and p.points[0][1] > first.y)
    assert max(label.y for label in labels if label.text == "remote") < frame.points[0][1]


def test_an_emergency_stop_in_the_door_is_labelled_as_one() -> None:
    for name in ("emergency-stop", "hatchery", "booster"):
        devices = network_of(EXAMPLES / name / "plant.netdsl").plant.devices.values()
        titles = {device.title for device in devices if device.kind == "emergency-stop"}
        assert titles == {"Emergency stop", "Emergency stop at the machine"}


def test_a_busbar_stands_in_its_row_at_its_size(tmp_path: Path) -> None:
    text = PANEL.format(size="A3", q1="", s1="") + 'busbar -WB1 "Bars" at=+MCP poles=3 current=63A row=4 body=222x90x60mm\n'
    said = texts(list(mounting_sheets(drawing_in(tmp_path, text))))
    assert any(text.startswith("+MCP row 4") for text in said) and any("222 x 90 x 60" in text for text in said)


def test_the_block_behind_a_drive_that_two_pumps_share_stands_between_their_contactors() -> None:
    """Their wires are 0.2 m long, unscreened as they are: longer ones would have to be screened."""
    drawing = drawing_of(EXAMPLES / "alternating-pumps" / "plant.netdsl")
    placed = {each.body.device.id: each for one in enclosures(drawing) for each in (one.made.placed if one.made else ())}
    block, contactors = placed["-WB2"], (placed["=BP1-K1"], placed["=BP2-K1"])
    assert [contactor.row for contactor in contactors] == [block.row] * 2
    middle = block.x + block.body.width / 2
    assert all(abs(contactor.x + contactor.body.width / 2 - middle) < 200.0 for contactor in contactors)
