"""What a reader could not read: texts that touch, leave the frame or are too small. Computed from the display list.

Ink boxes stand for texts, chords for curves. A gap of 0.25 mm counts as touching. A sheet has hundreds of texts and strokes and
next to none that touch: which of them may is found of all of several sheets at once, which stand far below each other for that,
and those alone are looked at one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain
from math import acos, ceil, degrees, hypot
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from render.layout.bounds import arc_point, bounds_of
from render.layout.fonts import Box, ink_boxes
from render.layout.frame import frame_box, frame_primitives
from render.sheet import NORMAL, Arc, Circle, Label, Line, Primitive, Sheet

#: the least distance of ink from other ink, mm
GAP = 0.25
_STRAY = 0.05  # how far a chord may stray from its curve, mm
_SLACK = 1e-6
_AT_ONCE = 32  # sheets
_APART = 10_000.0  # from one of them to the next where they are looked at together, mm: whatever leaves a sheet reaches no other

_Outline = Line | Circle | Arc
#: the edges of boxes in rows: left, top, right, bottom; and which way each goes to make them larger
_Edges = NDArray[np.float64]
_OUTWARD = np.array([[-1.0], [-1.0], [1.0], [1.0]])
#: numbers of things or of sheets
_Places = NDArray[np.intp]


class _Texts:
    """The texts of sheets, on each by their tops. `boxes`: where their ink lies, `pages`: on which sheet each stands."""

    def __init__(self, written: Sequence[Sequence[Label]]) -> None:
        labels = [*chain.from_iterable(written)]
        boxes, self.pages = ink_boxes(labels), _pages(written)
        order = np.lexsort((boxes[0], boxes[1], self.pages))
        self.labels = [labels[at] for at in order.tolist()]
        self.boxes: _Edges = boxes[:, order]

    def box(self, at: int) -> Box:
        """Where the ink of one lies."""
        return Box(*self.boxes[:, at].tolist())


class _Strokes:
    """The straight strokes of the outlines of sheets. `points`: those of all outlines, x and y in rows, `owners`: which outline
    each is of; `begins` and `ends` of the strokes, `halves` of their widths, `of`: which outline each is of; `pages`: on which
    sheet each outline stands."""

    def __init__(self, drawn: Sequence[Sequence[_Outline]]) -> None:
        self.outlines = [*chain.from_iterable(drawn)]
        self.pages = _pages(drawn)
        passed = [_passed(outline) for outline in self.outlines]
        self.owners = np.repeat(np.arange(len(passed)), np.array([len(points) for points in passed], np.intp))
        flat = chain.from_iterable(chain.from_iterable(passed))
        self.points = np.fromiter(flat, np.float64, 2 * len(self.owners)).reshape(-1, 2).T
        goes_on = (self.owners[:-1] == self.owners[1:]).nonzero()[0]
        self.begins, self.ends = self.points[:, goes_on], self.points[:, goes_on + 1]
        self.of = self.owners[goes_on]
        self.halves = np.array([outline.width for outline in self.outlines])[self.of] / 2


def _pages(things: Sequence[Sequence[object]]) -> _Places:
    """The number of its sheet for each thing of several."""
    return np.repeat(np.arange(len(things)), np.array([len(each) for each in things], np.intp))


def overlaps(sheet: Sheet, least: float = NORMAL) -> list[str]:
    """What is wrong with the lettering of `sheet`, one line each, in a fixed order; empty for a sheet that reads well. `least`:
    the height of the smallest lettering, mm."""
    return [fault for _, fault in overlaps_of((sheet,), least)]


def overlaps_of(sheets: Sequence[Sheet], least: float = NORMAL) -> list[tuple[str, str]]:
    """What is wrong with the lettering of each of `sheets`, with the key of the sheet: as of `overlaps`, for many of them in half
    the time."""
    found: list[tuple[str, str]] = []
    for first in range(0, len(sheets), _AT_ONCE):
        some = sheets[first : first + _AT_ONCE]
        faults = sorted(_faults(some, least), key=lambda fault: fault[0])  # of each sheet in the order in which they are found
        found += [(some[page].key, fault) for page, fault in faults]
    return found


def _faults(sheets: Sequence[Sheet], least: float) -> Iterator[tuple[int, str]]:
    """Faults with the numbers of their sheets."""
    written, outlines, blanks = [], [], []
    for page, sheet in enumerate(sheets):
        labels = [p for p in sheet.primitives if isinstance(p, Label)]
        inked = [label for label in labels if label.text.strip()]
        if len(inked) < len(labels):
            blanks += [(page, label) for label in labels if not label.text.strip()]
        written.append(inked)
        outlines.append([p for p in sheet.primitives if not isinstance(p, Label)])
    texts, strokes = _Texts(written), _Strokes(outlines)
    yield from _too_small(texts, least)
    yield from _outside(sheets, texts, strokes, blanks)
    yield from _texts_meet(texts)
    yield from _strokes_meet(texts, strokes)
    yield from _inside_black(texts, strokes)


def _named(label: Label) -> str:
    return f"text `{label.text}` at {label.x:.1f}, {label.y:.1f}"


def _line(outline: _Outline, x: float, y: float) -> str:
    of = f" of `{outline.of}`" if outline.of else ""
    return f"a line{of} at {x:.1f}, {y:.1f}"


def _too_small(texts: _Texts, least: float) -> Iterator[tuple[int, str]]:
    for at, label in enumerate(texts.labels):
        if label.height < least - _SLACK:
            yield int(texts.pages[at]), f"{_named(label)} is {label.height:g} mm high, below {least:g} mm"


@cache
def _own(size: str) -> frozenset[int]:
    """The frame's own primitives, by identity."""
    return frozenset(map(id, frame_primitives(size)))


