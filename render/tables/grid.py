"""Lists as sheets: rows shared out over blocks and pages, headings between groups, boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from netdsl.sums import sum_of
from render.layout.fonts import Box
from render.layout.frame import drawing_area, notes_area
from render.layout.remarks import Remarks
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, TITLE, WIDE, Label, Line, Primitive, Sheet
from render.tables.fitting import GROUP, INDENT, LEAST_ROW, TICK, Fitted, Placed
from render.tables.table import Cell, Column, Entry, Table

_HEAD = 6.0
_FOOT = 2.0  # kept clear below the last row
_CAPTION = 13.0  # height of the title of a list that follows another
_GUTTER = 8.0  # between blocks
_BELOW = 2.8  # of the base line of a heading above its rule
_FIFTH = 5
_HAIR = 1e-6  # by which sums of heights may differ, mm
_CLOSER = (5.7, 5.4, 5.2)  # heights of rows that stand closer than usual, mm
_FEW = 1 / 3  # of a sheet in use by rows that had better stand on the others


class _Slot(Struct, frozen=True):
    """Room for a block of rows: from `top` to `bottom`, from `left` on. `fresh`: it is the first of a new page."""

    fresh: bool
    left: float
    top: float
    bottom: float


class _Page:
    """What stands on a page: `parts`; `said`: headings or first words of the rows of the first list, titles of the others."""

    def __init__(self) -> None:
        self.parts: list[Primitive] = []
        self.said: list[str] = []
        self.others: list[str] = []

    def say(self, text: str, title: str) -> None:
        """Note what stands there: `title` of the list where it is not the first."""
        if title:
            self.others += [title] if title not in self.others else []
        elif text and text not in self.said:
            self.said.append(text)

    def title(self, first: str) -> str:
        """The lists that stand there, `first` the first of all."""
        return ", ".join((*([first] if self.said else []), *self.others)) or first

    @property
    def about(self) -> str:
        """What stands there, from first to last."""
        first = [self.said[0] if len(self.said) == 1 else f"{self.said[0]} to {self.said[-1]}"] if self.said else []
        return ", ".join((*first, *self.others))


def table_sheets(table: Table, size: str) -> list[Sheet]:
    """`table` on as many sheets as it needs, without frames; a table without rows gives none."""
    return stacked_sheets([table], size)


def stacked_sheets(tables: Sequence[Table], size: str) -> list[Sheet]:
    """Lists one below the other on as many sheets as they need, each but the first under its title, those without rows left out.

    Key and number of the sheets are those of the first of `tables`, with rows or without; the title names the lists on it.
    """
    if not (full := [table for table in tables if table.entries]):
        return []
    first, area = tables[0], drawing_area(size)
    head = list(dict.fromkeys(note for table in full for note in table.notes))
    later = list(dict.fromkeys(note for table in full for note in table.later or table.notes))
    remarks = tuple(Remarks.of(notes, notes_area(size)) for notes in (head, later))
    bottoms = tuple(area.bottom - each.above - _FOOT for each in remarks)
    pages = _shared_out(full, area, bottoms)
    return [
        Sheet(
            f"{first.key}-{index}",
            f"{first.number}{index}",
            page.title(full[0].title),
            first.kind,
            first.part_of,
            (*page.parts, *remarks[min(index - 1, 1)].labels),
            size,
            page.about,
        )
        for index, page in enumerate(pages, start=1)
    ]


def _shared_out(tables: Sequence[Table], area: Box, bottoms: tuple[float, ...]) -> list[_Page]:
    """Lists on pages. Where few rows stand alone on the last, rows are as much closer as bring these to the others."""
    columns = [Fitted.of(table, (area.width - _GUTTER * (table.blocks - 1)) / table.blocks) for table in tables]
    pages, end = _pages(columns, area, bottoms)
    room = min(bottoms) - area.top
    # of what stands on the last, names of columns and a repeated heading are not to be brought
    over, brought = end - area.top, end - area.top - _HEAD - GROUP
    for row in _CLOSER:
        if len(pages) > 1 and over < room * _FEW and brought <= room * (len(pages) - 1) * (1.0 - row / LEAST_ROW):
            closer, _ = _pages([each.closer(row) for each in columns], area, bottoms)
            if len(closer) < len(pages):
                return closer
    return pages


def _pages(columns: Sequence[Fitted], area: Box, bottoms: tuple[float, ...]) -> tuple[list[_Page], float]:
    """Lists one below the other on pages, and where the last of them ends."""
    pages: list[_Page] = []
    y = area.bottom
    for number, fitted in enumerate(columns):
        y = _laid(pages, fitted, area, bottoms, y, fitted.table.title if number else "")
    return pages, y


def _laid(pages: list[_Page], fitted: Fitted, area: Box, bottoms: tuple[float, ...], y: float, caption: str) -> float:
    """Add a list to the pages, below `y` on the last of them where some of it fits there; gives where it ends."""
    table = fitted.table
    closer = LEAST_ROW - fitted.row
    above = _CAPTION - 3.0 * closer if caption else 0.0
    rows = [fitted.placed(entry) for entry in table.entries]
    room = min(bottoms) - area.top - _HEAD - GROUP
    begun = rows[0].height + (0.0 if rows[0].entry.cells else _kept(rows, 0, room))
    least = above + _HEAD + max(begun, sum_of(row.height for row in (rows if table.whole else rows[:3])))
    if not pages or y + least > bottoms[min(len(pages) - 1, 1)]:
        pages.append(_Page())
        y = area.top
    if above:
        pages[-1].parts.append(Label(area.left, y + above - 4.0 + closer, caption, TITLE, bold=True))
    pieces = [part for row in rows for part in fitted.parted(row, room)]
    top = y + above + _HEAD
    slots = _slots(table.blocks, fitted.width, area, bottoms, top, len(pages))
    return _filled(pages, fitted, slots, pieces, caption)


def _slots(blocks: int, width: float, area: Box, bottoms: tuple[float, ...], top: float, page: int) -> Iterator[_Slot]:
    """Blocks from left to right on the `page`th page from `top` on, then on new ones."""
    fresh = False
    while True:
        for block in range(blocks):
            yield _Slot(fresh and not block, area.left + block * (width + _GUTTER), top, bottoms[min(page - 1, 1)])
        page, top, fresh = page + 1, area.top + _HEAD, True


def _filled(pages: list[_Page], fitted: Fitted, slots: Iterator[_Slot], rows: Sequence[Placed], title: str) -> float:
    """Rows set into the slots one after the other; a heading stays with the row below it and is repeated where its group goes on.
    Gives where the last block ends that went furthest down. `title`: of a list that is not the first."""
    grouped = fitted.table.grouped
    headed = grouped and any(not row.entry.cells and not row.entry.remark for row in rows)
    slot = next(slots)
    _heads(pages[-1].parts, fitted, slot)
    y, count, deepest, limit = slot.top, 0, slot.top, _even(fitted, rows, slot)
    heading: Entry | None = None
    for number, row in enumerate(rows):
        heads = not row.entry.cells and not row.entry.remark
        if heads:
            heading = row.entry
        # a heading at the foot of a sheet heads nothing, nor does what is said below it
        below = _kept(rows, number, slot.bottom - slot.top - row.height) if heads else 0.0
        if y > slot.top and y + row.height + below > limit + _HAIR:
            slot = next(slots)
            if slot.fresh:
                pages.append(_Page())
                deepest, limit = 0.0, _even(fitted, rows[number:], slot, heading if not heads else None)
            _heads(pages[-1].parts, fitted, slot)
            y, count = slot.top, 0
            if heading is not None and not heads and grouped:
                again = fitted.placed(_continued(heading))
                y = _set(pages[-1].parts, fitted, again, slot.left, y, 0)
        count = 0 if heads else count + 1
        y = _set(pages[-1].parts, fitted, row, slot.left, y, count)
        # the clauses behind a heading say nothing of what stands there
        name = heading.heading.partition(" (")[0] if heading is not None else ""
        pages[-1].say(name if headed else _first(row.entry), title)
        deepest = max(deepest, y)
    return deepest


def _even(fitted: Fitted, rows: Sequence[Placed], slot: _Slot, heading: Entry | None = None) -> float:
    """Down to where blocks go on a page: where all that is left fits on it, they are made equally high. `heading`: of the group
    that goes on there."""
    blocks = fitted.table.blocks
    if blocks == 1:
        return slot.bottom
    most = blocks * (slot.bottom - slot.top)
    total = 0.0
    for row in rows:
        total += row.height
        if total > most:
            return slot.bottom
    room = slot.bottom - slot.top
    together = (row.height + _kept(rows, number, room - row.height) for number, row in enumerate(rows) if row.entry.whole)
    height = max(total / blocks, *together, 0.0)
    while height < room and _blocks(fitted, rows, height, room, heading) > blocks:
        height += LEAST_ROW / 2
    return slot.top + min(height, room)


def _blocks(fitted: Fitted, rows: Sequence[Placed], limit: float, room: float, heading: Entry | None) -> int:
    """How many blocks no higher than `limit` mm the rows take, first of the group of `heading`; `room`: of a block."""
    count = 1
    y = fitted.placed(_continued(heading)).height if heading is not None and fitted.table.grouped else 0.0
    for number, row in enumerate(rows):
        heads = not row.entry.cells and not row.entry.remark
        if heads:
            heading = row.entry
        below = _kept(rows, number, room - row.height) if heads else 0.0
        if y > 0.0 and y + row.height + below > limit + _HAIR:
            count, y = count + 1, 0.0
            if heading is not None and not heads and fitted.table.grouped:
                y = fitted.placed(_continued(heading)).height
        y += row.height
    return count


def _continued(heading: Entry) -> Entry:
    """The heading of a group that goes on."""
    return Entry((), heading.of, f"{heading.heading} (continued)")


def _first(entry: Entry) -> str:
    """The first words of a row, its number left out."""
    return next((cell.text for cell in entry.cells if cell.text and cell.value is None), "")


def _kept(rows: Sequence[Placed], heading: int, room: float) -> float:
    """Height of what stays with a heading: the sentences below it and the first row, or all rows where `room` holds them, mm."""
    height = least = 0.0
    for row in rows[heading + 1 :]:
        if not row.entry.cells and not row.entry.remark:
            break
        height += row.height
        least = least or (height if row.entry.cells else 0.0)
        if least and (not rows[heading].entry.whole or height > room):
            return least
    return height


def _heads(parts: list[Primitive], fitted: Fitted, slot: _Slot) -> None:
    """Names of the columns, and the line below them."""
    for column, x, _ in fitted.columns:
        parts.append(Label(slot.left + x, slot.top - 2.5, column.head, NORMAL))
    y = slot.top - 0.5
    parts.append(Line(((slot.left, y), (slot.left + fitted.width, y)), MEDIUM))


def _set(parts: list[Primitive], fitted: Fitted, row: Placed, left: float, y: float, count: int) -> float:
    """A row with its upper edge at `y`, the `count`th of its group in its block, and the rule below it; gives where that lies."""
    entry, table = row.entry, fitted.table
    if entry.cells:
        cells = (entry.cells[n] for n in fitted.shown)
        for (column, x, _), cell, lines in zip(fitted.columns, cells, row.lines, strict=True):
            if lines or column.ticks:
                _cell(parts, fitted, column, cell, lines, left + x, y, entry.of)
        base = y + row.height - fitted.row + fitted.base
        for number, line in enumerate(reversed(row.below)):
            parts.append(Label(left + INDENT, base - number * table.pitch(NORMAL, ("", *row.below)), line, NORMAL, of=entry.of))
    elif entry.remark:
        for lines in row.lines:
            _cell(parts, fitted, Column(""), Cell(), lines, left, y, entry.of)
    else:
        for lines in row.lines:
            for number, line in enumerate(lines):
                base = y + fitted.group - _BELOW + number * table.pitch(DESIGNATION)
                parts.append(Label(left, base, line, DESIGNATION, bold=True, of=entry.of))
    y += row.height
    heavy = table.counted and count and count % _FIFTH == 0
    parts.append(Line(((left, y), (left + fitted.width, y)), WIDE if heavy else NARROW, of=entry.of))
    return y


def _cell(
    parts: list[Primitive], fitted: Fitted, column: Column, cell: Cell, lines: Sequence[str], x: float, y: float, of: str
) -> None:
    if column.ticks:
        for left in (x, x + TICK + 1.0):
            top = y + (fitted.row - TICK) / 2
            corners = ((left, top), (left + TICK, top), (left + TICK, top + TICK), (left, top + TICK))
            parts.append(Line(corners, NARROW, closed=True, of=of))
        return
    base, of = y + fitted.base, cell.of or of
    pitch = fitted.table.pitch(column.height, lines) if len(lines) > 1 else 0.0
    parts += [
        Label(x, base + number * pitch, line, column.height, "start", cell.bold, of, cell.link)
        for number, line in enumerate(lines)
    ]
