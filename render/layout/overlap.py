"""What a reader could not read: texts that touch, leave the frame or are too small. Computed from the display list.

Ink boxes stand for texts, chords for curves. A gap of 0.25 mm counts as touching. Lines that run along an axis are found by
bisection; what slants is short on our sheets and is kept apart.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from math import acos, ceil, degrees, hypot
from typing import NamedTuple

from render.layout.bounds import arc_point, bounds_of
from render.layout.fonts import Box, ink_box
from render.layout.frame import frame_box, frame_primitives
from render.sheet import NORMAL, Arc, Circle, Label, Line, Primitive, Sheet

#: the least distance of ink from other ink, mm
GAP = 0.25
_STRAY = 0.05  # how far a chord may stray from its curve, mm
_SLACK = 1e-6


class _Text(NamedTuple):
    box: Box
    label: Label


#: a straight stroke: its extent along y, both ends, half its width, what it belongs to. A plain tuple: a sheet has thousands
_Stroke = tuple[float, float, float, float, float, float, float, str]


def overlaps(sheet: Sheet, least: float = NORMAL) -> list[str]:
    """What is wrong with the lettering of `sheet`, one line each, in a fixed order; empty for a sheet that reads well. `least`:
    the height of the smallest lettering, mm."""
    texts = [_Text(ink_box(p), p) for p in sheet.primitives if isinstance(p, Label) and p.text.strip()]
    outside = list(_outside(sheet, texts))
    texts.sort(key=lambda text: (text.box.top, text.box.left, text.label.text))
    faults = [*_too_small(texts, least), *outside]
    faults += _texts_meet(texts)
    faults += _strokes_meet(texts, sheet.primitives)
    faults += _inside_black(texts, sheet.primitives)
    return faults


def _named(text: _Text) -> str:
    return f"text `{text.label.text}` at {text.label.x:.1f}, {text.label.y:.1f}"


def _too_small(texts: Iterable[_Text], least: float) -> Iterator[str]:
    for text in texts:
        if text.label.height < least - _SLACK:
            yield f"{_named(text)} is {text.label.height:g} mm high, below {least:g} mm"


@cache
def _own(size: str) -> frozenset[int]:
    """The frame's own primitives, by identity."""
    return frozenset(map(id, frame_primitives(size)))


def _outside(sheet: Sheet, texts: Iterable[_Text]) -> Iterator[str]:
    """What leaves the frame; the frame's own marks may. `texts`: as they stand on the sheet."""
    frame = frame_box(sheet.size).grown(_SLACK)
    left, top, right, bottom = frame
    # by identity: the frame's primitives are made once, and a drawing's line that equals one of them is still a fault
    own = _own(sheet.size)
    boxes = iter(texts)
    for primitive in sheet.primitives:
        if isinstance(primitive, Line):
            for x, y in primitive.points:
                if x < left or x > right or y < top or y > bottom:
                    break
            else:
                continue
        if isinstance(primitive, Label) and primitive.text.strip():
            box = next(boxes).box
            if left <= box[0] and box[2] <= right and top <= box[1] and box[3] <= bottom:
                continue
        else:
            box = bounds_of(primitive)
        if frame.holds(box) or id(primitive) in own:
            continue
        if isinstance(primitive, Label):
            yield f"{_named(_Text(box, primitive))} leaves the frame"
        else:
            of = f" of `{primitive.of}`" if primitive.of else ""
            yield f"a line{of} at {box.left:.1f}, {box.top:.1f} leaves the frame"


def _texts_meet(texts: Sequence[_Text]) -> Iterator[str]:
    """Pairs of texts; sorted by their tops, so only the next few can meet."""
    boxes = [text.box for text in texts]
    for index, (left, _, right, bottom) in enumerate(boxes):
        left, right, bottom = left - GAP, right + GAP, bottom + GAP
        for number in range(index + 1, len(boxes)):
            begin, top, end, _ = boxes[number]
            if top >= bottom:
                break
            if begin < right and left < end:
                yield f"{_named(texts[index])} touches {_named(texts[number])}"


