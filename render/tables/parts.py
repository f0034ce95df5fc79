"""The parts list: what is to be bought, with quantities, order data and where it goes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.kinds import BARS, Category
from netdsl.model.plant import Device, PartType, Plant
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables.grid import table_sheets
from render.tables.listing import listing
from render.tables.table import Cell, Column, Entry, Table
from render.words.ratings import rating_lines

_COLUMNS = (
    Column("pieces", most=14.0, least=10.0),
    Column("part", most=50.0, least=24.0, whole=38.0),
    Column("what it is", most=80.0, least=38.0),
    Column("data", most=80.0, least=26.0),
    Column("maker", most=34.0, least=16.0),
    Column("order number", most=40.0, least=20.0),
    Column("for", most=110.0, least=26.0),
    Column("places", most=44.0, least=16.0),
)
_ELSEWHERE = (
    "Terminals with end plates, bridges and markers: list of terminals. Cables and wire by length: cutting list.",
    "Generic, typical ratings of the shipped library are to be checked against the data of the manufacturer chosen.",
)
_DIGITS = re.compile(r"(\d+)")
_ENCLOSURES = frozenset({"cabinet", "desk", "box", "panel"})
#: kind -> sign and rating it is bought by too, beside what its symbol says
_BOUGHT_BY = {"breaker": (("Ii", "instantaneous"), ("Ue", "voltage"))}


class _Article(Struct, frozen=True, order=True):
    """What is alike in all pieces that one line of an order buys. `rank`: by kind and name."""

    rank: tuple[str, ...]
    name: str
    title: str
    data: str
    maker: str
    order: str


@listing("parts", "devices, accessories and enclosures with pieces, order data and places")
def parts(drawing: Drawing) -> Table:
    """A row per article: devices alike in part, data and order number."""
    plant = drawing.plant
    used: dict[_Article, list[tuple[str, str]]] = {}
    for article, designation, place in _pieces(plant):
        used.setdefault(article, []).append((designation, place))
    entries = tuple(_entry(article, used[article]) for article in sorted(used))
    silent = sum(1 for article in used if not article.order)
    notes = (f"Without an order number: {silent} of {len(used)} articles.", *_ELSEWHERE)
    return Table("parts", "PL", "Parts list", "Parts list", plant.project.title, _COLUMNS, entries, notes, counted=True)


@in_set(390)
def parts_sheets(drawing: Drawing) -> list[Sheet]:
    """The parts list, without frames."""
    return table_sheets(parts(drawing), drawing.size)


def _pieces(plant: Plant) -> Iterator[tuple[_Article, str, str]]:
    """Each thing that is bought by the piece: its article, its designation, its place."""
    for place in plant.places.values():
        if place.kind in _ENCLOSURES:
            said = [place.attributes.shown(name) for name in ("size", "material", "protection-degree")]
            yield _article("", place.kind, "", "Enclosure", ", ".join(filter(None, said)), "", ""), place.id, place.id
    for device in plant.devices.values():
        # the pieces of a strip are those of the list of terminals; what is outside is not bought for this plant
        if device.category in (Category.DEVICE, Category.BUSBAR):
            name, title = (device.part.name, device.part.title) if device.part else ("", device.title)
            yield _article(device.kind, device.kind, name, title, _data(device), *_order(device)), device.id, device.place
        for accessory in device.accessories:
            part = accessory.part
            yield _article(part.kind, part.kind, part.name, part.title, "", *_part_order(part)), device.id, device.place


def _article(first: str, kind: str, name: str, title: str, data: str, maker: str, order: str) -> _Article:
    natural = tuple(f"{int(piece):08}" if piece.isdecimal() else piece for piece in _DIGITS.split(name))
    return _Article((first, *natural), name or kind, title, data, maker, order)


def _data(device: Device) -> str:
    """What it is ordered by: how many poles or ways, and its ratings."""
    counted = "poles" if device.kind in BARS else "ways"
    number = device.ratings.shown(counted)
    count = (f"{number} {counted if number != '1' else counted[:-1]}",) if number else ()
    return ", ".join((*count, *rating_lines(device), *_otherwise(device)))


def _otherwise(device: Device) -> Iterator[str]:
    """What a breaker is bought by and its symbol leaves out, where the text states it otherwise than the part: `Ue 60 V`."""
    usual = device.part.ratings if device.part else None
    for sign, name in _BOUGHT_BY.get(device.kind, ()):
        value = device.ratings.shown(name)
        if value and (usual is None or value != usual.shown(name)):
            yield f"{sign} {value}"


def _order(device: Device) -> tuple[str, str]:
    return device.ratings.text("maker"), device.ratings.text("order")


def _part_order(part: PartType) -> tuple[str, str]:
    return part.ratings.text("maker"), part.ratings.text("order")


def _entry(article: _Article, pieces: list[tuple[str, str]]) -> Entry:
    """The row of an article, which belongs to the first and the last of its pieces: between them the text declares all."""
    count = Counter(name for name, _ in pieces)
    designations = ", ".join(f"{number} on {name}" if number > 1 else name for name, number in count.items())
    places = Counter(place for _, place in pieces if place)
    shares = ", ".join(place if len(places) == 1 else f"{number} {place}" for place, number in places.items())
    cells = (
        Cell(number_text(len(pieces)), value=len(pieces)),
        Cell(article.name),
        Cell(article.title),
        Cell(article.data),
        Cell(article.maker),
        Cell(article.order),
        Cell(designations, pieces[-1][0]),
        Cell(shares),
    )
    return Entry(cells, pieces[0][0])
