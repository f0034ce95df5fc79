"""A circuit in place: where each part, line and dot of it stands."""

from __future__ import annotations

from msgspec import Struct, field

from render.drawings.circuit_draft import Draft
from render.drawings.circuit_groups import Link
from render.drawings.circuit_parts import Part


class Standing(Struct):
    """A part in place: `x` of each way with its nodes above and below, `y` of its ends above, `floor` of its row; `follows`:
    x of the contact before it to which a mechanical link joins it."""

    part: Part
    look: Draft
    x: list[float]
    nodes: list[tuple[str, str]]
    y: float
    floor: float
    follows: float | None


class Laid(Struct):
    """A circuit in place, from 0, 0 on. `lines`: links as they run; `stubs`: from an end to its last track, by node; `taps`:
    rail, x and whether it is above."""

    standing: list[Standing] = field(default_factory=list)
    lines: list[tuple[Link, tuple[tuple[float, float], ...]]] = field(default_factory=list)
    stubs: list[tuple[str, float, float, float]] = field(default_factory=list)
    dots: list[tuple[float, float]] = field(default_factory=list)
    taps: list[tuple[Part, float, bool]] = field(default_factory=list)
    paths: list[float] = field(default_factory=list)
