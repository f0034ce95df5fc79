"""Coordination of protective devices: selectivity, how long a circuit may be, whether what is no conductor bears a fault."""

from netdsl.calc.coordination.blocks import TerminalWithstands
from netdsl.calc.coordination.borne import FaultLevelsBorne
from netdsl.calc.coordination.curves import Curve, Mark, TimeCurrent, TimeCurrents
from netdsl.calc.coordination.longest import LongestCircuits
from netdsl.calc.coordination.selectivity import Selectivities
from netdsl.calc.coordination.strength import EquipmentWithstands

__all__ = [
    "Curve",
    "EquipmentWithstands",
    "FaultLevelsBorne",
    "LongestCircuits",
    "Mark",
    "Selectivities",
    "TerminalWithstands",
    "TimeCurrent",
    "TimeCurrents",
]
