"""Load currents: what each device draws and each conductor carries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from netdsl.calc.circuit import Step
from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


class LoadCurrents:
    """Currents of loads and groups in service. Phasors are per phase against that phase's own voltage, lagging negative."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def device(self, device: str) -> float | None:
        """Line current that flows into a device, A: a load's own, of anything else that of what it feeds; None if unknown."""
        return None

    def phasor(self, device: str) -> complex | None:
        """The same with its angle, A; None if unknown."""
        return None

    def step(self, step: Step) -> float | None:
        """Design current of each live conductor of a step, A (all in parallel together); None if unknown."""
        return None

    def conductor(self, conductor: str) -> float | None:
        """Design current of one conductor of the power circuit, A (its share where several are parallel); None if unknown."""
        return None

    def starting(self, device: str) -> complex | None:
        """Starting current of a motor that is switched on the mains without a drive, A with its angle; None for all else."""
        return None

    def results(self) -> Iterator[Result]:
        """`load-current` of every load and every step."""
        yield from ()
