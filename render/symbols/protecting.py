"""What limits a voltage: arresters and suppressors (IEC 60617 parts 5 and 7)."""

from __future__ import annotations

from render.sheet import MEDIUM, NORMAL
from render.symbols.cell import Cell


class SurgeArrester(Cell):
    """Surge arrester: a rectangle into which an arrow leads."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-2.2, 5.0, 2.2, 15.0)
        self.line((0, 5.0), (0, 8.6), width=MEDIUM)
        self.shape((0, 11.6), (-1.1, 8.6), (1.1, 8.6), width=MEDIUM, fill=True)


class Varistor(Cell):
    """Resistor that depends on its voltage: a rectangle crossed by a bent line, U at its foot."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-1.8, 5.0, 1.8, 15.0)
        self.line((-4.0, 14.0), (-4.0, 12.0), (3.6, 6.4), width=MEDIUM)
        self.text(-5.6, 16.6, "U", NORMAL)


class RcElement(Cell):
    """Resistor and capacitor in series."""

    def draw(self) -> None:
        self.leads(3.0, 15.6)
        self.box(-1.5, 3.0, 1.5, 10.0)
        self.line((0, 10.0), (0, 14.0))
        self.line((-3.0, 14.0), (3.0, 14.0))
        self.line((-3.0, 15.6), (3.0, 15.6))


class Diode(Cell):
    """Semiconductor diode that conducts from the outlet to the inlet, as across a coil fed with plus at its inlet."""

    def draw(self) -> None:
        self.line((0, 0), (0, 20.0))
        self.shape((0, 7.6), (-2.6, 12.4), (2.6, 12.4))
        self.line((-2.6, 7.6), (2.6, 7.6))


class ElectronicFuse(Cell):
    """Electronic fuse: a fuse whose line runs through a semiconductor."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-2.6, 5.0, 2.6, 15.0)
        self.line((0, 5.0), (0, 8.2), width=MEDIUM)
        self.line((0, 11.8), (0, 15.0), width=MEDIUM)
        self.shape((-1.6, 8.2), (1.6, 8.2), (0, 11.8), width=MEDIUM)
        self.line((-1.6, 11.8), (1.6, 11.8), width=MEDIUM)
