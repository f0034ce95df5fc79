"""What a short circuit lets through against what conductors bear."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Withstands:
    """What a short circuit lets through against what conductors bear."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`fault-withstand` of every step."""
        yield from ()