def _strokes_meet(texts: Sequence[_Text], primitives: Iterable[Primitive]) -> Iterator[str]:
    """Texts with the strokes that touch them: of each text the level ones first, then those that slant, then the upright."""
    level: list[_Stroke] = []
    upright: list[_Stroke] = []
    slanted: list[_Stroke] = []
    widest = 0.0
    for stroke in _strokes(primitives):
        _, _, x1, y1, x2, y2, half, _ = stroke
        if half > widest:
            widest = half
        (level if y1 == y2 else upright if x1 == x2 else slanted).append(stroke)
    level.sort()
    slanted.sort()
    upright.sort(key=lambda s: (s[2], s))
    levels, lows, columns = [s[0] for s in level], [s[0] for s in slanted], [s[2] for s in upright]
    tallest = max((s[1] - s[0] for s in slanted), default=0.0)
    reach = widest + GAP
    for text in texts:
        left, top, right, bottom = text.box
        above, below = top - reach, bottom + reach
        near = level[bisect_left(levels, above) : bisect_right(levels, below)]
        if slanted:
            near += slanted[bisect_left(lows, above - tallest) : bisect_right(lows, below)]
        near += upright[bisect_left(columns, left - reach) : bisect_right(columns, right + reach)]
        for low, high, x1, y1, x2, y2, half, owner in near:
            # most of what is at its height is far beside it, and the other way round
            if low >= below or high <= above:
                continue
            margin = half + GAP
            if high <= top - margin or low >= bottom + margin:
                continue
            if (x1 <= left - margin and x2 <= left - margin) or (x1 >= right + margin and x2 >= right + margin):
                continue
            # what runs along an axis and lies in both ranges is inside
            if x1 == x2 or y1 == y2 or _crosses((x1, y1), (x2, y2), left - margin, top - margin, right + margin, bottom + margin):
                of = f" of `{owner}`" if owner else ""
                yield f"{_named(text)} touches a line{of} at {x1:.1f}, {y1:.1f}"


def _crosses(begin: tuple[float, float], end: tuple[float, float], left: float, top: float, right: float, bottom: float) -> bool:
    """Whether a stroke's middle line enters the open rectangle (Liang and Barsky's clipping)."""
    enter, leave = 0.0, 1.0
    (x, y), dx, dy = begin, end[0] - begin[0], end[1] - begin[1]
    for step, room in ((-dx, x - left), (dx, right - x), (-dy, y - top), (dy, bottom - y)):
        if step == 0:
            if room <= 0:
                return False
        elif step < 0:
            enter = max(enter, room / step)
        else:
            leave = min(leave, room / step)
    return enter < leave - 1e-9 or (dx == dy == 0)


def _strokes(primitives: Iterable[Primitive]) -> Iterator[_Stroke]:
    for p in primitives:
        if isinstance(p, Line):
            points: Sequence[tuple[float, float]] = p.points
            if p.closed or p.fill:
                points = (*points, points[0])
        elif isinstance(p, Circle):
            points = _chords(Arc(p.x, p.y, p.radius, p.radius, 0, 360))
        elif isinstance(p, Arc):
            points = _chords(p)
        else:
            continue
        half, of = p.width / 2, p.of
        x1, y1 = points[0]
        for x2, y2 in points[1:]:
            yield (y1, y2, x1, y1, x2, y2, half, of) if y1 <= y2 else (y2, y1, x1, y1, x2, y2, half, of)
            x1, y1 = x2, y2


def _chords(arc: Arc) -> list[tuple[float, float]]:
    """Points on the arc, so close that no chord strays more than 0.05 mm from it."""
    span = arc.end - arc.start
    steps = max(1, ceil(span / degrees(2 * acos(1 - _STRAY / max(arc.rx, arc.ry, 2 * _STRAY)))))
    return [arc_point(arc, arc.start + span * step / steps) for step in range(steps + 1)]


def _inside_black(texts: Sequence[_Text], primitives: Iterable[Primitive]) -> Iterator[str]:
    """Texts that lie wholly on a filled shape, where no outline gives them away."""
    black = [p for p in primitives if isinstance(p, (Circle, Line)) and p.fill]
    tops = [text.box.top for text in texts] if black else []
    for p in black:
        ground = bounds_of(p)
        for text in texts[bisect_left(tops, ground.top - _SLACK) : bisect_right(tops, ground.bottom + _SLACK)]:
            if isinstance(p, Circle):
                inside = all(hypot(x - p.x, y - p.y) < p.radius for x, y in _corners(text.box))
            else:
                inside = ground.holds(text.box)
            if inside:
                yield f"{_named(text)} lies on a black shape"


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    return (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
