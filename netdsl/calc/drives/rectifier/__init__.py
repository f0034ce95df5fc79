"""The simulation of a six-pulse rectifier, a package of its own so that only the distortion loads it."""

from netdsl.calc.drives.rectifier.modes import Rectifier
from netdsl.calc.drives.rectifier.steady import NO_LOAD, ORDERS, Spectrum, at_full_power, steady

__all__ = ["NO_LOAD", "ORDERS", "Rectifier", "Spectrum", "at_full_power", "steady"]
