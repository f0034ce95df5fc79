"""The remarks beside a title block."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from render.layout.columns import broken
from render.layout.fonts import Box
from render.layout.writing import PITCH
from render.sheet import Label

_FIRST = 3.0  # base line of the first below the head of the area, mm
_HELD = 3.5  # height of a single one


class Remarks(Struct, frozen=True):
    """Remarks broken into `lines` for their `area`."""

    lines: tuple[str, ...]
    area: Box

    @staticmethod
    def of(texts: Iterable[str], area: Box) -> Remarks:
        """Each of `texts` begins a line."""
        return Remarks(tuple(line for text in texts for line in broken(text, area.width, united=True)), area)

    @property
    def above(self) -> float:
        """How far they reach above their area, mm: beside the title block of a narrow sheet there is room for few."""
        held = 1 + int((self.area.height - _HELD) / PITCH)
        return max(len(self.lines) - held, 0) * PITCH

    @property
    def labels(self) -> tuple[Label, ...]:
        """Their texts in place."""
        top = self.area.top + _FIRST - self.above
        return tuple(Label(self.area.left, top + number * PITCH, line) for number, line in enumerate(self.lines))
