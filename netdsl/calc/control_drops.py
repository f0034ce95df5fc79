"""Voltage at the far end of control circuits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class ControlDrops:
    """Voltage at the far end of control circuits."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`control-drop` of every coil and load of the control circuits."""
        yield from ()
