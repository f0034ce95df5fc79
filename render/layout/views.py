"""Views on a sheet: each from its own left upper corner on, labels in tiers above what is narrow, tables, and their packing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate, pairwise
from math import ceil

from msgspec import Struct, field
from msgspec.structs import replace

from netdsl.sums import sum_of
from render.layout.fonts import Box, text_width, wrap
from render.sheet import DESIGNATION, NARROW, NORMAL, Arc, Circle, Label, Line, Primitive

#: of ISO 5455, 1 to each
SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
TITLE_ROOM = 7.0  # for the title of a view, mm
_TIER = 5.2  # from a tier of labels to the next, mm
_GAP = 1.5  # between labels of a tier, and between a label and a leader, mm
_LEAD, _STRAIGHT = 3.2, 0.05  # height of leaders to labels that had to move; what counts as not moved, mm
_BETWEEN = 7.0  # between views, mm


class View(Struct):
    """A drawing of `width` by `height` mm with its title above; `parts` from its left upper corner on. `series`: views of one are
    met in their order, sheet by sheet and on each from its upper left; "" for one that may stand anywhere."""

    title: str
    width: float
    height: float
    parts: list[Primitive] = field(default_factory=list)
    of: str = ""
    series: str = ""

    def rect(self, box: Box, width: float, of: str = "", dash: tuple[float, ...] = ()) -> None:
        """A rectangle."""
        points = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
        self.parts.append(Line(points, width, dash, closed=True, of=of))

    def at(self, x: float, y: float) -> Iterator[Primitive]:
        """Its parts with the left upper corner at `x, y`, the title first."""
        yield Label(x, y + DESIGNATION, self.title, NORMAL, of=self.of)
        for part in self.parts:
            yield shifted(part, x, y)


def shifted(part: Primitive, x: float, y: float) -> Primitive:
    """A primitive moved by `x, y` mm, all else kept."""
    match part:
        case Line():
            return replace(part, points=tuple((px + x, py + y) for px, py in part.points))
        case Circle() | Arc() | Label():
            return replace(part, x=part.x + x, y=part.y + y)


def scale_for(width: float, height: float, room_x: float, room_y: float) -> float:
    """The largest usual scale, 1 to the number given, at which `width` by `height` mm have room."""
    return next((scale for scale in SCALES if width / scale <= room_x and height / scale <= room_y), SCALES[-1])


def scale_words(scale: float) -> str:
    """`scale 1:2.5`."""
    return f"scale 1:{scale:g}"


class Mark(Struct, frozen=True):
    """A label wanted at `x` of an edge; `drop`: how far behind the edge the thing begins, mm."""

    x: float
    text: str
    of: str
    link: str = ""
    drop: float = 0.0


class Labels(Struct):
    """Labels of an edge: `parts` round it, y negative above it; `extent`: how far they reach from it, `right`: to where, mm."""

    parts: list[Primitive] = field(default_factory=list)
    extent: float = 0.0
    right: float = 0.0


def labels_along(marks: Sequence[Mark], width: float, height: float = DESIGNATION, down: bool = False) -> Labels:
    """`marks` in order as labels along an edge of `width` mm, above it or, `down`, below: where they are closer than their texts,
    in two tiers, spread no further than it takes, each with a leader."""
    made = Labels()
    if not marks:
        return made
    widest = max(text_width(mark.text, height) for mark in marks)
    centres = [min(max(mark.x, widest / 2), max(width - widest / 2, widest / 2)) for mark in marks]
    apart = all(b - a >= _wide(one, other, height) for (one, a), (other, b) in pairwise(zip(marks, centres, strict=True)))
    tiers = 1 if apart or len(marks) * (widest + _GAP) <= width else 2
    if not apart:
        needed = [_wide(one, other, height) for one, other in pairwise(marks)]
        pitch = [*needed] if tiers == 1 else [apart_least(widest)] * len(needed)
        centres = _spread([mark.x for mark in marks], pitch, widest / 2)
    led = any(abs(mark.x - centre) > _STRAIGHT for mark, centre in zip(marks, centres, strict=True)) or tiers > 1
    sign = 1.0 if down else -1.0
    lead = _LEAD if led else 0.0
    for number, (mark, centre) in enumerate(zip(marks, centres, strict=True)):
        tier = number % tiers
        if led:
            points = [(mark.x, -sign * mark.drop)] if mark.drop else []
            points += [(mark.x, 0.0), (centre, sign * lead)]
            points += [(centre, sign * (lead + _TIER - 0.6))] if tier else []
            made.parts.append(Line(tuple(points), NARROW, of=mark.of))
        base = sign * (lead + 1.5 + tier * _TIER) + (height if down else 0.0)
        made.parts.append(Label(centre, base, mark.text, height, "middle", of=mark.of, link=mark.link))
        made.right = max(made.right, centre + text_width(mark.text, height) / 2)
    made.extent = lead + 1.5 + tiers * _TIER - (_TIER - height) + 0.6
    return made


def apart_least(widest: float) -> float:
    """How far apart the centres of labels of two tiers stand at least, the widest of them `widest` mm."""
    return (widest + 2 * _GAP) / 2


def _wide(one: Mark, other: Mark, height: float) -> float:
    """How far apart the centres of two labels stand at least, mm."""
    return (text_width(one.text, height) + text_width(other.text, height)) / 2 + _GAP


def _spread(wanted: Sequence[float], pitch: Sequence[float], least: float) -> list[float]:
    """Places at least `pitch` mm from one to the next, in order, as near to those wanted as can be, none below `least`."""
    offsets = [0.0, *accumulate(pitch)]
    pools: list[tuple[float, int]] = []  # sum of what is wanted of the first, and number, of places that touch
    for x, offset in zip(wanted, offsets, strict=True):
        total, count = x - offset, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, size = pools.pop()
            total, count = total + before, count + size
        pools.append((total, count))
    means = [max(total / count, least) for total, count in pools for _ in range(count)]
    return [mean + offset for mean, offset in zip(means, offsets, strict=True)]


#: views with where the left upper corner of each stands on a sheet, mm
Page = list[tuple[View, float, float]]


def pack(views: Sequence[View], area: Box, most: int | None = None) -> list[Page]:
    """Views on as few sheets as a few ways of filling them need: in their order, else the large ones after the first; each on
    the first sheet that has room and on which it is met behind those of its series, beside what is there or below it. One too
    large has its own. The views of a sheet keep their order. No sheet where they take more than `most`."""
    number = {id(view): count for count, view in enumerate(views)}
    found: list[Page] = []
    fewest, most = _fewest(views, area), len(views) if most is None else most
    for order, below in ((order, below) for order in _orders(views, number) for below in (False, True)):
        if most < fewest:  # what is found is as good as any, or none can be good enough
            break
        found = _filled(order, area, below, most) or found
        most = len(found) - 1 if found else most
    pages = [sorted(page, key=lambda held: number[id(held[0])]) for page in found]
    return pages if any(view.series for view in views) else sorted(pages, key=lambda page: number[id(page[0][0])])


def _fewest(views: Iterable[View], area: Box) -> int:
    """On no fewer sheets do views stand, however they are packed: as many as their faces fill."""
    faces = sum_of(min(view.width, area.width) * min(view.height, area.height) for view in views)
    return max(ceil(faces / (area.width * area.height) - 0.01), 1)


def in_rows(views: Sequence[View], area: Box) -> list[Page]:
    """Views in their order, side by side in rows one below the other, on as many sheets as these take."""
    pages: list[Page] = []
    x, y, foot = area.left, area.top, area.top
    for view in views:
        if x > area.left and x + view.width > area.right + 0.01:
            x, y = area.left, foot
        if not pages or (y > area.top and y + view.height > area.bottom + 0.01):
            pages.append([])
            x, y, foot = area.left, area.top, area.top
        pages[-1].append((view, x, y))
        x, foot = x + view.width + _BETWEEN, max(foot, y + view.height + _BETWEEN)
    return pages


def evened(pages: Sequence[Page], area: Box) -> list[Page]:
    """`pages` with the last views of the last sheet but one on the last, where that leaves neither as empty as one was."""
    if len(pages) < 2:
        return list(pages)
    *first, before, last = pages
    best = min(before, last, key=_reach), (before, last)
    for count in range(1, len(before)):
        views = [view for view, _, _ in before]
        stays, goes = pack(views[:-count], area, 1), pack([*views[-count:], *(view for view, _, _ in last)], area, 1)
        if not stays or not goes:
            break
        least = min(stays[0], goes[0], key=_reach)
        if _reach(least) > _reach(best[0]):
            best = least, (stays[0], goes[0])
    return [*first, *best[1]]


def _reach(page: Page) -> float:
    """How far down views of a sheet go, mm."""
    return max((y + view.height for view, _, y in page), default=0.0)


#: orders in which views are tried where theirs leaves room
_LARGEST: tuple[Callable[[View], float], ...] = (
    lambda view: -view.height,
    lambda view: -view.width,
    lambda view: -view.width * view.height,
)


def _orders(views: Sequence[View], number: Mapping[int, int]) -> Iterator[list[View]]:
    """The orders in which views are tried, each made when it is."""
    yield list(views)
    for key in _LARGEST:
        yield _in_series([*views[:1], *sorted(views[1:], key=key)], number)


def _in_series(views: Sequence[View], number: Mapping[int, int]) -> list[View]:
    """`views` with those of each series in their order, at the places that these have."""
    kept = {
        name: iter(sorted((v for v in views if v.series == name), key=lambda v: number[id(v)]))
        for name in {v.series for v in views}
    }
    return [next(kept[view.series]) if view.series else view for view in views]


def joined(page: Page, views: Sequence[View], area: Box) -> Page | None:
    """A sheet with `views` added, None where it has no room for all."""
    for below in (False, True):
        found = _filled(views, area, below, 1, [list(page)])
        if found:
            return found[0]
    return None


def _filled(views: Sequence[View], area: Box, below: bool, most: int, begun: Sequence[Page] = ()) -> list[Page]:
    """Sheets with `views`, behind those that are `begun`; none where it takes more than `most`."""
    sheets = list(begun)
    last: dict[str, tuple[int, Box]] = {}  # of each series the sheet of the last, and its place, as wide as the series is there
    for view in views:
        first, behind = last.get(view.series, (0, None)) if view.series else (0, None)
        for at in range(first, len(sheets)):
            found = _place(view, sheets[at], area, below, behind if at == first else None)
            if found is not None:
                break
        else:
            at, found = len(sheets), (area.left, area.top)
            if at == most:
                return []
            sheets.append([])
        sheets[at].append((view, *found))
        x, y = found
        far = x + view.width if behind is None or at != first else max(x + view.width, behind.right)
        last[view.series] = at, Box(x, y, far, y + view.height)
    return sheets


def _met(x: float, y: float, behind: Box | None, below: bool) -> bool:
    """Whether what stands at a place is met after `behind`: below it, or right of all of its series, in columns at any height."""
    return behind is None or y >= behind.bottom or (x >= behind.right and (below or y >= behind.top))


def _place(view: View, taken: Page, area: Box, below: bool, behind: Box | None) -> tuple[float, float] | None:
    boxes = [(x, y, x + view.width + _BETWEEN, y + view.height + _BETWEEN) for view, x, y in taken]
    right, bottom = area.right + 0.01, area.bottom + 0.01
    columns = sorted(x for x in {area.left, *(box[2] for box in boxes)} if x + view.width <= right)
    rows = sorted(y for y in {area.top, *(box[3] for box in boxes)} if y + view.height <= bottom)
    corners = ((x, y) for x in columns for y in rows) if below else ((x, y) for y in rows for x in columns)
    for x, y in corners:
        if _met(x, y, behind, below):
            end, foot = x + view.width, y + view.height
            for left, top, far, low in boxes:
                if x < far and left < end and y < low and top < foot:
                    break
            else:
                return x, y
    return None


def table(
    title: str, heads: Sequence[str], rows: Iterable[Sequence[str]], most: float, link: Callable[[str], str], room: float
) -> list[View]:
    """A table as views no wider than `room` and no higher than `most` mm, without columns in which nothing is said; the first
    column is a designation, which leads to its sheet."""
    rows = [tuple(row) for row in rows]
    kept = [n for n in range(len(heads)) if any(row[n] for row in rows)]
    if not kept:
        return []
    heads, rows = [heads[n] for n in kept], [tuple(row[n] for n in kept) for row in rows]
    widths = _widths([max(text_width(text) for text in column) + 3.0 for column in zip(heads, *rows, strict=True)], room)
    broken = [[wrap(text, width - 1.0) for text, width in zip(row, widths, strict=True)] for row in rows]
    heights = [_ROW + _LINE * (max(len(lines) for lines in row) - 1) for row in broken]
    views: list[View] = []
    for begin, end in _filling(heights, most - TITLE_ROOM - _HEAD):
        words = f"{title}, continued" if views else title
        cells = broken[begin:end]
        views.append(_table_view(words, heads, [row[0] for row in rows[begin:end]], cells, heights[begin:end], widths, link))
    return views


_HEAD, _ROW, _LINE = 5.0, 4.5, 4.0  # head of a table, a row of one line, each further line of it, mm
_NARROWEST = 18.0  # of a column of a table that has no room, mm


def _widths(wanted: Sequence[float], room: float) -> list[float]:
    """The widths of columns, the widest of those that may be broken made as narrow as the whole needs; the first is kept."""
    widths = list(wanted)
    most = max(widths[1:], default=0.0)
    while sum_of(widths) > room and most > _NARROWEST:
        most = max(most - 1.0, _NARROWEST)
        widths[1:] = [min(width, most) for width in widths[1:]]
    return widths


def _filling(heights: Sequence[float], room: float) -> Iterator[tuple[int, int]]:
    """From which row to which each part reaches that has room, one row at least."""
    begin, used = 0, 0.0
    for number, height in enumerate(heights):
        if number > begin and used + height > room:
            yield begin, number
            begin, used = number, 0.0
        used += height
    yield begin, len(heights)


def _table_view(
    title: str,
    heads: Sequence[str],
    names: Sequence[str],
    rows: Sequence[Sequence[Sequence[str]]],
    heights: Sequence[float],
    widths: Sequence[float],
    link: Callable[[str], str],
) -> View:
    view = View(title, max(sum_of(widths), text_width(title)), TITLE_ROOM + _HEAD + sum_of(heights))
    lefts = [0.0, *accumulate(widths)]
    y = TITLE_ROOM + 3.0
    view.parts += [Label(x, y, head) for x, head in zip(lefts, heads, strict=False) if head]
    view.parts.append(Line(((0.0, y + 1.4), (lefts[-1], y + 1.4)), NARROW))
    y += _HEAD
    for name, row, height in zip(names, rows, heights, strict=True):
        for column, lines in enumerate(row):
            to = "" if column else link(name)
            view.parts += [Label(lefts[column], y + n * _LINE, line, of=name, link=to) for n, line in enumerate(lines)]
        y += height
    return view
