"""What a calculation says: a number with its formula, the values put in, where each came from, and the limit it is held to.

A large plant has tens of thousands of results and givens. They are named tuples, which are made several times faster than frozen
dataclasses, and what only the sheet prints is put together when it is asked for (`Later`).
"""

from __future__ import annotations

import string
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import floor, isfinite, log10
from typing import NamedTuple

from netdsl.findings import Span


class Sense(StrEnum):
    """How a value stands to its limit."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    NONE = ""


class Given(NamedTuple):
    """A value put into a formula.

    `symbol` is its name in the formula's braces, `words` what it is. Where it comes from is one of: `span`, the place in the
    netlist (or in the part) that states it; `source` and `confidence` ("verified", "memory", "common practice"), a figure of
    a standard or an assumption; `result`, the key of the Result it is. `unit` as printed, "" for a plain number.
    """

    symbol: str
    value: float | str
    unit: str = ""
    words: str = ""
    span: Span | None = None
    source: str = ""
    confidence: str = ""
    result: str = ""

    @property
    def shown(self) -> str:
        """Value and unit as printed: `28.5 A`, `B2`."""
        value = self.value if isinstance(self.value, str) else figure_text(self.value)
        return f"{value} {self.unit}".rstrip()


class Later:
    """Values of a formula that are put together when first asked for: most results are held to their limit and no more.

    `make` is called with `of`, at most once. What it reads must be final by then: it runs after the calculation that wrapped it.
    """

    __slots__ = ("_known", "_make", "_of")

    def __init__(self, make: Callable[..., tuple[Given, ...]], *of: object) -> None:
        self._make, self._of = make, of
        self._known: tuple[Given, ...] | None = None

    def __call__(self) -> tuple[Given, ...]:
        """The values."""
        if self._known is None:
            self._known = self._make(*self._of)
        return self._known

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Later) and self() == other()

    __hash__ = None  # type: ignore[assignment]


class Result(NamedTuple):
    """A computed number.

    `key` names it among all, `QUESTION SUBJECT` (`voltage-drop.running =RP1-M1`). `question`: `load-current`,
    `current-carrying-capacity` ...; `subject`: the designation or conductor it is about; `feeder`: the circuit it is listed
    under (see `Circuit.feeder`), "" for plant-wide ones. `formula`: text with the symbols of its `givens` in braces, as
    `100 * sqrt(3) * {I} * ({R} * {cos} + {X} * {sin}) / {U}`; `inputs`: these givens, or what makes them. `source`: standard and
    clause of the formula. `limit`: what the value is held to, by `sense`, in the value's unit, None where nothing limits it;
    `limit_words` say what the limit is, `limit_given` where it comes from. `note`: what else must be known. `conductors`: ids of
    the conductors it is about, where it is about conductors.
    """

    key: str
    question: str
    subject: str
    feeder: str
    value: float
    unit: str
    formula: str
    inputs: tuple[Given, ...] | Later
    source: str
    limit: float | None = None
    sense: Sense = Sense.NONE
    limit_words: str = ""
    limit_given: Given | None = None
    note: str = ""
    conductors: tuple[str, ...] = ()
    span: Span | None = None

    @property
    def givens(self) -> tuple[Given, ...]:
        """The values put into the formula."""
        return self.inputs() if isinstance(self.inputs, Later) else self.inputs

    @property
    def holds(self) -> bool:
        """Whether the value keeps its limit, with a thousandth of a percent for rounding; True where there is none."""
        if self.limit is None or self.sense is Sense.NONE:
            return True
        slack = 1e-5 * abs(self.limit)
        return self.value <= self.limit + slack if self.sense is Sense.AT_MOST else self.value >= self.limit - slack

    @property
    def margin_percent(self) -> float | None:
        """How far the value stays inside its limit, percent of the limit, negative beyond it; None without a limit."""
        if self.limit is None or not self.limit or self.sense is Sense.NONE:
            return None
        inside = self.limit - self.value if self.sense is Sense.AT_MOST else self.value - self.limit
        return 100 * inside / abs(self.limit)

    @property
    def formula_text(self) -> str:
        """The formula in symbols."""
        return _typeset("".join(before + (name or "") for before, name in _pieces(self.formula)))

    @property
    def inserted(self) -> str:
        """The formula with the values put in."""
        by_symbol = {given.symbol: given.shown for given in self.givens}
        return _typeset("".join(before + (by_symbol.get(name, name) if name else "") for before, name in _pieces(self.formula)))

    @property
    def computed(self) -> bool:
        """Whether there is a formula: not where the value is one stated or computed elsewhere, taken as it is."""
        return sum(1 for _ in _pieces(self.formula)) > 1 or not self.formula.startswith("{")

    @property
    def shown(self) -> str:
        """Value and unit as printed."""
        return f"{figure_text(self.value)} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Gap:
    """Data that is missing. `kind`: "length", "section", "fault level" ...; `things`: designations that lack it; `absent`:
    what is therefore not computed, in words ("fault currents", "voltage drop"); `remedy`: what to write where."""

    feeder: str
    kind: str
    things: tuple[str, ...]
    absent: tuple[str, ...]
    span: Span
    remedy: str


@dataclass(frozen=True, slots=True)
class Assumption:
    """A value that was used though nobody stated it: `words` say what and how much, `name` is the choice that replaces it."""

    name: str
    words: str
    source: str
    confidence: str


def _typeset(formula: str) -> str:
    """A formula as printed: multiplication as a dot, roots and comparisons by their signs."""
    return formula.replace(" * ", " · ").replace("sqrt(", "√(").replace("<=", "≤").replace(">=", "≥")


def _pieces(formula: str) -> Iterator[tuple[str, str | None]]:
    """Text and the symbol behind it, piece by piece; None behind the last text."""
    for before, name, _, _ in string.Formatter().parse(formula):
        yield before, name


def figure_text(value: float) -> str:
    """A number with four figures, whole above a thousand: `0.02955`, `7.299`, `28.5`, `6000`; small ones without a power of
    ten."""
    if not isfinite(value):
        return "unlimited" if value > 0 else str(value)
    if value == 0:
        return "0"
    if 1e-9 < abs(value) < 1e-4:
        return f"{value:.{3 - floor(log10(abs(value)))}f}".rstrip("0")
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"
