"""The lists as sheets: nothing touches on either size, nothing is cut, what the plant holds is there."""

from __future__ import annotations

from itertools import pairwise, product
from pathlib import Path

import pytest
from msgspec.structs import replace

from render.drawing import Drawing, members
from render.drawings.device_sheets import device_sheets
from render.drawings.terminal_plan import TerminalPlan
from render.drawings.terminals import terminal_sheets
from render.layout.frame import drawing_area, framed
from render.layout.overlap import overlaps
from render.sheet import NARROW, Label, Line, Sheet
from render.tables.cables import cable_sheets, cables
from render.tables.channels import channels, settings
from render.tables.grid import stacked_sheets, table_sheets
from render.tables.parts import parts, parts_sheets
from render.tables.register import Sources
from render.tables.short_lists import short_list_sheets
from render.tables.strips import spare, strip_pieces
from render.tables.table import Cell, Column, Entry, Table
from render.tables.test_record import functions
from render.tables.wires import wire_sheets
from render.tables.work_cards import work_sheets
from tests.cases import each_of
from tests.readings import drawn_by, on_size, sized, small_drawing_of
from tests.render.plants import HATCHERY, drawing_in, example, texts
from tests.render.random_plants import random_drawing

LISTS = 390


def on(name: str, size: str) -> Drawing:
    """An example on sheets of a size, one drawing for all tests."""
    return sized(HATCHERY.with_name(name) / "plant.netdsl", size)


def list_sheets(drawing: Drawing) -> list[Sheet]:
    return [sheet for member in members() if member.place >= LISTS for sheet in drawing.drawn(member)]


# the examples on their own size are judged with all their sheets
@pytest.mark.parametrize(("source", "size"), [("hatchery", "A4"), *product((5, 17, 23), ("A3", "A4"))])
def test_nothing_touches_and_nothing_is_cut(source: str | int, size: str) -> None:
    drawing = on_size(random_drawing(source), size) if isinstance(source, int) else on(source, size)
    for sheet in list_sheets(drawing):
        assert overlaps(framed(sheet, drawing.plant.project, 1)) == [], sheet.key
        assert not [text for text in texts(sheet) if "…" in text], sheet.key


def test_the_cable_list_names_every_sheet_on_which_cores_of_a_device_stand() -> None:
    drawing = on("serial-bus", "A4")
    plan = drawing.of(TerminalPlan)
    ends = (("-A1:A", "1a"), ("=CP1-T1:A", "1a"), ("=CP1-T1:BCOM", "2a"))
    numbers = [plan.numbers[plan.ends[terminal, f"=CP1-W21 {core}"]] for terminal, core in ends]
    assert len(set(numbers)) == 3
    (row,) = (entry for entry in cables(drawing).entries if entry.of == "=CP1-W21")
    assert ", ".join(numbers) in [cell.text for cell in row.cells]


def test_every_device_that_is_bought_is_on_the_parts_list() -> None:
    network = example(HATCHERY).network
    said = {word for text in texts(*drawn_by(parts_sheets, example(HATCHERY))) for word in text.replace(",", " ").split()}
    for device in network.plant.devices.values():
        if device.category in ("device", "busbar"):
            assert device.id in said


def test_a_bar_is_ordered_by_its_poles_or_ways() -> None:
    bought = {entry.cells[6].text: entry.cells[3].text for entry in example(HATCHERY.with_name("shared-drive")).of(parts).entries}
    assert (bought["-WB2"], bought["-XE1"], bought["-XSH"]) == ("3 poles, 25 A", "16 ways", "6 ways")
    bought = {entry.cells[6].text: entry.cells[3].text for entry in example(HATCHERY).of(parts).entries}
    assert bought["=RP1-X6"] == "1 way"


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_the_text_that_a_list_comes_from_reaches_to_the_last_thing_of_a_row(size: str) -> None:
    """Of two motors in one row the second is declared last of all."""
    drawing = on_size(example(HATCHERY.with_name("shared-drive")), size)
    last = drawing.plant.devices["=VW3-M1"].span.begin[0]
    for sheets in (parts_sheets(drawing), work_sheets(drawing)):
        (stretch,) = drawing.of(Sources).of(sheets[0]).values()
        assert (stretch.last, stretch.ends) == (last, "=VW3")


