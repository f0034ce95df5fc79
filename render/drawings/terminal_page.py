"""One sheet of terminal drawings: its pieces under each other, and the remarks beside the title block."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from render.drawings.terminal_block import Block, Group, Point
from render.drawings.terminal_cables import draw_words, words_of
from render.drawings.terminal_heights import split_group
from render.drawings.terminal_pages import HEADS, Bridge, Piece, Stack
from render.drawings.terminal_pen import Pen
from render.layout.columns import broken
from render.layout.fonts import Box, text_width
from render.layout.writing import PITCH
from render.sheet import DESIGNATION, NORMAL, TITLE, Primitive


class _Place(Struct, frozen=True):
    """Where a piece lies: `lines`: y of each of its rows, `tops` and `bottoms` of them; `before`, `after`: numbers of the
    sheets that hold the rows above and below, "" where there are none."""

    lines: dict[int, float]
    tops: dict[int, float]
    bottoms: dict[int, float]
    before: str
    after: str


class Ways(Struct, frozen=True):
    """Where a sheet leads. `link`: key of another sheet for a designation; `sheet`: key and number of that on which a conductor
    lands on a terminal, "" for this one; `others`: by block and half where its other half is, in words."""

    link: Callable[[str], str]
    sheet: Callable[[str, str], tuple[str, str]]
    others: Mapping[tuple[str, str], str]


def drawn(stack: Stack, index: int, numbers: Sequence[str], ways: Ways, area: Box) -> tuple[Primitive, ...]:
    """Primitives of sheet `index` of `stack`, whose sheets have `numbers`."""
    near = (numbers[index - 1] if index else "", numbers[index + 1] if index + 1 < len(numbers) else "")
    parts: list[Primitive] = []
    y = area.top
    if stack.columns is not None:
        pen = Pen(stack.columns, ways.link, ways.sheet)
        _heads(pen, area.top + 3.5, area)
        parts, y = pen.parts, area.top + HEADS
    for piece in stack.pages[index]:
        pen = Pen(piece.laid.columns, ways.link, ways.sheet)
        y = _piece(pen, piece, y, area, near, ways.others.get((piece.laid.block.id, piece.laid.block.half), ""))
        parts += pen.parts
    return tuple(parts)


def _heads(pen: Pen, base: float, area: Box) -> None:
    """The names of columns with their base line at `base`, and the line below them."""
    pen.heads(base, "terminal" if pen.columns.unit else "terminal, mm²")
    pen.line((area.left, base + 2.0), (area.right, base + 2.0))


def _piece(pen: Pen, piece: Piece, y: float, area: Box, near: tuple[str, str], other: str) -> float:
    """Draw `piece` from `y` on; returns where the next may begin. `near`: numbers of the sheets before and after, `other`: where
    its other half is."""
    block = piece.laid.block
    before = near[0] if piece.first else ""
    after = near[1] if piece.last < len(block.rows) else ""
    y = _header(pen, piece, y, area, before, other)
    if piece.first == piece.last:  # a strip without terminals: its name is all there is
        return y
    place = _placed(piece, y, before, after)
    _boxes(pen, piece, place)
    for index in range(piece.first, piece.last):
        row = block.rows[index]
        joined = _joined(block, index)
        for side, entry in enumerate((row.left, row.right)):
            if entry is not None:
                pen.entry(side, place.lines[index], entry, joined[side] and index > piece.first)
            if entry is not None and joined[side] and index > piece.first:
                pen.joint(side, place.lines[index - 1], place.lines[index], entry.of)
        pen.open_ends(place.lines[index], _clamps(block, index), block.points[row.terminal].id)
    for side in (0, 1):
        for group in block.groups[side]:
            if group.first < piece.last and group.last >= piece.first:
                _group(pen, side, piece, group, place)
        _cables(pen, side, piece, place)
    return _bridges(pen, piece, place, area)


def _clamps(block: Block, index: int) -> tuple[bool, bool]:
    """Whether a row shows a clamping point left and right: both of a strip terminal, else where something lands, and the
    field side of a terminal on which nothing does."""
    row = block.rows[index]
    joined = _joined(block, index)
    landed = (entry is not None and not entry.spare for entry in (row.left, row.right))
    left, right = (lands and not held for lands, held in zip(landed, joined, strict=True))
    if row.first and block.strip:
        return True, True
    empty = row.first and not left and not right
    return left or (empty and block.field == "left"), right or (empty and block.field == "right")


def _joined(block: Block, index: int) -> tuple[bool, bool]:
    """Whether the conductors of a row, left and right, are in one ferrule with those of the row above: two by two."""
    found = []
    for side in (0, 1):
        count, at = 0, index
        while at >= 0 and block.rows[at].terminal == block.rows[index].terminal:
            entry = (block.rows[at].left, block.rows[at].right)[side]
            if entry is None or not entry.twin:
                break
            count, at = count + 1, at - 1
        found.append(count > 0 and count % 2 == 0)
    return found[0], found[1]


def _placed(piece: Piece, y: float, before: str, after: str) -> _Place:
    place = _Place({}, {}, {}, before, after)
    extra = piece.laid.extra(piece.first, piece.last)
    for index in range(piece.first, piece.last):
        height = piece.laid.heights[index]
        place.tops[index] = y + height.gap
        place.lines[index] = y + height.above
        y += height.above + height.below + extra.get(index, 0.0)
        place.bottoms[index] = y
    return place


def _header(pen: Pen, piece: Piece, y: float, area: Box, before: str, other: str) -> float:
    laid = piece.laid
    block = laid.block
    pen.text(area.left, y + 5.5, block.id, TITLE, bold=True, of=block.id)
    x = area.left + text_width(block.id, TITLE, True) + 4.0
    base = y + 5.5
    for number, line in enumerate(laid.title):
        pen.text(x, base + number * PITCH * 1.5, line, DESIGNATION, of=block.id)
    base += max(len(laid.title) - 1, 0) * PITCH * 1.5
    notes = laid.said(piece.first, before)
    notes += (f"{block.other} {other}.",) if block.other and not piece.first else ()
    for line in notes:
        base += PITCH
        pen.text(area.left, base + 1.0, line, of=block.id)
    if laid.headed:
        base += laid.heads
        _heads(pen, base, area)
    return base + 4.5


def _boxes(pen: Pen, piece: Piece, place: _Place) -> None:
    """Each terminal's box over all of its rows; a box split by a break is drawn on both sheets."""
    block = piece.laid.block
    index = piece.first
    while index < piece.last:
        end = index + 1
        while end < piece.last and not block.rows[end].first:
            end += 1
        row = block.rows[index]
        point = block.points[row.terminal]
        levels = (
            index > piece.first and _of_one(point, block.points[block.rows[index - 1].terminal]),
            end < piece.last and _of_one(point, block.points[block.rows[end].terminal]),
        )
        pen.box(place.tops[index], place.lines[index], place.bottoms[end - 1], point, row.first, levels)
        index = end


