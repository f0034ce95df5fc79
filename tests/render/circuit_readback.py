"""What a circuit diagram says, read from its lines: which ends each conductor joins, where each contact stands between.

Only what is drawn counts: which lines end on which, dots, and where the lines of a symbol end. Nothing is asked of the code that
made the drawing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from math import floor

import networkx as nx
from msgspec import Struct, field

from netdsl.network.types import Network
from render.sheet import Circle, Label, Line, Sheet

Point = tuple[float, float]
Columns = dict[int, list[tuple[str, "Segment"]]]
#: left, right, top and bottom of where a piece holds a point; the piece, its net, whether it is upright
_Held = tuple[float, float, float, float, "Segment", str, bool]
_NEAR = 0.06
_NUMBER = 7.5  # how far the name of a terminal may stand from its end, mm


class Found(Struct):
    """What sheets show. `conductors`: of each time one is drawn the terminals it ends on; `between`: of each time a contact, a
    pole, a load is drawn the terminals at its ends, above and below; `faults`: what cannot be read."""

    conductors: list[tuple[str, frozenset[str]]] = field(default_factory=list)
    between: list[tuple[str, tuple[str, str]]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


class Segment(Struct, frozen=True):
    """A straight piece of a line that belongs to `of`."""

    a: Point
    b: Point
    of: str

    @property
    def upright(self) -> bool:
        """Whether it runs along y."""
        return abs(self.a[0] - self.b[0]) < _NEAR

    @property
    def slants(self) -> bool:
        """Whether it runs along neither axis."""
        return not self.upright and abs(self.a[1] - self.b[1]) > _NEAR

    def holds(self, point: Point) -> bool:
        """Whether a point lies on it."""
        (x1, y1), (x2, y2), (x, y) = self.a, self.b, point
        # whichever end comes first; asked of each piece of a sheet for each point
        if not (x1 - _NEAR <= x <= x2 + _NEAR or x2 - _NEAR <= x <= x1 + _NEAR):
            return False
        return y1 - _NEAR <= y <= y2 + _NEAR or y2 - _NEAR <= y <= y1 + _NEAR

    def ends_at(self, point: Point) -> bool:
        """Whether a point is one of its ends."""
        return any(abs(x - point[0]) < _NEAR and abs(y - point[1]) < _NEAR for x, y in (self.a, self.b))


class Side(Struct, frozen=True):
    """The line of one way of a symbol: the terminals at its upper and lower end, "" for none, and where these are."""

    upper: str
    lower: str
    above: Point
    below: Point


def read(sheets: Iterable[Sheet], network: Network) -> Found:
    """Read sheets back."""
    found = Found()
    for sheet in sheets:
        _read(sheet, network, found)
    return found


def _read(sheet: Sheet, network: Network, found: Found) -> None:
    lines = [part for part in sheet.primitives if isinstance(part, Line) and not (part.closed or part.dash or part.fill)]
    dots = [(part.x, part.y) for part in sheet.primitives if isinstance(part, Circle) and part.fill]
    pieces = [Segment(a, b, line.of) for line in lines for a, b in pairwise(line.points)]
    terminals: dict[str, list[Segment]] = defaultdict(list)
    symbols: dict[tuple[str, float], list[Segment]] = defaultdict(list)
    for piece in pieces:
        if piece.of in network.net_of:
            terminals[piece.of].append(piece)
        elif piece.of not in network.runs and piece.upright:
            symbols[piece.of, round(piece.a[0], 2)].append(piece)
    at = _by_column(terminals)
    for line in lines:
        if line.of in network.runs:
            ends = [_terminal(point, at, network.runs[line.of].nodes) for point in (line.points[0], line.points[-1])]
            found.conductors.append((line.of, frozenset(ends)))
    sides: dict[str, list[Side]] = defaultdict(list)
    for (of, _), drawn in symbols.items():
        above = min((point for piece in drawn for point in (piece.a, piece.b)), key=lambda point: point[1])
        below = max((point for piece in drawn for point in (piece.a, piece.b)), key=lambda point: point[1])
        side = Side(_terminal(above, at, ()), _terminal(below, at, ()), above, below)
        if side.upper or side.lower:
            sides[of].append(side)
    for of, ways in sides.items():
        blades = [piece for piece in pieces if piece.of == of and piece.slants] if len(ways) == 2 else []
        lone = [way for way in ways if blades and not (way.upper and way.lower)]
        if len(lone) == 1:
            found.between += _change(next(way for way in ways if way is not lone[0]), lone[0], blades[0])
        else:
            found.between += [(of, (way.upper, way.lower)) for way in ways]
    found.faults += _meetings(pieces, dots, network)
    found.faults += _unnumbered(sheet, terminals)


def _change(rest: Side, other: Side, blade: Segment) -> Iterable[tuple[str, tuple[str, str]]]:
    """The two sides of a change-over contact: the blade hangs on the line of the end that both have."""
    hinge = min((blade.a, blade.b), key=lambda point: abs(point[0] - rest.above[0]))
    upper = hinge[1] - rest.above[1] < rest.below[1] - hinge[1]
    common, own = (rest.upper, rest.lower) if upper else (rest.lower, rest.upper)
    for end in (own, other.upper or other.lower):
        yield f"{common}-{end.rpartition(':')[2]}", (common, end)


def _by_column(terminals: dict[str, list[Segment]]) -> Columns:
    """The lines of terminals by the columns of a millimetre that they are in, in the order of the terminals."""
    found: Columns = defaultdict(list)
    for name, pieces in terminals.items():
        for piece in pieces:
            x1, x2 = sorted((piece.a[0], piece.b[0]))
            for column in range(floor(x1 - _NEAR), floor(x2 + _NEAR) + 1):
                found[column].append((name, piece))
    return found


def _terminal(point: Point, terminals: Columns, wanted: Iterable[str]) -> str:
    """The terminal whose line holds a point: one of those `wanted` where several lie there (the two sides of a strip terminal
    are one point)."""
    names = [name for name, piece in terminals.get(floor(point[0]), ()) if piece.holds(point)]
    return next((name for name in names if name in wanted), names[0] if names else "")


def _meetings(pieces: list[Segment], dots: list[Point], network: Network) -> Iterable[str]:
    """Lines of one net that end on a line of another or run along it, and lines that meet without a dot."""
    earthed = _references(network)
    nets = [(piece, earthed.get(net := _net(piece.of, network), net)) for piece in pieces]
    nets = [(piece, net) for piece, net in nets if net]
    columns: dict[int, list[_Held]] = defaultdict(list)
    rows: dict[int, list[_Held]] = defaultdict(list)
    for piece, net in nets:
        (left, right), (top, bottom) = map(sorted, zip(piece.a, piece.b, strict=True))
        held = (left - _NEAR, right + _NEAR, top - _NEAR, bottom + _NEAR, piece, net, piece.upright)
        lines, at = (columns, piece.a[0]) if piece.upright else (rows, piece.a[1])
        for step in (-1, 0, 1):
            lines[round(at * 5) + step].append(held)
    marked = {(round(x, 1), round(y, 1)) for x, y in dots}
    for piece, net in nets:
        upright = piece.upright
        for point in (piece.a, piece.b):
            x, y = point
            near = (*columns.get(round(x * 5), ()), *rows.get(round(y * 5), ()))
            # as `holds` tells, asked of each piece for each point
            on = [each[4:] for each in near if each[0] <= x <= each[1] and each[2] <= y <= each[3]]
            for other, its, stands in on:
                if its != net:
                    yield f"{piece.of} meets {other.of} at {point}"
                across = upright != stands and not other.ends_at(point)
                if across and not any((round(x + dx, 1), round(y, 1)) in marked for dx in (-0.05, 0.0, 0.05)):
                    yield f"{piece.of} meets {other.of} at {point} without a dot"


def _references(network: Network) -> dict[str, str]:
    """Nets that a conductor joins to another, as the earthing of a source does: the one of a circuit with its earth."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from([network.net_of[node] for node in run.nodes] for run in network.runs.values())
    return {net: min(nets) for nets in nx.connected_components(graph) for net in nets}


def _net(of: str, network: Network) -> str:
    return network.runs[of].net if of in network.runs else network.net_of.get(of, "")


def _unnumbered(sheet: Sheet, terminals: dict[str, list[Segment]]) -> Iterable[str]:
    """Terminals whose name does not stand at their end."""
    names: dict[str, list[Label]] = defaultdict(list)
    for part in sheet.primitives:
        if isinstance(part, Label):
            names[part.of.partition("/")[0]].append(part)
    for name in terminals:
        if not names.get(name.partition("/")[0]):
            yield f"{name} is not named"
