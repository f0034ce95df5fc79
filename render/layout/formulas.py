"""Formulas set as in a book: fractions over a bar, roots under theirs, indices and powers small, out of the text by which they
are worked out.

A formula becomes pieces that stand in a line, each with the lines and labels it is made of. A line may break between them. What
is too wide for a line comes apart: a fraction into what stands before brackets and in them, a root into its sign and brackets.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from math import inf

from msgspec import Struct

from render.layout.pieces import (
    HEIGHT,
    INDEX,
    Piece,
    beside,
    between_bars,
    bracketed,
    fraction,
    raised,
    root,
    row,
    set_symbol,
    set_text,
)

#: what stands for a symbol, in lettering of a height, mm
Leaf = Callable[[str, float], Piece]
#: longest text of a formula that is set: sums of hundreds of terms stand as text
LONGEST = 700
_SYMBOL = re.compile(r"\{(\w+)\}")
_MAGNITUDE = re.compile(r"\|([^|]*)\|")
_BRACKETS = 4.0  # room for the brackets of a piece that comes apart, mm


def formula_pieces(text: str, leaf: Leaf, height: float = HEIGHT, width: float = inf) -> tuple[Piece, ...] | None:
    """The pieces of a formula, of a condition those of both sides, none wider than `width` mm where it comes apart at all; `leaf`
    gives that of a symbol. None where the text is no arithmetic, or too long for it."""
    if len(text) > LONGEST:
        return None
    found: list[Piece] = []
    setter = _Setter(leaf, height, width)
    for number, side in enumerate(re.split(r" (<=|>=|>|<) ", text)):
        if number % 2:
            found.append(set_text({"<=": "≤", ">=": "≥"}.get(side, side), height))
            continue
        magnitude = _MAGNITUDE.fullmatch(side)
        tree = _tree(magnitude[1] if magnitude is not None else side)
        if tree is None:
            return None
        try:
            found += [between_bars(setter.piece(tree))] if magnitude is not None else setter.terms(tree)
        except _NoFormula:
            return None
    return tuple(found)


# a sheet has some dozens of formulas, each hundreds of times
@lru_cache(maxsize=1 << 10)
def symbolic_pieces(text: str, width: float = inf) -> tuple[Piece, ...] | None:
    """The pieces of a formula with its symbols, at the usual height."""
    return formula_pieces(text, set_symbol, width=width)


def worded_pieces(text: str, leaf: Leaf) -> tuple[Piece, ...] | None:
    """The pieces of what stands in place of a formula, words with symbols among them; None where it is too long for it."""
    if len(text) > LONGEST:
        return None
    return tuple(row(_worded(word, leaf), 0.0) for word in text.split(" "))


def _worded(word: str, leaf: Leaf) -> Iterator[Piece]:
    for number, part in enumerate(_SYMBOL.split(word)):
        if part:
            yield leaf(part, HEIGHT) if number % 2 else set_text(part)


def lines_of(
    pieces: Sequence[Piece], width: float, gap: float = 1.0, hanging: float = 0.0
) -> tuple[tuple[Piece, ...], ...] | None:
    """Pieces shared out over lines no wider than `width`, those after the first by `hanging` mm less; None where one of them is
    wider."""
    lines: list[list[Piece]] = [[]]
    used = 0.0
    for piece in pieces:
        if lines[-1] and used + gap + piece.width > width - (hanging if len(lines) > 1 else 0.0):
            lines.append([])
            used = 0.0
        if piece.width > width - (hanging if len(lines) > 1 else 0.0):
            return None
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
    """Sets an expression at one height of lettering, in pieces no wider than `width`, mm."""

    leaf: Leaf
    height: float
    width: float = inf

    # --- pieces between which a line may break ---------------------------------------------------------------------------
    def terms(self, node: ast.expr) -> list[Piece]:
        """The terms of a sum and the factors of a product, each with the sign before it: a line may break there."""
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
            first = [self.piece(node.left)]
            if _sums(node.left) or first[0].width > self.width:
                first = self.terms(node.left)
            return [*first, *self._behind(_sign(node), node.right)]
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
            left = self._closed(node.left) if _sums(node.left) else self.terms(node.left)
            return [*left, *self._behind("·", node.right)]
        whole = self.piece(node)
        return [whole] if whole.width <= self.width else self._apart(node, whole)

    def _closed(self, node: ast.expr) -> list[Piece]:
        """A sum in brackets, in one piece where that is not too wide."""
        whole = self._factor(node)
        return [whole] if whole.width <= self.width else bracketed(self._narrower(_BRACKETS).terms(node), self.height)

    def _behind(self, sign: str, node: ast.expr) -> list[Piece]:
        """What stands behind a sign, in one piece with it where that is not too wide."""
        mark = set_text(sign, self.height)
        whole = row([mark, self._factor(node)])
        if whole.width <= self.width:
            return [whole]
        first, *others = self._narrower(_BRACKETS)._closed(node) if _sums(node) else self._narrower(_BRACKETS).terms(node)
        return [row([mark, first]), *others]

    def _apart(self, node: ast.expr, whole: Piece) -> list[Piece]:
        """The pieces of one that is too wide; the whole where it does not come apart."""
        inner = self._narrower(_BRACKETS)
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div):
            return self._wide_fraction(node)
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow) and isinstance(node.left, ast.BinOp):
            *before, last = bracketed(inner.terms(node.left), self.height)
            return [*before, raised(last, self._small(node.right), self.height)]
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            arguments = [inner.terms(argument) for argument in node.args]
            for one in arguments[:-1]:
                one[-1] = beside(one[-1], set_text(";", self.height), 0.4)
            first, *others = bracketed([piece for one in arguments for piece in one], self.height)
            name = "√" if node.func.id == "sqrt" else node.func.id
            return [beside(set_text(name, self.height), first, 0.3), *others]
        return [whole]

    def _wide_fraction(self, node: ast.BinOp) -> list[Piece]:
        """The narrow factors of both sides make a fraction; behind it stand the sums of the upper side, in brackets, and what is
        wide of the lower side."""
        above, below = _factors(node.left), _factors(node.right)
        wide = [each for each in below if self._factor(each).width > self.width / 2]
        over = self._product([each for each in above if not _sums(each)])
        under = [each for each in below if each not in wide]
        found = [fraction(over, self._product(under), self.height) if under else over]
        if not under and len(above) == 1 and _sums(above[0]):
            found, above = self._closed(above[0]), []
        for each in (each for each in above if _sums(each)):
            first, *others = bracketed(self._narrower(_BRACKETS).terms(each), self.height)
            found += [row([set_text("·", self.height), first]), *others]
        for each in wide:
            single = row([set_text("·", self.height), fraction(set_text("1", self.height), self.piece(each), self.height)])
            found += [single] if single.width <= self.width else self._behind("/", each)
        return found

    def _product(self, factors: Sequence[ast.expr]) -> Piece:
        """Factors with the signs between them; 1 where there is none."""
        if len(factors) == 1:
            return self.piece(factors[0])
        parts = [self._factor(each) for each in factors] or [set_text("1", self.height)]
        return row([part for each in parts for part in (set_text("·", self.height), each)][1:])

    def _narrower(self, by: float) -> _Setter:
        return _Setter(self.leaf, self.height, self.width - by)

    # --- one piece ------------------------------------------------------------------------------------------------------
    def piece(self, node: ast.expr) -> Piece:
        """One expression."""
        if isinstance(node, ast.Name) and node.id.startswith("v_"):
            return self.leaf(node.id.removeprefix("v_"), self.height)
        if isinstance(node, ast.Name):
            return set_symbol(node.id, self.height)
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            return set_text(f"{node.value:g}", self.height)
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            return self._signed("−", self._factor(node.operand))
        if isinstance(node, ast.BinOp):
            return self._operation(node)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            return self._call(node.func.id, node.args)
        raise _NoFormula

    def _operation(self, node: ast.BinOp) -> Piece:
        if isinstance(node.op, ast.Div):
            return fraction(self.piece(node.left), self.piece(node.right), self.height)
        if isinstance(node.op, ast.Pow):
            base = self.piece(node.left)
            plain = isinstance(node.left, ast.Name | ast.Constant) and len(base.parts) == 1
            if not plain or " " in base.text or base.text.startswith("−"):
                base = self._in_brackets(base)
            return raised(base, self._small(node.right), self.height)
        if isinstance(node.op, ast.Mult):
            left = self._in_brackets(self.piece(node.left)) if _sums(node.left) else self.piece(node.left)
            return row([left, set_text("·", self.height), self._factor(node.right)])
        return row([self.piece(node.left), set_text(_sign(node), self.height), self._factor(node.right)])

    def _small(self, node: ast.expr) -> Piece:
        """What stands as a power."""
        return _Setter(self.leaf, INDEX).piece(node)

    def _call(self, name: str, arguments: Sequence[ast.expr]) -> Piece:
        if name == "sqrt" and len(arguments) == 1:
            return root(self.piece(arguments[0]), self.height)
        *before, last = [self.piece(each) for each in arguments]
        parts = [*(beside(each, set_text(";", self.height), 0.4) for each in before), last]
        return beside(set_text(name, self.height), self._in_brackets(row(parts, 1.4)), 0.3)

    def _factor(self, node: ast.expr) -> Piece:
        """What stands behind a sign: a sum and what is negative in brackets."""
        piece = self.piece(node)
        return self._in_brackets(piece) if _sums(node) or piece.text.startswith("−") else piece

    def _signed(self, sign: str, piece: Piece) -> Piece:
        return row([set_text(sign, self.height), piece])

    def _in_brackets(self, piece: Piece) -> Piece:
        return bracketed([piece], self.height)[0]


def _sign(node: ast.BinOp) -> str:
    return "+" if isinstance(node.op, ast.Add) else "−"


def _factors(node: ast.expr) -> list[ast.expr]:
    """The factors of a product."""
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
        return [*_factors(node.left), *_factors(node.right)]
    return [node]


def _sums(node: ast.expr) -> bool:
    """Whether an expression is a sum, or a negative, which goes into brackets beside a sign."""
    added = isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub)
    return added or isinstance(node, ast.UnaryOp)