def _outside(
    sheets: Sequence[Sheet], texts: _Texts, strokes: _Strokes, blanks: Iterable[tuple[int, Label]]
) -> Iterator[tuple[int, str]]:
    """What leaves the frame, as it stands on the sheet; the frame's own marks may."""
    frames = [frame_box(sheet.size).grown(_SLACK) for sheet in sheets]
    left, top, right, bottom = edges = np.array(frames).T
    found: list[set[int]] = [set() for _ in sheets]
    beyond = (texts.boxes * _OUTWARD > _OUTWARD * edges[:, texts.pages]).any(axis=0)
    for at in beyond.nonzero()[0].tolist():
        found[texts.pages[at]].add(id(texts.labels[at]))
    (x, y), of = strokes.points, strokes.pages[strokes.owners]
    beyond = (x < left[of]) | (y < top[of]) | (x > right[of]) | (y > bottom[of])
    for at in set(strokes.owners[beyond].tolist()):
        found[strokes.pages[at]].add(id(strokes.outlines[at]))
    # a curve reaches a little further than its chords
    outlines: Iterable[tuple[int, Primitive]] = zip(strokes.pages.tolist(), strokes.outlines, strict=True)
    for page, part in chain((each for each in outlines if not isinstance(each[1], Line)), blanks):
        if not frames[page].holds(bounds_of(part)):
            found[page].add(id(part))
    for page, sheet in enumerate(sheets):
        # by identity: the frame's primitives are made once, and a drawing's line that equals one of them is still a fault
        gone = found[page] - _own(sheet.size)
        for part in sheet.primitives if gone else ():
            if id(part) in gone:
                box = bounds_of(part)
                yield page, f"{_named(part) if isinstance(part, Label) else _line(part, box.left, box.top)} leaves the frame"


def _ranges(first: _Places, past: _Places) -> tuple[_Places, _Places]:
    """Every place from `first` to before `past` of each range, behind the number of the range."""
    counts = np.maximum(past - first, 0)
    ranges = np.repeat(np.arange(len(counts)), counts)
    return ranges, np.arange(len(ranges)) + np.repeat(first - counts.cumsum() + counts, counts)


def _between(points: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64]) -> tuple[_Places, _Places]:
    """Which range from `low` to `high` holds which of `points`: the numbers of both."""
    order = points.argsort()
    ranked = points[order]
    ranges, places = _ranges(ranked.searchsorted(low), ranked.searchsorted(high, "right"))
    return ranges, order[places]


class _Boxes(NamedTuple):
    """Boxes with the numbers of their sheets."""

    edges: _Edges
    pages: _Places

    def lifted(self, by: float) -> NDArray[np.float64]:
        """Tops and feet where all sheets stand below each other, with `by` mm more above and below."""
        heights: NDArray[np.float64] = self.edges[1::2] + self.pages * _APART + [[-by], [by]]
        return heights

    def meet(self, others: _Boxes, rows: _Places, columns: _Places) -> list[tuple[int, int]]:
        """Those pairs of these `rows` and of `columns` of `others` that share more than an edge of the same sheet, in order."""
        for begin, end in (0, 2), (1, 3):
            meet = (others.edges[begin][columns] < self.edges[end][rows]) & (others.edges[end][columns] > self.edges[begin][rows])
            rows, columns = rows[meet], columns[meet]
        meet = self.pages[rows] == others.pages[columns]
        return sorted(set(zip(rows[meet].tolist(), columns[meet].tolist(), strict=True)))


def _meeting(boxes: _Boxes, others: _Boxes) -> list[tuple[int, int]]:
    """Which of `boxes` shares more than an edge with which of `others`."""
    (top, foot), (head, end) = boxes.lifted(_SLACK), others.lifted(_SLACK)
    # of two that share a height one begins at a height of the other
    (one, begins), (holds, begun) = _between(head, top, foot), _between(top, head, end)
    return boxes.meet(others, np.concatenate((one, begun)), np.concatenate((begins, holds)))


