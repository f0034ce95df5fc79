"""Load currents: what each load draws, what each conductor and its return carry, and what starting draws."""

from netdsl.calc.loads.currents import LoadCurrents
from netdsl.calc.loads.exclusive import Exclusive
from netdsl.calc.loads.motor_ways import MotorWay, MotorWays
from netdsl.calc.loads.neutrals import neutrals
from netdsl.calc.loads.nominal import to_neutral
from netdsl.calc.loads.parallel import Branch
from netdsl.calc.loads.rated import RatedLoads, stated_of
from netdsl.calc.loads.returns import Way
from netdsl.calc.loads.rings import Ring, across
from netdsl.calc.loads.starting import Start
from netdsl.calc.loads.together import StartsTogether
from netdsl.calc.loads.trees import Loads, Tree
from netdsl.calc.loads.unbalance import UnbalancedMotors

__all__ = [
    "Branch",
    "Exclusive",
    "LoadCurrents",
    "Loads",
    "MotorWay",
    "MotorWays",
    "RatedLoads",
    "Ring",
    "Start",
    "StartsTogether",
    "Tree",
    "UnbalancedMotors",
    "Way",
    "across",
    "neutrals",
    "stated_of",
    "to_neutral",
]
