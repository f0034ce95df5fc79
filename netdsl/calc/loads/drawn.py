"""The current of one load, and the formula that gives it."""

from __future__ import annotations

from cmath import exp
from math import acos
from typing import NamedTuple

from netdsl.calc.basis import Formula, Given, formula
from netdsl.model.plant import Device


class Demand(NamedTuple):
    """The current of one load, A, with its power factor, lagging unless it is `leading`, and how it was found: `amps` is what
    `formula` gives with `givens`."""

    amps: float
    cos: float
    formula: Formula
    givens: tuple[Given, ...]
    source: str
    note: str = ""
    leading: bool = False

    @property
    def phase(self) -> complex:
        """The direction of the current against its voltage: lagging negative, that of a capacitor positive."""
        turn = 1j if self.leading else -1j
        turned: complex = exp(turn * acos(self.cos)) if self.cos else turn
        return turned


def given_of(made: Device, symbol: str, value: float, unit: str, words: str) -> Given:
    """What a device states as a value to put in."""
    return Given(symbol, value, unit, words if made.id in words else f"{words} of {made.id}", made.span)


def rated_demand(made: Device, amps: float, words: str, cos: Given, note: str = "") -> Demand:
    """The current that a device states, A."""
    return worked("{I_n}", cos.value, (given_of(made, "I_n", amps, "A", words), cos), "rating plate", note)


def worked(text: str, cos: float, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
    """A demand worked out by its formula."""
    return Demand(formula(text).of(givens), cos, formula(text), givens, source, note)
