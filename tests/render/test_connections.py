"""Connection drawings: every terminal of every drive, its ways up to the field, settings, notes; read back from the sheets."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from msgspec.structs import replace

from netdsl.model import read_plant
from netdsl.model.plant import Device
from netdsl.network import build_network
from netdsl.network.queries import downstream, upstream
from render.build import drawing_set
from render.drawing import Drawing
from render.drawings.connections import connection_sheets
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.sheet import Label, Line, Sheet
from tests.render.plants import EXAMPLES, HATCHERY, ROOT, example
from tests.render.random_plants import plant_text

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
  wire -T1:24V to -X1:1 0.75mm2 BU
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


def drawing_of(text: str, folder: Path) -> Drawing:
    (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None and findings == ()
    return Drawing(build_network(plant)[0])


def drawn(drawing: Drawing) -> tuple[Sheet, ...]:
    return tuple(connection_sheets(drawing))


def drives(drawing: Drawing) -> list[Device]:
    return [device for device in drawing.plant.devices.values() if device.kind == "drive"]


def sheets_of(drawing: Drawing, drive: str) -> list[Sheet]:
    return [sheet for sheet in drawing.of(drawn) if sheet.title == f"Connections {drive}"]


def labels(sheets: Iterable[Sheet]) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def texts(sheets: Iterable[Sheet]) -> list[str]:
    return [label.text for label in labels(sheets)]


def row(sheet: Sheet, terminal: str) -> list[str]:
    """Texts beside a terminal of the drive, from left to right, those in the row of its own number alone."""
    (own,) = [label for label in labels([sheet]) if label.of == terminal and terminal.endswith(f":{label.text}")]
    beside = [label for label in labels([sheet]) if label.x > own.x and abs(label.y - own.y) < 0.1 and label.height == own.height]
    return [label.text for label in sorted(beside, key=lambda label: label.x)]


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_every_terminal_of_a_drive_and_every_conductor_on_it_is_drawn(folder: Path) -> None:
    drawing = example(folder)
    for drive in drives(drawing):
        sheets = sheets_of(drawing, drive.id)
        drawn = {part.of for sheet in sheets for part in sheet.primitives if not isinstance(part, Label)}
        named = {label.of for label in labels(sheets)}
        for name in drive.terminals:
            key = f"{drive.id}:{name}"
            assert key in named
            for conductor in drawing.network.at_terminal.get(key, ()):
                assert conductor in drawn, (key, conductor)
                ends = drawing.plant.conductors[conductor].ends
                assert any(end.id in named for end in ends if end.id != key), (key, conductor)


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_ways_lead_to_motors_and_to_what_protects_the_drive(folder: Path) -> None:
    drawing = example(folder)
    devices = drawing.plant.devices
    for drive in drives(drawing):
        named = {label.of.partition(":")[0] for label in labels(sheets_of(drawing, drive.id))}
        assert named >= {device for device in downstream(drawing.network, drive.id) if devices[device].kind == "motor"}
        protecting = [
            device
            for device in upstream(drawing.network, drive.id)
            if devices[device].kind in ("breaker", "fuse", "motor-breaker")
        ]
        assert protecting[0] in named


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_every_cable_on_a_drive_leads_to_its_far_end(folder: Path) -> None:
    drawing = example(folder)
    for drive in drives(drawing):
        named = {label.of for label in labels(sheets_of(drawing, drive.id))}
        for cable in drawing.plant.cables.values():
            for name in cable.conductors:
                near, far = drawing.plant.conductors[name].ends
                assert near.device != drive.id or far.id in named, (drive.id, name)
                assert far.device != drive.id or near.id in named, (drive.id, name)


def test_a_way_is_followed_through_strip_cable_and_contact(tmp_path: Path) -> None:
    drawing = drawing_of(HEAD + PUMP, tmp_path)
    (sheet,) = [sheet for sheet in sheets_of(drawing, "=A-T1") if any(label.of == "=A-T1:DI1" for label in labels([sheet]))]
    assert row(sheet, "=A-T1:DI1") == ["-X1:3", "-S1:14", ":13", "-X1:2", ":1", "-T1:24V"]
    assert {"-W1 BN", "-W1 BU", "0.75 mm² BU", "bridge"} <= set(texts([sheet]))
    assert any("Run at +HALL, closed in on" in text for text in texts([sheet]))


def test_supply_goes_through_protection_to_its_source(tmp_path: Path) -> None:
    power = "device -Q1 mcb-3p at=+MCP\nwire -Q1:2,4,6 to =A-T1:L1,L2,L3 4mm2 BK\nwire -G0:L1,L2,L3 to -Q1:1,3,5 4mm2 BK\n"
    drawing = drawing_of(HEAD + PUMP + power, tmp_path)
    sheet = sheets_of(drawing, "=A-T1")[0]
    assert row(sheet, "=A-T1:L2") == ["-Q1:4", ":3", "-G0:L2"]


def test_screens_say_how_both_ends_are_made(tmp_path: Path) -> None:
    sheets = sheets_of(drawing_of(HEAD + PUMP, tmp_path), "=A-T1")
    assert "screen, clamp" in texts(sheets)
    assert any(text.startswith("far end: open") for text in texts(sheets))
    assert any(isinstance(part, Line) and part.dash and part.of == "=A-W1" for sheet in sheets for part in sheet.primitives)


def test_what_is_not_connected_is_said_to_be_unused(tmp_path: Path) -> None:
    drawing = drawing_of(HEAD + PUMP, tmp_path)
    (drive,) = drives(drawing)
    screens = {end.terminal for cable in drawing.plant.cables.values() for screen in cable.screens for end in screen.ends}
    unused = [
        name for name in drive.terminals if not drawing.network.at_terminal.get(f"{drive.id}:{name}") and name not in screens
    ]
    said = [label.of for label in labels(sheets_of(drawing, drive.id)) if label.text == "not used"]
    assert sorted(said) == sorted(f"{drive.id}:{name}" for name in unused)


def test_settings_are_listed_and_stand_at_the_terminals_they_govern(tmp_path: Path) -> None:
    drawing = drawing_of(HEAD + PUMP, tmp_path)
    (drive,) = drives(drawing)
    sheets = sheets_of(drawing, drive.id)
    assert drive.part is not None and set(drive.part.settings) <= set(texts(sheets))
    assert texts(sheets).count("set") == 1
    assert texts(sheets).count("default") == len(drive.part.settings) - 1
    at_terminals = {label.of.partition(":")[2]: label.text for label in labels(sheets) if "ai2: voltage" in label.text}
    assert set(at_terminals) == {"AI2"}
    assert any(label.of == "=A-T1:THP" and "thermistor: off" in label.text for label in labels(sheets))


def test_cautions_and_remarks_are_printed_in_order(tmp_path: Path) -> None:
    found = labels(sheets_of(drawing_of(HEAD + PUMP, tmp_path), "=A-T1"))
    (caution,) = [label for label in found if label.text == "starts by itself"]
    (remark,) = [label for label in found if label.text == "preset 1: 20 Hz"]
    (sign,) = [label for label in found if label.text == "!"]
    assert sign.y == caution.y < remark.y


def test_a_note_on_any_device_is_printed() -> None:
    noted = 0
    for folder in EXAMPLES:
        drawing = example(folder)
        for note in drawing.plant.notes:
            printed = " ".join(texts(sheets_of(drawing, note.subject)))
            assert " ".join(note.text.split()) in printed, (folder.name, note.text)
            noted += drawing.plant.devices[note.subject].kind != "drive"
    assert noted


def test_power_that_leaves_a_contactor_is_followed_to_the_motor() -> None:
    drawing = example(ROOT / "examples" / "reversing")
    (device,) = {note.subject for note in drawing.plant.notes}
    (sheet,) = sheets_of(drawing, device)
    for name, kinds in (("1", {"busbar", "supply"}), ("2", {"motor"})):
        last = row(sheet, f"{device}:{name}")[-1].partition(":")[0]
        assert {each.kind for each in drawing.plant.devices.values() if each.id.endswith(last)} & kinds


def test_many_notes_go_on_on_further_sheets(tmp_path: Path) -> None:
    notes = "".join(f'remark on =A-T1 "line {number}"\n' for number in range(150))
    drawing = drawing_of(HEAD + PUMP + notes, tmp_path)
    sheets = sheets_of(drawing, "=A-T1")
    assert [text for text in texts(sheets) if text.startswith("line ")] == [f"line {number}" for number in range(150)]
    assert all(overlaps(framed(sheet, drawing.plant.project, 1)) == [] for sheet in sheets)


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_no_text_touches_anything_on_small_sheets(folder: Path) -> None:
    network = example(folder).network
    project = replace(network.plant.project, attributes={**network.plant.project.attributes, "sheet-size": "A4"})
    small = Drawing(replace(network, plant=replace(network.plant, project=project)))
    for sheet in connection_sheets(small):
        assert overlaps(framed(sheet, project, 1)) == [], sheet.key


def chain(count: int, size: str) -> str:
    """Drives with long names in one chain of conductors that begins at a relay."""
    lines = [HEAD.replace('number = "P-1"', f'number = "P-1"   sheet-size = {size}'), 'device -K1 relay-1co "Release" at=+MCP']
    before = "-K1:14"
    for number in range(1, count + 1):
        name = f"=FISH_FARM_DEPARTMENT_{number}"
        lines.append(
            f'function {name} "Department {number}" at=+MCP {{\n  device -T1 vsd-4kw "Drive of the upper circulation"\n}}'
        )
        lines.append(f"wire {before} to {name}-T1:DI1 0.75mm2 BU mark=RELEASE-{number}")
        before = f"{name}-T1:DI1"
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_a_conductor_looped_over_many_drives_leads_to_the_device_at_its_end(size: str, tmp_path: Path) -> None:
    drawing = drawing_of(chain(9, size), tmp_path)
    last = sheets_of(drawing, "=FISH_FARM_DEPARTMENT_9-T1")
    assert any(label.of == "-K1:14" for label in labels(last))
    assert "past 6 more" in texts(last)
    for sheet in drawing.of(drawn):
        assert overlaps(framed(sheet, drawing.plant.project, 1)) == [], sheet.key


@pytest.mark.parametrize("seed", range(0, 40, 2))
def test_no_text_touches_anything_where_every_device_of_a_random_plant_is_drawn(seed: int, tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(plant_text(seed), encoding="utf-8")
    plant, _ = read_plant(tmp_path)
    assert plant is not None
    notes = "".join(f'remark on {device} "drawn for its note"\n' for device in plant.devices)
    (tmp_path / "plant.netdsl").write_text(plant_text(seed) + notes, encoding="utf-8")
    noted, _ = read_plant(tmp_path)
    assert noted is not None
    sheets = list(connection_sheets(Drawing(build_network(noted)[0])))
    assert {sheet.title for sheet in sheets} == {f"Connections {device}" for device in plant.devices}
    for sheet in sheets:
        assert overlaps(framed(sheet, noted.project, 1)) == [], sheet.key


def test_numbers_and_keys_belong_to_the_function(tmp_path: Path) -> None:
    one = {sheet.key: sheet for sheet in drawn(drawing_of(HEAD + PUMP, tmp_path))}
    assert set(one) == {"connections-A-T1.1", "connections-A-T1.2"}
    assert [sheet.number for sheet in one.values()] == ["A/C.T1.1", "A/C.T1.2"]
    assert {(sheet.kind, sheet.part_of) for sheet in one.values()} == {("Connection diagram", "=A Pond pump")}
    second = 'function =B "Second" at=+MCP {\n  device -T1 vsd-4kw\n}\n'
    two = {sheet.key: sheet for sheet in drawn(drawing_of(HEAD + second + PUMP, tmp_path))}
    assert {key: two[key] for key in one} == one


def test_designations_lead_to_the_sheets_that_show_them() -> None:
    drawing = example(HATCHERY)
    linked = [label for label in labels(drawing.of(drawn)) if label.link]
    motors = [label for label in linked if drawing.plant.devices[label.of.partition(":")[0]].kind == "motor"]
    assert motors and all(label.link == drawing.key_of(label.of) for label in motors)
    known = {sheet.key for sheet in drawing_set(drawing)}
    assert {label.link for label in linked} <= known


def test_a_plant_without_drives_has_no_connection_drawing(tmp_path: Path) -> None:
    assert drawn(drawing_of(HEAD, tmp_path)) == ()
