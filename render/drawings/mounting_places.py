"""What a layout of an enclosure holds: bodies with their places, rows, ducts, the holes that are drilled for them."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from render.drawings.mounting_bodies import Body, Zone
from render.layout.fonts import Box


class Spacing(Struct, frozen=True):
    """Width of ducts and room between them and bodies, mm. `shared`: which zones stand in the same rows: none, power and control,
    or heat too. `narrow`: plate and foot are as small as they may be."""

    duct: float
    gap: float
    shared: int = 0
    narrow: bool = False


class Placed(Struct, frozen=True):
    """A body with its left upper corner, mm from that of the enclosure. `row`: number of its row from 1, 0 of one that states
    where it is."""

    body: Body
    x: float
    y: float
    row: int

    @property
    def box(self) -> Box:
        """The body."""
        return Box(self.x, self.y, self.x + self.body.width, self.y + self.body.height)


class Row(Struct, frozen=True):
    """A rail at height `y` from `left` to `right`, mm; `top`, `bottom`: the band between its ducts."""

    number: int
    zone: Zone
    y: float
    left: float
    right: float
    top: float
    bottom: float
    rail: bool


class Layout(Struct):
    """An enclosure `width` by `height` mm with its plate. `left_over`: what found no room. `spacing`: that was used."""

    width: float
    height: float
    plate: Box
    spacing: Spacing
    placed: list[Placed] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    ducts: list[Box] = field(default_factory=list)
    left_over: list[Body] = field(default_factory=list)


def hole_rows(placed: Sequence[Placed]) -> list[tuple[str, ...]]:
    """The holes for what its part fixes with screws: designation, diameter, place from the left and upper edge of the enclosure,
    mm, row by row from above."""
    rows: list[tuple[str, ...]] = []
    for each in sorted(placed, key=lambda each: (each.y, each.x)):
        body = each.body
        if not body.fixing:
            continue
        across, down = (body.fixing[0], body.fixing[1]) if len(body.fixing) > 1 else (0.0, body.fixing[0])
        hole = f"ø {body.hole:g}" if body.hole else "not stated"
        x, y = each.x + body.width / 2, each.y + body.height / 2
        for above in (-1, 1):
            for beside in (-1, 1) if across else (0,):
                rows.append((body.device.id, hole, f"{x + beside * across / 2:.0f}", f"{y + above * down / 2:.0f}"))
    return rows
