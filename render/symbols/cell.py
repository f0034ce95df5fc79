"""The ground that every symbol of ours stands on: a schemdraw element drawn in millimetres, y down, origin at its inlet.

A cell is 20 mm high: current enters at the top (0, 0) and leaves at the foot (0, 20). What only consumes has no outlet.
"""

from __future__ import annotations

from typing import ClassVar

from schemdraw.elements import Element
from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly, SegmentText

from render.sheet import MEDIUM, WIDE
from render.symbols.canvas import POINT, UNIT, font_points

HEIGHT = 20.0


def _units(x: float, y: float) -> tuple[float, float]:
    return x / UNIT, -y / UNIT


class Cell(Element):
    """Base of the symbols: subclasses say `draw` in millimetres and name their `ports`."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, HEIGHT)}

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()  # type: ignore[no-untyped-call]

    def __init__(self) -> None:
        super().__init__()
        self.draw()
        for name, (x, y) in self.ports.items():
            self.anchors[name] = _units(x, y)

    def draw(self) -> None:
        """Put the symbol's segments in place."""
        raise NotImplementedError

    def line(self, *points: tuple[float, float], width: float = WIDE, dashed: bool = False) -> None:
        """A polyline."""
        self.segments.append(Segment([_units(*p) for p in points], lw=width / POINT, ls="--" if dashed else "-"))

    def shape(self, *corners: tuple[float, float], width: float = WIDE, fill: bool = False) -> None:
        """A closed polygon, black where `fill`."""
        self.segments.append(SegmentPoly([_units(*p) for p in corners], lw=width / POINT, fill="black" if fill else None))

    def box(self, left: float, top: float, right: float, bottom: float, width: float = WIDE) -> None:
        """A rectangle."""
        self.shape((left, top), (right, top), (right, bottom), (left, bottom), width=width)

    def circle(self, x: float, y: float, radius: float, width: float = WIDE, fill: bool = False) -> None:
        """A circle, black where `fill`."""
        self.segments.append(SegmentCircle(_units(x, y), radius / UNIT, lw=width / POINT, fill="black" if fill else None))

    def arc(
        self, x: float, y: float, rx: float, ry: float, start: float, end: float, width: float = WIDE, dashed: bool = False
    ) -> None:
        """Part of an ellipse, from `start` anticlockwise to `end` degrees."""
        self.segments.append(
            SegmentArc(_units(x, y), 2 * rx / UNIT, 2 * ry / UNIT, start, end, lw=width / POINT, ls="--" if dashed else "-")
        )

    def text(self, x: float, y: float, text: str, height: float) -> None:
        """A text, centred on `x`, its base line at `y`, with capitals of `height` mm."""
        self.segments.append(SegmentText(_units(x, y), text, align=("center", "base"), fontsize=font_points(height)))

    def leads(self, top: float, bottom: float) -> None:
        """The conductor from the inlet down to `top` and from `bottom` to the outlet."""
        self.line((0, 0), (0, top))
        self.line((0, bottom), (0, HEIGHT))

    def wave(self, x: float, y: float, length: float, width: float = MEDIUM) -> None:
        """One period of a sine, centred on the point: the sign of alternating current."""
        quarter = length / 4
        self.arc(x - quarter, y, quarter, quarter * 0.9, 0, 180, width)
        self.arc(x + quarter, y, quarter, quarter * 0.9, 180, 360, width)

    def direct(self, x: float, y: float, length: float, width: float = MEDIUM) -> None:
        """The sign of direct current, centred on the point: a stroke over a broken one."""
        half, part = length / 2, length / 5
        self.line((x - half, y - 0.7), (x + half, y - 0.7), width=width)
        for left in (x - half, x - part / 2, x + half - part):
            self.line((left, y + 0.7), (left + part, y + 0.7), width=width)
