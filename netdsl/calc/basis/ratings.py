"""Ratings and settings of devices as the calculation reads them."""

from __future__ import annotations

from netdsl.calc.basis.givens import Given
from netdsl.model.plant import Device

#: a rating or setting of a device in the base unit of its kind, the first value of several; None where not stated
amount = Device.amount
#: a rating or setting as text, "" where not stated
word = Device.word


def rating(device: Device, name: str, symbol: str, unit: str, words: str = "") -> Given:
    """A stated rating of a device as a value to put in, 0 where it is not stated."""
    return Given(
        symbol, device.ratings.amount(name) or 0.0, unit, words or f"{name.replace('-', ' ')} of {device.id}", device.span
    )
