"""Labels for wires, cables, terminals and devices, as the import of a label printer takes them; the granted exceptions."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.kinds import Category
from netdsl.model.plant import Conductor, Plant
from netdsl.network.types import Network
from render.drawing import Drawing
from render.tables.listing import listing
from render.tables.table import Cell, Column, Entry, Table
from render.words.cables import type_text
from render.words.terminals import section_text

_LABELS = (
    Column("label"),
    Column("second line"),
    Column("pieces"),
    Column("for"),
    Column("at"),
    Column("size"),
    Column("place"),
)
_EXCEPTIONS = (Column("rule"), Column("subject"), Column("until"), Column("reason"), Column("file"), Column("line"))


@listing("labels", "labels for wires, cables, terminals and devices, for the import of a label printer")
def labels(drawing: Drawing) -> Table:
    """A row per label; two alike are one with two pieces. Wires in order of text, terminals in rail order."""
    network = drawing.network
    entries = []
    for heading, rows in (
        ("wire", _wires(network)),
        ("cable", _cables(network)),
        ("terminal", _terminals(drawing.plant)),
        ("device", _devices(drawing.plant)),
    ):
        found = list(rows)
        if found:
            entries += [Entry((), "", heading), *found]
    title = drawing.plant.project.title
    return Table("labels", "LB", "Labels", "Labels", title, _LABELS, tuple(entries), (), by="sort")


@listing("exceptions", "granted exceptions with their reasons")
def exceptions(drawing: Drawing) -> Table:
    """A row per exception, in order of text."""
    entries = []
    for each in drawing.plant.exceptions:
        line, _ = each.span.begin
        cells = (each.rule, each.subject, each.until or "no date of expiry", each.reason, each.span.source.path)
        entries.append(Entry((*map(Cell, cells), Cell(str(line), value=line)), each.subject))
    title = drawing.plant.project.title
    return Table("exceptions", "EX", "Granted exceptions", "Exceptions", title, _EXCEPTIONS, tuple(entries), ())


def _label(text: str, second: str, pieces: int, of: str, at: str, size: str, place: str) -> Entry:
    count = Cell(str(pieces), value=pieces)
    return Entry((Cell(text), Cell(second), count, Cell(of), Cell(at), Cell(size), Cell(place)), of)


def _wires(network: Network) -> Iterator[Entry]:
    """A stated mark at both ends, else at each end its own terminal and the far one."""
    for run in network.runs.values():
        conductor = run.conductor
        if conductor.cable is not None or conductor.is_tooth:
            continue
        first, second = conductor.ends
        size = section_text(run)
        if run.mark:
            yield _label(run.mark, "", 2, run.id, f"{first.id}, {second.id}", size, _places(network.plant, conductor))
        else:
            for here, there in ((first, second), (second, first)):
                yield _label(here.id, there.id, 1, run.id, here.id, size, _place(network.plant, here.device))


def _place(plant: Plant, identity: str) -> str:
    device = plant.devices.get(identity)
    return device.place if device is not None else identity


def _places(plant: Plant, conductor: Conductor) -> str:
    return ", ".join(dict.fromkeys(filter(None, (_place(plant, end.device) for end in conductor.ends))))


def _cables(network: Network) -> Iterator[Entry]:
    """One at each end of every cable, of several in parallel at each of them."""
    for use in network.cables.values():
        cable = use.cable
        for here, there in (use.devices, use.devices[::-1]):
            places = ", ".join(dict.fromkeys(filter(None, (_place(network.plant, device) for device in here))))
            far = f"to {', '.join(there)}" if there else ""
            yield _label(cable.id, far, cable.parallel, cable.id, ", ".join(here), type_text(cable), places)


def _terminals(plant: Plant) -> Iterator[Entry]:
    """The designation of each strip, then its terminals."""
    for strip in plant.devices.values():
        if strip.category != Category.STRIP:
            continue
        yield _label(strip.id, strip.title, 1, strip.id, strip.id, "", strip.place)
        for name, terminal in strip.terminals.items():
            section = terminal.clamp.section
            size = f"{section[1]:g} mm²" if section else ""
            yield _label(name, "", 1, f"{strip.id}:{name}", f"{strip.id}:{name}", size, strip.place)


def _devices(plant: Plant) -> Iterator[Entry]:
    for device in plant.devices.values():
        if device.category in (Category.DEVICE, Category.BUSBAR):
            yield _label(device.id, device.title, 1, device.id, device.id, "", device.place)
