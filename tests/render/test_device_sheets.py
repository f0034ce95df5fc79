"""Device sheets: every terminal in its own order with what lands on it, free ones, settings, notes; read back from the sheets."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable
from itertools import takewhile
from pathlib import Path

import pytest
from msgspec.structs import replace

from netdsl.model.plant import Device
from render.build import drawing_set
from render.drawing import Drawing
from render.drawings.device_rows import FREE, JUMPER
from render.drawings.device_sheets import device_sheets
from render.drawings.mounted import enclosures
from render.drawings.terminal_plan import TerminalPlan
from render.layout.frame import framed
from render.layout.overlap import overlaps_of
from render.sheet import DESIGNATION, Arc, Label, Line, Sheet
from render.tables.shown import Shown
from render.tables.strips import spare
from tests.cases import each_of
from tests.readings import Unlinked, small_drawing_of
from tests.render.plants import EXAMPLES, HATCHERY, devices, drawing_in, example, labels, terminals, texts
from tests.render.random_plants import random_drawing

HEAD = """\
netdsl 1
project "Pond" {
  number = "P-1"
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V
"""
PUMP = """\
strip -X1 "Field terminals" at=+MCP {
  :1..4 2.5mm2
  bridge :1..2
}
function =A "Pond pump" at=+MCP {
  device -T1 vsd-4kw
  device -S1 selector-2 "Run" at=+HALL
  wire -T1:24V to -X1:1 0.75mm2 BU mark=12
  wire -X1:3 to -T1:DI1 0.75mm2 BU
  cable -W1 2x1.5 screened length=20m {
    BN -X1:2 to -S1:13
    BU -X1:3 to -S1:14
    screen -T1:SHC clamp to -S1 open
  }
  set -T1 ai2=voltage
  caution on -T1 "starts by itself"
  remark on -T1 "preset 1: 20 Hz"
}
"""


def drawn(folder: Path) -> tuple[Sheet, ...]:
    """The device sheets of an example."""
    return devices(folder)


def shown(drawing: Drawing) -> list[Device]:
    """Devices that have a device sheet: all but strips, and boxes and plugs on which cables land."""
    devices = drawing.plant.devices.values()
    cabled = {end.device for each in drawing.plant.conductors.values() if each.cable for end in each.ends}
    return [
        each
        for each in devices
        if each.terminals and each.category != "strip" and not (each.kind in ("plug", "terminal-box") and each.id in cabled)
    ]


def rows(sheet: Sheet) -> list[list[Label]]:
    """Labels on one line of a column, from left to right, in the order of reading."""
    found: dict[tuple[int, float], list[Label]] = {}
    said = labels(sheet)
    starts = sorted({label.x - 0.1 for label in said if label.text == "terminal"})
    for label in said:
        column = max(bisect(starts, label.x) - 1, 0)
        found.setdefault((column, round(label.y, 2)), []).append(label)
    return [sorted(found[key], key=lambda label: label.x) for key in sorted(found)]


def row_of(sheets: tuple[Sheet, ...], terminal: str) -> list[str]:
    """Texts beside a terminal of a device."""
    (found,) = [row for sheet in sheets for row in rows(sheet) if row[0].of == terminal and row[0].bold]
    return [label.text for label in found[1:]]


@each_of("folder", EXAMPLES)
def test_every_terminal_stands_in_its_own_order_with_all_that_lands_on_it(folder: Path) -> None:
    drawing = example(folder)
    named = [label for sheet in drawn(folder) for row in rows(sheet) for label in row]
    said, strong = {label.of for label in named}, list(dict.fromkeys(label.of for label in named if label.bold))
    for device in shown(drawing):
        keys = {f"{device.id}:{name}": None for name in device.terminals}
        assert [of for of in strong if of in keys] == list(keys)
        for key in keys:
            for name in drawing.network.at_terminal.get(key, ()):
                far = next(end.id for end in drawing.plant.conductors[name].ends[::-1] if end.id != key)
                assert {name, far} <= said


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_no_text_touches_anything_on_either_size(folder: Path) -> None:
    small = small_drawing_of(folder / "plant.netdsl")
    assert overlaps_of([framed(sheet, small.plant.project, 1) for sheet in (*drawn(folder), *device_sheets(small))]) == []


@pytest.mark.parametrize("seed", range(0, 12, 2))
def test_no_text_touches_anything_with_names_by_chance(seed: int) -> None:
    drawing = random_drawing(seed)
    assert overlaps_of([framed(sheet, drawing.plant.project, 1) for sheet in device_sheets(drawing)]) == []


def test_a_row_says_conductor_and_far_end_and_a_free_terminal_that_it_is_free(tmp_path: Path) -> None:
    sheets = tuple(device_sheets(drawing_in(tmp_path, HEAD + PUMP)))
    assert row_of(sheets, "=A-T1:24V") == ["24 V DC", "12 0.75 mm² BU", "-X1:1", "T.MCP"]
    assert row_of(sheets, "=A-T1:DI2") == ["stop", FREE]
    assert row_of(sheets, "=A-S1:13")[1:] == ["-W1 BN", "-X1:2", "T.MCP"]
    assert row_of(sheets, "=A-T1:SHC")[1:] == ["-W1 screen,", "-S1 open", "A/T.HALL"]


PLUGS = """\
strip -X1 at=+MCP {
  :1..2 2.5mm2
}
device -XJ1 plug-round-4p-sockets at=+MCP
device -XP1 plug-round-4p-pins "a lead that the barrow takes with it wherever feed is wanted, half with its contacts" at=+MCP
couple -XJ1 -XP1
wire -X1:1 to -XJ1:1 0.5mm2 RD
wire -XP1:1 to -X1:2 0.5mm2 RD
"""


def test_a_half_of_a_plug_without_cable_shows_its_contacts_and_what_it_meets(tmp_path: Path) -> None:
    sheets = tuple(device_sheets(drawing_in(tmp_path, HEAD + PLUGS)))
    drawn = [part for sheet in sheets for part in sheet.primitives if not isinstance(part, Label) and part.of.startswith("-X")]
    pins = {part.of for part in drawn if isinstance(part, Line) and part.fill}
    sockets = {part.of for part in drawn if isinstance(part, Arc)}
    assert pins == {f"-XP1:{number}" for number in ("1", "2", "3", "4", "SH")}
    assert sockets == {name.replace("-XP1", "-XJ1") for name in pins}
    assert row_of(sheets, "-XJ1:1") == ["0.5 mm² RD", "-X1:1", "T.MCP"]
    assert any(text.endswith("sockets, at +MCP, meets -XP1") for text in texts(*sheets))
    assert "Bar: pin. Half circle: socket." in " ".join(texts(*sheets))


def test_a_long_title_goes_on_below_the_head_of_its_device(tmp_path: Path) -> None:
    sheets = device_sheets(drawing_in(tmp_path, HEAD + PLUGS))
    title = "a lead that the barrow takes with it wherever feed is wanted, half with its contacts"
    assert title in " ".join(label.text for sheet in sheets for row in rows(sheet) for label in row if label.of == "-XP1")


def test_what_a_terminal_is_for_goes_on_beside_its_other_conductors() -> None:
    found = [[label.text for label in row] for sheet in drawn(HATCHERY) for row in rows(sheet)]
    start = next(n for n, row in enumerate(found) if row[:2] == ["STO1", "safe-torque-off:"] and row[2].startswith("=ES1-W2"))
    assert found[start + 1][0] == "wired" and len(found[start + 1]) > 1


def test_a_terminal_that_a_jumper_holds_is_neither_free_nor_spare() -> None:
    """Safe torque off as supplied: its inputs have a jumper, which no sheet offers for something else."""
    folder = HATCHERY.parent / "local-remote"
    assert row_of(devices(folder), "=HP1-T1:STO1") == ["safe-torque-off:", JUMPER]
    assert row_of(devices(folder), "=HP1-T1:DI2") == ["stop", FREE]
    assert "STO" not in " ".join(cell.text for entry in example(folder).of(spare).entries for cell in entry.cells)
    said = " ".join(texts(*terminals(folder)))
    assert "Jumper: STO1, STO2, STOC." in said and "B, BCOM, THP, THN." in said
    wired = HATCHERY.parent / "emergency-stop"
    assert JUMPER not in texts(*devices(wired))


def test_a_supply_stands_with_what_it_feeds() -> None:
    keys = {label.of: sheet.key for sheet in drawn(HATCHERY) for label in labels(sheet) if label.text == "-G0" and label.bold}
    assert keys == {"-G0": "devices-MCP.1"}


def test_a_device_of_no_function_in_the_field_stands_with_the_enclosure_it_leads_to() -> None:
    folder = HATCHERY.parent / "serial-bus"
    keys = {
        label.of: sheet.key for sheet in drawn(folder) for label in labels(sheet) if label.of in ("-A1", "-B1") and label.bold
    }
    assert set(keys.values()) == {"devices-MCP.1"}


def test_settings_and_notes_stand_below_the_terminals(tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, HEAD + PUMP)
    found = [row for sheet in device_sheets(drawing) for row in rows(sheet)]
    lines = [[label.text for label in row] for row in found]
    assert any(line[:2] == ["ai2", "voltage"] and line[2].startswith("set; ") for line in lines)
    assert lines.index(["!", "starts by itself"]) < lines.index(["preset 1: 20 Hz"])
    part = drawing.plant.devices["=A-T1"].part
    assert part is not None and set(part.settings) <= {line[0] for line in lines}


def test_a_note_on_any_device_is_printed() -> None:
    for folder in EXAMPLES:
        printed = " ".join(texts(*drawn(folder)))
        for note in example(folder).plant.notes:
            assert " ".join(note.text.split()) in printed, (folder.name, note.text)


def test_a_device_longer_than_a_column_goes_on_in_the_next(tmp_path: Path) -> None:
    notes = "".join(f'remark on =A-T1 "line {number}"\n' for number in range(150))
    drawing = drawing_in(tmp_path, HEAD + PUMP + notes)
    sheets = list(device_sheets(drawing))
    order = [row[0].text for sheet in sheets for row in rows(sheet) if row[0].text.startswith("line ")]
    assert order == [f"line {number}" for number in range(150)]
    assert "continued" in texts(*sheets)


def test_few_rows_of_a_device_do_not_go_on_alone(tmp_path: Path) -> None:
    whole = drawing_in(tmp_path, HEAD + PUMP + "".join(f'remark on =A-T1 "line {number}"\n' for number in range(130)))
    for less in range(1, 60):  # more than the lines of a column: each way in which one can end is tried
        plant = replace(whole.plant, notes=whole.plant.notes[:-less])
        for sheet in device_sheets(Unlinked(replace(whole.network, plant=plant))):
            found = rows(sheet)
            for index, row in enumerate(found):
                if any(label.text == "continued" for label in row):
                    assert len(list(takewhile(lambda after: after[0].height != DESIGNATION, found[index + 1 :]))) > 2


def test_a_title_of_more_lines_stands_above_its_rule(tmp_path: Path) -> None:
    title = "a lamp that tells whoever stands at the far side of the pond that it is about to be drained for good"
    *_, sheet = device_sheets(drawing_in(tmp_path, f'{HEAD}device -H1 lamp "{title}" at=+MCP\nwire -H1:X1 to -H1:X2 1mm2\n'))
    said = [label for label in labels(sheet) if label.of == "-H1"]
    (rule,) = [part for part in sheet.primitives if isinstance(part, Line) and part.of == "-H1"]
    above = [label.text for label in said if label.y < rule.points[0][1]]
    assert " ".join(above[1:]) == title and len(above) > 2
    assert all(label.y - label.height > rule.points[0][1] for label in said if label.text not in above)


def test_a_linked_winding_end_is_not_called_free(tmp_path: Path) -> None:
    sheets = tuple(device_sheets(drawing_in(tmp_path, f"{HEAD}device -M1 motor-4kw-2p at=+HALL\nconnect -M1 star\n")))
    assert row_of(sheets, "-M1:W2")[1:] == ["link to U2, V2"]
    assert row_of(sheets, "-M1:U1")[1:] == [FREE]


def test_designations_lead_to_the_sheets_that_show_them() -> None:
    drawing = example(HATCHERY)
    linked = [label for sheet in drawn(HATCHERY) for label in labels(sheet) if label.link]
    known = {sheet.key for sheet in drawing_set(drawing)}
    assert linked and {label.link for label in linked} <= known
    along = {*drawing.plant.conductors, *drawing.plant.cables}
    assert all(label.link == drawing.key_of(label.of) for label in linked if label.of not in along)


@each_of("folder", EXAMPLES)
def test_each_conductor_leads_to_the_sheet_on_which_its_other_end_is_wired(folder: Path) -> None:
    drawing = example(folder)
    where = drawing.of(Shown)
    for sheet in drawn(folder):
        for row in rows(sheet):
            said = [label for label in row if label.of in drawing.plant.conductors]
            ends = [end.id for end in drawing.plant.conductors[said[0].of].ends] if said else []
            far = next((label.of for label in row if label.of in ends and not label.bold and label.x > said[0].x), "")
            if not far:
                continue  # a further line of a row
            key = where.key(far, said[0].of)
            told = [label for label in said[1:] if label.link]
            assert [label.link for label in told] == ([key] if key not in ("", sheet.key) else []), far
            assert all(where.number(far, said[0].of).startswith(label.text) for label in told), far


def test_a_screen_leads_to_the_sheet_on_which_the_cores_of_its_cable_end() -> None:
    folder = HATCHERY.parent / "serial-bus"
    plan = example(folder).of(TerminalPlan)
    drive, line = (plan.numbers[key] for key in (plan.keys["=CP1-T1"], plan.ends["=CP1-T1:BCOM", "=CP1-W21 2a"]))
    assert drive != line  # the drive begins on a sheet before
    assert row_of(drawn(folder), "-A1:SH")[-1] == line


@each_of("folder", EXAMPLES)
def test_each_wire_on_a_terminal_drawing_names_the_sheet_of_its_other_end(folder: Path) -> None:
    drawing = example(folder)
    where, plan = drawing.of(Shown), drawing.of(TerminalPlan)
    for sheet in (sheet for sheet in drawing.diagrams if sheet.key in plan.numbers):
        named = {(label.of, label.text) for label in labels(sheet) if label.link}
        ends = [(terminal, name) for (terminal, name), key in plan.ends.items() if key == sheet.key]
        ends = [(terminal, name) for terminal, name in ends if name in drawing.plant.conductors]  # spare cores lead nowhere
        for terminal, name in ends:
            conductor = drawing.plant.conductors[name]
            far = next((end.id for end in conductor.ends if end.id != terminal), terminal)
            if not conductor.cable and where.key(far, name) not in ("", sheet.key):
                assert (name, where.number(far, name)) in named, name


def begun(sheets: Iterable[Sheet]) -> dict[str, int]:
    """Devices in the order of reading, each with its number among them."""
    found = (row[0] for sheet in sheets for row in rows(sheet) if row[0].height == DESIGNATION)
    return {name: number for number, name in enumerate(dict.fromkeys(label.of for label in found))}


BOX = """\
place +MCP.D "Door" kind=door
device -S1 push-button-start "Start" at=+MCP.D
device -S2 selector-2 "Mode" at=+HALL
device -K1 relay-2co at=+MCP
device -Q2 motor-breaker-10a at=+MCP
device -K2 contactor-9a at=+MCP row=1
device -Q1 motor-breaker-10a at=+MCP
device -T9 vsd-4kw at=+MCP
"""


def test_devices_stand_as_they_are_mounted_then_those_of_the_door_and_of_the_field(tmp_path: Path) -> None:
    sheets = device_sheets(drawing_in(tmp_path, HEAD + BOX))
    found = list(begun(sheets))
    assert found[:8] == ["-G0", "-K2", "-T9", "-Q2", "-Q1", "-K1", "-S1", "-S2"]


@each_of("folder", EXAMPLES)
def test_devices_of_a_row_of_the_mounting_drawing_follow_each_other_from_the_left(folder: Path) -> None:
    drawing = example(folder)
    for mounted in drawing.of(enclosures):
        row_of = {p.body.device.id: (p.row, p.x) for p in mounted.made.placed if p.row} if mounted.made is not None else {}
        fronts = {p.body.device.id for door in mounted.doors for p in door.placed} - row_of.keys()
        by_group: dict[str, list[str]] = {}
        for sheet in drawn(folder):
            by_group.setdefault(sheet.key.rpartition(".")[0], []).extend(begun([sheet]))
        for names in by_group.values():
            standing = [row_of[name] for name in dict.fromkeys(names) if name in row_of]
            assert standing == sorted(standing)
            last = max((names.index(name) for name in names if name in row_of), default=-1)
            assert all(names.index(name) > last for name in names if name in fronts)
