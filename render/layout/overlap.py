"""What a reader could not read: texts that touch, leave the frame or are too small. Computed from the display list.

Ink boxes stand for texts, chords for curves. A gap of 0.25 mm counts as touching. A sheet has hundreds of texts and strokes and
next to none that touch: which of them may is found of all at once, and those alone are looked at one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain
from math import acos, ceil, degrees, hypot

import numpy as np
from numpy.typing import NDArray

from render.layout.bounds import arc_point, bounds_of
from render.layout.fonts import Box, ink_boxes
from render.layout.frame import frame_box, frame_primitives
from render.sheet import NORMAL, Arc, Circle, Label, Line, Sheet

#: the least distance of ink from other ink, mm
GAP = 0.25
_STRAY = 0.05  # how far a chord may stray from its curve, mm
_SLACK = 1e-6
_AT_ONCE = 64  # boxes held against others

_Outline = Line | Circle | Arc
#: the edges of boxes in rows: left, top, right, bottom; and which way each goes to make them larger
_Edges = NDArray[np.float64]
_OUTWARD = np.array([[-1.0], [-1.0], [1.0], [1.0]])


class _Texts:
    """The texts of a sheet by their tops. `boxes`: where their ink lies."""

    def __init__(self, labels: Sequence[Label]) -> None:
        boxes = ink_boxes(labels)
        order = np.lexsort((boxes[0], boxes[1]))
        self.labels = [labels[at] for at in order.tolist()]
        self.boxes: _Edges = boxes[:, order]

    def box(self, at: int) -> Box:
        """Where the ink of one lies."""
        return Box(*self.boxes[:, at].tolist())


class _Strokes:
    """The straight strokes of outlines. `points`: those of all outlines, x and y in rows, `owners`: which outline each is of;
    `begins` and `ends` of the strokes, `halves` of their widths, `of`: which outline each is of."""

    def __init__(self, outlines: Sequence[_Outline]) -> None:
        passed = [_passed(outline) for outline in outlines]
        counts = [len(points) for points in passed]
        self.outlines = outlines
        self.owners = np.repeat(np.arange(len(counts)), np.array(counts, np.intp))
        flat = chain.from_iterable(chain.from_iterable(passed))
        self.points = np.fromiter(flat, np.float64, 2 * len(self.owners)).reshape(-1, 2).T
        goes_on = self.owners[:-1] == self.owners[1:]
        self.begins, self.ends = self.points[:, :-1][:, goes_on], self.points[:, 1:][:, goes_on]
        self.of = self.owners[:-1][goes_on]
        self.halves = np.array([outline.width for outline in outlines])[self.of] / 2


def overlaps(sheet: Sheet, least: float = NORMAL) -> list[str]:
    """What is wrong with the lettering of `sheet`, one line each, in a fixed order; empty for a sheet that reads well. `least`:
    the height of the smallest lettering, mm."""
    labels = [p for p in sheet.primitives if isinstance(p, Label)]
    written = [label for label in labels if label.text.strip()]
    blanks = [label for label in labels if not label.text.strip()] if len(written) < len(labels) else []
    texts = _Texts(written)
    strokes = _Strokes([p for p in sheet.primitives if not isinstance(p, Label)])
    return [
        *_too_small(texts.labels, least),
        *_outside(sheet, texts, strokes, blanks),
        *_texts_meet(texts),
        *_strokes_meet(texts, strokes),
        *_inside_black(texts, strokes.outlines),
    ]


def _named(label: Label) -> str:
    return f"text `{label.text}` at {label.x:.1f}, {label.y:.1f}"


def _line(outline: _Outline, x: float, y: float) -> str:
    of = f" of `{outline.of}`" if outline.of else ""
    return f"a line{of} at {x:.1f}, {y:.1f}"


def _too_small(labels: Iterable[Label], least: float) -> Iterator[str]:
    for label in labels:
        if label.height < least - _SLACK:
            yield f"{_named(label)} is {label.height:g} mm high, below {least:g} mm"


@cache
def _own(size: str) -> frozenset[int]:
    """The frame's own primitives, by identity."""
    return frozenset(map(id, frame_primitives(size)))


