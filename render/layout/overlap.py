"""What a reader could not read: texts that touch, leave the frame or are too small. Computed from the display list.

Ink boxes stand for texts, chords for curves. A gap of 0.25 mm counts as touching. Lines that run along an axis are found by
bisection; what slants is short on our sheets and is kept apart.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
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


class _Stroke(NamedTuple):
    """A straight stroke and half its width. `low` and `high` are its extent along y."""

    low: float
    high: float
    x1: float
    y1: float
    x2: float
    y2: float
    half: float
    of: str


def overlaps(sheet: Sheet, least: float = NORMAL) -> list[str]:
    """What is wrong with the lettering of `sheet`, one line each, in a fixed order; empty for a sheet that reads well. `least`:
    the height of the smallest lettering, mm."""
    texts = [_Text(ink_box(p), p) for p in sheet.primitives if isinstance(p, Label) and p.text.strip()]
    texts.sort(key=lambda text: (text.box.top, text.box.left, text.label.text))
    faults = [*_too_small(texts, least), *_outside(sheet)]
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


def _outside(sheet: Sheet) -> Iterator[str]:
    """What leaves the frame; the frame's own marks may."""
    frame = frame_box(sheet.size).grown(_SLACK)
    own: set[int] | None = None
    for primitive in sheet.primitives:
        box = bounds_of(primitive)
        if frame.holds(box):
            continue
        # by identity: the frame's primitives are made once, and a drawing's line that equals one of them is still a fault
        own = {id(p) for p in frame_primitives(sheet.size)} if own is None else own
        if id(primitive) in own:
            continue
        if isinstance(primitive, Label):
            yield f"{_named(_Text(box, primitive))} leaves the frame"
        else:
            of = f" of `{primitive.of}`" if primitive.of else ""
            yield f"a line{of} at {box.left:.1f}, {box.top:.1f} leaves the frame"


def _texts_meet(texts: Sequence[_Text]) -> Iterator[str]:
    """Pairs of texts; sorted by their tops, so only the next few can meet."""
    for index, one in enumerate(texts):
        left, right, bottom = one.box.left - GAP, one.box.right + GAP, one.box.bottom + GAP
        for other in texts[index + 1 :]:
            box = other.box
            if box.top >= bottom:
                break
            if box.left < right and left < box.right:
                yield f"{_named(one)} touches {_named(other)}"


def _strokes_meet(texts: Sequence[_Text], primitives: Iterable[Primitive]) -> Iterator[str]:
    level: list[_Stroke] = []
    upright: list[_Stroke] = []
    slanted: list[_Stroke] = []
    for stroke in _strokes(primitives):
        if stroke.y1 == stroke.y2:
            level.append(stroke)
        elif stroke.x1 == stroke.x2:
            upright.append(stroke)
        else:
            slanted.append(stroke)
    level.sort()
    slanted.sort()
    upright.sort(key=lambda s: (s.x1, s))
    groups = (
        (level, [s.low for s in level], 0.0),
        (slanted, [s.low for s in slanted], max((s.high - s.low for s in slanted), default=0.0)),
    )
    columns = [s.x1 for s in upright]
    reach = max((s.half for s in (*level, *upright, *slanted)), default=0.0) + GAP
    for text in texts:
        left, top, right, bottom = text.box
        for strokes, lows, tallest in groups:
            near = strokes[bisect_left(lows, top - reach - tallest) : bisect_right(lows, bottom + reach)]
            yield from _touched(text, near)
        yield from _touched(text, upright[bisect_left(columns, left - reach) : bisect_right(columns, right + reach)])


def _touched(text: _Text, strokes: Iterable[_Stroke]) -> Iterator[str]:
    left, top, right, bottom = text.box
    for stroke in strokes:
        low, high, x1, y1, x2, y2, half, _ = stroke
        margin = half + GAP
        if high <= top - margin or low >= bottom + margin:
            continue
        if (x1 <= left - margin and x2 <= left - margin) or (x1 >= right + margin and x2 >= right + margin):
            continue
        # what runs along an axis and lies in both ranges is inside
        if x1 == x2 or y1 == y2 or _crosses(stroke, left - margin, top - margin, right + margin, bottom + margin):
            of = f" of `{stroke.of}`" if stroke.of else ""
            yield f"{_named(text)} touches a line{of} at {stroke.x1:.1f}, {stroke.y1:.1f}"


def _crosses(s: _Stroke, left: float, top: float, right: float, bottom: float) -> bool:
    """Whether the stroke's middle line enters the open rectangle (Liang and Barsky's clipping)."""
    enter, leave = 0.0, 1.0
    dx, dy = s.x2 - s.x1, s.y2 - s.y1
    for step, room in ((-dx, s.x1 - left), (dx, right - s.x1), (-dy, s.y1 - top), (dy, bottom - s.y1)):
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
            yield _Stroke(min(y1, y2), max(y1, y2), x1, y1, x2, y2, half, of)
            x1, y1 = x2, y2


def _chords(arc: Arc) -> list[tuple[float, float]]:
    """Points on the arc, so close that no chord strays more than 0.05 mm from it."""
    span = arc.end - arc.start
    steps = max(1, ceil(span / degrees(2 * acos(1 - _STRAY / max(arc.rx, arc.ry, 2 * _STRAY)))))
    return [arc_point(arc, arc.start + span * step / steps) for step in range(steps + 1)]


def _inside_black(texts: Sequence[_Text], primitives: Iterable[Primitive]) -> Iterator[str]:
    """Texts that lie wholly on a filled shape, where no outline gives them away."""
    tops = [text.box.top for text in texts]
    for p in primitives:
        if not isinstance(p, Circle | Line) or not p.fill:
            continue
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
