"""Derating of drives by altitude and temperature."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Deratings:
    """Derating of drives by altitude and temperature."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`drive-derating` of every drive, held to the current its motor needs."""
        yield from ()