def _outside(sheet: Sheet, texts: _Texts, strokes: _Strokes, blanks: Iterable[Label]) -> Iterator[str]:
    """What leaves the frame, as it stands on the sheet; the frame's own marks may."""
    frame = frame_box(sheet.size).grown(_SLACK)
    left, top, right, bottom = frame
    beyond = (texts.boxes * _OUTWARD > _OUTWARD * np.array(frame)[:, None]).any(axis=0)
    found = {id(texts.labels[at]) for at in beyond.nonzero()[0].tolist()}
    x, y = strokes.points
    beyond = (x < left) | (y < top) | (x > right) | (y > bottom)
    found |= {id(strokes.outlines[at]) for at in strokes.owners[beyond].tolist()}
    # a curve reaches a little further than its chords
    curves = [outline for outline in strokes.outlines if not isinstance(outline, Line)]
    found |= {id(part) for part in (*curves, *blanks) if not frame.holds(bounds_of(part))}
    # by identity: the frame's primitives are made once, and a drawing's line that equals one of them is still a fault
    found -= _own(sheet.size)
    for part in sheet.primitives if found else ():
        if id(part) in found:
            box = bounds_of(part)
            yield f"{_named(part) if isinstance(part, Label) else _line(part, box.left, box.top)} leaves the frame"


def _meeting(boxes: _Edges, others: _Edges) -> list[tuple[int, int]]:
    """Which of `boxes` shares more than an edge with which of `others`."""
    found: list[tuple[int, int]] = []
    # some at a time: those that follow each other lie near each other, and far from most of the others
    for first in range(0, boxes.shape[1], _AT_ONCE):
        left, top, right, bottom = boxes[:, first : first + _AT_ONCE, None]
        near = ((others[1] < bottom.max()) & (others[3] > top.min())).nonzero()[0]
        begin, head, end, foot = others[:, near]
        meet = (head < bottom) & (foot > top)
        meet &= begin < right
        meet &= end > left
        rows, columns = meet.nonzero()
        found += zip((rows + first).tolist(), near[columns].tolist(), strict=True)
    return found


def _texts_meet(texts: _Texts) -> Iterator[str]:
    """Pairs of texts, the upper one first."""
    for one, other in _meeting(texts.boxes + _OUTWARD * GAP, texts.boxes):
        if one < other:
            yield f"{_named(texts.labels[one])} touches {_named(texts.labels[other])}"


def _strokes_meet(texts: _Texts, strokes: _Strokes) -> Iterator[str]:
    """Texts with the strokes that touch them: of each text the level ones first, then those that slant, then the upright."""
    begins, ends, halves = strokes.begins, strokes.ends, strokes.halves
    extents = np.concatenate((np.minimum(begins, ends), np.maximum(begins, ends)))
    faults = []
    for text, stroke in _meeting(texts.boxes, extents + _OUTWARD * (halves + GAP + _SLACK)):
        (x1, y1), (x2, y2) = begin, end = begins[:, stroke].tolist(), ends[:, stroke].tolist()
        box = texts.box(text).grown(float(halves[stroke]) + GAP)
        # what runs along an axis and lies in both ranges is inside
        if box.meets(Box(*extents[:, stroke].tolist())) and (x1 == x2 or y1 == y2 or _crosses(begin, end, box)):
            order = (text, 0, y1, x1, x2) if y1 == y2 else (text, 2, x1, y1, y2) if x1 == x2 else (text, 1, min(y1, y2), y1, x1)
            faults.append((order, f"{_named(texts.labels[text])} touches {_line(strokes.outlines[strokes.of[stroke]], x1, y1)}"))
    return (said for _, said in sorted(faults))


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


def _inside_black(texts: _Texts, outlines: Iterable[_Outline]) -> Iterator[str]:
    """Texts that lie wholly on a filled shape, where no outline gives them away."""
    black = [outline for outline in outlines if not isinstance(outline, Arc) and outline.fill]
    if not black:
        return
    # what lies within meets at any rate
    grounds = np.array([bounds_of(shape) for shape in black]).T
    for number, text in _meeting(grounds, texts.boxes):
        shape, box = black[number], texts.box(text)
        if isinstance(shape, Circle):
            inside = all(hypot(x - shape.x, y - shape.y) < shape.radius for x, y in _corners(box))
        else:
            inside = bounds_of(shape).holds(box)
        if inside:
            yield f"{_named(texts.labels[text])} lies on a black shape"


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    return (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
