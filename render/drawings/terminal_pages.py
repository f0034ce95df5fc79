"""Shares blocks out over sheets: breaks fall between cables and outside bridges where they can."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from netdsl.sums import sum_of
from render.drawings.terminal_block import Block, Reach
from render.drawings.terminal_cables import needed, words_of
from render.drawings.terminal_columns import Columns, columns_of, least_width
from render.drawings.terminal_heights import HALVES, Height, heights_of, least_height
from render.layout.columns import broken
from render.layout.fonts import Box, text_width
from render.layout.writing import PITCH
from render.sheet import DESIGNATION, TITLE
from render.words.terminals import clamp_text, span_text

HEADS = 8.0  # names of the columns and the line below them
_OWN_HEADS = 7.0  # those of a block alone
_NAME = 8.0  # the name of a block
_BELOW = 6.0  # what follows a block
_MARGIN = 2 * PITCH + 2.0  # kept free for the words below a block that goes on
_ENOUGH = 0.4  # of a sheet in use, below which the next block begins on it and is broken rather than kept whole
_FEW = 3  # rows of a block that had better be with the others
_FULL = 3  # a break before a third of the sheet is filled is no break worth having


class Bridge(Struct, frozen=True):
    """A bridge with its lane; `rows`: first rows of the terminals it joins, of which `first` is one and `text` names all."""

    first: str
    text: str
    rows: tuple[int, ...]
    lane: int


class Laid(Struct, frozen=True):
    """A block with the height of its rows, its bridges in lanes, its name and notes broken to lines. `sample`: a sheet number as
    long as those to come, `reach`: of those on which cables end. `width`: of the sheet, mm. `headed`: its columns are its own,
    and named above it."""

    block: Block
    columns: Columns
    heights: list[Height]
    bridges: tuple[Bridge, ...]
    title: tuple[str, ...]
    notes: tuple[str, ...]
    sample: str
    reach: Reach
    width: float
    headed: bool = False

    def said(self, first: int, before: str) -> tuple[str, ...]:
        """What stands below its name where its rows begin with `first`; `before`: number of the sheet with those above."""
        if not first:
            return self.notes
        return broken(f"Continued from sheet {before}.{self.parted(first)}", self.width)

    def parted(self, row: int) -> str:
        """The bridges that a break before `row` parts, in words."""
        split = [bridge for bridge in self.bridges if bridge.rows[0] < row <= bridge.rows[-1]]
        return "".join(f" Bridge {bridge.text} continues." for bridge in split)

    def header(self, first: int) -> float:
        """Height of its name and of what is said below it, and of the names of its columns where they are its own."""
        said = len(self.said(first, self.sample)) + (bool(self.block.other) and not first)
        return _NAME + max(len(self.title) - 1, 0) * PITCH * 1.5 + said * PITCH + 2.0 + self.heads

    @property
    def heads(self) -> float:
        """Height of the names of its columns."""
        return _OWN_HEADS + (self.columns.head_lines - 1) * PITCH if self.headed else 0.0

    def extent(self, first: int, last: int) -> float:
        """Height of rows `first` up to but not including `last`."""
        rows = sum_of(height.above + height.below for height in self.heights[first:last])
        return rows + sum_of(self.extra(first, last).values())

    def extra(self, first: int, last: int) -> dict[int, float]:
        """What the words of cables add below the last of these rows, mm, where they are higher than all of them."""
        have = sum_of(height.above + height.below for height in self.heights[first:last])
        near = (self.sample, self.sample)
        lack = max(
            needed(words_of(self.block, index, (first, last), side.width.get("text", 0.0), near, self.reach)) - have
            for index, side in enumerate(self.columns.sides)
        )
        return {last - 1: lack} if lack > 0.0 and last > first else {}


class Piece(Struct, frozen=True):
    """Rows `first` up to but not including `last` of a block, on one sheet."""

    laid: Laid
    first: int
    last: int


class Stack(Struct, frozen=True):
    """Blocks on one sheet or several. `columns`: those that all share, None where each has its own."""

    columns: Columns | None
    pages: tuple[tuple[Piece, ...], ...]


def stacked(blocks: Sequence[Block], area: Box, sample: str, reach: Reach) -> Stack:
    """`blocks` shared out over sheets whose drawing area is `area`: in columns that are the same for all, unless these were too
    narrow to keep designations whole. `sample`: a number as long as theirs, `reach`: as long as where cables end."""
    bridged = [_lanes(block) for block in blocks]
    shared = columns_of(blocks, _count(bridged), area.left, area.right, reach)
    alone = (shared.tight and len(blocks) > 1) or any(block.half for block in blocks)
    columns = [
        columns_of([block], _count([bridges]), area.left, area.right, reach) if alone else shared
        for block, bridges in zip(blocks, bridged, strict=True)
    ]
    # close rows are harder to tick off: they are taken only where they save a sheet, or that a few rows stand on one alone
    tries = []
    for least in HALVES:
        laid = [
            _laid(block, bridges, own, area, least, sample, reach, alone)
            for block, bridges, own in zip(blocks, bridged, columns, strict=True)
        ]
        tries.append(tuple(_pages(laid, area.height - (0.0 if alone else HEADS))))
        if len(tries[0]) == 1:
            break
    return Stack(None if alone else shared, min(tries, key=lambda pages: (len(pages), _strays(pages))))


def too_wide(block: Block, area: Box) -> bool:
    """Whether both sides of a block side by side are wider than the area, however their words are broken."""
    return least_width([block], _count([_lanes(block)])) > area.width


def too_high(blocks: Sequence[Block], area: Box) -> bool:
    """Whether `blocks` take more than one sheet however they are laid out: nothing is measured for that."""
    least = sum_of(_NAME + 2.0 + least_height(block) for block in blocks) + (len(blocks) - 1) * _BELOW
    return least > area.height


def _count(bridged: Sequence[tuple[Bridge, ...]]) -> int:
    """Lanes that the bridges of all blocks take."""
    return max((bridge.lane + 1 for bridges in bridged for bridge in bridges), default=0)


def heading(block: Block) -> str:
    """What a block is: its title, where it stands and where its handle is."""
    where = f"at {block.place}" if block.place and block.place != block.id else ""
    return ", ".join(part for part in (block.title, where, block.handle) if part)


def _laid(
    block: Block,
    bridges: tuple[Bridge, ...],
    columns: Columns,
    area: Box,
    least: float,
    sample: str,
    reach: Reach,
    headed: bool,
) -> Laid:
    room = max(area.width - text_width(block.id, TITLE, True) - 5.0, 60.0)
    clamps = clamp_text({name: point.clamp for name, point in block.points.items()})
    notes = broken(" ".join(filter(None, (clamps, *block.notes))), area.width, united=True)
    title, heights = broken(heading(block), room, DESIGNATION), heights_of(block, columns, least)
    return Laid(block, columns, heights, bridges, title, notes, sample, reach, area.width, headed)


def _lanes(block: Block) -> tuple[Bridge, ...]:
    """Bridges beside each other where they overlap."""
    first = {row.terminal: index for index, row in reversed(list(enumerate(block.rows)))}
    ends: list[int] = []
    result = []
    for names in block.bridges:
        rows = tuple(sorted(first[name] for name in names))
        lane = next((number for number, end in enumerate(ends) if end < rows[0]), len(ends))
        if lane == len(ends):
            ends.append(0)
        ends[lane] = rows[-1]
        result.append(Bridge(names[0], span_text(list(names)), rows, lane))
    return tuple(result)


def _pages(laid: Sequence[Laid], room: float) -> list[tuple[Piece, ...]]:
    pages: list[tuple[Piece, ...]] = []
    page: list[Piece] = []
    used = 0.0
    for one in laid:
        first, header, extent = 0, one.header(0), one.extent(0, len(one.heights))
        if used + (header + extent + _BELOW) > room and used > room * _ENOUGH:
            pages.append(tuple(page))
            page, used = [], 0.0
        while used + header + extent > room:
            last = _break(one, first, room - used - header - _MARGIN)
            pages.append((*page, Piece(one, first, last)))
            page, used, first = [], 0.0, last
            header, extent = one.header(first), one.extent(first, len(one.heights))
        page.append(Piece(one, first, len(one.heights)))
        used += header + extent + _BELOW
    if page:
        pages.append(tuple(page))
    return pages


def _strays(pages: Sequence[Sequence[Piece]]) -> int:
    """How many blocks go on on a later sheet with a few rows alone."""
    return sum(piece.first > 0 and piece.last - piece.first <= _FEW for page in pages for piece in page)


def _break(laid: Laid, first: int, room: float) -> int:
    """The row before which to break: the last that fits where neither cable nor bridge is split, else no cable, else no
    terminal, else any."""
    last = first + 1
    while last < len(laid.heights) and laid.extent(first, last + 1) <= room:
        last += 1
    last = min(last, len(laid.heights) - 1)
    least = first + max((last - first) // _FULL, 1)
    for cables, bridges in ((True, True), (True, False), (False, False)):
        for row in range(last, least - 1, -1):
            if laid.block.rows[row].first and not _splits(laid, row, cables, bridges) and laid.extent(first, row) <= room:
                return row
    return max(last, first + 1)


def _splits(laid: Laid, row: int, cables: bool, bridges: bool) -> bool:
    groups = (group for side in laid.block.groups for group in side)
    if cables and any(group.first < row <= group.last for group in groups):
        return True
    return bridges and any(bridge.rows[0] < row <= bridge.rows[-1] for bridge in laid.bridges)