def test_a_breaker_is_bought_by_the_release_and_the_voltage_that_the_text_states() -> None:
    said = texts(*drawn_by(parts_sheets, example(HATCHERY.parent / "alternating-pumps")))
    assert {"C 4 A, Icu 10 kA", "Z 1.6 A, Icu 10 kA, Ii 4.8 A, Ue 60 V"} <= set(said)


def test_the_selector_of_the_duty_pump_is_bought_and_tried_by_the_words_on_the_door() -> None:
    said = texts(*list_sheets(example(HATCHERY.parent / "duty-standby")))
    assert "Selector switch, pump 1 - off - pump 2" in said
    turned = {text for text in said if text.startswith("turn =SW1-S1 to")}
    assert turned == {"turn =SW1-S1 to pump-1", "turn =SW1-S1 to pump-2"}


def table(rows: int, blocks: int = 1, title: str = "One") -> Table:
    entries = tuple(Entry((Cell(f"{title} {n}"),), f"r{n}") for n in range(rows))
    return Table("t", "T", title, "List", "", (Column("head"),), entries, (f"note {title}",), blocks=blocks, counted=True)


def test_short_lists_share_a_sheet_under_their_titles() -> None:
    (sheet,) = stacked_sheets([table(3), table(0, title="None"), table(2, title="Two")], "A3")
    assert [text for text in texts(sheet) if text != "head"] == [
        *("One 0", "One 1", "One 2", "Two", "Two 0", "Two 1", "note One", "note Two")
    ]
    assert (sheet.key, sheet.number, sheet.title) == ("t-1", "T1", "One, Two")
    assert stacked_sheets([table(0)], "A3") == []


def test_blocks_side_by_side_are_filled_from_left_to_right_and_alike_where_all_fits() -> None:
    area = drawing_area("A3")
    (few,) = stacked_sheets([table(10, 2)], "A3")
    at = {label.text: label for label in few.primitives if isinstance(label, Label)}
    assert at["One 0"].x == area.left and at["One 9"].x > area.left + area.width / 2
    assert at["One 0"].y == at[next(text for text in at if text.startswith("One") and at[text].x > area.left)].y
    pages = stacked_sheets([table(200, 2)], "A3")
    said = [text for page in pages for text in texts(page) if text.startswith("One")]
    assert said == [f"One {n}" for n in range(200)]
    assert len(pages) == 3


def test_every_fifth_rule_is_heavier() -> None:
    (sheet,) = stacked_sheets([table(11)], "A3")
    rules = {part.of: part.width for part in sheet.primitives if isinstance(part, Line) and part.of}
    assert [of for of, width in rules.items() if width > NARROW] == ["r4", "r9"]


def test_a_heading_keeps_what_is_said_below_it_and_the_first_row() -> None:
    area = drawing_area("A4")
    filling = [Entry((Cell(f"row {n}"),), f"r{n}") for n in range(22)]
    group = [Entry((), "", "Group"), Entry((), "", "a sentence about it", remark=True), Entry((Cell("last"),), "last")]
    for count in range(15, 23):
        whole = Table("t", "T", "One", "List", "", (Column("head"),), (*filling[:count], *group), (), counted=True)
        for sheet in stacked_sheets([whole], "A4"):
            said = texts(sheet)
            assert ("Group" in said) == ("last" in said) or "Group (continued)" in said
            assert all(part.y <= area.bottom for part in sheet.primitives if isinstance(part, Label))


def test_a_column_takes_what_the_others_leave_before_its_words_break() -> None:
    words = "a text of many words that is far wider than the most that its column usually takes on a sheet"
    columns = (Column("one", most=30.0), Column("other", most=20.0))
    for counted, broken in ((True, False), (False, True)):
        rows = (Entry((Cell(words), Cell("x")), "r"),)
        (sheet,) = stacked_sheets([Table("t", "T", "One", "List", "", columns, rows, (), counted=counted)], "A3")
        assert (words not in texts(sheet)) is broken


