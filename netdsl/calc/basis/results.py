"""What a calculation says: a number with its formula, what is put in, and the limit it is held to.

A large plant has tens of thousands of results. They are named tuples, which are made several times faster than frozen
dataclasses.
"""

from __future__ import annotations

import string
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from netdsl.calc.basis.givens import Given, Input, Later, figure_text
from netdsl.findings import Span


class Sense(StrEnum):
    """How a value stands to its limit."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    NONE = ""


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
    inputs: tuple[Input, ...] | Later
    source: str
    limit: float | None = None
    sense: Sense = Sense.NONE
    limit_words: str = ""
    limit_given: Given | None = None
    note: str = ""
    conductors: tuple[str, ...] = ()
    span: Span | None = None

    @property
    def rests_on(self) -> tuple[Input, ...]:
        """The values put into the formula, with what tells where they come from."""
        return self.inputs() if isinstance(self.inputs, Later) else self.inputs

    @property
    def givens(self) -> tuple[Given, ...]:
        """The numbers among them."""
        return tuple(each for each in self.rests_on if isinstance(each, Given))

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
