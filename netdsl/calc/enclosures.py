"""Heat balance of enclosures: losses, surface, temperature, airflow."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Enclosures:
    """Heat balance of enclosures: losses, surface, temperature, airflow."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`enclosure.losses`, `.surface`, `.temperature` and `.airflow` of every cabinet and box with losses inside."""
        yield from ()
