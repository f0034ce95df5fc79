"""Voltage drop from the origin to every load, in service and while a motor starts direct on line; behind a drive from the drive."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class VoltageDrops:
    """Voltage drops in percent of the nominal voltage of the circuit they are in."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def running(self, device: str) -> Result | None:
        """Drop from the origin (supply, drive or transformer) to a device in service; None if it cannot be computed."""
        return None

    def starting(self, device: str) -> Result | None:
        """Drop at a motor that starts direct on line while all else runs; None where it does not, or cannot be computed."""
        return None

    def results(self) -> Iterator[Result]:
        """`voltage-drop.running` and `voltage-drop.starting` of every load."""
        yield from ()
