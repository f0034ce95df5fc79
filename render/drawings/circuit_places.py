"""Where things stand in the circuit diagrams."""

from __future__ import annotations

from typing import NamedTuple


class Place(NamedTuple):
    """Where something stands: key and number of its sheet, and zone."""

    key: str
    number: str
    zone: str
