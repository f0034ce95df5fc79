"""Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Disconnections:
    """Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`disconnection` of every final circuit and distribution circuit; behind a drive a note that it is not judged."""
        yield from ()
