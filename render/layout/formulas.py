"""Formulas set as in a book: fractions over a bar, roots under theirs, indices and powers small, out of the text by which they
are worked out.

A formula becomes pieces that stand in a line, each with the lines and labels it is made of. A line may break between them.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from render.layout.fonts import ink_box, text_width
from render.sheet import NARROW, NORMAL, Label, Line, Primitive

#: longest text of a formula that is set: sums of hundreds of terms stand as text
LONGEST = 700
_SYMBOL = re.compile(r"\{(\w+)\}")
_INDEXED = re.compile(r"([A-Za-z]+?)(?:_(\w+)|(\d+))")
#: letters by their names
GREEK = {
    "alpha": "α",
    "beta": "β",
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
_SMALLER = 0.72  # height of an index or a power over that of what it stands at
_DROP, _RAISE = 0.36, 0.62  # how far it is set down or up, of that height
_GAP = 0.25  # between a symbol and its index, mm
_BAR = 0.6  # a bar from what it separates, mm
_AXIS = 0.5  # height of bars above the base line, of the lettering height


class Piece(Struct, frozen=True):
    """What stands in a line: its width, how far it goes above and below the base line, mm, and its parts from its left end and
    the base line on."""

    width: float
    up: float
    down: float
    parts: tuple[Primitive, ...] = ()

    def at(self, x: float, y: float, of: str = "") -> Iterator[Primitive]:
        """Its parts with the left end of its base line at `x, y`, belonging to `of`."""
        for part in self.parts:
            if isinstance(part, Label):
                yield Label(part.x + x, part.y + y, part.text, part.height, part.anchor, part.bold, of)
            elif isinstance(part, Line):
                yield Line(tuple((px + x, py + y) for px, py in part.points), part.width, of=of)


def set_text(text: str, height: float = NORMAL) -> Piece:
    """Words and numbers as they are."""
    label = Label(0.0, 0.0, text, height)
    ink = ink_box(label)
    return Piece(text_width(text, height), max(height, -ink.top), max(ink.bottom, 0.1 * height), (label,))


@lru_cache(maxsize=1 << 10)
def set_symbol(name: str, height: float = NORMAL) -> Piece:
    """A symbol with its index below: `I_k` and `R1`; Greek letters by their names."""
    match = _INDEXED.fullmatch(name)
    if match is None:
        return set_text(GREEK.get(name, name), height)
    base = set_text(GREEK.get(match[1], match[1]), height)
    small = height * _SMALLER
    index = (match[2] or match[3]).replace("_", " ")
    return _beside(base, _moved(set_text(index, small), _DROP * height), _GAP)


def formula_pieces(text: str, leaf: Callable[[str], Piece], height: float = NORMAL) -> tuple[Piece, ...] | None:
    """The pieces of a formula, of a condition those of both sides; `leaf` gives that of a symbol. None where the text is no
    arithmetic, or too long for it."""
    if len(text) > LONGEST:
        return None
    found: list[Piece] = []
    for number, side in enumerate(re.split(r" (<=|>=|>|<) ", text)):
        if number % 2:
            found.append(set_text({"<=": "≤", ">=": "≥"}.get(side, side), height))
            continue
        tree = _tree(side)
        if tree is None:
            return None
        try:
            found += _Setter(leaf, height).terms(tree)
        except _NoFormula:
            return None
    return tuple(found)


# a sheet has some dozens of formulas, each hundreds of times
@lru_cache(maxsize=1 << 10)
def symbolic_pieces(text: str) -> tuple[Piece, ...] | None:
    """The pieces of a formula with its symbols, at the usual height."""
    return formula_pieces(text, set_symbol)


def lines_of(pieces: Sequence[Piece], width: float, gap: float = 1.0) -> tuple[tuple[Piece, ...], ...] | None:
    """Pieces shared out over lines no wider than `width`; None where one of them is wider."""
    if any(piece.width > width for piece in pieces):
        return None
    lines: list[list[Piece]] = [[]]
    used = 0.0
    for piece in pieces:
        if lines[-1] and used + gap + piece.width > width:
            lines.append([])
            used = 0.0
        used += (gap if lines[-1] else 0.0) + piece.width
        lines[-1].append(piece)
    return tuple(tuple(line) for line in lines)


class _NoFormula(Exception):
    """What cannot be set."""


@lru_cache(maxsize=1 << 10)
def _tree(text: str) -> ast.expr | None:
    python = _SYMBOL.sub(r"v_\1", text).replace("^", "**").replace(";", ",")
    try:
        return ast.parse(python.strip(), mode="eval").body
    except (SyntaxError, RecursionError, ValueError):
        return None


class _Setter(Struct, frozen=True):
    """Sets an expression at one height of lettering."""

    leaf: Callable[[str], Piece]
    height: float

    def terms(self, node: ast.expr) -> list[Piece]:
        """The terms of a sum and the factors of a product, each with the sign before it: a line may break there."""
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
            return [*self.terms(node.left), self._signed("+" if isinstance(node.op, ast.Add) else "−", self._term(node.right))]
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
            left = [self._factor(node.left)] if _sums(node.left) else self.terms(node.left)
            return [*left, self._signed("·", self._factor(node.right))]
        return [self.piece(node)]

    def piece(self, node: ast.expr) -> Piece:
        """One expression."""
        if isinstance(node, ast.Name) and node.id.startswith("v_"):
            return self.leaf(node.id.removeprefix("v_"))
        if isinstance(node, ast.Name):
            return set_symbol(node.id, self.height)
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            return set_text(f"{node.value:g}", self.height)
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            return self._signed("−", self._term(node.operand))
        if isinstance(node, ast.BinOp):
            return self._operation(node)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            return self._call(node.func.id, node.args)
        raise _NoFormula

    def _operation(self, node: ast.BinOp) -> Piece:
        if isinstance(node.op, ast.Div):
            return self._fraction(self.piece(node.left), self.piece(node.right))
        if isinstance(node.op, ast.Pow):
            base = self.piece(node.left)
            if not isinstance(node.left, ast.Name | ast.Constant) or len(base.parts) > 1 or " " in _text(base):
                base = self._bracketed(base)
            power = _Setter(self.leaf, self.height * _SMALLER).piece(node.right)
            return _beside(base, _moved(power, -max(_RAISE * self.height, base.up - 0.5 * power.up)), _GAP)
        if isinstance(node.op, ast.Mult):
            return _row([self._factor(node.left), set_text("·", self.height), self._factor(node.right)])
        sign = "+" if isinstance(node.op, ast.Add) else "−"
        return _row([self.piece(node.left), set_text(sign, self.height), self._term(node.right)])

    def _call(self, name: str, arguments: Sequence[ast.expr]) -> Piece:
        if name == "sqrt" and len(arguments) == 1:
            return self._root(self.piece(arguments[0]))
        inner = [self.piece(each) for each in arguments]
        parts = [part for each in inner for part in (each, set_text(";", self.height))][:-1]
        return _beside(set_text(name, self.height), self._bracketed(_row(parts, 0.4)), 0.3)

    def _factor(self, node: ast.expr) -> Piece:
        return self._bracketed(self.piece(node)) if _sums(node) else self.piece(node)

    def _term(self, node: ast.expr) -> Piece:
        """What stands behind a sign: a sum in brackets."""
        return self._bracketed(self.piece(node)) if _sums(node) else self.piece(node)

    def _signed(self, sign: str, piece: Piece) -> Piece:
        return _row([set_text(sign, self.height), piece])

    def _bracketed(self, piece: Piece) -> Piece:
        height = max(self.height, (piece.up + piece.down) * 0.92)
        rise = (piece.up - piece.down - height) / 2 + 0.12 * height
        left, right = (Label(0.0, -rise, sign, height) for sign in "()")
        ink = ink_box(left)
        pieces = [Piece(text_width(sign.text, height), -ink.top, ink.bottom, (sign,)) for sign in (left, right)]
        return _row([pieces[0], piece, pieces[1]], 0.25)

    def _fraction(self, above: Piece, below: Piece) -> Piece:
        width = max(above.width, below.width) + 1.0
        axis = _AXIS * self.height
        upper = _shifted(_moved(above, -(axis + _BAR + above.down)), (width - above.width) / 2)
        lower = _shifted(_moved(below, below.up + _BAR - axis), (width - below.width) / 2)
        bar = Line(((0.0, -axis), (width, -axis)), NARROW)
        up, down = axis + _BAR + above.down + above.up, below.up + _BAR - axis + below.down
        return Piece(width, up, down, (*upper.parts, bar, *lower.parts))

    def _root(self, piece: Piece) -> Piece:
        hook = 0.75 * self.height
        top, foot = piece.up + _BAR, piece.down
        points = (
            (0.0, -0.35 * self.height),
            (0.22 * hook, -0.45 * self.height),
            (0.55 * hook, foot),
            (hook, -top),
            (hook + piece.width + 0.8, -top),
        )
        inner = _shifted(piece, hook + 0.5)
        return Piece(hook + piece.width + 1.0, top + 0.2, foot + 0.1, (Line(points, NARROW), *inner.parts))


def _sums(node: ast.expr) -> bool:
    """Whether an expression is a sum, or a negative, which goes into brackets beside a sign."""
    added = isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub)
    return added or isinstance(node, ast.UnaryOp)


def _text(piece: Piece) -> str:
    return "".join(part.text for part in piece.parts if isinstance(part, Label))


def _row(pieces: Iterable[Piece], gap: float = 0.9) -> Piece:
    made = Piece(0.0, 0.0, 0.0)
    for number, piece in enumerate(pieces):
        made = _beside(made, piece, gap if number else 0.0)
    return made


def _beside(one: Piece, other: Piece, gap: float) -> Piece:
    moved = _shifted(other, one.width + gap)
    return Piece(one.width + gap + other.width, max(one.up, other.up), max(one.down, other.down), (*one.parts, *moved.parts))


def _moved(piece: Piece, y: float) -> Piece:
    """A piece set down by `y`, up where that is negative."""
    return Piece(piece.width, piece.up - y, piece.down + y, tuple(piece.at(0.0, y)))


def _shifted(piece: Piece, x: float) -> Piece:
    return Piece(piece.width, piece.up, piece.down, tuple(piece.at(x, 0.0)))
