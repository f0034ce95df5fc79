"""Pieces of formulas: symbols with their indices, what stands beside, over or under what, brackets and roots.

A formula is lettered 3.5 mm high, its indices and powers 2.5 mm: the next step of ISO 3098, and the least on any sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from render.layout.fonts import ink_box, text_width
from render.sheet import DESIGNATION, NARROW, NORMAL, Label, Line, Primitive

#: lettering of a formula, and of the indices and powers in it, mm
HEIGHT, INDEX = DESIGNATION, NORMAL
_INDEXED = re.compile(r"([A-Za-z]+?)(?:_(\w+)|(\d+))")
#: letters by their names
GREEK = {
    "alpha": "α",
    "beta": "β",
    "delta": "δ",
    "eta": "η",
    "kappa": "κ",
    "lambda": "λ",
    "phi": "φ",
    "pi": "π",
    "rho": "ρ",
    "theta": "θ",
    "dU": "ΔU",
    "dT": "ΔT",
}
_DROP, _RAISE = 0.36, 0.62  # how far an index is set down and a power up, of the height of what it stands at
_GAP = 0.25  # between a symbol and its index, mm
_BAR = 0.6  # a bar from what it separates, mm
_LINE_BRACKET = 1.8  # height of a bracket that closes on another line at most, of the lettering height
_AXIS = 0.5  # height of bars above the base line, of the lettering height


class Piece(Struct, frozen=True):
    """What stands in a line: its width, how far it goes above and below the base line, mm, and its parts from its left end and
    the base line on."""

    width: float
    up: float
    down: float
    parts: tuple[Primitive, ...] = ()

    @property
    def text(self) -> str:
        """What is written in it, in order."""
        return "".join(part.text for part in self.parts if isinstance(part, Label))

    def at(self, x: float, y: float, of: str = "") -> Iterator[Primitive]:
        """Its parts with the left end of its base line at `x, y`, belonging to `of`."""
        for part in self.parts:
            if isinstance(part, Label):
                yield Label(part.x + x, part.y + y, part.text, part.height, part.anchor, part.bold, of)
            elif isinstance(part, Line):
                yield Line(tuple((px + x, py + y) for px, py in part.points), part.width, of=of)

    def moved(self, x: float = 0.0, y: float = 0.0) -> Piece:
        """The same further right and down; to the left of it stands nothing."""
        return Piece(self.width, self.up - y, self.down + y, tuple(self.at(x, y)))


@lru_cache(maxsize=1 << 10)
def set_text(text: str, height: float = HEIGHT) -> Piece:
    """Words and numbers as they are, a minus as one."""
    written = f"−{text[1:]}" if re.match(r"-\d", text) else text
    label = Label(0.0, 0.0, written, height)
    ink = ink_box(label)
    return Piece(text_width(written, height), max(height, -ink.top), max(ink.bottom, 0.1 * height), (label,))


@lru_cache(maxsize=1 << 10)
def set_symbol(name: str, height: float = HEIGHT) -> Piece:
    """A symbol with its index below: `I_k` and `R1`; Greek letters by their names."""
    match = _INDEXED.fullmatch(name)
    if match is None:
        return set_text(GREEK.get(name, name), height)
    base = set_text(GREEK.get(match[1], match[1]), height)
    index = (match[2] or match[3]).replace("_", " ")
    return beside(base, set_text(index, INDEX).moved(y=_DROP * height), _GAP)


def row(pieces: Iterable[Piece], gap: float = 0.9) -> Piece:
    """One piece of several in a line."""
    width, up, down = 0.0, 0.0, 0.0
    parts: list[Primitive] = []
    for number, piece in enumerate(pieces):
        left = width + (gap if number else 0.0)
        parts += piece.at(left, 0.0) if number else piece.parts
        width, up, down = left + piece.width, max(up, piece.up), max(down, piece.down)
    return Piece(width, up, down, tuple(parts))


def beside(one: Piece, other: Piece, gap: float) -> Piece:
    """One piece of two."""
    moved = other.moved(one.width + gap)
    return Piece(one.width + gap + other.width, max(one.up, other.up), max(one.down, other.down), (*one.parts, *moved.parts))


def raised(base: Piece, power: Piece, height: float) -> Piece:
    """A base of lettering `height` mm high with its power."""
    return beside(base, power.moved(y=-max(_RAISE * height, base.up - 0.5 * power.up)), _GAP)


def bracketed(pieces: Sequence[Piece], height: float) -> list[Piece]:
    """Pieces of which the first has a bracket before it and the last one behind it; `height`: of the lettering. One piece stands
    within its brackets; those of several, which may be on different lines, are alike and stand on the axis of the line."""
    up, down = max(piece.up for piece in pieces), max(piece.down for piece in pieces)
    tall, middle = max(height, (up + down) * 0.92), (up - down) / 2
    if len(pieces) > 1:
        tall, middle = min(tall, _LINE_BRACKET * height), _AXIS * height
    left, right = _brackets(tall, middle - tall / 2 + 0.12 * tall)
    opened = [row([left, pieces[0]], 0.25), *pieces[1:]]
    return [*opened[:-1], row([opened[-1], right], 0.25)]


@lru_cache(maxsize=1 << 10)
def _brackets(tall: float, rise: float) -> tuple[Piece, Piece]:
    """The left and the right one, `tall` mm high and set up by `rise` mm."""
    left, right = (Label(0.0, -rise, sign, tall) for sign in "()")
    ink = ink_box(left)
    opening, closing = (Piece(text_width(sign.text, tall), -ink.top, ink.bottom, (sign,)) for sign in (left, right))
    return opening, closing


def between_bars(piece: Piece) -> Piece:
    """The magnitude of what stands between two bars."""
    reach = 0.4
    points = ((0.5, -piece.up - reach), (0.5, piece.down + reach))
    bar = Piece(1.0, piece.up + reach, piece.down + reach, (Line(points, NARROW),))
    return row([bar, piece, bar], 0.6)


def fraction(above: Piece, below: Piece, height: float) -> Piece:
    """One over the other, in lettering `height` mm high."""
    width = max(above.width, below.width) + 1.0
    axis = _AXIS * height
    upper = above.moved((width - above.width) / 2, -(axis + _BAR + above.down))
    lower = below.moved((width - below.width) / 2, below.up + _BAR - axis)
    bar = Line(((0.0, -axis), (width, -axis)), NARROW)
    return Piece(width, upper.up, lower.down, (*upper.parts, bar, *lower.parts))


def root(piece: Piece, height: float) -> Piece:
    """The root of it, in lettering `height` mm high."""
    hook = 0.75 * height
    top, foot = piece.up + _BAR, piece.down
    points = (
        (0.0, -0.35 * height),
        (0.22 * hook, -0.45 * height),
        (0.55 * hook, foot),
        (hook, -top),
        (hook + piece.width + 0.8, -top),
    )
    inner = piece.moved(hook + 0.5)
    return Piece(hook + piece.width + 1.0, top + 0.2, foot + 0.1, (Line(points, NARROW), *inner.parts))
