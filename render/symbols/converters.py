"""What makes one voltage or signal of another, or keeps it (IEC 60617 part 6)."""

from __future__ import annotations

from typing import ClassVar

from render.sheet import MEDIUM, NORMAL
from render.symbols.cell import HEIGHT, Cell


class Battery(Cell):
    """Battery: two cells, each a long stroke for plus and a short one for minus."""

    def draw(self) -> None:
        self.leads(7.0, 13.0)
        for y in (7.0, 11.0):
            self.line((-4.0, y), (4.0, y))
            self.line((-2.0, y + 2.0), (2.0, y + 2.0))
        self.line((0, 9.0), (0, 11.0), width=MEDIUM)


class _Divided(Cell):
    """A square of 16 mm cut by a diagonal, what goes in above, what comes out below."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, HEIGHT), "earth": (-8.0, 10.0)}

    def divided(self) -> None:
        """The square, its leads and the diagonal."""
        self.leads(2.0, 18.0)
        self.box(-8.0, 2.0, 8.0, 18.0)
        self.line((-8.0, 18.0), (8.0, 2.0), width=MEDIUM)


class SignalConverter(_Divided):
    """Signal converter that isolates: a current in, a current out, a second stroke along the diagonal."""

    def draw(self) -> None:
        self.divided()
        self.line((-6.6, 18.0), (8.0, 3.4), width=MEDIUM)
        self.text(-4.4, 6.6, "mA", NORMAL)
        self.text(4.6, 16.4, "mA", NORMAL)


class DirectConverter(_Divided):
    """Converter from direct to direct current."""

    def draw(self) -> None:
        self.divided()
        self.direct(-3.6, 6.4, 5.0)
        self.direct(3.6, 13.6, 5.0)


class ThreePhaseTransformer(Cell):
    """Three-phase transformer: two circles that overlap, delta in the upper and star in the lower."""

    def draw(self) -> None:
        self.line((0, 0), (0, 1.6))
        self.line((0, 18.4), (0, HEIGHT))
        self.circle(0, 6.6, 5.0)
        self.circle(0, 13.4, 5.0)
        self.shape((0, 3.4), (-1.8, 6.6), (1.8, 6.6), width=MEDIUM)
        for x, y in ((-1.5, 12.2), (1.5, 12.2), (0, 15.8)):
            self.line((0, 13.8), (x, y), width=MEDIUM)
        self.text(8.0, 17.8, "3~", NORMAL)
