"""Conductors in service: current-carrying capacity, protection against overload, voltage drop."""

from netdsl.calc.conductors.capacity import Capacities, Capacity
from netdsl.calc.conductors.drops import VoltageDrops
from netdsl.calc.conductors.overload import Overloads

__all__ = [
    "Capacities",
    "Capacity",
    "Overloads",
    "VoltageDrops",
]
