"""Terminals by strip, with what is fitted to them: end plates, bridges, markers. What no terminal, core or contact uses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.network.unused import jumpered_terminals, spare_cores
from netdsl.quantities import number_text
from render.drawing import Drawing
from render.sheet import DESIGNATION
from render.tables.listing import listing, side_by_side
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.cables import type_text
from render.words.terminals import span_text

_COLUMNS = (
    Column("pieces", most=14.0, least=10.0),
    Column("done", ticks=True),
    Column("article", most=90.0, least=40.0),
    Column("which", most=140.0, least=40.0),
    Column("sheet", most=30.0, least=16.0),
)
_COUNTED = (
    "Boxes of terminals: mounted, checked. End plates, end clamps and markers are counted by common practice: an end plate where"
    " kind or size of terminals changes and at the end, two end clamps to a strip; the maker's data prevail."
)
_SPARE = (
    Column("of", DESIGNATION, 50.0, 24.0),
    Column("place", most=40.0, least=16.0),
    Column("pieces", most=14.0, least=10.0),
    Column("which", most=160.0, least=50.0),
    Column("sheet", most=30.0, least=16.0),
)
_INPUTS = frozenset({Role.DIGITAL_IN, Role.ANALOGUE_IN, Role.SAFETY_IN})
_OUTPUTS = frozenset({Role.DIGITAL_OUT, Role.ANALOGUE_OUT, Role.SAFETY_OUT})
_RAILS = frozenset({Kind.STRIP, Kind.EARTH_BAR, Kind.SCREEN_BAR, Kind.DISTRIBUTION_BLOCK})


@listing("terminals", "terminals of each strip by kind and size, with end plates, bridges and markers")
def strip_pieces(drawing: Drawing) -> Table:
    """What each strip is made of, in order of text."""
    plant = drawing.plant
    entries: list[Entry] = []
    for strip in plant.devices.values():
        if strip.category == Category.STRIP and strip.terminals:
            heading = " ".join(part for part in (strip.id, strip.title, strip.place) if part)
            entries.append(Entry((), strip.id, heading))
            entries += [_row(drawing, strip, *piece) for piece in _pieces(strip)]
    title = plant.project.title
    return Table(
        "strips",
        "XL",
        "Terminals",
        "Terminal list",
        title,
        _COLUMNS,
        tuple(entries),
        (_COUNTED,),
        counted=True,
        by="strip",
        blocks=side_by_side(drawing),
    )


@listing("spare", "terminals, inputs and outputs, cores and contacts that nothing uses")
def spare(drawing: Drawing) -> Table:
    """What is free, by sort: a row per strip, device or cable."""
    entries: list[Entry] = []
    for heading, rows in (
        ("Terminals", _free_terminals(drawing)),
        ("Inputs and outputs", _free_channels(drawing)),
        ("Contacts", _free_contacts(drawing)),
        ("Cores", _free_cores(drawing)),
    ):
        found = list(rows)
        if found:
            entries += (Entry((), "", heading), *found)
    title = drawing.plant.project.title
    return Table(
        "spare",
        "XL",
        "Spare",
        "Terminal list",
        title,
        _SPARE,
        tuple(entries),
        (),
        blocks=side_by_side(drawing),
        counted=True,
        by="sort",
    )


def _row(drawing: Drawing, strip: Device, count: int, article: str, which: str, numbers: Sequence[str]) -> Entry:
    named = [f"{strip.id}:{name}" for name in strip.terminals if not numbers or _body(strip, name) in numbers]
    at = _sheets(drawing, named if numbers else named[:1])
    cells = (Cell(str(count), value=count), Cell(), Cell(article), Cell(which), at)
    return Entry(cells, strip.id)


def _sheets(drawing: Drawing, things: Iterable[str]) -> Cell:
    """The sheets on which terminals are wired, each with the zone of the first of them there; leads to the first."""
    first: dict[str, str] = {}
    for text, key in map(drawing.of(Shown).place, things):
        if key:
            first.setdefault(key, text)
    return Cell(", ".join(first.values()), link=next(iter(first), ""))


def _bodies(strip: Device) -> list[tuple[str, str, str]]:
    """Each terminal as it is bought, its number, article and shape: the levels of one are one."""
    bodies: dict[str, list[Terminal]] = {}
    for terminal in strip.terminals.values():
        number = terminal.name.rpartition(".")[0] if terminal.level else terminal.name
        bodies.setdefault(number, []).append(terminal)
    return [(number, *_article(levels)) for number, levels in bodies.items()]


def _article(levels: list[Terminal]) -> tuple[str, str]:
    """What is bought, in words, and what of it an end plate has to fit."""
    first = levels[0]
    words = [first.kind or "feed-through"]
    if first.level:
        earth = any(terminal.role is Role.EARTH for terminal in levels)
        words = [f"{len(levels)}-level", *((first.kind,) if first.kind not in ("earth", "feed-through") else ())]
        words += ["with earth"] if earth else []
    section = first.clamp.section
    words.append(f"{number_text(section[1])} mm²" if section else "size not stated")
    shape = " ".join(words)
    said = [f"{name} {first.attributes.shown(name)}" for name in ("fuse", "colour") if first.attributes.shown(name)]
    return " ".join((shape, *said)), shape


def _pieces(strip: Device) -> Iterator[tuple[int, str, str, Sequence[str]]]:
    """Pieces, article, where, and the numbers of the terminals concerned, () for the whole strip; terminals first."""
    bodies = _bodies(strip)
    kinds: dict[str, list[str]] = {}
    for number, article, _ in bodies:
        kinds.setdefault(article, []).append(number)
    for article, numbers in kinds.items():
        yield len(numbers), f"terminal {article}", span_text(numbers), numbers
    ends: dict[str, list[str]] = {}
    for shape, group in groupby(bodies, key=lambda body: body[2]):
        ends.setdefault(shape, []).append([number for number, *_ in group][-1])
    for piece in strip.pieces:
        behind = _body(strip, piece.behind) if piece.behind else ""
        shape = next((shape for number, _, shape in bodies if number == behind), "")
        if piece.kind == "end-plate" and shape and behind not in ends[shape]:
            ends[shape].append(behind)
    for shape, numbers in ends.items():
        yield len(numbers), f"end plate for {shape}", f"behind {', '.join(numbers)}", numbers
    parted = [_body(strip, piece.behind) if piece.behind else "the end" for piece in strip.pieces if piece.kind == "partition"]
    if parted:
        yield len(parted), "partition plate", f"behind {', '.join(parted)}", parted
    yield from _bridges(strip, [number for number, *_ in bodies])
    yield 2, "end clamp", "at both ends", ()
    yield len(bodies), "terminal marker", span_text([number for number, *_ in bodies]), ()
    yield 1, "strip marker", strip.id, ()


def _bridges(strip: Device, order: list[str]) -> Iterator[tuple[int, str, str, Sequence[str]]]:
    """Bridges by their number of ways; what joins terminals that are no neighbours is said."""
    rank = {name: position for position, name in enumerate(strip.terminals)}
    found: dict[str, list[list[str]]] = {}
    for bridge in strip.bridges:
        bodies = [order.index(_body(strip, name)) for name in sorted(bridge, key=lambda name: rank[name])]
        together = all(two - one == 1 for one, two in pairwise(bodies))
        ways = f"bridge, {len(bridge)} ways"
        ways += "" if together else f" over {bodies[-1] - bodies[0] + 1} terminals, ways between them left out"
        found.setdefault(ways, []).append(sorted(bridge, key=lambda name: rank[name]))
    for ways, which in found.items():
        joined = [_body(strip, name) for names in which for name in names]
        yield len(which), ways, "; ".join(span_text(names) for names in which), joined


def _body(strip: Device, name: str) -> str:
    return name.rpartition(".")[0] if strip.terminals[name].level else name


# --- spare ----------------------------------------------------------------------------------------------------------
def _spare(of: str, place: str, names: list[str], words: str, sheet: Cell) -> Entry:
    return Entry((Cell(of, of, sheet.link), Cell(place), Cell(str(len(names)), value=len(names)), Cell(words), sheet), of)


def _at(drawing: Drawing, device: Device, names: Iterable[str]) -> Cell:
    return _sheets(drawing, [f"{device.id}:{name}" for name in names])


def _free_terminals(drawing: Drawing) -> Iterator[Entry]:
    for device in drawing.plant.devices.values():
        if device.kind in _RAILS:
            free = [name for name in device.terminals if f"{device.id}:{name}" not in drawing.used]
            if free:
                yield _spare(device.id, device.place, free, span_text(free), _at(drawing, device, free))
            for bridge in device.bridges:
                landed = [name for name in device.terminals if name in bridge and _lands(drawing, device, name)]
                free = [name for name in device.terminals if name in bridge and name not in landed]
                if free and landed:
                    words = f"{span_text(free)} (bridged to {landed[0]})"
                    yield _spare(device.id, device.place, free, words, _at(drawing, device, free))


def _lands(drawing: Drawing, device: Device, name: str) -> bool:
    """Whether more than a bridge comes to a terminal."""
    return bool(drawing.network.at_terminal.get(f"{device.id}:{name}"))


def _free_channels(drawing: Drawing) -> Iterator[Entry]:
    """Free inputs and outputs of what has several: drives, controllers, cards, safety relays."""
    for device in drawing.plant.devices.values():
        if device.kind not in (Kind.DRIVE, Kind.SOFT_STARTER, Kind.CONTROLLER, Kind.SAFETY_RELAY):
            continue
        parts = []
        free: list[str] = []
        taken = jumpered_terminals(device)
        for word, roles in (("in", _INPUTS), ("out", _OUTPUTS)):
            names = [
                name
                for name, each in device.terminals.items()
                if each.role in roles and f"{device.id}:{name}" not in drawing.used and name not in taken
            ]
            free += names
            parts += [f"{word} {span_text(names)}"] if names else []
        if free:
            yield _spare(device.id, device.place, free, "; ".join(parts), _at(drawing, device, free))


def _free_contacts(drawing: Drawing) -> Iterator[Entry]:
    """Auxiliary contacts no end of which is in use."""
    for device in drawing.plant.devices.values():
        groups: dict[str, dict[str, str]] = {}  # the arms of a changeover share a terminal
        for path in device.paths:
            if path.kind in ("make", "break"):
                groups.setdefault(path.a, {})[path.b] = path.kind
        free = [
            (start, arms)
            for start, arms in groups.items()
            if not drawing.used & {f"{device.id}:{start}", *(f"{device.id}:{end}" for end in arms)}
        ]
        if free:
            names = [
                f"{'-'.join((start, *arms))} {'changeover' if len(arms) > 1 else ''.join(arms.values())}" for start, arms in free
            ]
            at = _at(drawing, device, [start for start, _ in free])
            yield _spare(device.id, device.place, names, ", ".join(names), at)


def _free_cores(drawing: Drawing) -> Iterator[Entry]:
    """Spare cores, with where the cable lands at both ends."""
    for cable in drawing.plant.cables.values():
        free = list(spare_cores(cable, drawing.plant))
        if free:
            landed = [end.id for name in cable.conductors for end in drawing.network.runs[name].conductor.ends]
            said = f", {cable.spare}" if cable.spare else ""
            yield _spare(
                cable.id,
                ", ".join(cable.routes),
                free,
                f"{', '.join(free)}{said}, of {type_text(cable)}",
                _sheets(drawing, landed),
            )
