"""Machines, converters and consumers in single-line form (IEC 60617 parts 4, 6 and 8)."""

from __future__ import annotations

from typing import ClassVar

from render.layout.fonts import line_pitch, text_width, wrap
from render.sheet import DESIGNATION, MEDIUM, NORMAL, TITLE
from render.symbols.cell import HEIGHT, Cell

_IN = (0.0, 0.0)
_WIDEST = 13.0  # half of the widest block, mm
_THROUGH = {"in": _IN, "out": (0.0, HEIGHT)}


class _Square(Cell):
    """A square of 16 mm with leads; its earth terminal is on the left."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {**_THROUGH, "earth": (-8.0, 10.0)}

    def square(self) -> None:
        """The square and its leads."""
        self.leads(2.0, 18.0)
        self.box(-8.0, 2.0, 8.0, 18.0)


class LabelledBlock(Cell):
    """Anything without a symbol of its own: a square with words that say what it is, wider where a word is long."""

    def __init__(self, words: str = "") -> None:
        self.words = words.replace("-", " ").strip() or "device"
        longest = max(map(text_width, self.words.split()))
        self.half = round(min(max(longest / 2 + 0.8, 8.0), _WIDEST), 2)
        self.ports = {**_THROUGH, "earth": (-self.half, 10.0)}  # type: ignore[misc]  # as wide as its words
        super().__init__()

    def draw(self) -> None:
        self.leads(2.0, 18.0)
        self.box(-self.half, 2.0, self.half, 18.0)
        lines = wrap(self.words, 2 * self.half - 1.4, lines=3)
        pitch = line_pitch(NORMAL)
        first = 10.0 + NORMAL / 2 - (len(lines) - 1) * pitch / 2
        for index, line in enumerate(lines):
            self.text(0, first + index * pitch, line, NORMAL)


class FrequencyConverter(_Square):
    """Frequency converter: a square cut by a diagonal, f1 above, f2 below."""

    def draw(self) -> None:
        self.square()
        self.line((-8.0, 18.0), (8.0, 2.0), width=MEDIUM)
        self.text(-3.6, 8.0, "f1", DESIGNATION)
        self.text(3.6, 15.6, "f2", DESIGNATION)


class SoftStarter(_Square):
    """Semiconductor motor controller: a square with two antiparallel valves."""

    def draw(self) -> None:
        self.square()
        for x, tip, base in ((-3.2, 12.6, 7.4), (3.2, 7.4, 12.6)):
            self.line((x, 5.0), (x, 15.0), width=MEDIUM)
            self.shape((x, tip), (x - 2.2, base), (x + 2.2, base), width=MEDIUM)
            self.line((x - 2.2, tip), (x + 2.2, tip), width=MEDIUM)


class Supply24V(_Square):
    """Rectifying supply: a square cut by a diagonal, alternating above, direct below."""

    def draw(self) -> None:
        self.square()
        self.line((-8.0, 18.0), (8.0, 2.0), width=MEDIUM)
        self.wave(-3.6, 6.2, 5.0)
        self.direct(3.6, 13.8, 5.0)


class EmcFilter(_Square):
    """Filter against interference: a square with three waves, the upper two struck out (low-pass)."""

    def draw(self) -> None:
        self.square()
        for y in (6.0, 10.0, 14.0):
            self.wave(0, y, 9.0)
        for y in (6.0, 10.0):
            self.line((-1.4, y + 1.4), (1.4, y - 1.4), width=MEDIUM)


class _Motor(Cell):
    """A circle with M over the kind of current."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": _IN, "earth": (-8.0, 12.0)}
    current: ClassVar[str] = "3~"

    def draw(self) -> None:
        self.line(_IN, (0, 4.0))
        self.circle(0, 12.0, 8.0)
        self.text(0, 12.2, "M", TITLE)
        self.text(0, 17.4, self.current, DESIGNATION)


class Motor(_Motor):
    """Three-phase cage motor."""


class SinglePhaseMotor(_Motor):
    """Single-phase motor."""

    current = "1~"


class Transformer(Cell):
    """Transformer with two windings: two circles that overlap."""

    def draw(self) -> None:
        self.leads(2.6, 17.4)
        self.circle(0, 7.1, 4.5)
        self.circle(0, 12.9, 4.5)


class Reactor(Cell):
    """Reactor: coil arcs along the conductor."""

    def draw(self) -> None:
        self.leads(4.0, 16.0)
        for y in (5.5, 8.5, 11.5, 14.5):
            self.arc(0, y, 1.5, 1.5, 270, 450)


class Resistor(Cell):
    """Resistor: a plain rectangle."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-1.8, 5.0, 1.8, 15.0)


class Potentiometer(Cell):
    """Resistor with a movable contact: an arrow to its side."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {**_THROUGH, "slider": (8.0, 10.0)}

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-1.8, 5.0, 1.8, 15.0)
        self.line((8.0, 10.0), (4.0, 10.0), width=MEDIUM)
        self.shape((1.8, 10.0), (4.0, 9.1), (4.0, 10.9), width=MEDIUM, fill=True)


class Capacitor(Cell):
    """Capacitor: two parallel strokes."""

    def draw(self) -> None:
        self.leads(9.2, 10.8)
        self.line((-3.5, 9.2), (3.5, 9.2))
        self.line((-3.5, 10.8), (3.5, 10.8))


class Heater(Cell):
    """Heating element: a rectangle in four fields."""

    def draw(self) -> None:
        self.leads(4.0, 16.0)
        self.box(-2.5, 4.0, 2.5, 16.0)
        for y in (7.0, 10.0, 13.0):
            self.line((-2.5, y), (2.5, y), width=MEDIUM)


class Lamp(Cell):
    """Signal lamp: a circle with a diagonal cross."""

    def draw(self) -> None:
        self.leads(6.0, 14.0)
        self.circle(0, 10.0, 4.0)
        self.line((-2.83, 7.17), (2.83, 12.83), width=MEDIUM)
        self.line((-2.83, 12.83), (2.83, 7.17), width=MEDIUM)


class Fan(Cell):
    """Fan: a circle with two lines that close in towards the outlet."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.circle(0, 10.0, 5.0)
        self.line((-3.0, 6.0), (4.58, 8.0), width=MEDIUM)
        self.line((-3.0, 14.0), (4.58, 12.0), width=MEDIUM)
