"""A canvas that remembers: what a schemdraw element draws on it becomes primitives of the sheet.

Schemdraw counts in units of 12.7 mm with y up and line widths in points; only this module knows that. It never touches
schemdraw's drawings, whose style and element stack live as long as the process.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import cos, isnan, radians, sin
from typing import TYPE_CHECKING, Any

from render.layout.fonts import CAPITAL
from render.sheet import Anchor, Arc, Circle, Label, Line, Primitive

if TYPE_CHECKING:
    from schemdraw.elements import Element

#: millimetres in one schemdraw unit, and in one point
UNIT, POINT = 12.7, 25.4 / 72
_DASHES = {"--": (1.6, 1.0), ":": (0.5, 0.8), "-.": (3.0, 0.8, 0.5, 0.8)}
_ANCHORS: dict[str, Anchor] = {"left": "start", "center": "middle", "right": "end"}
_STEPS = 16  # chords that stand for a curve

XY = Sequence[float]


def recorded(element: Element) -> tuple[Primitive, ...]:
    """Primitives of `element`, its origin at 0, 0."""
    canvas = RecordingCanvas()
    element._place((0, 0), 0)
    element._draw(canvas)
    return tuple(canvas.primitives)


def font_points(height: float) -> float:
    """Font size in points at which capitals are `height` mm high."""
    return height / CAPITAL / POINT


class RecordingCanvas:
    """Takes the calls that schemdraw makes on its figures. Colour and stacking order are dropped: sheets are black on white."""

    def __init__(self) -> None:
        self.primitives: list[Primitive] = []

    def plot(self, x: Iterable[float], y: Iterable[float], **style: Any) -> None:
        """A polyline; a gap (NaN) begins a new one."""
        run: list[XY] = []
        for point in zip(x, y, strict=True):
            if isnan(point[0]) or isnan(point[1]):
                self._line(run, style)
                run = []
            else:
                run.append(point)
        self._line(run, style)

    def poly(self, verts: Iterable[XY], closed: bool = True, **style: Any) -> None:
        """A polygon."""
        self._line(list(verts), style, closed)

    def circle(self, center: XY, radius: float, **style: Any) -> None:
        """A circle."""
        self.primitives.append(Circle(*_mm(center), _r(radius * UNIT), _width(style), _dash(style), _filled(style)))

    def arc(
        self, center: XY, width: float, height: float, theta1: float = 0, theta2: float = 90, angle: float = 0, **style: Any
    ) -> None:
        """Part of an ellipse, anticlockwise from `theta1` to `theta2` degrees; a turned one becomes a polyline."""
        end = theta2 if theta2 > theta1 else theta2 + 360
        if angle % 180 == 0 or width == height:
            x, y = _mm(center)
            rx, ry = _r(width / 2 * UNIT), _r(height / 2 * UNIT)
            self.primitives.append(Arc(x, y, rx, ry, theta1 + angle, end + angle, _width(style), _dash(style)))
            return
        turn = radians(angle)
        points = []
        for step in range(2 * _STEPS + 1):
            at = radians(theta1 + (end - theta1) * step / (2 * _STEPS))
            along, across = width / 2 * cos(at), height / 2 * sin(at)
            x, y = along * cos(turn) - across * sin(turn), along * sin(turn) + across * cos(turn)
            points.append((center[0] + x, center[1] + y))
        self._line(points, style)

    def bezier(self, p: Sequence[XY], **style: Any) -> None:
        """A quadratic or cubic curve, as chords."""
        self._line(_curve(p), style)

    def path(self, path: Iterable[XY | str], **style: Any) -> None:
        """Runs of straight lines (`M`, `L`) and curves (`Q`, `C`), closed by `Z`."""
        points: list[XY] = []
        pending: list[XY] = []
        command = "M"
        for item in path:
            if isinstance(item, str):
                command = item.upper()
                if command in "MZ":
                    self._line(points, style, closed=command == "Z")
                    points = []
            elif command in "ML":
                points.append(item)
            else:
                pending.append(item)
                if len(pending) == (2 if command == "Q" else 3):
                    points += _curve([points[-1], *pending])[1:]
                    pending = []
        self._line(points, style)

    def arrow(self, xy: XY, theta: float, arrowwidth: float = 0.15, arrowlength: float = 0.25, **style: Any) -> None:
        """A filled arrow head with its tip at `xy`, pointing to `theta` degrees."""
        turn = radians(theta)
        base = (xy[0] - arrowlength * cos(turn), xy[1] - arrowlength * sin(turn))
        dx, dy = arrowwidth / 2 * sin(turn), arrowwidth / 2 * cos(turn)
        corners = [tuple(xy), (base[0] - dx, base[1] + dy), (base[0] + dx, base[1] - dy)]
        self._line(corners, {**style, "fill": "black"}, closed=True)

    def text(self, s: str, x: float, y: float, **style: Any) -> None:
        """Upright text, one label a line."""
        height = float(style.get("fontsize") or 14) * POINT * CAPITAL
        drop = {"center": height / 2, "top": height}.get(str(style.get("valign", "center")), 0.0)
        left, base = _mm((x, y))
        anchor = _ANCHORS.get(str(style.get("halign", "center")), "middle")
        for index, line in enumerate(s.split("\n")):
            self.primitives.append(Label(left, _r(base + drop + index * height * 1.6), line, _r(height), anchor))

    def _line(self, points: Sequence[XY], style: dict[str, Any], closed: bool = False) -> None:
        placed = tuple(_mm(point) for point in points)
        if len(placed) > 2 and placed[0] == placed[-1]:
            placed, closed = placed[:-1], True
        if len(placed) > 1:
            self.primitives.append(Line(placed, _width(style), _dash(style), closed, closed and _filled(style)))


def _r(value: float) -> float:
    return round(float(value), 3) + 0.0  # no negative zero


def _mm(point: XY) -> tuple[float, float]:
    return _r(point[0] * UNIT), _r(-point[1] * UNIT)


def _width(style: dict[str, Any]) -> float:
    return round(float(style.get("lw") or 2) * POINT, 2)


def _dash(style: dict[str, Any]) -> tuple[float, ...]:
    return _DASHES.get(str(style.get("ls")), ())


def _filled(style: dict[str, Any]) -> bool:
    """Black only: a shape filled with the ground colour hides nothing here."""
    return style.get("fill") not in (None, False, "white", "bg", "none", "#ffffff")


def _curve(control: Sequence[XY]) -> list[XY]:
    """Points on the Bézier curve of three or four control points (de Casteljau)."""
    result: list[XY] = []
    for step in range(_STEPS + 1):
        share = step / _STEPS
        points = [(float(p[0]), float(p[1])) for p in control]
        while len(points) > 1:
            points = [(a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for a, b in pairwise(points)]
        result.append(points[0])
    return result
