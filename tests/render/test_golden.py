"""Display lists held to the letter: sheets of the plant in `golden/`, every symbol, the frame, a list, calculation sheets.

`python -m tests.render.test_golden` writes them anew. What is meant to change shows there, as the lines and words that moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from msgspec.structs import replace

from netdsl.calc import calculate
from netdsl.findings import Finding, Severity, Source, Span
from netdsl.model import read_plant
from netdsl.network import build_network
from render.drawing import Drawing
from render.drawings.circuits import circuit_sheets
from render.drawings.cover import cover_sheets
from render.drawings.device_sheets import device_sheets
from render.drawings.earth import earth_sheets
from render.drawings.mounting import mounting_sheets
from render.drawings.routes import route_sheets
from render.drawings.single_line import single_line_sheets
from render.drawings.terminals import terminal_sheets
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.sheet import DESIGNATION, Sheet
from render.symbols import conductor_count, symbol, symbol_names
from render.tables.cables import cable_sheets
from render.tables.calculation import calculation_sheets
from render.tables.grid import table_sheets
from render.tables.table import Cell, Column, Entry, Table
from render.tables.wires import wire_sheets
from tests.cases import each_of
from tests.readback import as_text, display_list
from tests.render.plants import ROOT, devices, labels

FOLDER = Path(__file__).parent / "golden"
REFRESH = "look at the sheets, then run python -m tests.render.test_golden"


@cache
def drawing() -> Drawing:
    """The plant, with findings made up: no rule decides what the cover says."""
    plant, _ = read_plant(FOLDER)
    assert plant is not None
    here = Span(Source("plant.netdsl", "netdsl 1\n"), 0, 6)
    found = [Finding(rule, severity, "a", "b", here) for rule, severity in (("x", Severity.ERROR), ("y", Severity.NOTE))]
    return Drawing(build_network(plant)[0], (*found, found[0].allow("reviewed")))


@cache
def sheets() -> dict[str, list[Sheet]]:
    """Sheets without frames by the file that holds them; of the wire list the first."""
    plant = drawing()
    found = {
        "single-line": single_line_sheets(plant),
        "circuits": list(circuit_sheets(plant)),
        "devices": list(device_sheets(plant)),
        "mounting": list(mounting_sheets(plant)),
        "earth": [*earth_sheets(plant), *route_sheets(plant)],
        "terminals": list(terminal_sheets(plant)),
        "lists": [wire_sheets(plant)[0], *cable_sheets(plant)],
    }
    return {"cover": cover_sheets(plant, [sheet for drawn in found.values() for sheet in drawn]), **found}


def of_symbols() -> Iterator[str]:
    """Every symbol once, with its ports, and the strokes that count conductors."""
    for name in symbol_names():
        drawn = symbol(name)
        if drawn.name != name:
            yield f"=== {name} = {drawn.name}"
            continue
        yield f"=== {name} | {' '.join(f'{port}@{x:g},{y:g}' for port, (x, y) in drawn.ports.items())}"
        yield from map(as_text, drawn.primitives)
    yield "=== a count of three conductors with neutral and earth"
    yield from map(as_text, conductor_count(3, True, True).primitives)


def of_frames() -> Iterator[str]:
    """Frame, title block and banner of both sizes."""
    for size in ("A3", "A4"):
        empty = Sheet("frame", "F1", "Overview", "Single-line diagram", "=P1 Pump", (), size)
        yield from display_list(framed(empty, drawing().plant.project, 2))


def of_tables() -> Iterator[str]:
    """A list with everything that one can hold, lines far apart and near: boxes, links, headings, a remark, rows of many lines,
    a column that no row fills, one too wide, further sheets with other notes."""
    columns = (
        Column("name", DESIGNATION, 40.0, 20.0),
        Column("done", ticks=True),
        Column("never filled"),
        Column("words", most=90.0, least=30.0),
        Column("more", most=20.0, least=18.0),
    )
    words = ("short", "first line\nsecond line", "a row of words that is broken where the column ends, at 2.5 mm² and at 400 V")
    rows = [Entry((), "", "A sentence before all rows, lettered as they are.", remark=True)]
    for group in ("=A1", "=A2"):
        rows.append(Entry((), group, f"{group} Group"))
        for number in range(14):
            cells = (Cell(f"{group}-K{number}", f"{group}-K{number}", "key"), Cell(), Cell(), Cell(words[number % 3]))
            rows.append(Entry((*cells, Cell("40 °C" if number % 5 else "")), f"{group}-K{number}"))
    for formulas in (False, True):
        table = Table("t", "T", "Table", "List", "Plant", columns, tuple(rows), ("note", "other note"), formulas, ("later note",))
        for sheet in table_sheets(table, "A4"):
            yield from display_list(sheet)
    yield from (line for sheet in table_sheets(replace(table, later=()), "A3") for line in display_list(sheet))


#: what the calculation sheets are made of: a limit kept, one not kept, values without, a way in series, a note
RESULTS = (
    "load-current =P1-T1",
    "current-carrying-capacity -W0",
    "overload.tripping =P2-W1",
    "disconnection =P2-M1",
    "protective-conductor.bond -XE1:2 -- +MCP:PE",
    "protective-conductor.table =P2-W1 GNYE",
    "motor-cable.peak =P1-M1",
    "control-drop =P1-K2 from -T2:+",
    "enclosure.losses +MCP",
    "enclosure.temperature +MCP",
)


def of_calculations() -> Iterator[str]:
    """The calculation sheets of a few results on both sizes; of what is assumed the head alone: it grows with each question."""
    plant = drawing().plant
    for size in ("A3", "A4"):
        project = replace(plant.project, attributes={**plant.project.attributes, "sheet-size": size})
        calculation = calculate(build_network(replace(plant, project=project))[0])
        some = [result for result in calculation.results if result.key in RESULTS]
        assert len(some) == len(RESULTS)
        kept = [sheet for sheet in calculation_sheets(calculation, some, 1) if sheet.number not in ("CP2", "CP3", "CP4", "CP5")]
        for sheet in kept:
            around = len(framed(replace(sheet, primitives=()), project, 1).primitives)
            lines = list(display_list(sheet))
            rows = lines[1 + around :]
            yield lines[0]
            yield from rows[:9] if sheet.key.startswith("premises") else rows


#: examples whose drives are wired in ways that the plant in `golden/` has not
WIRED = ("mains-bypass", "emergency-stop", "closed-loop-four-wire", "serial-bus")


def of_words() -> Iterator[str]:
    """What is written on the device sheets of examples, a line for what stands at one height."""
    for name in WIRED:
        for sheet in devices(ROOT / "examples" / name):
            yield f"=== {name} {sheet.number} {sheet.title}"
            rows: dict[float, list[tuple[float, str]]] = {}
            for label in labels(sheet):
                rows.setdefault(round(label.y, 1), []).append((label.x, label.text))
            yield from (" | ".join(text for _, text in sorted(row)) for _, row in sorted(rows.items()))


def listed(name: str) -> list[str]:
    """What the file of that name holds."""
    own = {"symbols": of_symbols, "frames": of_frames, "tables": of_tables, "calculations": of_calculations, "words": of_words}
    return list(own[name]()) if name in own else [line for sheet in sheets()[name] for line in display_list(sheet)]


NAMES = (
    "cover",
    "single-line",
    "circuits",
    "devices",
    "mounting",
    "earth",
    "terminals",
    "lists",
    "symbols",
    "frames",
    "tables",
    "calculations",
    "words",
)


@each_of("name", NAMES)
def test_sheets_are_drawn_as_they_were(name: str) -> None:
    assert listed(name) == (FOLDER / f"{name}.txt").read_text("utf-8").splitlines(), REFRESH


def test_nothing_touches() -> None:
    project = drawing().plant.project
    assert [fault for drawn in sheets().values() for sheet in drawn for fault in overlaps(framed(sheet, project, 1))] == []


if __name__ == "__main__":
    for kept in NAMES:
        (FOLDER / f"{kept}.txt").write_text("".join(f"{line}\n" for line in listed(kept)), "utf-8")
