"""Conductors in service: current-carrying capacity, protection against overload, voltage drop."""

from netdsl.calc.conductors.ampacity import Ampacities, Capacity
from netdsl.calc.conductors.capacity import Capacities
from netdsl.calc.conductors.drops import VoltageDrops
from netdsl.calc.conductors.overload import Overloads
from netdsl.calc.conductors.voltages import LoadVoltages

__all__ = [
    "Ampacities",
    "Capacities",
    "Capacity",
    "LoadVoltages",
    "Overloads",
    "VoltageDrops",
]
