"""Breaking capacity of every protective device against the largest fault current at its terminals."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class BreakingCapacities:
    """Breaking capacity of every protective device against the largest fault current at its terminals."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`breaking-capacity` of every protective device."""
        yield from ()
