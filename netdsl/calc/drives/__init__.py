"""Drives toward motor and supply: motor cables, leakage, harmonic distortion."""

from netdsl.calc.drives.distortion import Distortion
from netdsl.calc.drives.leakage import Leakages
from netdsl.calc.drives.motor_cables import MotorCables

__all__ = [
    "Distortion",
    "Leakages",
    "MotorCables",
]
