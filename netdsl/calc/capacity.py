"""Current-carrying capacity of every conductor as it is installed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.circuit import Step
from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class Capacities:
    """Current-carrying capacity: table value times the factors of ambient, grouping, loaded cores and harmonics."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def conductor(self, conductor: str, section_mm2: float | None = None) -> Result | None:
        """Capacity of a conductor (all its parallel cables together), A; `section_mm2`: as if it had that section. None if unknown."""
        return None

    def step(self, step: Step) -> Result | None:
        """The smallest capacity among the live poles of a step, A (conductors in parallel within a pole added); None if unknown."""
        return None

    def results(self) -> Iterator[Result]:
        """`current-carrying-capacity` of every step of the power circuit, held to its load current."""
        yield from ()
