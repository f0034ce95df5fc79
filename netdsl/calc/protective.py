"""Size of protective conductors: by table, by the adiabatic equation, by touch current."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class ProtectiveConductors:
    """Size of protective conductors: by table, by the adiabatic equation, by touch current."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`protective-conductor.table`, `.adiabatic` and `.touch` of every protective conductor of the power circuit."""
        yield from ()
