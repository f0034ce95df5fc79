"""Logarithmic paper: a chart with decades of current along and of time up, and where a letter beside a curve touches nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import log10

from render.layout.fonts import Box, ink_box
from render.sheet import FRAME, NARROW, NORMAL, Label, Line, Primitive

Place = tuple[float, float]
Segment = tuple[Place, Place]
#: least distance of a letter from any line, mm
_CLEAR = 0.6
_TICK = 1.6
#: where a letter is tried beside a point of its curve, mm
_BESIDE = tuple(
    (dx, dy) for reach in (1.4, 2.2, 3.2, 4.6) for dx in (reach, -reach, 0.0) for dy in (-reach, reach, 0.0) if dx or dy
)
_TIMES = {-2: "0.01", -1: "0.1", 0: "1", 1: "10", 2: "100", 3: "1000", 4: "10 000"}


class Paper:
    """A chart in `box`, mm: decades of current from 10^along[0] to 10^along[1] A, of time from 10^up[0] to 10^up[1] s."""

    def __init__(self, box: Box, along: tuple[int, int], up: tuple[int, int]) -> None:
        self.box, self.along, self.up = box, along, up

    def at(self, amps: float, seconds: float) -> Place:
        """Where a current and a time are on the sheet."""
        x = (log10(amps) - self.along[0]) / (self.along[1] - self.along[0])
        y = (log10(seconds) - self.up[0]) / (self.up[1] - self.up[0])
        return self.box.left + x * self.box.width, self.box.bottom - y * self.box.height

    def rulings(self) -> list[Segment]:
        """The lines at whole decades, the frame's among them."""
        box = self.box
        xs = [self.at(10.0**power, 1.0)[0] for power in range(self.along[0], self.along[1] + 1)]
        ys = [self.at(10.0 ** self.along[0], 10.0**power)[1] for power in range(self.up[0], self.up[1] + 1)]
        return [*(((x, box.top), (x, box.bottom)) for x in xs), *(((box.left, y), (box.right, y)) for y in ys)]

    def grid(self, of: str) -> list[Primitive]:
        """Frame, decades, ticks at 2 to 9, figures and names of the axes."""
        box = self.box
        found: list[Primitive] = [Line(segment, NARROW, of=of) for segment in self.rulings()]
        corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
        found.append(Line(corners, FRAME, closed=True, of=of))
        for power in range(self.along[0], self.along[1] + 1):
            x = self.at(10.0**power, 1.0)[0]
            found.append(Label(x, box.bottom + 2.6 + NORMAL, _amps(power), anchor="middle", of=of))
            found += [Line(((x, box.bottom), (x, box.bottom - _TICK)), NARROW, of=of) for x in self._between(power, self.along)]
        for power in range(self.up[0], self.up[1] + 1):
            y = self.at(10.0 ** self.along[0], 10.0**power)[1]
            found.append(Label(box.left - 1.8, y + NORMAL / 2, _TIMES[power], anchor="end", of=of))
            found += [Line(((box.left, y), (box.left + _TICK, y)), NARROW, of=of) for y in self._up_between(power)]
        found.append(Label(box.right, box.bottom + 2.6 + 2.6 * NORMAL + 1.0, "current in A", anchor="end", of=of))
        found.append(Label(box.left - 1.8, box.top - 2.2, "time in s", anchor="end", of=of))
        return found

    def _between(self, power: int, decades: tuple[int, int]) -> Iterator[float]:
        if power < decades[1]:
            yield from (self.at(step * 10.0**power, 1.0)[0] for step in range(2, 10))

    def _up_between(self, power: int) -> Iterator[float]:
        if power < self.up[1]:
            yield from (self.at(10.0 ** self.along[0], step * 10.0**power)[1] for step in range(2, 10))

    def trace(self, points: Sequence[tuple[float, float]]) -> Iterator[tuple[Place, ...]]:
        """A polyline through currents and times, A and s, as far as it lies on the paper."""
        line: list[Place] = []
        for one, other in pairwise([self.at(*point) for point in points]):
            inside = clipped((one, other), self.box)
            if inside is None:
                continue
            if line and line[-1] != inside[0]:
                yield tuple(line)
                line = []
            line += [inside[0], inside[1]] if not line else [inside[1]]
        if len(line) > 1:
            yield tuple(line)

    def anchors(self, traces: Iterable[Sequence[tuple[float, float]]]) -> tuple[Place, ...]:
        """Points of curves beside which a letter may stand: along each piece that lies on the paper, its middle first."""
        found: list[Place] = []
        for points in traces:
            for line in self.trace(points):
                for (x1, y1), (x2, y2) in pairwise(line):
                    found += [(x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in (0.5, 0.3, 0.7, 0.15, 0.85)]
        return tuple(found)

    def lettered(self, letter: str, anchors: Sequence[Place], lines: Sequence[Segment], boxes: list[Box]) -> Label | None:
        """A letter beside one of its points, where it touches no line and no other letter; its box is added to `boxes`. None
        where there is no such place."""
        for x, y in anchors:
            for dx, dy in _BESIDE:
                label = Label(x + dx, y + dy + NORMAL / 2, letter, anchor="middle", bold=True)
                box = ink_box(label).grown(_CLEAR)
                if not self.box.holds(box) or any(box.meets(other) for other in boxes):
                    continue
                if all(clipped(line, box) is None for line in lines):
                    boxes.append(box)
                    return label
        return None


def clipped(segment: Segment, box: Box) -> Segment | None:
    """What of a segment lies in a box; None where nothing does."""
    (x1, y1), (x2, y2) = segment
    left, top, right, bottom = box
    # most lie on one side of it
    if x1 < left > x2 or x1 > right < x2 or y1 < top > y2 or y1 > bottom < y2:
        return None
    first, last = 0.0, 1.0
    for start, along, low, high in ((x1, x2 - x1, left, right), (y1, y2 - y1, top, bottom)):
        if not along:
            if not low <= start <= high:
                return None
            continue
        one, other = sorted(((low - start) / along, (high - start) / along))
        first, last = max(first, one), min(last, other)
    if first >= last:
        return None
    return (x1 + first * (x2 - x1), y1 + first * (y2 - y1)), (x1 + last * (x2 - x1), y1 + last * (y2 - y1))


def _amps(power: int) -> str:
    """A decade of current as printed: `0.1`, `100`, `10 k`."""
    return f"{10 ** (power - 3)} k" if power >= 3 else f"{10.0**power:g}"
