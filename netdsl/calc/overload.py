"""Overload coordination: load current, protective device, conductor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.characteristics import Characteristic
from netdsl.calc.circuit import Step
from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Overloads:
    """IEC 60364-4-43, 433.1 for every step of the power circuit."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def device_for(self, step: Step) -> Characteristic | None:
        """The device that protects the conductors of a step against overload: before them, or anywhere behind up to the load;
        behind a drive the drive itself, with its rated output current. None where there is none."""
        return None

    def results(self) -> Iterator[Result]:
        """`overload.rated` (I_b <= I_n), `overload.capacity` (I_n <= I_z) and `overload.tripping` (I_2 <= 1.45 I_z) of every step."""
        yield from ()
