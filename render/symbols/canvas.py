"""A canvas that remembers: what a schemdraw element draws on it becomes primitives of the sheet.

Schemdraw counts in units of 12.7 mm with y up and line widths in points; only this module and `cell` know that. It never touches
schemdraw's drawings, whose style and element stack live as long as the process.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from render.layout.fonts import CAPITAL
from render.sheet import Arc, Circle, Label, Line, Primitive

if TYPE_CHECKING:
    from schemdraw.elements import Element

#: millimetres in one schemdraw unit, and in one point
UNIT, POINT = 12.7, 25.4 / 72
_DASHES = {"--": (1.6, 1.0)}

XY = Sequence[float]


def recorded(element: Element) -> tuple[Primitive, ...]:
    """Primitives of `element`, its origin at 0, 0."""
    from schemdraw.transform import Transform

    canvas, here = RecordingCanvas(), Transform(0, (0, 0))
    for segment in element.segments:
        segment.draw(canvas, here)
    return tuple(canvas.primitives)


def font_points(height: float) -> float:
    """Font size in points at which capitals are `height` mm high."""
    return height / CAPITAL / POINT


class RecordingCanvas:
    """Takes the calls that the segments of our symbols make on a figure of schemdraw: those that `Cell` has words for.

    Colour and stacking order are dropped: sheets are black on white.
    """

    def __init__(self) -> None:
        self.primitives: list[Primitive] = []

    def plot(self, x: Iterable[float], y: Iterable[float], **style: Any) -> None:
        """A polyline."""
        self._line(list(zip(x, y, strict=True)), style)

    def poly(self, verts: Iterable[XY], closed: bool = True, **style: Any) -> None:
        """A polygon."""
        self._line(list(verts), style, closed)

    def circle(self, center: XY, radius: float, **style: Any) -> None:
        """A circle."""
        self.primitives.append(Circle(*_mm(center), _r(radius * UNIT), _width(style), _dash(style), _filled(style)))

    def arc(self, center: XY, width: float, height: float, theta1: float, theta2: float, **style: Any) -> None:
        """Part of an upright ellipse, anticlockwise from `theta1` to `theta2` degrees."""
        x, y = _mm(center)
        rx, ry = _r(width / 2 * UNIT), _r(height / 2 * UNIT)
        self.primitives.append(Arc(x, y, rx, ry, theta1, theta2, _width(style), _dash(style)))

    def text(self, s: str, x: float, y: float, *, fontsize: float, **_style: Any) -> None:
        """A text centred on `x`, its base line at `y`."""
        self.primitives.append(Label(*_mm((x, y)), s, _r(fontsize * POINT * CAPITAL), "middle"))

    def _line(self, points: Sequence[XY], style: dict[str, Any], closed: bool = False) -> None:
        placed = tuple(_mm(point) for point in points)
        self.primitives.append(Line(placed, _width(style), _dash(style), closed, closed and _filled(style)))


def _r(value: float) -> float:
    return round(float(value), 3) + 0.0  # no negative zero


def _mm(point: XY) -> tuple[float, float]:
    return _r(point[0] * UNIT), _r(-point[1] * UNIT)


def _width(style: dict[str, Any]) -> float:
    return round(float(style["lw"]) * POINT, 2)


def _dash(style: dict[str, Any]) -> tuple[float, ...]:
    return _DASHES.get(str(style.get("ls")), ())


def _filled(style: dict[str, Any]) -> bool:
    return style.get("fill") is not None