def test_each_input_takes_one_line_on_a_wide_sheet() -> None:
    made = drawn_by(short_list_sheets, on("booster", "A3"))
    sheets = [sheet for sheet in made if sheet.number.startswith("IL")]
    assert "sheet" in texts(sheets[0]) and "IO1/D1 B1" in texts(sheets[0])


def test_what_a_whole_strip_takes_leads_to_its_first_sheet_alone() -> None:
    pieces = [entry.cells for entry in on("booster", "A4").of(strip_pieces).entries if entry.cells]
    wide = {cells[2].text for cells in pieces if "," in cells[4].text}
    assert wide and wide.isdisjoint({"end clamp", "terminal marker", "strip marker"})


def test_a_heading_of_a_whole_list_is_said_once_and_clauses_are_left_out_of_what_stands_there() -> None:
    rows = tuple(Entry((Cell(f"row {n}"),), f"r{n}") for n in range(90))
    for grouped in (True, False):
        table = Table("t", "T", "One", "List", "", (Column("head"),), (Entry((), "", "Head (8.1)"), *rows), (), grouped=grouped)
        sheets = table_sheets(table, "A4")
        assert [any("(continued)" in text for text in texts(sheet)) for sheet in sheets[1:]] == [grouped] * (len(sheets) - 1)
        assert sheets[1].about.startswith("Head" if grouped else "row") and "(" not in sheets[1].about


def test_a_number_keeps_its_unit_in_every_list() -> None:
    """Of a torque both letters of the unit."""
    columns = (Column("what", most=500.0), Column("tighten", most=26.0, least=16.0))
    entries = tuple(Entry((Cell("word " * words), Cell("1.7..2.5 N m"))) for words in (1, 40))
    for counted in (False, True):
        table = Table("k", "K", "List", "List", "", columns, entries, ("at most " * 20 + "1.5 kW",), counted=counted)
        (sheet,) = table_sheets(table, "A4")
        assert texts(sheet).count("1.7..2.5 N m") == 2
        assert not [text for text in texts(sheet) if text.startswith(("kW", "m", "N m"))]


def test_what_has_no_column_on_a_narrow_sheet_is_told_below_its_row() -> None:
    columns = tuple(Column(f"head{n}", most=60.0, least=40.0, below=n > 2) for n in range(6))
    rows = tuple(Entry(tuple(Cell(f"cell{n}.{row} of the list") for n in range(6)), f"r{row}") for row in range(2))
    wide, narrow = (stacked_sheets([Table("t", "T", "One", "List", "", columns, rows, ())], size)[0] for size in ("A3", "A4"))
    assert "head4" in texts(wide) and "cell4.1 of the list" in texts(wide)
    assert "head4" not in texts(narrow)
    assert "head3 cell3.1 of the list; head4 cell4.1 of the list; head5 cell5.1 of the list" in texts(narrow)


def test_a_sheet_is_called_by_the_lists_on_it() -> None:
    titles = [sheet.title for sheet in stacked_sheets([table(50), table(60, title="Two")], "A4")]
    assert titles[0] == "One" and titles[-1] == "Two" and "One, Two" in titles


