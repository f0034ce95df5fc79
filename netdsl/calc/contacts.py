"""Load of contacts and of semiconductor outputs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class ContactLoads:
    """Load of contacts and of semiconductor outputs."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`contact-load` of every contact whose rating is stated."""
        yield from ()
