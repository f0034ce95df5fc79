"""Protective devices: at which current they trip, after how long, and what they let through."""

from netdsl.calc.devices.characteristics import Characteristics
from netdsl.calc.devices.electronic import ELECTRONIC
from netdsl.calc.devices.poles import PoleResistances
from netdsl.calc.devices.tripping import Characteristic, Point, place

__all__ = [
    "ELECTRONIC",
    "Characteristic",
    "Characteristics",
    "Point",
    "PoleResistances",
    "place",
]
