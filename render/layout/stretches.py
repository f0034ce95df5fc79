"""Stretches of the texts that a sheet comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Stretch(NamedTuple):
    """A stretch of a text: its first and last line, and what they belong to."""

    first: int
    last: int
    begins: str
    ends: str

    @property
    def lines(self) -> str:
        """Its lines: `12..40`."""
        return f"{self.first}..{self.last}" if self.first < self.last else str(self.first)

    @property
    def names(self) -> str:
        """What it declares, first and last."""
        return self.begins if self.begins == self.ends else f"{self.begins} to {self.ends}"


def lines_text(stretches: Mapping[str, Stretch]) -> str:
    """Files with their lines: `plant.netdsl 12..40; site/places.netdsl 3`."""
    return "; ".join(f"{path} {each.lines}" for path, each in stretches.items())
