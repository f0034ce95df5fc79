"""Serial lines: length, stations, termination."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class SerialLines:
    """Serial lines: length, stations, termination."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`serial-line.length` and `serial-line.stations` of every serial line."""
        yield from ()