def test_settings_stand_on_one_sheet_with_other_lists_where_these_leave_room() -> None:
    (sheet,) = (sheet for sheet in list_sheets(example(HATCHERY)) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("XL2", "Spare, Settings")
    assert "Building controller" in " ".join(texts(sheet))
    (sheet,) = (sheet for sheet in list_sheets(small_drawing_of(HATCHERY / "plant.netdsl")) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("SL1", "Settings")
    standby = small_drawing_of(HATCHERY.parent / "duty-standby" / "plant.netdsl")
    (sheet,) = (sheet for sheet in list_sheets(standby) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("XL2", "Spare, Settings")
    star = small_drawing_of(HATCHERY.parent / "star-delta" / "plant.netdsl")
    (sheet,) = (sheet for sheet in list_sheets(star) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("XL1", "Terminals, Spare, Settings")
    assert "reset manual; tripping current 9 A" in texts(sheet) and "delay not stated" in texts(sheet)
    (sheet,) = (sheet for sheet in list_sheets(example(HATCHERY.parent / "emergency-stop")) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("IL1", "Inputs and outputs, Settings")
    (sheet,) = (sheet for sheet in list_sheets(example(HATCHERY.parent / "dosing-pump")) if "Settings" in sheet.title)
    assert (sheet.number, sheet.title) == ("XL1", "Terminals, Spare, Inputs and outputs, Settings")
    boxes = [text.partition(":")[0] for text in texts(sheet) if text.startswith("Boxes")]
    assert boxes == ["Boxes of terminals", "Boxes of inputs and outputs", "Boxes of settings"]


MISSING = """netdsl 1
place +P "Panel" kind=cabinet
device -T1 vsd-1.5kw at=+P
device -T2 vsd-1.5kw at=+P
device -B1 overload-relay at=+P
device -B2 overload-relay at=+P
device -K1 timer-off-delay at=+P
device -K2 timer-off-delay at=+P delay=4s
device -B9 thermostat at=+P
device -K3 relay-2co at=+P
set -B2 tripping-current=4A
set -T2 motor-current=3A
wire -T1:A to -T2:A
"""


def test_settings_say_of_every_device_what_has_no_value(tmp_path: Path) -> None:
    found = {
        entry.cells[0].text: entry.cells[3].text for entry in drawing_in(tmp_path, MISSING).of(settings).entries if entry.cells
    }
    assert found["-T1"] == "motor current not stated, 0.2..4.1 A possible; address not stated, 1..247 possible"
    assert found["-B1"] == "tripping current not stated, 0.1..65 A possible"
    assert found["-B2"] == "tripping current 4 A"
    assert (found["-K1"], found["-K2"]) == ("delay not stated, 0.05..300 s possible", "delay 4 s")
    assert found["-B9"] == "temperature at which it switches not stated"
    assert "-K3" not in found
    alone = drawing_in(tmp_path, MISSING.replace("wire -T1:A to -T2:A\n", "")).of(settings)
    assert not [entry for entry in alone.entries if entry.cells and "address" in entry.cells[3].text], "on no bus it needs none"


def test_the_settings_of_a_function_stay_in_one_column() -> None:
    for plant in ("alternating-pumps", "booster", "hatchery", "fixed-lead-pumps"):
        drawing = example(HATCHERY.parent / plant)
        said = texts(*table_sheets(drawing.of(settings), "A3"))
        assert not [text for text in said if text.endswith("(continued)")], plant


def test_a_group_too_long_for_a_column_goes_on_in_the_next() -> None:
    long = table(200)
    whole = replace(long, entries=tuple(replace(entry, whole=not entry.cells) for entry in (Entry((), "", "All"), *long.entries)))
    sheets = table_sheets(whole, "A4")
    assert len(sheets) == len(table_sheets(replace(long, entries=(Entry((), "", "All"), *long.entries)), "A4")) > 1


def test_sheets_of_a_list_say_what_stands_on_them() -> None:
    drawing = example(HATCHERY)
    said = {sheet.number: sheet.about for sheet in list_sheets(drawing)}
    assert said["WL1"] == "+MCP Motor control panel: power to +MCP Motor control panel: control"
    assert said["CL2"] == "=BC1 Serial link, Cutting list"
    assert said["PL1"].startswith("box to ")


def distances(sheet: Sheet) -> set[float]:
    """Of the rules below the rows of a sheet, one from the next, mm."""
    heights = sorted({part.points[0][1] for part in sheet.primitives if isinstance(part, Line) and part.of})
    return {round(lower - upper, 3) for upper, lower in pairwise(heights)}


@pytest.mark.parametrize("blocks", [1, 2])
def test_few_rows_that_would_stand_alone_on_a_sheet_come_to_the_others_which_stand_closer(blocks: int) -> None:
    made = {rows: stacked_sheets([table(rows, blocks)], "A4") for rows in range(20 * blocks, 60 * blocks)}
    usual = [rows for rows, sheets in made.items() if len(sheets) == 1 and distances(sheets[0]) == {6.0}]
    closer = [rows for rows, sheets in made.items() if len(sheets) == 1 and rows not in usual]
    more = [rows for rows, sheets in made.items() if len(sheets) > 1]
    assert max(usual) < min(closer) and max(closer) < min(more)
    assert len(closer) >= 4
    assert all(5.2 <= distance < 6.0 for rows in closer for distance in distances(made[rows][0]))
    assert all(distances(made[rows][0]) == {6.0} for rows in more)


@each_of("name", ["reversing", "level-two-floats", "shared-drive", "hatchery"])
@each_of("size", ["A3", "A4"])
def test_cores_stay_with_their_cable(name: str, size: str) -> None:
    """On one sheet, in one column, below its heading."""
    drawing = on(name, size)
    cable_of = {run.id: run.conductor.cable for run in drawing.network.runs.values() if run.conductor.cable}
    stands: dict[str, set[tuple[str, bool]]] = {}
    for sheet in drawn_by(wire_sheets, drawing):
        middle = (drawing.area.left + drawing.area.right) / 2
        for part in sheet.primitives:
            if isinstance(part, Line) and not part.closed and (cable := cable_of.get(part.of)):
                stands.setdefault(cable, set()).add((sheet.number, size == "A3" and part.points[0][0] > middle))
    assert set(stands) == set(cable_of.values())
    assert {cable: at for cable, at in stands.items() if len(at) > 1} == {}


def test_a_cable_of_more_cores_than_a_sheet_holds_goes_on_on_the_next(tmp_path: Path) -> None:
    text = "strip -X1 {\n  :1..90 1.5mm2\n}\nstrip -X2 {\n  :1..90 1.5mm2\n}\ncable -W1 90x1.5 length=2m {\n"
    text += "".join(f"  {core} -X1:{core} to -X2:{core}\n" for core in range(1, 91)) + "}\n"
    drawing = drawing_in(tmp_path, text)
    said = [texts(sheet) for sheet in wire_sheets(on_size(drawing, "A4"))]
    assert next(sum(text.endswith("mm²") for text in each) for each in said) > 20
    assert sum(text.endswith("mm²") for each in said for text in each) == 90


@pytest.mark.parametrize(
    ("name", "size"), [("serial-bus", "A3"), ("serial-bus", "A4"), ("alternating-pumps", "A4"), ("booster", "A4")]
)
def test_no_terminal_is_parted_from_its_device_where_words_can_break_elsewhere(name: str, size: str) -> None:
    drawing = on(name, size)
    sheets = [sheet for draw in (device_sheets, terminal_sheets, wire_sheets, cable_sheets) for sheet in drawn_by(draw, drawing)]
    assert [(sheet.number, text) for sheet in sheets for text in texts(sheet) if text[:1] == ":"] == []


def test_an_input_says_what_it_is_asked_for_here_and_all_that_it_may_be_where_its_number_alone_is_named(tmp_path: Path) -> None:
    drawing = drawing_in(
        tmp_path,
        'place +MCP "Panel" kind=cabinet\n'
        "device -T1 vsd-2.2kw at=+MCP\n"
        "strip -X1 at=+MCP {\n  :1..2 2.5mm2\n}\n"
        "wire -X1:1 to -T1:(preset-1) 1mm2 BU\n"
        "wire -X1:2 to -T1:DI6 1mm2 BU\n",
    )
    said = {entry.of: entry.cells[5].text for entry in channels(drawing).entries if entry.cells}
    assert said == {"-T1:DI5": "preset 1", "-T1:DI6": "preset 2 or reverse"}
    on_device = texts(*device_sheets(drawing))
    assert "preset 1" in on_device and "preset 2 or reverse" in on_device and "preset 1 or reset" not in on_device


@each_of(
    ("plant", "contact", "kind", "leads_to"),
    [
        ("local-remote", "=HP1-T1:RO1C-RO1A", "relay output", "=HP1-P1:X1"),
        ("local-remote", "=HP1-A1:13-14", "contact", "=HP1-S1:23"),
        ("gate-lock", "=DF1-K1:13-14", "safety output", "=DF1-T1:STO1"),
        ("booster", "=ES1-K1:51-52", "relay output", "=IO1-K2:12"),
    ],
)
def test_a_contact_of_a_drive_or_a_controller_is_listed_among_its_outputs(
    plant: str, contact: str, kind: str, leads_to: str
) -> None:
    """Where it leads to stands there, not what feeds it."""
    entries = channels(example(HATCHERY.with_name(plant))).entries
    rows = [[cell.text for cell in entry.cells] for entry in entries if entry.cells]
    assert [(row[4], row[7]) for row in rows if row[2] == contact] == [(kind, leads_to)]


def test_a_relay_output_that_nothing_lands_on_is_no_row_of_the_list() -> None:
    rows = [entry.cells[2].text for entry in channels(example(HATCHERY.with_name("gate-lock"))).entries if entry.cells]
    assert "=DF1-T1:RO2C-RO2B" in rows
    assert not [row for row in rows if "RO1" in row or "RO2A" in row]


def test_the_limiter_of_a_heating_element_is_among_what_is_to_be_set() -> None:
    """Its caution demands it, and nothing states the temperature."""
    rows = {
        entry.cells[0].text: entry.cells[3].text
        for entry in settings(example(HATCHERY.with_name("heater-contactor"))).entries
        if entry.cells
    }
    assert rows["=HH1-E1"] == "temperature at which the limiter opens not stated"


def test_a_raised_two_does_not_touch_the_roots_of_the_line_above() -> None:
    words = Cell("end plate for feed-through of 35 mm²")
    other = Cell("x " * 100)
    rows = (Entry((words, other), "r"), Entry((), "", "a type of 4 mm² " * 30, remark=True))
    (sheet,) = table_sheets(Table("t", "T", "One", "List", "", (Column("one", most=45.0), Column("other")), rows, ()), "A4")
    assert "of 35 mm²" in texts(sheet)
    assert overlaps(sheet) == []


def test_blocks_of_a_group_that_goes_on_hold_all_that_is_left_on_one_sheet() -> None:
    """Whatever the number of rows, each sheet but the last is full."""
    heading = Entry((), "", "Group")
    for rows in range(60, 150):
        cells = tuple(Entry((Cell(f"row {n}"),), f"r{n}") for n in range(rows))
        sheets = stacked_sheets([Table("t", "T", "One", "List", "", (Column("head"),), (heading, *cells), (), blocks=2)], "A3")
        counts = [sum(text.startswith("row") for text in texts(sheet)) for sheet in sheets]
        assert sum(counts) == rows
        assert len(counts) == 1 or min(counts[:-1]) > 60, counts


def test_a_torque_keeps_its_unit_above_a_terminal_drawing() -> None:
    said = texts(*drawn_by(terminal_sheets, on("emergency-stop", "A4")))
    assert any("tighten 0.5 to 0.6 N m" in text for text in said)
    assert not [text for text in said if text.startswith(("m.", "m;", "m ", "N m"))]


def test_a_terminal_that_only_a_bridge_comes_to_is_spare_on_its_potential() -> None:
    """Whoever looks for a place for one more wire on 24 V finds it, with what it is joined to."""
    plant = example(HATCHERY.parent / "mains-bypass")
    rows = [[cell.text for cell in entry.cells] for entry in plant.of(spare).entries if entry.cells]
    assert [row[:4] for row in rows if row[0] == "-X2"] == [
        ["-X2", "+MCP", "5", "4..8 (bridged to 1)"],
        ["-X2", "+MCP", "4", "24..27 (bridged to 21)"],
    ]


def test_a_motor_breaker_is_bought_by_its_rating_and_set() -> None:
    said = texts(*drawn_by(parts_sheets, example(HATCHERY.parent / "reversing")))
    assert any(text.startswith("4 A, set 3.6 A") for text in said)


def test_a_relay_asked_for_by_its_number_is_nowhere_called_by_what_it_does_unless_told_otherwise() -> None:
    """Relays that call the pumps of a booster are told to: "fault" and "running" are what they say as delivered."""
    plant = example(HATCHERY.parent / "alternating-pumps")
    rows = {
        row[2]: row[6]
        for table in (channels,)
        for entry in plant.of(table).entries
        if (row := [cell.text for cell in entry.cells])
    }
    assert rows["=BD1-T1:RO1C-RO1A"] == "relay 1, make"
    said = " ".join(texts(*drawn_by(terminal_sheets, plant), *drawn_by(device_sheets, plant)))
    assert "relay 2" in said and "running" not in said
    steps = " ".join(cell.text for entry in plant.of(functions).entries for cell in entry.cells)
    assert "relay 1 of =BD1-T1 pulls" in steps and "reports that it runs" not in steps
