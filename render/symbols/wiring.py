"""Conductors and what is joined to them: cables, terminals, earths, counts of conductors (IEC 60617 parts 2 and 3)."""

from __future__ import annotations

from typing import ClassVar

from netdsl.sums import sum_of
from render.sheet import MEDIUM
from render.symbols.cell import HEIGHT, Cell

_ENDS_HERE: dict[str, tuple[float, float]] = {"in": (0.0, 0.0)}
_STROKE_PITCH, _MARKED_PITCH = 1.4, 2.2  # between plain strokes; before one with a mark at its tip


class Conductor(Cell):
    """A plain run from inlet to outlet."""

    def draw(self) -> None:
        self.line((0, 0), (0, HEIGHT))


class Cable(Cell):
    """Conductors in a cable, gathered by a slender oval."""

    screened: ClassVar[bool] = False

    def draw(self) -> None:
        self.line((0, 0), (0, HEIGHT))
        self.arc(0, 10.0, 2.4, 5.4, 0, 360, width=MEDIUM, dashed=self.screened)


class ScreenedCable(Cable):
    """A screened cable: the oval is dashed."""

    screened = True


class Tap(Cell):
    """A dot where a feeder leaves a busbar."""

    def draw(self) -> None:
        self.line((0, 0), (0, HEIGHT))
        self.circle(0, 0, 1.0, fill=True)


class Incoming(Cell):
    """Where a supply comes in: an open terminal and its conductor."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 2.0), "out": (0.0, HEIGHT)}

    def draw(self) -> None:
        self.circle(0, 3.1, 1.1)
        self.line((0, 4.2), (0, HEIGHT))


class Terminal(Cell):
    """A terminal in the run of a conductor."""

    def draw(self) -> None:
        self.leads(8.9, 11.1)
        self.circle(0, 10.0, 1.1)


class TerminalBox(Cell):
    """A box with a terminal in it."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, HEIGHT), "earth": (-6.0, 10.0)}

    def draw(self) -> None:
        self.leads(8.9, 11.1)
        self.circle(0, 10.0, 1.1)
        self.box(-6.0, 5.0, 6.0, 15.0, width=MEDIUM)


class Plug(Cell):
    """Plug connection (IEC 60617, plug and socket): a pin in the half circle of a socket."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, HEIGHT), "earth": (-3.0, 10.0)}

    def draw(self) -> None:
        self.leads(7.0, 13.5)
        self.arc(0, 10.0, 3.0, 3.0, 0, 180)
        self.shape((-0.8, 9.0), (0.8, 9.0), (0.8, 13.5), (-0.8, 13.5), fill=True)


class _Earth(Cell):
    """Three strokes of falling length at the end of a conductor."""

    ports: ClassVar[dict[str, tuple[float, float]]] = _ENDS_HERE

    def strokes(self, x: float, y: float) -> None:
        """The strokes, the first at `y`."""
        for index, half in enumerate((2.0, 1.25, 0.5)):
            self.line((x - half, y + index), (x + half, y + index), width=MEDIUM)


class Earth(_Earth):
    """Earth, general."""

    def draw(self) -> None:
        self.line((0, 0), (0, 5.0), width=MEDIUM)
        self.strokes(0, 5.0)


class ProtectiveEarth(_Earth):
    """Protective earth: the earth sign in a circle."""

    def draw(self) -> None:
        self.line((0, 0), (0, 5.0), width=MEDIUM)
        self.strokes(0, 5.0)
        self.circle(0, 5.5, 3.0, width=MEDIUM)


class EarthTail(_Earth):
    """Protective earth of a device, hung on the terminal at its left side."""

    def draw(self) -> None:
        self.line((0, 0), (-6.0, 0), (-6.0, 3.4), width=MEDIUM, dashed=True)
        self.strokes(-6.0, 3.4)
        self.circle(-6.0, 4.0, 2.9, width=MEDIUM)


class ConductorCount(Cell):
    """How many conductors a line stands for: a slant stroke each, neutral with a dot, protective with a bar at its tip."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, 10.0)}

    def __init__(self, phases: int, neutral: bool, earth: bool) -> None:
        self.strokes = (*("",) * phases, *(("N",) if neutral else ()), *(("PE",) if earth else ()))
        super().__init__()

    def draw(self) -> None:
        self.line((0, 0), (0, 10.0))
        pitches = [_MARKED_PITCH if kind else _STROKE_PITCH for kind in self.strokes[1:]]
        y = 5.0 - sum_of(pitches) / 2
        for kind, pitch in zip(self.strokes, (*pitches, 0.0), strict=False):
            reach = 3.0 if kind else 1.8  # clear of the other strokes
            tip = (reach, y - reach / 1.5)
            self.line((-1.8, y + 1.2), tip, width=MEDIUM)
            if kind == "N":
                self.circle(*tip, 0.5, width=MEDIUM, fill=True)
            elif kind == "PE":
                self.line((tip[0] - 0.5, tip[1] - 0.75), (tip[0] + 0.5, tip[1] + 0.75), width=MEDIUM)
            y += pitch
