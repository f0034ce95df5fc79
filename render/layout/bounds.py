"""Extent of geometry: the box round primitives, ink of texts included, line widths not."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, radians, sin

from render.layout.fonts import Box, ink_box
from render.sheet import Arc, Circle, Label, Line, Primitive


def bounds(primitives: Iterable[Primitive]) -> Box:
    """The least box that holds `primitives` (at least one)."""
    boxes = [bounds_of(primitive) for primitive in primitives]
    return Box(min(b.left for b in boxes), min(b.top for b in boxes), max(b.right for b in boxes), max(b.bottom for b in boxes))


def bounds_of(primitive: Primitive) -> Box:
    """The least box that holds `primitive`."""
    match primitive:
        case Line(points):
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            return Box(min(xs), min(ys), max(xs), max(ys))
        case Circle(x, y, radius):
            return Box(x - radius, y - radius, x + radius, y + radius)
        case Arc():
            return _arc_box(primitive)
        case Label():
            return ink_box(primitive)


def arc_point(arc: Arc, degrees: float) -> tuple[float, float]:
    """The point of `arc` at an angle counted anticlockwise as seen."""
    at = radians(degrees)
    return arc.x + arc.rx * cos(at), arc.y - arc.ry * sin(at)


def _arc_box(arc: Arc) -> Box:
    """Ends of the arc and those of its four extreme points that lie on it."""
    angles = [arc.start, arc.end]
    # arcs may begin below 0° and end beyond 360°
    angles += [quarter * 90.0 for quarter in range(-8, 17) if arc.start < quarter * 90.0 < arc.end]
    points = [arc_point(arc, angle) for angle in angles]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))
