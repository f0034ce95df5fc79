"""Display lists held to the letter: sheets of the plant in `golden/`, every symbol, the frame.

`python -m tests.render.test_golden` writes them anew. What is meant to change shows there, as the lines and words that moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from netdsl.findings import Finding, Severity, Source, Span
from netdsl.model import read_plant
from netdsl.network import build_network
from render.drawing import Drawing
from render.drawings.connections import connection_sheets
from render.drawings.cover import cover_sheets
from render.drawings.single_line import single_line_sheets
from render.drawings.terminals import terminal_sheets
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.sheet import Sheet
from render.symbols import conductor_count, symbol, symbol_names
from render.tables.wires import cable_list, wire_list
from tests.readback import as_text, display_list

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
        "connections": list(connection_sheets(plant)),
        "terminals": list(terminal_sheets(plant)),
        "lists": [wire_list(plant)[0], *cable_list(plant)],
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


def listed(name: str) -> list[str]:
    """What the file of that name holds."""
    own = {"symbols": of_symbols, "frames": of_frames}
    return list(own[name]()) if name in own else [line for sheet in sheets()[name] for line in display_list(sheet)]


NAMES = ("cover", "single-line", "connections", "terminals", "lists", "symbols", "frames")


@pytest.mark.parametrize("name", NAMES)
def test_sheets_are_drawn_as_they_were(name: str) -> None:
    assert listed(name) == (FOLDER / f"{name}.txt").read_text("utf-8").splitlines(), REFRESH


def test_nothing_touches() -> None:
    project = drawing().plant.project
    assert [fault for drawn in sheets().values() for sheet in drawn for fault in overlaps(framed(sheet, project, 1))] == []


if __name__ == "__main__":
    for kept in NAMES:
        (FOLDER / f"{kept}.txt").write_text("".join(f"{line}\n" for line in listed(kept)), "utf-8")
