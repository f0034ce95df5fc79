"""Fault currents: sources and their impedance, places of a fault, the largest and the smallest current there."""

from netdsl.calc.faults.currents import Faults
from netdsl.calc.faults.inner_transformers import secondary_volts
from netdsl.calc.faults.results import FaultResults
from netdsl.calc.faults.source import FAULT_LEVEL_REMEDY, SourceImpedance

__all__ = [
    "FAULT_LEVEL_REMEDY",
    "FaultResults",
    "Faults",
    "SourceImpedance",
    "secondary_volts",
]
