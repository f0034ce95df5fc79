"""Which column each part of a circuit stands in, and by which columns the longer of its lines run.

A way keeps its column from its source to its load. What stands beside a contact and leads to the same point comes next to it,
before anything behind that point is drawn: a point is gone on from only when all that leads to it has its place.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from msgspec import Struct

from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Circuit, End

Cell = tuple[int, float]


class Lane(Struct, frozen=True):
    """The way of a line between two channels: it runs down in column `col` from channel `first` to channel `last`."""

    col: float
    first: int
    last: int


class Columns(Struct, frozen=True):
    """`ways`: the columns of a part's ways; `lanes`: of the links that pass rows; `count`: columns in all, from 0 on."""

    ways: dict[str, tuple[int, ...]]
    lanes: dict[str, Lane]
    count: int


def columns(circuit: Circuit, narrow: bool) -> Columns:
    """Give every part and every line its column; columns are whole numbers from 0 on. `narrow`: what goes on elsewhere stands
    above or below another part where it can, instead of in a column of its own."""
    placer = _Placer(circuit, narrow)
    placer.place()
    placer.route()
    return placer.numbered()


class _Placer:
    def __init__(self, circuit: Circuit, narrow: bool) -> None:
        self.circuit = circuit
        self.narrow = narrow
        self.found: dict[str, float] = {}  # column of a part's first way
        self.lanes: dict[str, Lane] = {}
        self.cells: dict[Cell, str] = {}  # by part or link
        self.last = -1.0
        self.at: dict[tuple[str, int, bool], list[tuple[str, End]]] = {}  # links at an end, with their other end
        self.segment: dict[tuple[str, int, bool], int] = {}
        parent: dict[tuple[str, int, bool], tuple[str, int, bool]] = {}

        def find(key: tuple[str, int, bool]) -> tuple[str, int, bool]:
            while parent.setdefault(key, key) != key:
                parent[key] = parent[parent[key]]
                key = parent[key]
            return key

        for name, (one, other) in circuit.ends.items():
            a, b = _key(one), _key(other)
            self.at.setdefault(a, []).append((name, other))
            self.at.setdefault(b, []).append((name, one))
            parent[find(a)] = find(b)
        numbers: dict[tuple[str, int, bool], int] = {}
        self.above: list[list[str]] = []  # parts with an end above a segment, and those with one below
        self.below: list[list[str]] = []
        for key in self.at:
            root = find(key)
            if root not in numbers:
                numbers[root] = len(self.above)
                self.above.append([])
                self.below.append([])
            self.segment[key] = numbers[root]
            side = self.below if key[2] else self.above
            if key[0] not in side[numbers[root]]:
                side[numbers[root]].append(key[0])

    # --- parts ----------------------------------------------------------------------------------------------------
    def place(self) -> None:
        """Place all parts, from the sources on."""
        circuit = self.circuit
        for key in sorted(circuit.parts, key=lambda key: circuit.row[key]):
            if key not in self.found:
                self._visit(key)

    def _visit(self, first: str) -> None:
        waiting: list[Iterator[str]] = [iter((first,))]
        while waiting:
            key = next(waiting[-1], None)
            if key is None:
                waiting.pop()
            elif key not in self.found:
                self._put(key)
                ready = [segment for segment in self._segments(key, False) if self._ready(segment)]
                for segment in reversed(ready):
                    waiting.append(iter(self._children(segment)))

    def _segments(self, key: str, top: bool) -> list[int]:
        ways = range(len(self.circuit.parts[key].ways))
        return list(dict.fromkeys(self.segment[key, n, top] for n in ways if (key, n, top) in self.segment))

    def _ready(self, segment: int) -> bool:
        return all(key in self.found for key in self.above[segment])

    def _children(self, segment: int) -> list[str]:
        """Parts below a segment, those that lead to the same point together."""
        groups: dict[tuple[int, ...], list[str]] = {}
        for key in self.below[segment]:
            groups.setdefault(tuple(self._segments(key, False)), []).append(key)
        return [key for group in groups.values() for key in group]

    def _put(self, key: str) -> None:
        part, row = self.circuit.parts[key], self.circuit.row[key]
        lines = [
            (link, number, other)
            for number in range(len(part.ways))
            for top in (True, False)
            for link, other in self.at.get((key, number, top), ())
            if other.part in self.found and other.top != top
        ]
        for made in (False, True):
            for link, number, other in lines:
                col = self.found[other.part] + other.way - number
                if self._makes_room(part, row, col, number, other) if made else self._takes(part, row, col, other):
                    self._fill(key, row, col)
                    self._reserve(link, row, col + number, other)
                    return
        empty = self.last + 1.0  # nothing is in the way there
        if self.narrow and part.kind == "refer":
            taken = range(int(self.last) + 1)
            empty = next((col for col in taken if (row, col) not in self.cells and self._faces(key, 0, row, col)), empty)
        self._fill(key, row, empty)

    def _fill(self, key: str, row: int, col: float) -> None:
        self.found[key] = col
        for number in range(len(self.circuit.parts[key].ways)):
            self.cells[row, col + number] = key
        self.last = max(self.last, col + len(self.circuit.parts[key].ways) - 1)

    def _takes(self, part: Part, row: int, col: float, other: End) -> bool:
        """Whether a part may stand at `row`, `col`, in line with an end of another."""
        if col < 0:
            return False
        return all(self._fits(part, number, row, col) for number in range(len(part.ways))) and self._meets(row, other)

    def _fits(self, part: Part, number: int, row: int, col: float) -> bool:
        return (row, col + number) not in self.cells and self._faces(part.key, number, row, col + number)

    def _meets(self, row: int, other: End) -> bool:
        """Whether nothing stands between a row and the end of a part."""
        far = self.circuit.row[other.part]
        across = self.found[other.part] + other.way
        low, high = min(row, far), max(row, far)
        return all((between, across) not in self.cells for between in range(low + 1, high))

    def _makes_room(self, part: Part, row: int, col: float, number: int, other: End) -> bool:
        """Whether a part stands in line with an end of another, by its way `number`, once what is in the way of its last ways is
        moved to the right; moves that."""
        if col < 0 or not self._meets(row, other):
            return False
        count = len(part.ways)
        first = next((way for way in range(count) if not self._fits(part, way, row, col)), count)
        edge = col + first
        if first <= number or any(at < edge < at + len(self.circuit.parts[key].ways) for key, at in self.found.items()):
            return False
        more = count - first

        def moved(at: float) -> float:
            return at + more if at >= edge else at

        self.found = {key: moved(at) for key, at in self.found.items()}
        self.cells = {(line, moved(at)): key for (line, at), key in self.cells.items()}
        self.lanes = {link: Lane(moved(lane.col), lane.first, lane.last) for link, lane in self.lanes.items()}
        self.last += more
        return True

    def _faces(self, key: str, number: int, row: int, col: float) -> bool:
        """Whether a way has in its column above and below only what it is joined to, or what has no line on that side."""
        for top, near in ((True, row - 1), (False, row + 1)):
            own = self.at.get((key, number, top), ())
            there = self.cells.get((near, col))
            if not own or there is None:
                continue
            if there not in self.circuit.parts:  # a line ends there, or passes by into the cell of this part
                if all(link != there for link, _ in own):
                    return False
                continue
            facing = (there, int(col - self.found[there]), not top)
            if self.at.get(facing) and all((end.part, end.way, end.top) != facing for _, end in own):
                return False
        return True

    def _reserve(self, link: str, row: int, col: float, other: End) -> None:
        """Keep the cells between a part and what stands straight above or below it for their line."""
        far = self.circuit.row[other.part]
        low, high = min(row, far), max(row, far)
        upper_top = (not other.top) if far < row else other.top
        if high - low > 1 and upper_top:
            self._lane(link, col, low + 1, high)

    def _lane(self, link: str, col: float, first: int, last: int) -> None:
        self.lanes[link] = Lane(col, first, last)
        for row in range(first, last):
            self.cells[row, col] = link

    # --- lines ----------------------------------------------------------------------------------------------------
    def route(self) -> None:
        """Find a column for every line that passes rows and has none yet."""
        for link, (one, other) in self.circuit.ends.items():
            if link in self.lanes:
                continue
            (first, col1), (last, col2) = sorted((self._spot(one), self._spot(other)))
            if first < last:
                self._lane(link, self._way_for(link, first, last, col1, col2), first, last)

    def _spot(self, end: End) -> tuple[int, float]:
        """Channel and column of an end."""
        return self.circuit.row[end.part] + (not end.top), self.found[end.part] + end.way

    def _way_for(self, link: str, first: int, last: int, col1: float, col2: float) -> float:
        near = sorted({col1, col2, *(col2 + step for step in (-1.0, 1.0, -2.0, 2.0))}, key=lambda col: (abs(col - col2), col))
        for col in (col2, col1, *near):
            if 0 <= col <= self.last and self._open(link, first, last, col):
                return col
        step = 0.5
        while True:
            between = (col2 + sign * (away + step) for away in range(int(self.last) + 2) for sign in (1, -1))
            for col in between:
                if col > 0 and self._open(link, first, last, col):
                    return col
            step /= 2

    def _open(self, link: str, first: int, last: int, col: float) -> bool:
        if any((row, col) in self.cells or self._inside(row, col) for row in range(first, last)):
            return False
        own = self.circuit.ends[link]
        for row, top in ((first - 1, False), (last, True)):
            there = self.cells.get((row, col))
            if there is None:
                continue
            if there not in self.circuit.parts:
                return False
            facing = (there, int(col - self.found[there]), top)
            if self.at.get(facing) and facing not in (_key(own[0]), _key(own[1])):
                return False
        return True

    def _inside(self, row: int, col: float) -> bool:
        """Whether a column between two others leads through the frame of a part that has both."""
        left, right = self.cells.get((row, floor(col))), self.cells.get((row, ceil(col)))
        return left == right and left in self.circuit.parts and col != floor(col)

    def numbered(self) -> Columns:
        """The columns in use, from 0 on."""
        used = sorted({col for _, col in self.cells})
        number = {col: index for index, col in enumerate(used)}
        parts, found = self.circuit.parts, self.found
        return Columns(
            {key: tuple(number[col + way] for way in range(len(parts[key].ways))) for key, col in found.items()},
            {key: Lane(number[lane.col], lane.first, lane.last) for key, lane in self.lanes.items()},
            len(used),
        )


def _key(end: End) -> tuple[str, int, bool]:
    return end.part, end.way, end.top
