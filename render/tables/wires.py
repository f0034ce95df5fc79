"""The wire list and the cable list: every conductor with both its ends, every cable with its route and its screens."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from netdsl.model.plant import CableScreen, Plant
from netdsl.network.types import CableUse, Network, Run
from netdsl.network.unused import spare_cores
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import Cell, Column, Entry, Table, table_sheets
from render.words.cables import how_text, length_text, type_text
from render.words.remarks import CAUTION, MARKS, shade_words
from render.words.terminals import section_text

_WIRED = "Boxes: wired, checked."
_LAID = "Boxes: laid, checked."

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
_CABLE_COLUMNS = (
    Column("cable", DESIGNATION, 44.0, 20.0),
    Column("done", ticks=True),
    Column("type", most=50.0, least=26.0),
    Column("length", most=30.0, least=14.0),
    Column("from", DESIGNATION, 50.0, 22.0),
    Column("to", DESIGNATION, 50.0, 22.0),
    Column("along", most=44.0, least=18.0),
    Column("cores used", most=20.0, least=16.0),
    Column("spare", most=30.0, least=14.0),
    Column("screen", most=66.0, least=24.0),
    Column("what for", most=50.0, least=20.0),
)


#: gives the key of the sheet that shows a designation, "" where none does
_Links = Callable[[str], str]


@in_set(400)
def wire_list(drawing: Drawing) -> list[Sheet]:
    """The wire list, function by function, without frames."""
    entries = tuple(_wire_entries(drawing.network, drawing.key_of))
    notes = (" ".join((_WIRED, MARKS, *shade_words(drawing.plant))), CAUTION)
    project = drawing.plant.project.title
    return table_sheets(Table("wires", "WL", "Wire list", "Wire list", project, _WIRE_COLUMNS, entries, notes), drawing.size)


@in_set(410)
def cable_list(drawing: Drawing) -> list[Sheet]:
    """The cable list, function by function, without frames."""
    entries = tuple(_cable_entries(drawing.network, drawing.key_of))
    notes = (_LAID, CAUTION)
    project = drawing.plant.project.title
    return table_sheets(Table("cables", "CL", "Cable list", "Cable list", project, _CABLE_COLUMNS, entries, notes), drawing.size)


def _heading(plant: Plant, function: str) -> Entry:
    if not function:
        return Entry((), "", "Common part")
    title = plant.functions[function].title if function in plant.functions else ""
    return Entry((), function, f"{function} {title}".strip())


def _wire_entries(network: Network, links: _Links) -> Iterable[Entry]:
    by_function: dict[str, list[Run]] = {}
    for run in network.runs.values():
        by_function.setdefault(run.conductor.function, []).append(run)
    for function in ("", *network.plant.functions):
        runs = by_function.get(function)
        if runs:
            yield _heading(network.plant, function)
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


def _cable_entries(network: Network, links: _Links) -> Iterable[Entry]:
    by_function: dict[str, list[CableUse]] = {}
    for use in network.cables.values():
        by_function.setdefault(use.cable.function, []).append(use)
    for function in ("", *network.plant.functions):
        uses = by_function.get(function)
        if uses:
            yield _heading(network.plant, function)
            for use in uses:
                yield _cable(network.plant, use, links)


def _cable(plant: Plant, use: CableUse, links: _Links) -> Entry:
    cable = use.cable
    spare = spare_cores(cable, plant)
    said = f"{', '.join(spare)}{f', {cable.spare}' if cable.spare else ''}" if spare else ""
    ends = [", ".join(devices) for devices in use.devices]
    first, second = (links(devices[0]) if devices else "" for devices in use.devices)
    cells = (
        Cell(cable.id, cable.id),
        Cell(),
        Cell(type_text(cable)),
        Cell(length_text(cable)),
        Cell(ends[0], cable.id, first),
        Cell(ends[1], cable.id, second),
        Cell(", ".join(cable.routes)),
        Cell(f"{len(cable.cores) - len(spare)} of {len(cable.cores)}"),
        Cell(said),
        Cell("; ".join(_screen(screen) for screen in cable.screens)),
        Cell(cable.title),
    )
    return Entry(cells, cable.id)


def _screen(screen: CableScreen) -> str:
    """Both ends of a screen in words."""
    pair = f"pair {screen.pair} " if screen.pair else ""
    ends = [f"{how_text(end)} {end.device}{f':{end.terminal}' if end.terminal else ''}" for end in screen.ends]
    ends += ["unterminated"] * (2 - len(ends))
    return pair + ", ".join(ends)
