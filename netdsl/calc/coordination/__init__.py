"""Coordination of protective devices: selectivity, how long a circuit may be, whether what is no conductor bears a fault."""

from netdsl.calc.coordination.blocks import TerminalWithstands
from netdsl.calc.coordination.borne import FaultLevelsBorne
from netdsl.calc.coordination.curves import Curve, Mark, TimeCurrent, TimeCurrents
from netdsl.calc.coordination.discrimination import discriminate
from netdsl.calc.coordination.duties import StartDuties
from netdsl.calc.coordination.longest import LongestCircuits
from netdsl.calc.coordination.run_up import RunUps
from netdsl.calc.coordination.selectivity import Selectivities
from netdsl.calc.coordination.starting_holds import StartingHolds
from netdsl.calc.coordination.strength import EquipmentWithstands
from netdsl.calc.coordination.types import CoordinationTypes

__all__ = [
    "CoordinationTypes",
    "Curve",
    "EquipmentWithstands",
    "FaultLevelsBorne",
    "LongestCircuits",
    "Mark",
    "RunUps",
    "Selectivities",
    "StartDuties",
    "StartingHolds",
    "TerminalWithstands",
    "TimeCurrent",
    "TimeCurrents",
    "discriminate",
]