def _texts_meet(texts: _Texts) -> Iterator[tuple[int, str]]:
    """Pairs of texts, the upper one first."""
    pages = texts.pages
    grown, boxes = _Boxes(texts.boxes + _OUTWARD * GAP, pages), _Boxes(texts.boxes, pages)
    # by their tops: whatever an upper one may meet stands behind it
    places = np.arange(len(pages)) + 1
    behind = _ranges(places, boxes.lifted(0.0)[0].searchsorted(grown.lifted(_SLACK)[1], "right"))
    for one, other in grown.meet(boxes, *behind):
        yield int(pages[one]), f"{_named(texts.labels[one])} touches {_named(texts.labels[other])}"


def _strokes_meet(texts: _Texts, strokes: _Strokes) -> Iterator[tuple[int, str]]:
    """Texts with the strokes that touch them: of each text the level ones first, then those that slant, then the upright."""
    begins, ends, halves = strokes.begins, strokes.ends, strokes.halves
    extents = np.concatenate((np.minimum(begins, ends), np.maximum(begins, ends)))
    reach = extents + _OUTWARD * (halves + GAP + _SLACK)
    faults = []
    for text, stroke in _meeting(_Boxes(texts.boxes, texts.pages), _Boxes(reach, strokes.pages[strokes.of])):
        (x1, y1), (x2, y2) = begin, end = begins[:, stroke].tolist(), ends[:, stroke].tolist()
        box = texts.box(text).grown(float(halves[stroke]) + GAP)
        # what runs along an axis and lies in both ranges is inside
        if box.meets(Box(*extents[:, stroke].tolist())) and (x1 == x2 or y1 == y2 or _crosses(begin, end, box)):
            order = (text, 0, y1, x1, x2) if y1 == y2 else (text, 2, x1, y1, y2) if x1 == x2 else (text, 1, min(y1, y2), y1, x1)
            faults.append((order, f"{_named(texts.labels[text])} touches {_line(strokes.outlines[strokes.of[stroke]], x1, y1)}"))
    return ((int(texts.pages[order[0]]), said) for order, said in sorted(faults))


def _crosses(begin: Sequence[float], end: Sequence[float], box: Box) -> bool:
    """Whether a stroke's middle line enters the open rectangle (Liang and Barsky's clipping)."""
    enter, leave = 0.0, 1.0
    (x, y), dx, dy = begin, end[0] - begin[0], end[1] - begin[1]
    for step, room in ((-dx, x - box.left), (dx, box.right - x), (-dy, y - box.top), (dy, box.bottom - y)):
        if step == 0:
            if room <= 0:
                return False
        elif step < 0:
            enter = max(enter, room / step)
        else:
            leave = min(leave, room / step)
    return enter < leave - 1e-9 or (dx == dy == 0)


def _passed(outline: _Outline) -> Sequence[tuple[float, float]]:
    """The points that an outline goes through, the last that of the first again where it is closed."""
    if isinstance(outline, Line):
        points = outline.points
        return (*points, points[0]) if outline.closed or outline.fill else points
    if isinstance(outline, Circle):
        return _chords(Arc(outline.x, outline.y, outline.radius, outline.radius, 0, 360))
    return _chords(outline)


def _chords(arc: Arc) -> list[tuple[float, float]]:
    """Points on the arc, so close that no chord strays more than 0.05 mm from it."""
    return [(arc.x + x, arc.y + y) for x, y in _curve(arc.rx, arc.ry, arc.start, arc.end)]


@lru_cache(maxsize=1 << 10)
def _curve(rx: float, ry: float, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """Those points seen from its middle: a set draws the same few curves at many places."""
    span = end - start
    steps = max(1, ceil(span / degrees(2 * acos(1 - _STRAY / max(rx, ry, 2 * _STRAY)))))
    return tuple(arc_point(Arc(0.0, 0.0, rx, ry, start, end), start + span * step / steps) for step in range(steps + 1))


def _inside_black(texts: _Texts, strokes: _Strokes) -> Iterator[tuple[int, str]]:
    """Texts that lie wholly on a filled shape, where no outline gives them away."""
    filled = [at for at, outline in enumerate(strokes.outlines) if not isinstance(outline, Arc) and outline.fill]
    if not filled:
        return
    # what lies within meets at any rate
    grounds = np.array([bounds_of(strokes.outlines[at]) for at in filled]).T
    for number, text in _meeting(_Boxes(grounds, strokes.pages[filled]), _Boxes(texts.boxes, texts.pages)):
        shape, box = strokes.outlines[filled[number]], texts.box(text)
        if isinstance(shape, Circle):
            inside = all(hypot(x - shape.x, y - shape.y) < shape.radius for x, y in _corners(box))
        else:
            inside = bounds_of(shape).holds(box)
        if inside:
            yield int(texts.pages[text]), f"{_named(texts.labels[text])} lies on a black shape"


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    return (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
