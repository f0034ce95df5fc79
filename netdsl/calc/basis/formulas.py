"""Formulas as text, worked out from the same text that is printed.

A formula is written once, in the form of a textbook: symbols in braces, `^` for a power, `;` between the arguments of a function.
It is compiled when first used, into a plain Python function of its values by symbol: a large plant works out some fifty thousand
of them.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from math import inf, log, pi, sqrt
from typing import NamedTuple

from netdsl.calc.basis.givens import Given, Input
from netdsl.calc.basis.sections import standard_section
from netdsl.sums import sum_of

#: what a formula may call, and the constants it may name without a given
FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": sqrt,
    "min": min,
    "max": max,
    "log": log,
    "standard": standard_section,
}
CONSTANTS = {"pi": pi}
_SYMBOL = re.compile(r"\{(\w+)\}")
_TERM = r"(?:\d+ \* )?\{\w+\}(?: [*/] \{\w+\})*"
#: very many terms, all there is or in parentheses: the powers of hundreds of motors behind one drive, the loads of a 24 V supply
_LONG = re.compile(rf"(?<![^(]){_TERM}(?: \+ {_TERM}){{99,}}(?![^)])")
#: before symbols while a text is looked through, so that none of them meets a word of Python (`lambda`) or a function above
_PREFIX = "v_"
_TOTAL, _POWER = "total", "power"
_ARITHMETIC = (
    ast.BinOp,
    ast.UnaryOp,
    ast.Call,
    ast.Name,
    ast.Load,
    ast.Constant,
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.Div,
    ast.Pow,
    ast.USub,
)


class Formula:
    """An arithmetic expression with named values: `Formula("{T_a} + {P} / ({k} * {A})")`.

    `text` is the expression as written, `symbols` the names of its values in the order in which they first stand. Calling it with
    a number for each symbol works it out, in the units that the numbers have.

    Raises ValueError where the text is no arithmetic: a mistake of the program, found as soon as the formula is made.
    """

    __slots__ = ("_function", "symbols", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.symbols = tuple(dict.fromkeys(_SYMBOL.findall(text)))
        self._function = _compiled(text, self.symbols)

    def __call__(self, **values: float) -> float:
        """The number it gives, infinite where that is too large. Raises KeyError for a symbol without a value and
        ZeroDivisionError as arithmetic does."""
        return self._worked_out(values)

    def of(self, inputs: Sequence[Input]) -> float:
        """The number it gives with these values; those that it does not name only tell where another comes from. Of several with
        one symbol it takes the first.

        Raises KeyError for a symbol without a number.
        """
        return self._worked_out({each.symbol: each.value for each in reversed(inputs) if isinstance(each, Given)})

    def _worked_out(self, values: Mapping[str, float]) -> float:
        try:
            return float(self._function(values))
        except OverflowError:
            return float(_compiled(self.text, self.symbols, unlimited=True)(values))

    def __repr__(self) -> str:
        return f"Formula({self.text!r})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Formula) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)


class Words(NamedTuple):
    """What stands in place of a formula that cannot be worked out from numbers alone, or that holds only where something applies:
    a sum of phasors, a simulation, a condition. Symbols of values stand in braces as in a formula."""

    text: str

    @property
    def symbols(self) -> tuple[str, ...]:
        """The names of its values in the order in which they first stand."""
        return tuple(dict.fromkeys(_SYMBOL.findall(self.text)))


@cache
def formula(text: str) -> Formula:
    """The formula of a text that is put together from pieces: compiled once for all that come to the same text."""
    return Formula(text)


def _compiled(text: str, symbols: tuple[str, ...], *, unlimited: bool = False) -> Callable[[Mapping[str, float]], float]:
    """The function of the values of a formula's symbols. Only arithmetic is let through, so that a text can never do anything but
    compute.

    Thousands of terms nested in one another Python would refuse: they are added up by a function. `unlimited`: powers that are
    too large are infinite, which takes longer.
    """
    python = _LONG.sub(lambda terms: f"{_TOTAL}({terms[0].replace(' +', ',')})", text)
    python = python.replace("^", "**").replace(";", ",")
    try:
        read = ast.parse(_SYMBOL.sub(rf"{_PREFIX}\1", python).strip(), mode="eval")
    except SyntaxError:
        raise ValueError(f"no arithmetic: {text!r}") from None
    known = {*(f"{_PREFIX}{symbol}" for symbol in symbols), *FUNCTIONS, *CONSTANTS, _TOTAL}
    for node in ast.walk(read.body):
        if not isinstance(node, _ARITHMETIC) or (isinstance(node, ast.Name) and node.id not in known):
            raise ValueError(f"no arithmetic: {text!r}")
    tree = ast.parse(_SYMBOL.sub(r'values["\1"]', f"lambda values: {python}"), mode="eval")
    if unlimited:
        tree = ast.fix_missing_locations(_Unlimited().visit(tree))
    within = {"__builtins__": {}, **FUNCTIONS, **CONSTANTS, _TOTAL: _sum, _POWER: _power}
    made: Callable[[Mapping[str, float]], float] = eval(compile(tree, "<formula>", "eval"), within)
    return made


class _Unlimited(ast.NodeTransformer):
    """Powers as calls of `_power`."""

    def visit_BinOp(self, node: ast.BinOp) -> ast.expr:
        self.generic_visit(node)
        if not isinstance(node.op, ast.Pow):
            return node
        return ast.Call(ast.Name(_POWER, ast.Load()), [node.left, node.right], [])


def _power(base: float, exponent: float) -> float:
    try:
        return float(base**exponent)
    except OverflowError:
        return inf


def _sum(*values: float) -> float:
    return sum_of(values)
