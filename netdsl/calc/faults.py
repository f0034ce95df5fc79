"""Fault currents at every point of the power circuit, largest and smallest (IEC 60909-0)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from netdsl.calc.results import Result

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


@dataclass(frozen=True, slots=True)
class SourceImpedance:
    """A source as seen from its terminals, ohm of one pole: for the largest and the smallest fault current, and the return
    through earth inside the source (`earth_max`, `earth_min`). `voltage`: nominal, line to line (line to neutral of a single-phase
    source), V."""

    largest: complex
    smallest: complex
    earth_max: complex
    earth_min: complex
    voltage: float
    phases: int


@dataclass(frozen=True, slots=True)
class FaultLevel:
    """Fault currents at a device, A: three-phase largest and smallest, two-phase smallest, line to neutral smallest, line to
    earth smallest, peak; None where they do not exist or cannot be computed."""

    three_max: float | None
    three_min: float | None
    two_min: float | None
    neutral_min: float | None
    earth_min: float | None
    peak: float | None


class Faults:
    """Fault currents by device."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def source(self, device: str) -> SourceImpedance | None:
        """The impedance of a supply or transformer; None where the netlist does not say enough (the gap is noted)."""
        return None

    def at(self, device: str) -> FaultLevel | None:
        """Fault currents at the terminals where power enters a device; None behind a drive or where a value is missing."""
        return None

    def largest(self, device: str) -> Result | None:
        """The largest prospective current at a device as a result, A (three-phase, or line to neutral of one phase)."""
        return None

    def earth(self, device: str) -> Result | None:
        """The smallest line-to-earth current at a device as a result, A."""
        return None

    def loop(self, device: str) -> complex | None:
        """Impedance of the earth-fault loop at a device, ohm, conductors at the temperature of the smallest fault current."""
        return None

    def results(self) -> Iterator[Result]:
        """`fault-current.*` and `loop-impedance` of every device of the power circuit."""
        yield from ()
