"""Load of every 24 V supply and of the auxiliary supply of every drive; whether a supply can trip its branches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class SourceLoads:
    """Load of every 24 V supply and of the auxiliary supply of every drive; whether a supply can trip its branches."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`source-load` of every inner source and `supply-trip` of every protected branch behind a 24 V supply."""
        yield from ()
