"""The design calculation: `calculate(network)` gives a Calculation, which answers each question on first use."""

from netdsl.calc.calculation import Calculation, calculate
from netdsl.calc.results import Assumption, Gap, Given, Result, Sense

__all__ = ["Assumption", "Calculation", "Gap", "Given", "Result", "Sense", "calculate"]
