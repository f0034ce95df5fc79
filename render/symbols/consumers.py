"""What takes power or a signal at the end of a line (IEC 60617 parts 4, 8 and 11)."""

from __future__ import annotations

from typing import ClassVar

from render.sheet import MEDIUM, NORMAL, TITLE
from render.symbols.cell import HEIGHT, Cell


class Valve(Cell):
    """Valve moved by electricity: its coil with two triangles, tip to tip, beside it."""

    def draw(self) -> None:
        self.leads(7.0, 13.0)
        self.box(-3.6, 7.0, 3.6, 13.0)
        self.line((3.6, 10.0), (6.2, 10.0), width=MEDIUM, dashed=True)
        self.shape((6.2, 6.6), (9.4, 6.6), (7.8, 10.0), width=MEDIUM)
        self.shape((6.2, 13.4), (9.4, 13.4), (7.8, 10.0), width=MEDIUM)


class Buzzer(Cell):
    """Buzzer: a half circle that stands on its chord."""

    def draw(self) -> None:
        self.leads(7.6, 12.4)
        self.line((0, 7.6), (0, 12.4), width=MEDIUM)
        self.line((4.0, 5.0), (4.0, 15.0))
        self.arc(4.0, 10.0, 4.0, 5.0, 90, 270)


class Socket(Cell):
    """Socket outlet: a half circle open to the plug."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0)}

    def draw(self) -> None:
        self.line((0, 0), (0, 6.0))
        self.arc(0, 11.0, 5.0, 5.0, 0, 180)


class Meter(Cell):
    """Measuring instrument: a circle, its quantity left open."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.circle(0, 10.0, 5.0)
        self.text(0, 13.4, "*", TITLE)


class Thermistor(Cell):
    """Resistor that depends on temperature: a rectangle crossed by a bent line, its sign at the foot."""

    def draw(self) -> None:
        self.line((0, 0), (0, 5.0))
        self.line((0, 15.0), (0, HEIGHT))
        self.box(-1.8, 5.0, 1.8, 15.0)
        self.line((-4.0, 14.0), (-4.0, 12.0), (3.6, 6.4), width=MEDIUM)
        self.text(-5.6, 16.6, "t°", NORMAL)
