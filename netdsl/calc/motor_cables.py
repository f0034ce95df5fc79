"""Length of motor cables against the drive's limits, and the reflected voltage at the motor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class MotorCables:
    """Length of motor cables against the drive's limits, and the reflected voltage at the motor."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`motor-cable.length` of every drive and `motor-cable.peak` of every motor behind a drive."""
        yield from ()
