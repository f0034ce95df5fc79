"""What a calculation says: a number with its formula, what is put in, and the limit it is held to.

A large plant has tens of thousands of results. They are structs, which are made several times faster than named tuples.
"""

from __future__ import annotations

import string
from enum import StrEnum
from functools import lru_cache

from msgspec import Struct

from netdsl.calc.basis.formulas import Formula, Words
from netdsl.calc.basis.givens import Given, Input, Later, figure_text
from netdsl.findings import Span


class Sense(StrEnum):
    """How a value stands to its limit."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    NONE = ""


class Limit(Struct, frozen=True):
    """What a value stands beside: `value`, in its unit; it is held to it by `sense`, or not at all. `words` say what the limit
    is, `given` where it comes from."""

    value: float
    sense: Sense
    words: str = ""
    given: Given | None = None


class Result(Struct, frozen=True):
    """A computed number.

    `key` names it among all, `QUESTION SUBJECT` (`voltage-drop.running =RP1-M1`). `question`: `load-current`,
    `current-carrying-capacity` ...; `subject`: the designation or conductor it is about; `feeder`: the circuit it is listed
    under (see `Circuit.feeder`), "" for plant-wide ones. `formula`: what gives `value` with the numbers among `inputs`, or words
    where a formula cannot say it; `inputs`: what the result rests on, or what makes that. `source`: standard and clause of the
    formula. `beside`: its limit, None where there is none. `note`: what else must be known. `conductors`: ids of the conductors
    it is about, where it is about conductors.
    """

    key: str
    question: str
    subject: str
    feeder: str
    value: float
    unit: str
    formula: Formula | Words
    inputs: tuple[Input, ...] | Later
    source: str
    beside: Limit | None = None
    note: str = ""
    conductors: tuple[str, ...] = ()
    span: Span | None = None

    @classmethod
    def worked(
        cls,
        question: str,
        subject: str,
        feeder: str,
        formula: Formula,
        unit: str,
        inputs: tuple[Input, ...],
        source: str,
        beside: Limit | None = None,
        *,
        key: str = "",
        note: str = "",
        conductors: tuple[str, ...] = (),
        span: Span | None = None,
    ) -> Result:
        """The result that a formula gives with these inputs. Raises KeyError where one that it names is missing."""
        value, key = formula.of(inputs), key or f"{question} {subject}"
        return cls(key, question, subject, feeder, value, unit, formula, inputs, source, beside, note, conductors, span)

    @property
    def limit(self) -> float | None:
        """What the value is held to; None where nothing limits it."""
        return self.beside.value if self.beside is not None and self.beside.sense else None

    @property
    def sense(self) -> Sense:
        """How it is held to that."""
        return self.beside.sense if self.beside is not None else Sense.NONE

    @property
    def limit_words(self) -> str:
        """What it stands beside, in words."""
        return self.beside.words if self.beside is not None else ""

    @property
    def limit_given(self) -> Given | None:
        """Where that comes from."""
        return self.beside.given if self.beside is not None else None

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
        if self.beside is None or self.beside.sense is Sense.NONE:
            return True
        slack = 1e-5 * abs(self.beside.value)
        if self.beside.sense is Sense.AT_MOST:
            return self.value <= self.beside.value + slack
        return self.value >= self.beside.value - slack

    @property
    def margin_percent(self) -> float | None:
        """How far the value stays inside its limit, percent of the limit, negative beyond it; None without a limit."""
        if not self.limit:
            return None
        inside = self.limit - self.value if self.sense is Sense.AT_MOST else self.value - self.limit
        return 100 * inside / abs(self.limit)

    @property
    def formula_text(self) -> str:
        """The formula in symbols."""
        return _typeset("".join(before + (name or "") for before, name in _pieces(self.formula.text)))

    @property
    def inserted(self) -> str:
        """The formula with the values put in; in brackets where a power or a sign beside would else be of a part of it."""
        by_symbol = {given.symbol: given.shown for given in self.givens}
        pieces = [(before, by_symbol.get(name, name) if name else "") for before, name in _pieces(self.formula.text)]
        behind = [*[before for before, _ in pieces[1:]], ""]
        put_in = [
            before + (f"({value})" if _in_brackets(before, value, after) else value)
            for (before, value), after in zip(pieces, behind, strict=True)
        ]
        return _typeset("".join(put_in))

    @property
    def computed(self) -> bool:
        """Whether there is a formula: not where the value is one stated or computed elsewhere, taken as it is."""
        return self.formula.text not in [f"{{{symbol}}}" for symbol in self.formula.symbols]

    @property
    def shown(self) -> str:
        """Value and unit as printed."""
        return f"{figure_text(self.value)} {self.unit}".rstrip()


class Gap(Struct, frozen=True):
    """Data that is missing. `kind`: "length", "section", "fault level" ...; `things`: designations that lack it; `absent`:
    what is therefore not computed, in words ("fault currents", "voltage drop"); `remedy`: what to write where."""

    feeder: str
    kind: str
    things: tuple[str, ...]
    absent: tuple[str, ...]
    span: Span
    remedy: str


class Assumption(Struct, frozen=True):
    """A value that was used though nobody stated it: `words` say what and how much, `name` is the choice that replaces it."""

    name: str
    words: str
    source: str
    confidence: str


def _typeset(formula: str) -> str:
    """A formula as printed: multiplication as a dot, roots and comparisons by their signs."""
    return formula.replace(" * ", " · ").replace("sqrt(", "√(").replace("<=", "≤").replace(">=", "≥")


def _in_brackets(before: str, value: str, after: str) -> bool:
    """Whether a value between two texts of a formula needs brackets: under a power, and a negative one behind a sign."""
    negative = value.startswith("-")
    return (after.startswith("^") and (negative or " " in value)) or (negative and before.endswith(("+ ", "- ", "* ", "/ ")))


@lru_cache(maxsize=1 << 10)
def _pieces(formula: str) -> tuple[tuple[str, str | None], ...]:
    """Text and the symbol behind it, piece by piece; None behind the last text. A sheet has the same formula again and again."""
    return tuple([(before, name) for before, name, _, _ in string.Formatter().parse(formula)])
