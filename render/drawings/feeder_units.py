"""What stands in a row of the single-line diagram: the cells of one device or cable, and which rows several feeders share."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from netdsl.model.kinds import CONVERTERS, PASSED, PROTECTIVE, Kind
from netdsl.model.plant import Device
from netdsl.sums import sum_of
from render.drawings.power_cells import Cell

PARTING = 5.0  # room in which a branch parts, mm
JOINING = 2.4  # room above a device in which another way to it joins, mm
CELL = 20.0  # height of a cell where the sheet leaves room, mm
LOAD_ROOM = 22.0  # least height of the row of loads, mm
_COUNTED, _PROTECTING, _SWITCHING, _CHOKE, _CONVERTING, _TERMINALS, _CABLE, _AFIELD, _OTHER = range(1, 10)
TIGHT = -1.0  # share of a sheet that has no room for cells at ease


def rank_of(cell: Cell, device: Device | None) -> int:
    """The row that a cell belongs to; 0 of what hangs below the cell before it."""
    if cell.kind != "device" or device is None:
        return {"cable": _CABLE, "way": _CABLE, "strokes": _COUNTED}.get(cell.kind, 0)
    kind = device.kind
    if kind in PROTECTIVE or kind == Kind.SURGE_PROTECTION:
        return _PROTECTING
    if kind in (Kind.REACTOR, Kind.FILTER):
        return _CHOKE
    if kind in CONVERTERS or kind == Kind.SOFT_STARTER:
        return _CONVERTING
    if kind == Kind.CONTACTOR:
        return _SWITCHING
    if device.category == "strip":
        return _TERMINALS
    return _AFIELD if kind == Kind.ISOLATOR or kind in PASSED else _OTHER


def stretch(cell: Cell) -> float:
    """What a cell takes beyond its least height where there is room, mm."""
    return 2.0 if cell.kind in ("strokes", "end", "way") else max(CELL - cell.height, 0.0)


class Unit(Struct):
    """Cells in one row. `before`: the units above it; `head`: room above it in which a way parts or joins, mm."""

    cells: tuple[Cell, ...]
    lane: int
    rank: int
    before: list[int]
    head: float = 0.0
    row: int = 0
    top: float = 0.0
    bottom: float = 0.0

    @property
    def least(self) -> float:
        """Least height, mm."""
        return self.head + sum_of(cell.height for cell in self.cells)

    def wanted(self, share: float) -> float:
        """Height with a share, 0 to 1, of what more a full cell takes, mm; TIGHT: with the least of all."""
        if share < 0.0:
            return self.head + sum_of(cell.tight for cell in self.cells)
        return self.least + share * sum_of(stretch(cell) for cell in self.cells)


class Foot(Struct):
    """The load at the foot of a lane with its cables, first in order. `before`: the last unit above it, None at a bar."""

    cells: tuple[Cell, ...]
    before: int | None
    head: float = 0.0  # room above it in which a way parts, mm
    ways: list[tuple[int, bool]] = field(default_factory=list)  # units that join above it, and whether above its cables

    tight: bool = False

    @property
    def cables(self) -> float:
        """Height of its cables, mm."""
        return sum_of(self.height(cell) for cell in self.cells if cell.kind != "device")

    def height(self, cell: Cell) -> float:
        """Height of one of its cables, mm."""
        return cell.tight if self.tight else cell.height


def merged(rows: list[int], chain: Sequence[int]) -> list[int]:
    """The shortest list that has `rows` and `chain` in it, each in order; where neither must come first, the lower rank does."""
    longest = [[0] * (len(chain) + 1) for _ in range(len(rows) + 1)]
    for i in range(len(rows) - 1, -1, -1):
        for j in range(len(chain) - 1, -1, -1):
            equal = rows[i] == chain[j]
            longest[i][j] = longest[i + 1][j + 1] + 1 if equal else max(longest[i + 1][j], longest[i][j + 1])
    made: list[int] = []
    i = j = 0
    while i < len(rows) and j < len(chain):
        if rows[i] == chain[j]:
            made.append(rows[i])
            i, j = i + 1, j + 1
        elif longest[i + 1][j] > longest[i][j + 1] or (longest[i + 1][j] == longest[i][j + 1] and rows[i] < chain[j]):
            made.append(rows[i])
            i += 1
        else:
            made.append(chain[j])
            j += 1
    return [*made, *rows[i:], *chain[j:]]


def grouped(cells: list[Cell]) -> list[tuple[Cell, ...]]:
    """Cells by rows: conductors counted between two devices stand with the one they lead to."""
    made: list[tuple[Cell, ...]] = []
    held: tuple[Cell, ...] = ()
    for number, cell in enumerate(cells):
        if cell.kind == "strokes" and number and number + 1 < len(cells):
            held = (*held, cell)
            continue
        made.append((*held, cell))
        held = ()
    return [*made, held] if held else made
