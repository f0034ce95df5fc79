"""The wire list and the cable list: nothing missing, nothing cut, nothing touching."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.quantities import number_text
from render.drawing import Drawing
from render.drawings.terminal_plan import TerminalPlan
from render.layout.frame import framed, zone
from render.layout.overlap import overlaps_of
from render.sheet import Label, Line, Sheet
from render.tables.cables import cable_sheets, cables
from render.tables.shown import Shown
from render.tables.strips import spare, strip_pieces
from render.tables.table import Entry, Table
from render.tables.wires import cores, wire_sheets, wires
from tests.cases import each_of
from tests.readings import EXAMPLES, drawn_by, small_drawing_of
from tests.render.plants import HATCHERY, drawing_in, example
from tests.render.random_plants import random_drawing


def wire_list_sheets(drawing: Drawing) -> list[Sheet]:
    """The wire list and the cable list of a plant."""
    return [*drawn_by(wire_sheets, drawing), *drawn_by(cable_sheets, drawing)]


def rows(sheets: list[Sheet]) -> dict[str, list[str]]:
    """Texts by the conductor or cable whose row they stand in; ends carry their own designation."""
    found: dict[str, list[str]] = {}
    for sheet in sheets:
        for part in sheet.primitives:
            if isinstance(part, Label) and part.of:
                found.setdefault(part.of, []).append(part.text)
    return found


def assert_complete(drawing: Drawing) -> None:
    """Every conductor and every cable once, with its data, two boxes per end, nothing shortened."""
    network, sheets = drawing.network, wire_list_sheets(drawing)
    found = rows(sheets)
    listed = [sheet for sheet in sheets if sheet.key.startswith("wires-")]
    boxes = Counter(part.of for sheet in listed for part in sheet.primitives if isinstance(part, Line) and part.closed)
    for run in network.runs.values():
        said = found.get(run.id, [])
        assert boxes[run.id] == 4, run.id
        if run.section_mm2 is not None:
            assert f"{number_text(run.section_mm2)} mm²" in " ".join(said)
        name = run.conductor.core if run.conductor.cable else run.colour
        assert not name or name in said
        assert run.mark in "".join(said)
        for end in run.conductor.ends:
            assert end.id in "".join(found[end.id])
    for identity, use in network.cables.items():
        said = " ".join(found[identity])
        assert identity in "".join(found[identity])
        assert use.cable.construction in said
    assert "…" not in "".join(text for texts in found.values() for text in texts)


def test_the_hatchery_is_listed_whole() -> None:
    assert_complete(example(HATCHERY))


@each_of("seed", range(1, 24, 2))
def test_random_plants_are_listed_whole(seed: int) -> None:
    assert_complete(random_drawing(seed))


@pytest.mark.parametrize("seed", range(0, 24, 2))
def test_no_text_touches_anything_on_random_plants(seed: int) -> None:
    drawing = random_drawing(seed)
    assert overlaps_of([framed(sheet, drawing.plant.project, 1) for sheet in wire_list_sheets(drawing)]) == []


def test_wires_go_by_place_then_power_earth_and_control_and_say_where_they_go_on() -> None:
    headings = [
        part.text
        for sheet in wire_list_sheets(example(HATCHERY))
        for part in sheet.primitives
        if isinstance(part, Label) and part.bold and part.text.startswith("+")
    ]
    assert list(dict.fromkeys(text.removesuffix(" (continued)") for text in headings)) == [
        "+MCP Motor control panel: power",
        "+MCP Motor control panel: earth",
        "+MCP Motor control panel: control",
        "+MCP to +MCP.D: earth",
        "+MCP to +MCP.D: control",
        "+MCP.D Panel door: control",
        "+HALL.JB Junction box at the sump: earth",
    ]
    assert any(text.endswith("(continued)") for text in headings)


def test_a_plant_without_conductors_has_no_list(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text('netdsl 1\nplace +MCP "Panel" kind=cabinet\n', encoding="utf-8")
    plant, _ = read_plant(tmp_path)
    assert plant is not None
    assert wire_list_sheets(Drawing(build_network(plant)[0])) == []


LISTED = """netdsl 1
project "Mill" {
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
strip -X1 at=+MCP {
  :1..4 2.5mm2 clamps=2
}
strip -X2 at=+HALL {
  :1..4 2.5mm2
}
cable -W1 3x1 screened "signals" length=12m spare=insulated {
  BN -X1:1 to -X2:1 "far"
  screen -X1 open to -X2 open
}
wire -X1:1 to -X1:2 to -X1:3 1.5mm2 BU twin
wire -X1:3 to -X1:4 1.5mm2 BK length=2m
"""


def rows_of(sheet: Sheet) -> list[list[str]]:
    """The texts of each row of a list, from left to right."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for part in sheet.primitives:
        if isinstance(part, Label) and part.y < 200:
            rows.setdefault(round(part.y), []).append((part.x, part.text))
    return [[text for _, text in sorted(row)] for _, row in sorted(rows.items())]


def rows_of_list(table: Table) -> list[list[str]]:
    """The texts of each row, but for where it is drawn; of a heading that alone."""
    heads = [column.head for column in table.columns]
    return [
        [cell.text for head, cell in zip(heads, entry.cells, strict=False) if cell.text and "sheet" not in head]
        or [entry.heading]
        for entry in table.entries
    ]


def test_wires_come_with_their_ends_in_order_and_a_twin_ferrule_where_two_of_a_chain_meet(tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, LISTED)
    assert rows_of_list(drawing.of(wires)) == [
        ["+MCP Panel: control"],
        ["1", "-X1:1", "-X1:2", "BU", "1.5 mm²", "twin at -X1:2"],
        ["2", "-X1:2", "-X1:3", "BU", "1.5 mm²", "twin at -X1:2"],
        ["3", "-X1:3", "-X1:4", "BK", "1.5 mm²", "2 m"],
    ]
    assert rows_of_list(drawing.of(cores)) == [
        ["-W1 3x1 screened, 12 m, signals"],
        ["BN", "-X1:1", "-X2:1", "1 mm²", "far"],
        ["screen", "-X1 open", "-X2 open"],
        ["BK", "spare, insulated"],
        ["GY", "spare, insulated"],
    ]
    assert rows_of_list(drawing.of(cables)) == [
        ["Common part"],
        ["-W1", "3x1 screened", "12 m", "-X1", "-X2", "1 of 3", "BK, GY, insulated", "open -X1, open -X2", "signals"],
    ]
    (sheet,) = wire_sheets(drawing)
    assert "Cores of cables" in [part.text for part in sheet.primitives if isinstance(part, Label)]


def _places(drawing: Drawing) -> dict[str, dict[str, str]]:
    """Of each terminal what `own` gives."""
    found: dict[str, dict[str, str]] = {}
    for sheet in drawing.diagrams:
        if sheet.kind in ("Device diagram", "Terminal diagram"):
            for part in sheet.primitives:
                if isinstance(part, Label) and part.text and part.text == part.of.partition(":")[2]:
                    found.setdefault(part.of, {})[sheet.number] = zone(sheet.size, part.x, part.y)
    return found


def own(drawing: Drawing, terminal: str) -> dict[str, str]:
    """Where the number of a terminal stands in its own row, zone by number of sheet, on the drawings from which it is wired."""
    return drawing.of(_places).get(terminal, {})


def named(table: Table, head: str) -> Iterator[tuple[Entry, str, str]]:
    """Each row that names a sheet in a column: with that, and the zone there."""
    at = [column.head for column in table.columns].index(head)
    for entry in table.entries:
        number, _, where = entry.cells[at].text.rpartition(" ") if entry.cells else ("", "", "")
        if number:
            yield entry, number, where


def test_a_wire_leads_to_the_terminal_drawing_of_an_end_where_it_has_one_else_to_a_device_sheet() -> None:
    drawing = example(HATCHERY)
    kinds = {sheet.number: sheet.kind for sheet in drawing.diagrams}
    drawn = drawing.of(TerminalPlan).keys
    found = list(named(drawing.of(wires), "sheet"))
    assert len(found) > 100
    for entry, number, where in found:
        ends = [end.id for end in drawing.network.runs[entry.of].conductor.ends]
        assert any(own(drawing, end).get(number) == where for end in ends), entry.of
        on_strip = any(end in drawn for end in ends)
        assert kinds[number] == ("Terminal diagram" if on_strip else "Device diagram"), entry.of


def test_each_end_of_a_core_leads_to_its_own_terminal_drawing() -> None:
    drawing = example(HATCHERY)
    kinds = {sheet.number: sheet.kind for sheet in drawing.diagrams}
    table = drawing.of(cores)
    heads = [column.head for column in table.columns]
    for side in ("from", "to"):
        rows = [(entry, *at) for entry, *at in named(table, f"{side} sheet") if entry.of in drawing.network.runs]
        assert len(rows) == sum(bool(run.conductor.cable) for run in drawing.network.runs.values())
        for entry, number, where in rows:
            end = entry.cells[heads.index(side)]
            assert kinds[number] == "Terminal diagram"
            assert own(drawing, end.text)[number] == where
            assert end.link == drawing.of(TerminalPlan).keys[end.text]


def test_a_core_leads_to_the_half_of_its_strip_on_which_it_lands_where_both_stand_on_one_sheet() -> None:
    drawing = small_drawing_of(EXAMPLES / "star-delta" / "plant.netdsl")
    where, terminal = drawing.of(Shown), "=WP1-K2:4"
    conductors = [drawing.plant.conductors[name] for name in drawing.network.at_terminal[terminal]]
    core, *wires_there = sorted(conductors, key=lambda conductor: conductor.cable is None)
    (sheet,) = (sheet for sheet in drawing.diagrams if sheet.key == where.key(terminal, core.id))
    found = [part for part in sheet.primitives if isinstance(part, Label) and part.of == terminal and part.text == "4"]
    inside, field = sorted(found, key=lambda label: label.y)
    assert where.place(terminal, core.id)[0] == f"{sheet.number} {zone(sheet.size, field.x, field.y)}"
    assert {where.place(terminal, wire.id)[0] for wire in wires_there} == {
        f"{sheet.number} {zone(sheet.size, inside.x, inside.y)}"
    }


def test_the_terminals_of_a_strip_and_what_is_spare_lead_to_where_they_are_drawn() -> None:
    drawing = example(HATCHERY)
    strips = {(entry.of, entry.cells[3].text): at for entry, *at in named(drawing.of(strip_pieces), "sheet")}
    assert strips["-X1", "8..10; 11..13"] == ["T.MCP.4", own(drawing, "-X1:8")["T.MCP.4"]]
    free = {entry.of: at for entry, *at in named(drawing.of(spare), "sheet")}
    assert free["-XE1"] == ["MCP/D1", own(drawing, "-XE1:14")["MCP/D1"]]
    assert free["=BW1-K2"] == ["BW1/D1", own(drawing, "=BW1-K2:13")["BW1/D1"]]


def test_a_cable_names_the_sheets_on_which_it_lands() -> None:
    drawing = example(HATCHERY)
    table = drawing.of(cables)
    at = [column.head for column in table.columns].index("sheets")
    said = {entry.of: entry.cells[at].text for entry in table.entries if entry.cells}
    assert said["=RP1-W1"] == "RP1/T.MCP.1, RP1/T.site"
    assert said["=LV1-W2"] == "LV1/T.HALL.JB"


def test_what_a_tooth_of_a_comb_is_stands_in_its_row_once(tmp_path: Path) -> None:
    text = (
        'place +BOX "Box" kind=box material=plastic\n'
        "comb -WC1 at=+BOX poles=3 current=63A section=10mm2\n"
        "device -F1 mcb-3p at=+BOX current=10A\n"
        "teeth of -WC1 on -F1:1,3,5\n"
    )
    listed = [entry for entry in wires(drawing_in(tmp_path, text)).entries if entry.cells]
    assert [sum("tooth" in cell.text for cell in entry.cells) for entry in listed] == [1, 1, 1]
