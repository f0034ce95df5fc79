"""Feeders of one load side by side, rows that several feeders share, and what joins where, on plants built by hand."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.feeder_units import merged
from render.drawings.power_columns import EARTH_DASH
from render.drawings.single_line import single_line_sheets
from render.sheet import Circle, Label, Line, Sheet
from tests.cases import each_of
from tests.readings import EXAMPLES, PLANTS, drawing_of, small_drawing_of
from tests.render.hand_built import Workshop, drive_feeder, incoming


def drawn(name: str) -> list[Sheet]:
    return single_line_sheets(drawing_of(EXAMPLES / name / "plant.netdsl"))


def at(sheets: list[Sheet], text: str) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label) and part.text == text]


@each_of(
    ("rows", "chain", "found"),
    [
        ([], [2, 5], [2, 5]),
        ([2, 5, 7], [2, 3, 7], [2, 3, 5, 7]),
        ([2, 3, 7], [2, 5, 7], [2, 3, 5, 7]),
        ([2, 5, 3], [2, 3], [2, 5, 3]),
        ([3], [2], [2, 3]),
    ],
)
def test_rows_hold_every_chain_in_order(rows: list[int], chain: list[int], found: list[int]) -> None:
    assert merged(rows, chain) == found


def test_what_does_the_same_work_stands_at_one_height() -> None:
    sheets = drawn("hatchery")
    names = ("-F1", "-F2", "=RP1-Q1", "=RP2-Q1", "=AB1-Q1")
    heights = {at(sheets, name)[0].y for name in names}
    assert max(heights) - min(heights) < 3.0  # their texts, centred, differ by a line at most
    drives = {at(sheets, name)[0].y for name in ("=RP1-T1", "=RP2-T1", "=AB1-T1")}
    assert len(drives) == 1 and drives.pop() > max(heights)


@each_of("name", ["star-delta", "mains-bypass", "alternating-pumps", "two-speed", "soft-starter-bypass"])
def test_a_load_of_several_ways_is_one_group_without_a_reference(name: str) -> None:
    said = [label.text for sheet in drawn(name) for label in sheet.primitives if isinstance(label, Label)]
    assert not any("also from" in text or text == "sheet" for text in said)
    assert not any(text.startswith("sheet S") for text in said)


def test_a_second_way_from_another_bar_is_named_at_both_ends() -> None:
    shop = Workshop()
    bar = incoming(shop)
    for number in range(1, 9):
        drive_feeder(shop, bar, number)
    shop.device("-G9", "supply", category="supply", voltage="400V", terminals="L1 L2 L3")
    shop.device("-Q9", "contactor")
    shop.feed("-G9", "-Q9")
    shop.feed("-Q9", "=RP1-M1")
    sheets = single_line_sheets(Drawing(shop.network()))
    said = [label for sheet in sheets for label in sheet.primitives if isinstance(label, Label)]
    assert [label.of for label in said if label.text == "also from"] == ["=RP1-M1"]
    back = next(label for label in said if label.of == "=RP1-M1" and re.fullmatch(r"\S+ sheet S[0-9] / [A-Z][0-9]", label.text))
    other = back.text.split()[0]
    there = next(label for label in said if label.of == other and label.text.startswith("sheet S"))
    assert back.link != there.link and {back.link, there.link} == {sheets[0].key, sheets[-1].key}


def test_small_supplies_for_control_leave_one_line() -> None:
    sheets = drawn("booster")
    taps = [at(sheets, name)[0] for name in ("-F11", "-F12", "-F13", "-F14")]
    assert len({tap.x for tap in taps}) == 1
    assert all(b.y - a.y > 8 for a, b in pairwise(taps))


def test_neutral_and_protective_conductors_are_bars_with_lines_to_what_has_one() -> None:
    sheets = drawn("hatchery")
    assert at(sheets, "N") and at(sheets, "PE -XE1")
    lines = [part for part in sheets[0].primitives if isinstance(part, Line) and part.dash == EARTH_DASH]
    assert {line.of for line in lines} == {"-E9", "=RP1-M1", "=RP2-M1", "=AB1-M1", "-XE1"}
    assert at(sheets, "L1 L2 L3 N PE")


def test_the_bar_says_what_it_has_to_bear_and_the_isolator_what_stays_live() -> None:
    said = [label.text for sheet in drawn("hatchery") for label in sheet.primitives if isinstance(label, Label)]
    assert any(text.startswith("3/N ~ 400 V 50 Hz, 100 A, +MCP, Ik 4.62 kA") for text in said)
    assert said.count("LIVE") == 1 and "LIVE: stays live with -Q0 off." in said


def test_designations_lead_to_the_sheets_of_the_device() -> None:
    drawing = drawing_of(EXAMPLES / "hatchery" / "plant.netdsl")
    name = at(single_line_sheets(drawing), "=RP1-T1")[0]
    assert name.link == drawing.key_of("=RP1-T1") != ""


def folded() -> Network:
    """A feeder with more devices in a row than a sheet A4 is high."""
    shop = Workshop(size="A4")
    last = incoming(shop)
    for number in range(14):
        last_name = f"=LF1-K{number}"
        shop.device(last_name, "contactor", current="25A")
        shop.feed(last, last_name)
        last = last_name
    shop.feed(last, shop.device("=LF1-M1", "motor", power="4kW"), cable="=LF1-W1")
    return shop.network()


def test_a_feeder_too_long_for_a_sheet_goes_on_beside_itself_and_is_not_cut() -> None:
    sheets = single_line_sheets(Drawing(folded()))
    on = [number for number, sheet in enumerate(sheets) for label in at([sheet], "=LF1-M1")]
    first = [number for number, sheet in enumerate(sheets) for label in at([sheet], "=LF1-K0")]
    assert set(on) == set(first)
    assert "goes on right" in [label.text for label in sheets[on[0]].primitives if isinstance(label, Label)]


def test_feeders_stand_closer_together_rather_than_on_a_sheet_more() -> None:
    (sheet,) = drawn("fixed-lead-pumps")
    said = {label.text for label in sheet.primitives if isinstance(label, Label)}
    assert {"=RM1-M1", "=RM2-M1", "=RM3-M1"} <= said


@each_of("size", ["A3", "A4"])
def test_a_brake_resistor_leaves_the_drive_at_terminals_of_its_own_and_not_the_line_of_the_motor(size: str) -> None:
    plant = EXAMPLES / "brake-motor-drive" / "plant.netdsl"
    sheets = single_line_sheets(drawing_of(plant) if size == "A3" else small_drawing_of(plant))
    (sheet,) = (sheet for sheet in sheets if at([sheet], "=SR1-R1"))
    (named,) = at([sheet], "BR1 BR2")
    ways = [part for part in sheet.primitives if isinstance(part, Line) and part.of == "=SR1-T1" and len(part.points) == 4]
    (way,) = (part.points for part in ways if not part.closed)
    motor = next(p for p in sheet.primitives if isinstance(p, Line) and p.of == "=SR1-M1" and p.points[0][0] == p.points[1][0])
    assert way[0][0] > motor.points[0][0] and way[0][0] == way[1][0] < named.x < way[2][0] == way[3][0]
    assert not any(isinstance(p, Circle) and p.fill and p.of == "=SR1-T1" for p in sheet.primitives)


def test_other_cores_of_a_cable_name_the_sheet_on_which_it_is_told() -> None:
    sheets = single_line_sheets(small_drawing_of(EXAMPLES / "star-delta" / "plant.netdsl"))
    (said,) = at(sheets, "other cores of the cable at")
    labels = [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label) and part.of == said.of]
    (place,) = (label for label in labels if label.text.startswith("=WP1-M1 sheet S"))
    (motor,) = (sheet for sheet in sheets if at([sheet], "=WP1-M1"))
    assert place.link == motor.key and place.text.startswith(f"=WP1-M1 sheet {motor.number} / ")


@each_of("size", ["A3", "A4"])
@each_of("plant", PLANTS)
def test_no_word_of_the_single_line_diagram_of_an_example_is_cut(plant: Path, size: str) -> None:
    sheets = single_line_sheets(drawing_of(plant) if size == "A3" else small_drawing_of(plant))
    assert [p.text for sheet in sheets for p in sheet.primitives if isinstance(p, Label) and "…" in p.text] == []


@each_of(("name", "told"), [("star-delta", "=WP1-Q1 D 25 A; =WP1-B1 set 9 A"), ("booster", "=FP1-Q1 D 16 A; =FP1-B1 set 5.8 A")])
def test_a_way_that_goes_on_from_another_sheet_is_told_with_the_protection_ahead_of_it_there(name: str, told: str) -> None:
    for sheets in (drawn(name), single_line_sheets(small_drawing_of(EXAMPLES / name / "plant.netdsl"))):
        assert len(at(sheets, told)) == 1