def _of_one(point: Point, other: Point) -> bool:
    """Whether two points are levels of one terminal."""
    return bool(point.base) and point.base == other.base and point.id != other.id


def _group(pen: Pen, side: int, piece: Piece, group: Group, place: _Place) -> None:
    """One cable's rows, or those of them that lie on this sheet."""
    shown = split_group(group, piece.first, piece.last, place.before, place.after)
    first, last = shown.first, shown.last
    top, bottom = place.lines[first], place.lines[last]
    pen.gather(side, top, bottom, shown)
    low = bottom + 3.0
    if shown.tails:
        drops = piece.laid.heights[last].tails[side]
        pen.tails(side, bottom, drops, shown.tails)
        low = bottom + drops[-1] + 1.5
    pen.bracket(side, top - 3.0, low, group.cable)


def _cables(pen: Pen, side: int, piece: Piece, place: _Place) -> None:
    """The words of the cables of a side, beside the rows of the piece."""
    width = pen.columns.sides[side].width.get("text", 0.0)
    near = (place.before, place.after)
    found = words_of(piece.laid.block, side, (piece.first, piece.last), width, near, lambda *end: pen.sheet(*end)[1])
    brackets = [[(place.lines[run.first] - 3.0, place.lines[run.last] + 3.0) for run in words.groups] for words in found]
    draw_words(pen, side, found, brackets, (place.tops[piece.first], place.bottoms[piece.last - 1]))


def _bridges(pen: Pen, piece: Piece, place: _Place, area: Box) -> float:
    """The bridges of a piece, and below it where it goes on; returns where the next piece may begin."""
    bottom = place.bottoms[piece.last - 1]
    block: Block = piece.laid.block
    for bridge in piece.laid.bridges:
        ways = [row for row in bridge.rows if piece.first <= row < piece.last]
        if bridge.rows[0] >= piece.last or bridge.rows[-1] < piece.first:
            continue
        _bridge(pen, piece, place, bridge, ways)
    if place.after:
        words = f"Continues on sheet {place.after}.{piece.laid.parted(piece.last)}"
        for number, line in enumerate(broken(words, area.right - pen.columns.x)):
            pen.text(pen.columns.x, bottom + 4.0 + number * PITCH, line, NORMAL, of=block.id)
    return bottom + 6.0


def _bridge(pen: Pen, piece: Piece, place: _Place, bridge: Bridge, ways: Sequence[int]) -> None:
    top = place.lines[bridge.rows[0]] if bridge.rows[0] >= piece.first else place.tops[piece.first]
    bottom = place.lines[bridge.rows[-1]] if bridge.rows[-1] < piece.last else place.bottoms[piece.last - 1]
    pen.bridge(bridge.lane, [place.lines[row] for row in ways], (top, bottom), f"{piece.laid.block.id}:{bridge.first}")
