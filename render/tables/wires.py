"""The wire list, wires inside by place, and the cores of each cable: every conductor with both its ends and boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.plant import CableScreen, End, Plant, ScreenTermination
from netdsl.network.types import CableUse, ConductorClass, Run
from netdsl.network.unused import spare_cores
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables.grid import stacked_sheets
from render.tables.listing import listing, place_rank, side_by_side
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.cables import how_text, length_text, spare_text, type_text, way_text
from render.words.remarks import CAUTION, MARKS, shade_words
from render.words.terminals import ferrule_text, section_text

_WIRED = "Boxes: wired, checked. By place, then power, earth, control. LIVE: with the isolator off."
_ENDS = 36.0  # the most that a designation of an end takes, mm
_WIRES = (
    Column("no", most=12.0, least=8.0),
    Column("from", most=_ENDS, least=18.0),
    Column("done", ticks=True),
    Column("to", most=_ENDS, least=18.0),
    Column("done", ticks=True),
    Column("mark", most=24.0, least=12.0),
    Column("ferrule", most=20.0, least=10.0),
    Column("colour", most=16.0, least=10.0),
    Column("section", most=18.0, least=14.0, unit="mm²"),
    Column("length", most=16.0, least=10.0, unit="m"),
    Column("duct", most=30.0, least=14.0),
    Column("sheet", most=30.0, least=14.0),
    Column("remark", most=50.0, least=16.0),
)
_CORES = (
    Column("core", most=16.0, least=10.0),
    Column("from", most=_ENDS + 8.0, least=18.0),
    Column("from sheet", most=30.0, least=14.0),
    Column("done", ticks=True),
    Column("to", most=_ENDS + 8.0, least=18.0),
    Column("to sheet", most=30.0, least=14.0),
    Column("done", ticks=True),
    Column("mark", most=24.0, least=12.0),
    Column("ferrule", most=20.0, least=10.0),
    Column("section", most=18.0, least=14.0, unit="mm²"),
    Column("remark", most=50.0, least=16.0),
)
_POWER = frozenset({ConductorClass.MOTOR, ConductorClass.MAINS})
_GROUPS = ("power", "earth", "control")


class _Wire(Struct, frozen=True, order=True):
    """A wire in its order: `places` of its ends, what it belongs to, and its ends, that first which stands first."""

    places: tuple[int, int]
    group: int
    ends: tuple[tuple[int, int], tuple[int, int]]
    identity: str


@listing("wires", "wires inside by place, then power, earth and control, with both ends, route, sheet and zone")
def wires(drawing: Drawing) -> Table:
    """A row per conductor that is no core, in the order in which it is wired."""
    plant, network = drawing.plant, drawing.network
    names = [*plant.places, ""]
    rank, places = _ranks(plant), place_rank(plant)
    listed = sorted(_wire(drawing, run, rank, places) for run in network.runs.values() if run.conductor.cable is None)
    entries: list[Entry] = []
    said: tuple[object, ...] = ()
    for number, wire in enumerate(listed, start=1):
        if (wire.places, wire.group) != said:
            said = (wire.places, wire.group)
            entries.append(_heading(plant, [names[place] for place in dict.fromkeys(wire.places)], _GROUPS[wire.group]))
        entries.append(_row(drawing, number, network.runs[wire.identity], rank))
    notes = (" ".join((_WIRED, MARKS, *shade_words(plant))), CAUTION)
    blocks = side_by_side(drawing)
    title = plant.project.title
    return Table(
        "wires",
        "WL",
        "Wire list",
        "Wire list",
        title,
        _WIRES,
        tuple(entries),
        notes,
        blocks=blocks,
        counted=True,
        later=(CAUTION,),
        by="place",
    )


@listing("cores", "the cores and screens of each cable with both ends")
def cores(drawing: Drawing) -> Table:
    """A row per core and screen below its cable, spare ones too."""
    plant = drawing.plant
    entries: list[Entry] = []
    for use in drawing.network.cables.values():
        cable = use.cable
        said = ", ".join(part for part in (type_text(cable), length_text(cable), cable.title) if part)
        entries.append(Entry((), cable.id, f"{cable.id} {said}", whole=True))
        entries += _cores(drawing, use)
    notes = (" ".join((_WIRED, MARKS, *shade_words(plant))), CAUTION)
    blocks = side_by_side(drawing)
    title = plant.project.title
    return Table(
        "cores",
        "WL",
        "Cores of cables",
        "Wire list",
        title,
        _CORES,
        tuple(entries),
        notes,
        blocks=blocks,
        counted=True,
        by="cable",
    )


@in_set(400)
def wire_sheets(drawing: Drawing) -> list[Sheet]:
    """The wire list and the cores of cables below it, without frames."""
    return stacked_sheets([wires(drawing), cores(drawing)], drawing.size)


def _ranks(plant: Plant) -> dict[str, tuple[int, int]]:
    """Where each terminal stands: its device or place, and its place on that, in order of text."""
    found: dict[str, tuple[int, int]] = {}
    for number, device in enumerate(plant.devices.values()):
        found.update({f"{device.id}:{name}": (number, position) for position, name in enumerate(device.terminals)})
    first = len(plant.devices)
    return found | {f"{name}:PE": (first + number, 0) for number, name in enumerate(plant.places)}


def _place(plant: Plant, end: End) -> str:
    device = plant.devices.get(end.device)
    return device.place if device is not None else end.device


def _group(run: Run) -> int:
    return 0 if run.klass in _POWER else 1 if run.klass is ConductorClass.EARTH else 2


def _wire(drawing: Drawing, run: Run, rank: dict[str, tuple[int, int]], places: dict[str, int]) -> _Wire:
    first, second = sorted(places.get(_place(drawing.plant, end), len(places)) for end in run.conductor.ends)
    one, other = (rank[end.id] for end in _ordered(run, rank))
    return _Wire((first, second), _group(run), (one, other), run.id)


def _ordered(run: Run, rank: dict[str, tuple[int, int]]) -> tuple[End, End]:
    """The ends of a wire, that first which stands first: neighbours follow each other."""
    first, second = run.conductor.ends
    return (first, second) if rank[first.id] <= rank[second.id] else (second, first)


def _heading(plant: Plant, places: list[str], group: str) -> Entry:
    if len(places) > 1:
        return Entry((), "", f"{' to '.join(place or 'no place stated' for place in places)}: {group}")
    place = places[0]
    title = f"{place} {plant.places[place].title}".strip() if place in plant.places else "No place stated"
    return Entry((), place, f"{title}: {group}")


def _row(drawing: Drawing, number: int, run: Run, rank: dict[str, tuple[int, int]]) -> Entry:
    first, second = _ordered(run, rank)
    length = run.length_m if not run.conductor.is_tooth else None
    cells = (
        Cell(str(number), value=number),
        _end(drawing, run, first),
        Cell(),
        _end(drawing, run, second),
        Cell(),
        Cell(run.mark),
        Cell(ferrule_text(run, False)),
        Cell(run.colour or ""),
        Cell(section_text(run), value=None if run.conductor.is_tooth else run.section_mm2),
        Cell(f"{number_text(length)} m" if length is not None else "", value=length),
        Cell(way_text(run.routes, run.conductor.attributes)),
        _sheet(drawing.of(Shown).wire(run.id, first.id, second.id)),
        _remark(drawing, run),
    )
    return Entry(cells, run.id)


def _end(drawing: Drawing, run: Run, end: End) -> Cell:
    return Cell(end.id, end.id, drawing.of(Shown).key(end.id, run.id))


def _sheet(shown: tuple[str, str]) -> Cell:
    text, key = shown
    return Cell(text, link=key)


def _remark(drawing: Drawing, run: Run) -> Cell:
    live = run.net in drawing.live.nets
    parts = ["LIVE"] if live else []
    parts += [f"twin at {end}" for end in run.conductor.twin_at]
    # of a tooth its section says so
    parts += [run.conductor.text] if run.conductor.text and not run.conductor.is_tooth else []
    return Cell(", ".join(parts), bold=live)


# --- cores ----------------------------------------------------------------------------------------------------------
def _cores(drawing: Drawing, use: CableUse) -> Iterator[Entry]:
    cable = use.cable
    for name in cable.conductors:
        run = drawing.network.runs[name]
        first, second = run.conductor.ends
        shown = drawing.of(Shown)
        cells = (
            Cell(run.conductor.core),
            _end(drawing, run, first),
            _sheet(shown.place(first.id, run.id)),
            Cell(),
            _end(drawing, run, second),
            _sheet(shown.place(second.id, run.id)),
            Cell(),
            Cell(run.mark),
            Cell(ferrule_text(run, False)),
            Cell(section_text(run), value=None if run.conductor.is_tooth else run.section_mm2),
            _remark(drawing, run),
        )
        yield Entry(cells, run.id)
    for screen in cable.screens:
        yield _screen(drawing, cable.id, screen)
    for core in spare_cores(cable, drawing.plant):
        yield Entry((Cell(core), *[Cell()] * 9, Cell(spare_text(cable))), cable.id)


def _screen(drawing: Drawing, cable: str, screen: CableScreen) -> Entry:
    cells = [Cell(f"screen {screen.pair}" if screen.pair else "screen")]
    for end in screen.ends:
        shown = drawing.of(Shown).place(f"{end.device}:{end.terminal}" if end.terminal else end.device)
        cells += (Cell(_screen_end(end)), _sheet(shown), Cell())
    for _ in range(2 - len(screen.ends)):
        cells += (Cell("unterminated"), Cell(), Cell())
    return Entry((*cells, *[Cell()] * 4), cable)


def _screen_end(end: ScreenTermination) -> str:
    where = f"{end.device}:{end.terminal}" if end.terminal else end.device
    return f"{where} {how_text(end)}"
