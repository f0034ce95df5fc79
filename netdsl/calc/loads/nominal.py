"""Nominal voltages to neutral, and what the rating plate of a motor says for the way it is connected."""

from __future__ import annotations

from math import sqrt

from netdsl.calc.basis import amount, word
from netdsl.model.plant import Device

#: nominal voltages between phase and neutral by that between phases, V (IEC 60038)
_TO_NEUTRAL = {208: 120.0, 400: 230.0, 480: 277.0, 600: 347.0, 690: 400.0}


def to_neutral(volts: float) -> float:
    """Nominal voltage to neutral of a three-phase system by that between phases, V (IEC 60038)."""
    return _TO_NEUTRAL.get(round(volts), volts / sqrt(3))


def motor_current(motor: Device) -> float | None:
    """Rated current of a motor, A: of two alternatives the one of its connection (the first, in delta, is the greater)."""
    return _alternative(motor, "current")


def motor_voltage(motor: Device) -> float | None:
    """Rated voltage of a motor as connected, V: of `winding=230/400V` the first in delta, the last in star; None if unstated."""
    stated = amount(motor, "voltage")
    return stated if stated is not None else _alternative(motor, "winding")


def _alternative(motor: Device, name: str) -> float | None:
    value = motor.ratings.quantity(name)
    if value is None:
        return None
    if len(value.values) == 1 or value.form == "range":
        return value.value
    connection = motor.connection or word(motor, "connection")
    if name == "winding" and connection not in ("star", "delta"):
        return None
    return value.last if connection == "star" else value.value
