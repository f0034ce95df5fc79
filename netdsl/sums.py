"""Sums that are the same whatever Python adds them up.

The built-in `sum` carries the error of rounding along from Python 3.12 on (complex numbers: from 3.14 on) and did not before, so
that the last digit of a figure, and with it the fingerprint of a sheet, would depend on who drew it.
"""

from collections.abc import Iterable
from typing import overload


@overload
def sum_of(values: Iterable[int]) -> int: ...
@overload
def sum_of(values: Iterable[float]) -> float: ...
@overload
def sum_of(values: Iterable[complex], start: complex = ...) -> complex: ...
def sum_of(values: Iterable[complex], start: complex = 0) -> complex:
    """`start` and then every one of `values` added in turn, each step rounded to a double; the unit is that of the values."""
    whole = start
    for value in values:
        whole += value
    return whole
