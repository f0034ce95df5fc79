"""Protection in a fault: breaking capacity, disconnection in time, withstand of conductors, protective conductors."""

from netdsl.calc.protection.backups import ArresterBackups
from netdsl.calc.protection.breaking import BreakingCapacities
from netdsl.calc.protection.circuit_ends import CircuitEnds
from netdsl.calc.protection.disconnection import Disconnections
from netdsl.calc.protection.least_sections import LeastSections
from netdsl.calc.protection.limiting import Conditional, Limiting, conditional, kind_names, named_kinds
from netdsl.calc.protection.needed_earths import NeededEarths
from netdsl.calc.protection.own_sections import OwnSections, asked_mm2, loosened
from netdsl.calc.protection.protective import ProtectiveConductors
from netdsl.calc.protection.trips import Trips
from netdsl.calc.protection.withstand import Withstands

__all__ = [
    "ArresterBackups",
    "BreakingCapacities",
    "CircuitEnds",
    "Conditional",
    "Disconnections",
    "LeastSections",
    "Limiting",
    "NeededEarths",
    "OwnSections",
    "ProtectiveConductors",
    "Trips",
    "Withstands",
    "asked_mm2",
    "conditional",
    "kind_names",
    "loosened",
    "named_kinds",
]
