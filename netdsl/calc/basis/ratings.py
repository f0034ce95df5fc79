"""Ratings and settings of devices as the calculation reads them."""

from __future__ import annotations

from netdsl.calc.basis.results import Given
from netdsl.model.plant import Device
from netdsl.quantities import Quantity


def amount(device: Device, name: str) -> float | None:
    """A rating or setting of a device in the base unit of its kind, the first value of several; None where not stated."""
    value = device.settings.get(name) if name in device.settings_set else device.ratings.get(name)
    return value.value if isinstance(value, Quantity) else None


def word(device: Device, name: str) -> str:
    """A rating or setting as text, "" where not stated."""
    value = device.settings.get(name) or device.ratings.get(name)
    return value.text if isinstance(value, Quantity) else str(value or "")


def rating(device: Device, name: str, symbol: str, unit: str, words: str = "") -> Given:
    """A stated rating of a device as a value to put in, 0 where it is not stated."""
    value = device.ratings.get(name)
    number = value.value if isinstance(value, Quantity) else 0.0
    return Given(symbol, number, unit, words or f"{name.replace('-', ' ')} of {device.id}", device.span)
