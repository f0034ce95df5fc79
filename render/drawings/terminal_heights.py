"""How high the rows of a terminal drawing are: 11 mm, more where texts wrap, screens end or a cable needs room to be named."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from netdsl.sums import sum_of
from render.drawings.terminal_block import Block, Entry, Group, Row
from render.drawings.terminal_columns import INNER, Columns, Side
from render.layout.columns import broken
from render.layout.writing import LIFT, PITCH, WIDE_PITCH, half
from render.sheet import DESIGNATION, NORMAL

HALVES = (5.5, 4.6)  # half of a row: 11 mm, or closer where that saves a sheet
_SPARE_ABOVE, _SPARE_BELOW = 4.6, 2.4
_TAIL_START = 2.7  # a screen's text keeps this far below the line of the core above it
_TAIL_HALF = 2.9
_APART = 2.5  # between terminals that are not neighbours


class Height(Struct):
    """Extent of a row above and below its line, mm; `tails`: how far below its line each screen lies, left and right; `gap`: of
    what is above, that to the terminal before."""

    above: float
    below: float
    tails: tuple[list[float], list[float]]
    gap: float = 0.0


def heights_of(block: Block, columns: Columns, least: float) -> list[Height]:
    """The height of every row of `block`, `least` mm or more above and below its line."""
    heights = [_row_height(block, row, columns, least) for row in block.rows]
    for index in (0, 1):
        side = columns.sides[index]
        for group in block.groups[index]:
            row = block.rows[group.last]
            _add_tails(group, side, heights[group.last], index, (row.left, row.right)[index])
    return heights


def least_height(block: Block) -> float:
    """No lower are the rows of `block` together, mm, whatever is beside them."""
    return sum_of(2 * HALVES[-1] if row.first else _SPARE_ABOVE + _SPARE_BELOW for row in block.rows)


def _row_height(block: Block, row: Row, columns: Columns, least: float) -> Height:
    above, below = least, least
    entries = [entry for entry in (row.left, row.right) if entry is not None]
    if not row.first and all(entry.spare for entry in entries):
        above, below = _SPARE_ABOVE, _SPARE_BELOW
    for entry, side in zip((row.left, row.right), columns.sides, strict=True):
        if entry is None:
            continue
        lines = max((len(broken(text, side.width[name])) for name in INNER if (text := getattr(entry, name))), default=0)
        above = max(above, LIFT + (lines - 1) * PITCH + 3.2)
        far = half(len(broken(entry.far, side.width["far"], far_height(entry))), WIDE_PITCH)
        above, below = max(above, far), max(below, far if not entry.spare else 0.0)
    if row.first:
        point = block.points[row.terminal]
        words = half(
            max(len(broken(point.text, columns.text)) + point.live, len(broken(columns.size_of(point), columns.size))), PITCH
        )
        above, below = max(above, words), max(below, words)
    number = len(broken(block.points[row.terminal].number, columns.number, DESIGNATION))
    if row.first or number > 1:
        above, below = max(above, half(number, WIDE_PITCH)), max(below, half(number, WIDE_PITCH))
    gap = _APART if row.apart else 0.0
    return Height(above + gap, below, ([], []), gap)


def far_height(entry: Entry) -> float:
    """Lettering height of where a conductor goes: designations are larger than words."""
    return NORMAL if entry.spare else DESIGNATION


def _add_tails(group: Group, side: Side, height: Height, index: int, entry: Entry | None) -> None:
    far = len(broken(entry.far, side.width["far"], far_height(entry))) if entry is not None else 0
    start = _TAIL_START + max(far - 1, 0) * WIDE_PITCH / 2
    for tail in group.tails:
        lines = max(
            len(broken(tail.here, side.width["tail"], united=True)), len(broken(tail.far, side.width["far"], united=True))
        )
        extent = max(_TAIL_HALF, half(lines, PITCH))
        height.tails[index].append(start + extent)
        start += 2 * extent
    if group.tails:
        height.below = max(height.below, start + 0.4)


def group_text(head: str, lines: Iterable[str], width: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Designation and remarks of a cable as broken to the width of its column."""
    return broken(head, width, DESIGNATION), tuple([line for text in lines for line in broken(text, width, united=True)])


def split_group(group: Group, first: int, last: int, before: str, after: str) -> Group:
    """The part of `group` in rows `first` up to but not including `last`; its words stand on its last sheet, the others name
    that sheet's neighbour. `before`, `after`: numbers of the sheets around."""
    whole = group.last < last
    lines, led = (group.lines, group.led) if whole else ((f"continues on sheet {after}",), ())
    if group.first < first:
        lines, led = (f"continued from sheet {before}", *lines), tuple((at + 1, terminal, core) for at, terminal, core in led)
    rows = max(group.first, first), min(group.last, last - 1)
    return replace(group, first=rows[0], last=rows[1], lines=lines, led=led, tails=group.tails if whole else ())
