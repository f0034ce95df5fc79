"""Where everything of one circuit stands: columns and rows in millimetres, lines with their tracks, stubs and dots."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from msgspec import Struct

from netdsl.kept import cached_property
from netdsl.sums import sum_of
from render.drawings.circuit_apart import named_apart
from render.drawings.circuit_columns import columns
from render.drawings.circuit_draft import Draft
from render.drawings.circuit_laid import Laid, Standing
from render.drawings.circuit_looks import Labels, Looks, Remembered
from render.drawings.circuit_ordered import Ordered
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Circuit, End
from render.drawings.circuit_tracks import Port, Run, tracks

_TRACK, _PITCH, _APART = 2.6, 4.0, 1.2
_TIGHT_PITCH, _TIGHT_APART = 3.0, 0.6
_OVER, _UNDER, _NONE = 1.8, 1.4, 0.8  # above the first track of a channel, below the last; a channel without any
_EASE = 1.6  # by how much a circuit may be wider than it needs
FOOT_PITCH = 4.0  # of what is said below a load


class _Channels(Struct, frozen=True):
    """Between the rows: `track` of each level piece by channel and link; `gaps`: how high each channel is, mm; `ports`: the
    tracks of those that begin or end at one."""

    track: dict[tuple[int, str], int]
    gaps: list[float]
    ports: dict[tuple[int, Port], list[int]]


class Layout:
    """A circuit measured. `standing`: as it stands in columns, where that is known; `narrow`: those in less width, less
    easily read; `tight`: closer, words beside symbols no wider, mm; `width`; `foot`: height of what is said below."""

    def __init__(
        self,
        circuit: Circuit,
        looks: Looks | Remembered,
        labels: Labels,
        standing: Ordered | None = None,
        narrow: bool = False,
        tight: float = 0.0,
    ) -> None:
        self.circuit = circuit
        self.ordered = standing or Ordered(circuit, columns(circuit, narrow))
        self.columns, self.rows, before = self.ordered.columns, self.ordered.rows, self.ordered.before
        self.looks: dict[str, Draft] = {}
        look = partial(looks.look, circuit=circuit, words=labels, tight=tight)
        for key, part in circuit.parts.items():
            self.looks[key] = look(part, lead=self.ordered.leads[key], narrow=narrow)
        for chain in self.ordered.chains:
            level = max(link[0] for key in chain if (link := self.looks[key].link) is not None)
            for key in chain:
                self.looks[key] = look(circuit.parts[key], lead=self.ordered.leads[key], level=level)
        self.x, self.width = self._across(*((_TIGHT_PITCH, _TIGHT_APART) if tight else (_PITCH, _APART)))
        self.looks |= dict(named_apart(self.looks, before, self.columns.ways, self.x, partial(look, lead=True)))
        self.heights = [3.0] * self.rows
        for key, row in circuit.row.items():
            self.heights[row] = max(self.heights[row], self.looks[key].height)
        self.foot = max((len(look.foot) * FOOT_PITCH + 1.0 for look in self.looks.values() if look.foot), default=0.0)

    @cached_property
    def upper(self) -> float:
        """Height above the row of loads, mm."""
        load = self.circuit.load_row
        return sum_of(self.heights[:load]) + sum_of(self._channels.gaps[: load + 1])

    @cached_property
    def lower(self) -> float:
        """Height from the row of loads on, mm."""
        load = self.circuit.load_row
        return sum_of(self.heights[load:]) + sum_of(self._channels.gaps[load + 1 :])

    @cached_property
    def rails(self) -> tuple[tuple[str, bool], ...]:
        """The potentials it takes from, each once above and once below, with whether that stands above."""
        rails = (part for part in self.circuit.parts.values() if part.kind == "rail")
        return tuple(dict.fromkeys((part.rail, part.key in self.circuit.above) for part in rails))

    @cached_property
    def is_rack(self) -> bool:
        """Whether it holds cards alone."""
        return all(part.kind == "card" for part in self.circuit.parts.values())

    def widen(self, width: float) -> None:
        """Stand further apart, no wider than `width` mm."""
        last = self.x[-1]
        factor = max(1.0, min(_EASE, (width - self.width + last) / last)) if last else 1.0
        self.x = [x * factor for x in self.x]
        self.width += last * (factor - 1.0)

    # --- across ---------------------------------------------------------------------------------------------------
    def _across(self, pitch: float, apart: float) -> tuple[list[float], float]:
        front: dict[int, float] = {}
        x: list[float] = []
        foot = 0.0
        by_col = self.ordered.by_col
        for col in range(self.columns.count):
            at = x[-1] + pitch if x else 0.0
            sides = []
            for row, key in by_col.get(col, ()):
                look = self.looks.get(key)
                if look is None:
                    left = right = 1.0
                else:
                    number = self.columns.ways[key].index(col)
                    left, right = look.left[number], look.right[number]
                    if number and number == len(look.left) - 1 and look.frame:
                        at = max(at, x[self.columns.ways[key][0]] - look.frame.left + look.inner - look.frame.right)
                    if number == 0 and look.foot:
                        at = max(at, foot + left)
                sides.append((row, right))
                at = max(at, front.get(row, 0.0) + left)
            x.append(at)
            for row, right in sides:
                front[row] = at + right + apart
            for _, key in by_col.get(col, ()):
                look = self.looks.get(key)
                if look is not None and look.foot and self.columns.ways[key][0] == col:
                    foot = at + look.right[0] + apart
        return x, max(front.values(), default=0.0)

    # --- channels -------------------------------------------------------------------------------------------------
    def _port(self, end: End) -> tuple[int, Port]:
        row = self.circuit.row[end.part]
        col = self.columns.ways[end.part][end.way]
        return row + (not end.top), (col, not end.top, f"{end.part} {end.way}")

    @cached_property
    def _channels(self) -> _Channels:
        """Worked out when its height is asked for: what is too wide is laid out anew without."""
        runs: dict[int, list[Run]] = {}
        for link in self.circuit.links:
            one, other = self.circuit.ends[link.key]
            (first, a), (last, b) = sorted((self._port(one), self._port(other)))
            lane = self.columns.lanes.get(link.key)
            if lane is None or first == last:
                pieces = [(first, a, b)]
            else:
                col = int(lane.col)
                pieces = [(first, a, (col, False, link.key)), (last, (col, True, link.key), b)]
            for channel, here, there in pieces:
                if here[0] != there[0] or here[1] == there[1]:
                    runs.setdefault(channel, []).append(Run(link.key, here, there))
        taken = {(channel, key): track for channel, found in runs.items() for key, track in tracks(found).items()}
        counts = [0] * (self.rows + 1)
        for (channel, _), track in taken.items():
            counts[channel] = max(counts[channel], track + 1)
        gaps = [_OVER + _TRACK * (count - 1) + _UNDER if count else _NONE for count in counts]
        ports: dict[tuple[int, Port], list[int]] = {}
        for channel, found in runs.items():
            for run in found:
                for port in (run.one, run.other):
                    ports.setdefault((channel, port), []).append(taken[channel, run.key])
        return _Channels(taken, gaps, ports)

    # --- in place -------------------------------------------------------------------------------------------------
    def laid(self, slack: float) -> Laid:
        """Everything in place, with `slack` mm more above the row of loads."""
        load = self.circuit.load_row
        tops: list[float] = []
        heads: list[float] = []  # of channels
        y = 0.0
        for row in range(self.rows):
            heads.append(y)
            y += self._channels.gaps[row] + (slack if row == load else 0.0)
            tops.append(y)
            y += self.heights[row]
        heads.append(y)
        found = Laid()
        for key, part in self.circuit.parts.items():
            row = self.circuit.row[key]
            before = self.ordered.follows(key)
            follows = self.x[self.columns.ways[before][0]] if before else None
            xs = [self.x[col] for col in self.columns.ways[key]]
            nodes = [self._nodes(part, number) for number in range(len(part.ways))]
            found.standing.append(Standing(part, self.looks[key], xs, nodes, tops[row], tops[row] + self.heights[row], follows))
            if part.kind == "rail":
                found.taps.append((part, xs[0], key in self.circuit.above))
        self._draw(found, lambda channel, track: heads[channel] + _OVER + _TRACK * track, tops)
        counted = ("contact", "poles", "load", "pin", "through")
        used = sorted({ways[0] for key, ways in self.columns.ways.items() if self.circuit.parts[key].kind in counted})
        found.paths = [self.x[col] for col in used]
        return found

    def _edge(self, channel: int, port: Port, tops: Sequence[float]) -> float:
        """Where a port meets its channel."""
        if port[1]:
            return tops[channel - 1] + self.heights[channel - 1]
        return tops[channel] if channel < self.rows else tops[-1] + self.heights[-1]

    def _draw(self, found: Laid, level: Callable[[int, int], float], tops: Sequence[float]) -> None:
        arms: dict[tuple[float, float], set[str]] = {}

        def meet(x: float, y: float, way: str) -> None:
            arms.setdefault((round(x, 3), round(y, 3)), set()).add(way)

        reach: dict[tuple[int, Port], float] = {}
        for (channel, port), used in self._channels.ports.items():
            edge = self._edge(channel, port, tops)
            last = level(channel, max(used) if port[1] else min(used))
            reach[channel, port] = last
            low, high = min(edge, last), max(edge, last)
            for track in used:
                at = level(channel, track)
                if at > low + 1e-6:
                    meet(self.x[port[0]], at, "up")
                if at < high - 1e-6:
                    meet(self.x[port[0]], at, "down")
            if port[2] in self.columns.lanes and port[2] not in self.circuit.parts:
                continue  # of its own line
            found.stubs.append((self._node(port), self.x[port[0]], low, high))
        for link in self.circuit.links:
            one, other = self.circuit.ends[link.key]
            (first, a), (last, b) = sorted((self._port(one), self._port(other)))
            if (lane := self.columns.lanes.get(link.key)) is None or first == last:
                points = self._piece(first, a, b, link.key, level, tops, reach)
            else:
                upper, lower = ((int(lane.col), end, link.key) for end in (False, True))
                points = self._piece(first, a, upper, link.key, level, tops, reach)
                points += self._piece(last, lower, b, link.key, level, tops, reach)
            clean = [points[0]]
            for point in points[1:]:
                if abs(point[0] - clean[-1][0]) > 1e-6 or abs(point[1] - clean[-1][1]) > 1e-6:
                    clean.append(point)
            found.lines.append((link, tuple(clean)))
            for (x1, y1), (x2, y2) in ((clean[0], clean[1]), (clean[-1], clean[-2])) if len(clean) > 1 else ():
                way = "right" if x2 > x1 else "left" if x2 < x1 else "down" if y2 > y1 else "up"
                meet(x1, y1, way)
        found.dots = sorted(point for point, ways in arms.items() if len(ways) > 2)

    def _piece(
        self,
        channel: int,
        a: Port,
        b: Port,
        key: str,
        level: Callable[[int, int], float],
        tops: Sequence[float],
        reach: Mapping[tuple[int, Port], float],
    ) -> list[tuple[float, float]]:
        """The points of a link in one channel, from its port `a` to `b`."""
        xa, xb = self.x[a[0]], self.x[b[0]]
        if a[0] == b[0] and a[1] != b[1]:
            return [(xa, reach.get((channel, port), self._edge(channel, port, tops))) for port in (a, b)]
        y = level(channel, self._channels.track[channel, key])
        points = [(xa, y), (xb, y)]
        if a[2] == key:
            points.insert(0, (xa, self._edge(channel, a, tops)))
        if b[2] == key:
            points.append((xb, self._edge(channel, b, tops)))
        return points

    def _nodes(self, part: Part, number: int) -> tuple[str, str]:
        """Nodes above and below a way; of what has one end, that on both sides."""
        way = part.ways[number]
        return self.circuit.top(part, number) or way.a or way.b, self.circuit.bottom(part, number) or way.a or way.b

    def _node(self, port: Port) -> str:
        key, _, number = port[2].rpartition(" ")
        part = self.circuit.parts[key]
        way = int(number)
        return (self.circuit.bottom if port[1] else self.circuit.top)(part, way) or part.ways[way].a or part.ways[way].b
