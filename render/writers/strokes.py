"""Strokes as path data: what one pen draws of one thing becomes one path, and what is drawn alike several times can be told.

Coordinates are counted in whole hundredths of a millimetre, so that steps from point to point add up without a rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from typing import NamedTuple

from render.layout.bounds import arc_point
from render.sheet import Arc, Circle, Line

Stroke = Line | Circle | Arc

_WHOLE_TURN = 360.0
_HUNDREDTHS = 100


class Pen(NamedTuple):
    """What draws a path: width and lengths on and off in mm, and whether the path is filled."""

    width: float
    dash: tuple[float, ...]
    fill: bool


class Trace(NamedTuple):
    """What one pen draws: it begins at `x, y`, hundredths of a millimetre from where the figure does, and goes on by `steps`."""

    pen: Pen
    x: int
    y: int
    steps: str


class Figure(NamedTuple):
    """Strokes that belong together. `x`, `y`: where they begin, in hundredths of a millimetre. What is drawn alike elsewhere has
    the same `traces`."""

    x: int
    y: int
    traces: tuple[Trace, ...]

    @property
    def length(self) -> int:
        """Characters of all steps."""
        return sum(len(trace.steps) for trace in self.traces)


def figure(strokes: Iterable[Stroke]) -> Figure:
    """What `strokes`, at least one, come to, a trace for each pen."""
    left = top = 0
    # pen -> where it began, where it stands, steps so far
    traces: dict[Pen, tuple[int, int, int, int, str]] = {}
    for stroke in strokes:
        x, y, steps, dx, dy = _line(stroke) if isinstance(stroke, Line) else _curve(stroke)
        pen = _pen(stroke.width, stroke.dash, not isinstance(stroke, Arc) and stroke.fill)
        before = traces.get(pen)
        if before is None:
            if not traces:
                left, top = x, y
            traces[pen] = x, y, x + dx, y + dy, steps
        else:
            began_x, began_y, at_x, at_y, so_far = before
            traces[pen] = began_x, began_y, x + dx, y + dy, f"{so_far}m{number(x - at_x)} {number(y - at_y)}{steps}"
    return Figure(left, top, tuple([Trace(pen, x - left, y - top, steps) for pen, (x, y, _, _, steps) in traces.items()]))


_pen = cache(Pen)


@cache
def number(hundredths: int) -> str:
    """Hundredths of a millimetre as millimetres, in as few characters as say it."""
    return f"{hundredths / _HUNDREDTHS:.7g}"


@lru_cache(maxsize=1 << 14)
def millimetres(value: float) -> str:
    """Millimetres to the hundredth, in as few characters as say it."""
    return number(round(value * _HUNDREDTHS))


def hundredths(value: float) -> int:
    """Millimetres as whole hundredths."""
    return round(value * _HUNDREDTHS)


def _line(line: Line) -> tuple[int, int, str, int, int]:
    """Where a line begins, the steps from there on, and how far from its beginning it ends."""
    if len(line.points) == 2 and not line.closed and not line.fill:  # as most are
        (x1, y1), (x2, y2) = line.points
        x, y = round(x1 * _HUNDREDTHS), round(y1 * _HUNDREDTHS)
        dx, dy = round(x2 * _HUNDREDTHS) - x, round(y2 * _HUNDREDTHS) - y
        return x, y, f"h{number(dx)}" if not dy else f"v{number(dy)}" if not dx else f"l{number(dx)} {number(dy)}", dx, dy
    x = y = at_x = at_y = 0
    steps = ""
    for place, (x2, y2) in enumerate(line.points):
        px, py = round(x2 * _HUNDREDTHS), round(y2 * _HUNDREDTHS)
        if not place:
            x, y = px, py
        elif py == at_y:
            steps += "h" + number(px - at_x)
        elif px == at_x:
            steps += "v" + number(py - at_y)
        else:
            steps += f"l{number(px - at_x)} {number(py - at_y)}"
        at_x, at_y = px, py
    if line.closed or line.fill:
        return x, y, steps + "z", 0, 0
    return x, y, steps, at_x - x, at_y - y


def _curve(curve: Circle | Arc) -> tuple[int, int, str, int, int]:
    if isinstance(curve, Circle):
        return _turn(curve.x, curve.y, curve.radius, curve.radius)
    if curve.end - curve.start >= _WHOLE_TURN:
        return _turn(curve.x, curve.y, curve.rx, curve.ry)
    (x1, y1), (x2, y2) = arc_point(curve, curve.start), arc_point(curve, curve.end)
    x, y = hundredths(x1), hundredths(y1)
    dx, dy = hundredths(x2) - x, hundredths(y2) - y
    large = int(curve.end - curve.start > _WHOLE_TURN / 2)
    return x, y, f"a{curve.rx:.5g} {curve.ry:.5g} 0 {large} 0 {number(dx)} {number(dy)}", dx, dy


def _turn(x: float, y: float, rx: float, ry: float) -> tuple[int, int, str, int, int]:
    """A whole ellipse as two halves, from its left end."""
    half, across = f"a{rx:.5g} {ry:.5g} 0 1 0", hundredths(2 * rx)
    return hundredths(x - rx), hundredths(y), f"{half} {number(across)} 0{half} {number(-across)} 0z", 0, 0
