"""Supply current distortion of all drives of a supply together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Distortion:
    """Supply current distortion of all drives of a supply together."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`distortion.thd` and harmonics of every supply that feeds drives."""
        yield from ()
