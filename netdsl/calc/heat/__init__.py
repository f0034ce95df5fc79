"""Heat inside enclosures, and what it leaves of the rated current of drives."""

from netdsl.calc.heat.derating import Deratings
from netdsl.calc.heat.enclosures import Enclosures

__all__ = [
    "Deratings",
    "Enclosures",
]
