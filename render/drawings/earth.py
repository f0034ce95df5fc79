"""The earth drawing: protective conductors as a tree from the main bar to every part, in as few columns as the sheet takes."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.sums import sum_of
from render.drawing import Drawing, in_set
from render.drawings.earth_tree import Twig, earth_tree
from render.drawings.power_cells import dot
from render.layout.columns import broken
from render.layout.fonts import Box, text_width
from render.layout.remarks import Remarks
from render.layout.writing import Writing
from render.sheet import DESIGNATION, FRAME, MEDIUM, NORMAL, Sheet

KIND = "Earthing diagram"
KEY = "earth"
_COLUMN = 80.0  # least width of a column, mm
_INDENT, _STUB = 7.0, 4.0  # from a depth to the next, and from a trunk to what hangs on it, mm
_FIRST, _LINE, _GAP = 4.6, 4.3, 2.6  # a twig's name, each line of its words, and what keeps twigs apart, mm
_BETWEEN = 6.0  # columns, mm
_STEP = 3.0  # by which the foot of columns is tried further down, mm
_SIGNS = (
    "Each part with the protective conductor that joins it to what it hangs on: section, colour, terminals, cable, length."
    " Taking a part out must leave no other without its protective conductor."
)


class _Placed(Struct, frozen=True):
    """A twig in a column. `again`: it stands there only for what follows of it."""

    twig: int
    x: float
    y: float
    again: bool = False


@in_set(340)
def earth_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """The earth drawing, keys `earth-1` and on; nothing for a plant without anything to earth."""
    twigs = earth_tree(drawing.network)
    if not twigs:
        return
    said = Remarks.of((_SIGNS,), drawing.notes)
    area = Box(drawing.area.left, drawing.area.top, drawing.area.right, drawing.area.bottom - said.above)
    width, pages = _laid(drawing, twigs, area)
    for number, placed in enumerate(pages, start=1):
        pen = Writing(drawing.key_of)
        _draw(pen, drawing, twigs, placed, width)
        first = next(p.twig for p in placed if not p.again)
        title = "Protective conductors" if number == 1 else f"Protective conductors from {twigs[first].name}"
        yield Sheet(f"{KEY}-{number}", f"PE{number}", title, KIND, "", (*pen.parts, *said.labels), drawing.size)


def _laid(drawing: Drawing, twigs: list[Twig], area: Box) -> tuple[float, list[list[_Placed]]]:
    """The width of a column and what stands on each sheet: columns as wide as one sheet takes, so that few words break, and
    then as short as hold all in as many, so that none ends far below the last."""
    most = max(int((area.width + _BETWEEN) / (_COLUMN + _BETWEEN)), 1)
    for count in range(1, most + 1):
        width = (area.width + _BETWEEN) / count - _BETWEEN
        heights = [_FIRST + _LINE * len(_words(drawing, twig, width)[1]) + _GAP for twig in twigs]
        pages = list(_pages(twigs, heights, area, width, area.bottom))
        if len(pages) == 1:
            return width, [_evened(twigs, heights, area, width)] if count > 1 else pages
    return width, pages


def _evened(twigs: list[Twig], heights: list[float], area: Box, width: float) -> list[_Placed]:
    """One sheet with the shortest columns that have room for all, what hangs on the bar by one conductor in one of them where
    that is possible at all."""
    steps = int((area.bottom - area.top) / _STEP)
    feet = [*(area.top + _STEP * step for step in range(1, steps + 1)), area.bottom]
    for whole in (True, False):
        for foot in feet:
            pages = list(_pages(twigs, heights, area, width, foot, whole))
            if len(pages) == 1 and all(placed.y + heights[placed.twig] <= area.bottom + 0.1 for placed in pages[0]):
                return pages[0]
    raise AssertionError("they have room with the last foot")


def _words(drawing: Drawing, twig: Twig, width: float) -> tuple[str, tuple[str, ...]]:
    """The title beside the name of a twig, and the lines below it, as broken to its column; a title too long begins these."""
    room = max(width - _indent(twig) - _STUB - 2.0, 30.0)
    words = f"not joined to the main bar; {twig.words}" if twig.apart else twig.words
    title, lines = _title(drawing, twig.name.partition(":")[0]), broken(words.rstrip("; "), room, united=True)
    if text_width(twig.name, DESIGNATION) + text_width(title) <= width - _indent(twig) - _STUB:
        return title, lines
    return "", (*broken(title, room), *lines)


def _indent(twig: Twig) -> float:
    return min(twig.depth, 8) * _INDENT


def _pages(
    twigs: list[Twig], heights: list[float], area: Box, width: float, foot: float, whole: bool = False
) -> Iterator[list[_Placed]]:
    """Twigs in columns from above, down to `foot`; a column begins with what its first twigs hang on, said again. `whole`: what
    hangs on a bar by one conductor stays in one column."""
    page: list[_Placed] = []
    x, y = area.left, area.top
    for index, twig in enumerate(twigs):
        held = _held(twigs, heights, index) if whole and twig.depth == 1 else heights[index]
        if y + held > foot + 0.01 and y > area.top and not (whole and twig.depth > 1):
            x, y = x + width + _BETWEEN, area.top
            if x + width > area.right + 0.1:
                yield page
                page, x = [], area.left
            for above in _ancestors(twigs, twig):
                page.append(_Placed(above, x, y, True))
                y += _FIRST + _GAP
        page.append(_Placed(index, x, y))
        y += heights[index]
    yield page


def _held(twigs: list[Twig], heights: list[float], index: int) -> float:
    """Height of a twig with all that hangs on it, mm."""
    behind = range(index + 1, len(twigs))
    end = next((other for other in behind if twigs[other].depth <= twigs[index].depth), len(twigs))
    return sum_of(heights[index:end])


def _ancestors(twigs: list[Twig], twig: Twig) -> list[int]:
    found = []
    above = twig.above
    while above >= 0:
        found.append(above)
        above = twigs[above].above
    return found[::-1]


def _title(drawing: Drawing, name: str) -> str:
    """What a device or place is called."""
    device, place = drawing.plant.devices.get(name), drawing.plant.places.get(name)
    if device is not None:
        return device.title or (device.part.title if device.part is not None else "")
    return place.title if place is not None else ""


def _draw(pen: Writing, drawing: Drawing, twigs: list[Twig], placed: list[_Placed], room: float) -> None:
    at: dict[int, _Placed] = {}
    last: dict[int, float] = {}
    for each in placed:
        twig = twigs[each.twig]
        at[each.twig] = each
        x, base = each.x + _indent(twig), each.y + DESIGNATION + 0.6
        over = at.get(twig.above)
        if over is not None:
            trunk, middle = over.x + _indent(twigs[twig.above]) + 1.5, base - DESIGNATION / 2
            top = last.get(twig.above, over.y + DESIGNATION + 2.2)
            width = FRAME if twigs[twig.above].depth == 0 else MEDIUM
            pen.line((trunk, top), (trunk, middle), width=width, of=twigs[twig.above].name)
            pen.line((trunk, middle), (x + _STUB - 2.6, middle), width=MEDIUM, of=twig.name)
            pen.parts.append(dot(trunk, middle, twig.name))
            last[twig.above] = middle
        last.pop(each.twig, None)
        device = twig.name.partition(":")[0]
        link = drawing.key_of(twig.name)
        pen.text(x + _STUB - 2.0 if over is not None else x, base, twig.name, DESIGNATION, of=device, link=link)
        beside = x + _STUB + text_width(twig.name, DESIGNATION)
        title, lines = ("continued", ()) if each.again else _words(drawing, twig, room)
        if title:
            pen.text(beside, base, title, NORMAL, of=device)
        for number, line in enumerate(lines, start=1):
            pen.text(x + _STUB, base + number * _LINE + 0.4, line, NORMAL, of=device)
