"""Burden of current loops against what drives them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class LoopBurdens:
    """Burden of current loops against what drives them."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`loop-burden` of every 4..20 mA loop."""
        yield from ()
