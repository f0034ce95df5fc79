"""The wire list: every conductor with both its ends."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from netdsl.network.types import Network, Run
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import table_sheets
from render.tables.listing import function_heading, listing
from render.tables.table import Cell, Column, Entry, Table
from render.words.remarks import CAUTION, MARKS, shade_words
from render.words.terminals import section_text

_WIRED = "Boxes: wired, checked."

_WIRE_COLUMNS = (
    Column("from", DESIGNATION, 62.0, 24.0),
    Column("done", ticks=True),
    Column("to", DESIGNATION, 62.0, 24.0),
    Column("done", ticks=True),
    Column("cable", DESIGNATION, 40.0, 16.0),
    Column("core or colour", most=20.0, least=10.0),
    Column("section", most=24.0, least=14.0),
    Column("mark", most=40.0, least=12.0),
    Column("along", most=40.0, least=16.0),
    Column("length", most=18.0, least=10.0),
    Column("remarks", most=50.0, least=20.0),
)

#: gives the key of the sheet that shows a designation, "" where none does
_Links = Callable[[str], str]


@listing("wires", "every conductor with both its ends")
def wires(drawing: Drawing) -> Table:
    """A row per conductor, function by function."""
    entries = tuple(_wire_entries(drawing.network, drawing.key_of))
    notes = (" ".join((_WIRED, MARKS, *shade_words(drawing.plant))), CAUTION)
    project = drawing.plant.project.title
    return Table("wires", "WL", "Wire list", "Wire list", project, _WIRE_COLUMNS, entries, notes, counted=True, by="function")


@in_set(400)
def wire_sheets(drawing: Drawing) -> list[Sheet]:
    """The wire list, function by function, without frames."""
    return table_sheets(drawing.of(wires), drawing.size)


def _wire_entries(network: Network, links: _Links) -> Iterable[Entry]:
    by_function: dict[str, list[Run]] = {}
    for run in network.runs.values():
        by_function.setdefault(run.conductor.function, []).append(run)
    for function in ("", *network.plant.functions):
        runs = by_function.get(function)
        if runs:
            yield function_heading(network.plant, function)
            # wires before cores: the shop wires the panel, the site lays the cables
            for run in sorted(runs, key=lambda run: bool(run.conductor.cable)):
                yield _wire(run, links)


def _wire(run: Run, links: _Links) -> Entry:
    conductor = run.conductor
    first, second = conductor.ends
    remarks = [conductor.text]
    remarks += [f"twin ferrule at {end.id}" for end in conductor.ends if end.id in conductor.twin_at]
    cells = (
        Cell(first.id, first.id, links(first.id)),
        Cell(),
        Cell(second.id, second.id, links(second.id)),
        Cell(),
        Cell(conductor.cable or "", conductor.cable or ""),
        Cell(conductor.core if conductor.cable else run.colour or ""),
        Cell(section_text(run)),
        Cell(run.mark),
        Cell(", ".join(run.routes)),
        Cell(f"{number_text(run.length_m)} m" if run.length_m is not None and not conductor.is_tooth else ""),
        Cell(", ".join(text for text in remarks if text)),
    )
    return Entry(cells, run.id)
