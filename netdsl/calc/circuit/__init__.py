"""The power circuit: steps of the power tree, the ways through it, and the impedance of conductors and devices."""

from netdsl.calc.circuit.circuit import Circuit
from netdsl.calc.circuit.impedances import in_series
from netdsl.calc.circuit.lead import OPERATING_C, Impedances, Lead, Missing, in_parallel, in_service
from netdsl.calc.circuit.steps import Path, Step

__all__ = [
    "OPERATING_C",
    "Circuit",
    "Impedances",
    "Lead",
    "Missing",
    "Path",
    "Step",
    "in_parallel",
    "in_series",
    "in_service",
]
