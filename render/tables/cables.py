"""The cable list, every cable with its route and its screens, and the cutting list: lengths of cable and wire by type."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.plant import Cable, CableScreen, Plant
from netdsl.network.types import CableUse, Run
from netdsl.network.unused import spare_cores
from netdsl.quantities import number_text
from netdsl.sums import sum_of
from render.drawing import Drawing, in_set
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import stacked_sheets
from render.tables.listing import function_heading, listing, side_by_side
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.cables import how_text, length_text, place_text, type_text, way_text
from render.words.remarks import CAUTION, shade_words

_LAID = "Boxes of cables: laid, checked."
_CUT = "Boxes of the cutting list: cut, checked. Lengths are those of the text, without what is cut off or left over."

_COLUMNS = (
    Column("cable", DESIGNATION, 44.0, 26.0),
    Column("done", ticks=True),
    Column("type", most=50.0, least=20.0),
    Column("length", most=30.0, least=14.0, unit="m"),
    Column("from", most=40.0, least=18.0),
    Column("to", most=40.0, least=18.0),
    Column("sheets", most=44.0, least=16.0, below=True),
    Column("along", most=44.0, least=18.0),
    Column("cores used", most=20.0, least=16.0),
    Column("spare", most=30.0, least=14.0, below=True),
    Column("screen", most=66.0, least=24.0, below=True),
    Column("what for", most=50.0, least=16.0),
)
_CUTTING = (
    Column("cable or wire", most=50.0, least=24.0),
    Column("done", ticks=True),
    Column("pieces", most=14.0, least=10.0),
    Column("length", most=30.0, least=14.0, unit="m"),
    Column("together", most=30.0, least=14.0, unit="m"),
    Column("from", most=60.0, least=22.0),
    Column("to", most=60.0, least=22.0),
    Column("along", most=60.0, least=18.0),
)


@listing("cables", "every cable with type, length, ends, route, cores and screens")
def cables(drawing: Drawing) -> Table:
    """A row per cable, function by function."""
    by_function: dict[str, list[CableUse]] = {}
    for use in drawing.network.cables.values():
        by_function.setdefault(use.cable.function, []).append(use)
    entries: list[Entry] = []
    for function in ("", *drawing.plant.functions):
        uses = by_function.get(function)
        if uses:
            entries += (function_heading(drawing.plant, function), *(_cable(drawing, use) for use in uses))
    title = drawing.plant.project.title
    notes = (_LAID, CAUTION)
    return Table(
        "cables",
        "CL",
        "Cable list",
        "Cable list",
        title,
        _COLUMNS,
        tuple(entries),
        notes,
        counted=True,
        later=(CAUTION,),
        by="function",
    )


@listing("cutting", "lengths of cable by type, the longest first, and of wire by section and colour")
def cutting(drawing: Drawing) -> Table:
    """A row per cable below its type, then one per sort of wire."""
    plant = drawing.plant
    by_type: dict[str, list[CableUse]] = {}
    for use in drawing.network.cables.values():
        by_type.setdefault(_sort(use.cable), []).append(use)
    entries: list[Entry] = []
    for sort in sorted(by_type):
        uses = sorted(by_type[sort], key=lambda use: -(use.cable.length_m or 0.0))
        pieces = sum_of(use.cable.parallel for use in uses)
        total, silent = _total([(use.cable.length_m, use.cable.parallel) for use in uses])
        entries.append(Entry((), "", f"{sort}: {_pieces(pieces)}, {total}{silent}"))
        entries += [_piece(plant, use) for use in uses]
    entries += _wire_stock(drawing)
    notes = (" ".join((_CUT, *shade_words(plant))),)
    title = plant.project.title
    return Table(
        "cutting",
        "CL",
        "Cutting list",
        "Cable list",
        title,
        _CUTTING,
        tuple(entries),
        notes,
        counted=True,
        by="type",
        blocks=side_by_side(drawing),
    )


@in_set(410)
def cable_sheets(drawing: Drawing) -> list[Sheet]:
    """The cable list and the cutting list below it, without frames."""
    return stacked_sheets([cables(drawing), cutting(drawing)], drawing.size)


def _cable(drawing: Drawing, use: CableUse) -> Entry:
    cable = use.cable
    spare = spare_cores(cable, drawing.plant)
    said = f"{', '.join(spare)}{f', {cable.spare}' if cable.spare else ''}" if spare else ""
    ends = [", ".join(devices) for devices in use.devices]
    keys, numbers = _landed(drawing, use)
    cells = (
        Cell(cable.id, cable.id),
        Cell(),
        Cell(type_text(cable)),
        Cell(length_text(cable), value=cable.length_m),
        Cell(ends[0], cable.id, keys[0]),
        Cell(ends[1], cable.id, keys[1]),
        Cell(", ".join(numbers), cable.id, keys[0] or keys[1]),
        Cell(way_text(cable.routes, cable.attributes)),
        Cell(f"{len(cable.cores) - len(spare)} of {len(cable.cores)}"),
        Cell(said),
        Cell("; ".join(_screen(screen) for screen in cable.screens)),
        Cell(cable.title),
    )
    return Entry(cells, cable.id)


def _landed(drawing: Drawing, use: CableUse) -> tuple[list[str], list[str]]:
    """The sheets on which each side of a cable lands, by their keys, and by their numbers those of both sides."""
    ends = [(end, name) for name in use.cable.conductors for end in drawing.network.runs[name].conductor.ends]
    shown = drawing.of(Shown)
    keys, numbers = [], []
    for devices in use.devices:
        # the cores of one device may stand on several sheets
        landed = [[(end.id, name) for end, name in ends if end.device == device] or [(device, "")] for device in devices]
        keys.append(shown.key(*landed[0][0]) if landed else "")
        numbers += [shown.number(*end) for each in landed for end in each]
    return keys, [number for number in dict.fromkeys(numbers) if number]


def _screen(screen: CableScreen) -> str:
    """Both ends of a screen in words."""
    pair = f"pair {screen.pair} " if screen.pair else ""
    ends = [f"{how_text(end)} {end.device}{f':{end.terminal}' if end.terminal else ''}" for end in screen.ends]
    ends += ["unterminated"] * (2 - len(ends))
    return pair + ", ".join(ends)


def _sort(cable: Cable) -> str:
    """The construction as it is bought: how many lie in parallel says nothing of it."""
    return type_text(cable).removeprefix(f"{cable.parallel} parallel ")


def _piece(plant: Plant, use: CableUse) -> Entry:
    cable = use.cable
    places = [", ".join(dict.fromkeys(place_text(plant, device) or device for device in devices)) for devices in use.devices]
    together = cable.length_m * cable.parallel if cable.length_m is not None else None
    cells = (
        Cell(cable.id, cable.id),
        Cell(),
        Cell(str(cable.parallel), value=cable.parallel),
        Cell(length_text(cable), value=cable.length_m),
        Cell(f"{number_text(together)} m" if together is not None else "", value=together),
        Cell(places[0]),
        Cell(places[1]),
        Cell(way_text(cable.routes, cable.attributes)),
    )
    return Entry(cells, cable.id)


def _total(lengths: list[tuple[float | None, int]]) -> tuple[str, str]:
    """The sum of lengths, each so many times, in m, and for how many pieces none is stated."""
    total = sum_of(length * count for length, count in lengths if length is not None)
    silent = sum_of(count for length, count in lengths if length is None)
    return f"{number_text(round(total, 3))} m", f" and {_pieces(silent)} without a length" if silent else ""


def _pieces(count: int) -> str:
    return f"{count} piece{'' if count == 1 else 's'}"


def _wire_stock(drawing: Drawing) -> Iterator[Entry]:
    """Wires that are no cores, by section and colour."""
    sorts: dict[tuple[float, str], list[Run]] = {}
    for run in drawing.network.runs.values():
        if run.conductor.cable is None and not run.conductor.is_tooth:
            sorts.setdefault((run.section_mm2 or 0.0, run.colour or ""), []).append(run)
    if sorts:
        yield Entry((), "", "Wire, by section and colour")
    for (section, colour), runs in sorted(sorts.items()):
        total, silent = _total([(run.length_m, 1) for run in runs])
        size = f"{number_text(section)} mm²" if section else "section not stated"
        known = sum_of(run.length_m for run in runs if run.length_m is not None)
        cells = (
            Cell(f"{size} {colour}".strip()),
            Cell(),
            Cell(str(len(runs)), value=len(runs)),
            Cell(),
            Cell(f"{total}{silent}", value=known),
            *[Cell()] * 3,
        )
        yield Entry(cells)
