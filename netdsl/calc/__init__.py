"""The design calculation: `calculate(network)` gives a Calculation, which answers each question on first use."""

from netdsl.calc.basis import Assumption, Calculation, Gap, Given, Result, Sense, calculate

__all__ = ["Assumption", "Calculation", "Gap", "Given", "Result", "Sense", "calculate"]
