"""Where on a sheet what is drawn, so that a click finds what it is about; made of the Sheet, whatever the writers make of it."""

from __future__ import annotations

from msgspec import Struct

from render.layout.bounds import bounds_of
from render.layout.frame import sheet_size
from render.sheet import Label, Line, Sheet

#: what a mark is: a polyline by its points, a closed one, or a box by left, top, right and bottom
OPEN, CLOSED, BOX = 0, 1, 2


class Hit(Struct, frozen=True, array_like=True):
    """One thing drawn. `of`: number of its name among those of the sheet; -1 for none, with a link. `kind`: `OPEN`, `CLOSED` or
    `BOX`. `at`: mm from the top left corner, x and y in turn. `link`: key of the sheet it leads to, or ""."""

    of: int
    kind: int
    at: tuple[float, ...]
    link: str = ""


class Hits(Struct, frozen=True):
    """All of a sheet that a click may mean. `width`, `height` in mm; `names`: what the drawn things belong to, each once."""

    width: float
    height: float
    names: tuple[str, ...]
    hits: tuple[Hit, ...]


def hits_of(sheet: Sheet) -> Hits:
    """What a click on `sheet` may mean, in the order in which it is drawn: all that belongs to something or leads elsewhere."""
    numbers: dict[str, int] = {}
    hits = []
    for primitive in sheet.primitives:
        link = primitive.link if isinstance(primitive, Label) else ""
        if not primitive.of and not link:
            continue
        number = numbers.setdefault(primitive.of, len(numbers)) if primitive.of else -1
        if isinstance(primitive, Line):
            kind = CLOSED if primitive.closed or primitive.fill else OPEN
            hits.append(Hit(number, kind, tuple(_mm(value) for point in primitive.points for value in point)))
        else:
            hits.append(Hit(number, BOX, tuple(_mm(value) for value in bounds_of(primitive)), link))
    width, height = sheet_size(sheet.size)
    return Hits(width, height, tuple(numbers), tuple(hits))


def _mm(value: float) -> float:
    """To a hundredth, which no finger meets."""
    return round(value, 2)
