"""What results rest on: values put into formulas and what is said beside them, each with where it came from.

A large plant has tens of thousands of them. They are structs, which are made several times faster than named tuples,
and what only the sheet prints is put together when it is asked for (`Later`).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import floor, isfinite, log10

from msgspec import Struct

from netdsl.findings import Span


class Given(Struct, frozen=True):
    """A value put into a formula.

    `symbol` is its name in the formula's braces, `words` what it is. Where it comes from is one of: `span`, the place in the
    netlist (or in the part) that states it; `source` and `confidence` ("verified", "memory", "common practice"), a figure of
    a standard or an assumption; `result`, the key of the Result it is. `unit` as printed, "" for a plain number.
    """

    symbol: str
    value: float
    unit: str = ""
    words: str = ""
    span: Span | None = None
    source: str = ""
    confidence: str = ""
    result: str = ""

    @property
    def shown(self) -> str:
        """Value and unit as printed: `28.5 A`."""
        return f"{figure_text(self.value)} {self.unit}".rstrip()


class Said(Struct, frozen=True):
    """What a result rests on and no formula computes with: an installation method, an impedance stated with its angle.

    `text` is what is said; all else as of a `Given`.
    """

    symbol: str
    text: str
    unit: str = ""
    words: str = ""
    span: Span | None = None
    source: str = ""
    confidence: str = ""
    result: str = ""

    @property
    def shown(self) -> str:
        """As printed: `B2`."""
        return f"{self.text} {self.unit}".rstrip()


#: what a result rests on
Input = Given | Said


class Later:
    """Values of a formula that are put together when first asked for: most results are held to their limit and no more.

    `make` is called with `of`, at most once. What it reads must be final by then: it runs after the calculation that wrapped it.
    """

    __slots__ = ("_known", "_make", "_of")

    def __init__(self, make: Callable[..., tuple[Input, ...]], *of: object) -> None:
        self._make, self._of = make, of
        self._known: tuple[Input, ...] | None = None

    def __call__(self) -> tuple[Input, ...]:
        """The values."""
        if self._known is None:
            self._known = self._make(*self._of)
        return self._known

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Later) and self() == other()

    __hash__ = None  # type: ignore[assignment]


# a sheet prints the same figure in its formula, beside it and wherever it is used again
@lru_cache(maxsize=1 << 14)
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


def fault_text(amps: float) -> str:
    """A fault current as named beside others: `5.2 kA`, below 1 kA in whole amperes."""
    return f"{figure_text(round(amps / 1000, 2))} kA" if amps >= 1000 else f"{amps:.0f} A"
