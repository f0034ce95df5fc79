"""A list as sheets: columns measured from their texts, words that wrap, headings between groups, boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from render.layout.columns import broken, given_way, widest
from render.layout.fonts import Box, line_pitch
from render.layout.frame import drawing_area, notes_area
from render.layout.remarks import Remarks
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, Label, Line, Primitive, Sheet

_GAP = 3.5
_TICK = 3.0
_TICKS = 2 * _TICK + 1.0
_HEAD = 8.0
_LEAST_ROW = 6.0
_GROUP = 9.0
_WORD = 26.0  # a word no wider than this is not broken, mm
_ROOT_PITCH = 1.76  # of the lettering height: roots and bars reach from above the capitals to below the base line
_STRETCH = 6.0  # the most that spare width adds to a gap


class Column(Struct, frozen=True):
    """A column: its name, the lettering height, and the widths in mm it may grow and shrink to. `ticks`: two boxes."""

    head: str
    height: float = NORMAL
    most: float = 60.0
    least: float = 12.0
    ticks: bool = False


class Cell(Struct, frozen=True):
    """What one row says in one column; each line of `text` begins a line. `of`: the designation it belongs to; `link`: key of the
    sheet it leads to; `bold`: for what is not to be overlooked."""

    text: str = ""
    of: str = ""
    link: str = ""
    bold: bool = False


class Entry(Struct, frozen=True):
    """A row: one cell per column, or a heading before the rows of a group (`cells` empty); `remark`: the heading is a sentence
    lettered as the rows are, and heads nothing."""

    cells: tuple[Cell, ...]
    of: str = ""
    heading: str = ""
    remark: bool = False


class Table(Struct, frozen=True):
    """A whole list: `key`, `number` of its sheets without their running number, title, columns, rows, remarks; `notes` stand on
    its first sheet, on the others `later`, where given. `formulas`: its texts hold signs taller than letters, so that lines lie
    further apart, and numbers that keep their unit."""

    key: str
    number: str
    title: str
    kind: str
    part_of: str
    columns: tuple[Column, ...]
    entries: tuple[Entry, ...]
    notes: tuple[str, ...]
    formulas: bool = False
    later: tuple[str, ...] = ()

    def pitch(self, height: float) -> float:
        """Distance of base lines in a cell lettered `height` mm high, mm."""
        return _ROOT_PITCH * height if self.formulas else line_pitch(height)


def table_sheets(table: Table, size: str) -> list[Sheet]:
    """`table` on as many sheets as it needs, without frames; a table without rows gives none."""
    area = drawing_area(size)
    shown = [
        n for n, column in enumerate(table.columns) if column.ticks or any(e.cells and e.cells[n].text for e in table.entries)
    ]
    widths, gap = _widths(table, shown, area.width)
    first, later = (Remarks.of(notes, notes_area(size)) for notes in (table.notes, table.later or table.notes))
    rooms = (area.height - _HEAD - first.above, area.height - _HEAD - later.above)
    sheets = []
    for index, page in enumerate(_pages(table, shown, widths, rooms, area.width), start=1):
        parts: list[Primitive] = []
        _heads(parts, table, shown, widths, gap, area)
        _body(parts, table, shown, widths, gap, area, page)
        parts += (first if index == 1 else later).labels
        sheets.append(
            Sheet(f"{table.key}-{index}", f"{table.number}{index}", table.title, table.kind, table.part_of, tuple(parts), size)
        )
    return sheets


def _widths(table: Table, shown: Sequence[int], available: float) -> tuple[list[float], float]:
    natural, least = [], []
    for n in shown:
        column = table.columns[n]
        head = widest([column.head])
        texts = list({line for entry in table.entries if entry.cells for line in entry.cells[n].text.split("\n")})
        width = max(_TICKS if column.ticks else min(widest(texts, column.height), column.most), head)
        natural.append(width)
        word = 0.0 if column.height == DESIGNATION else min(widest([w for text in texts for w in text.split()]), _WORD)
        least.append(width if column.ticks else min(width, max(column.least, head, word)))
    room = available - _GAP * (len(shown) - 1)
    widths = given_way(natural, least, room)
    spare = (room - sum(widths)) / max(len(shown) - 1, 1)
    return widths, _GAP + min(max(spare, 0.0), _STRETCH)


def _lines(table: Table, shown: Sequence[int], widths: Sequence[float], entry: Entry) -> list[tuple[str, ...]]:
    return [_cell_lines(table, table.columns[n], entry.cells[n].text, width) for n, width in zip(shown, widths, strict=True)]


def _cell_lines(table: Table, column: Column, text: str, width: float) -> tuple[str, ...]:
    parts = text.split("\n")
    return tuple(line for part in parts for line in broken(part, width, column.height, united=table.formulas))


def _height(table: Table, shown: Sequence[int], lines: Sequence[tuple[str, ...]]) -> float:
    """Height of a row: 6 mm, more where a cell takes several lines."""
    extent = max((len(cell) - 1) * table.pitch(table.columns[n].height) for n, cell in zip(shown, lines, strict=True))
    return _LEAST_ROW + max(extent, 0.0)


class _Placed(Struct, frozen=True):
    entry: Entry
    lines: list[tuple[str, ...]]
    height: float


def _pages(
    table: Table, shown: Sequence[int], widths: Sequence[float], rooms: tuple[float, float], width: float
) -> list[list[_Placed]]:
    """Rows shared out, `rooms` mm high on the first page and on others; a heading stays with the row below it and is repeated
    where its group goes on."""
    pages: list[list[_Placed]] = []
    page: list[_Placed] = []
    used = 0.0
    heading: Entry | None = None
    rows = (_placed(table, shown, widths, entry, width) for entry in table.entries)
    placed = [part for row in rows for part in _parted(table, shown, row, min(rooms) - _GROUP)]
    for number, here in enumerate(placed):
        room = rooms[1 if pages else 0]
        heads = not here.entry.cells and not here.entry.remark
        if heads:
            heading = here.entry
        # a heading at the foot of a sheet heads nothing
        below = placed[number + 1].height if heads and number + 1 < len(placed) else 0.0
        if page and used + here.height + below > room:
            pages.append(page)
            page, used = [], 0.0
            if heading is not None and not heads:
                page.append(_Placed(Entry((), heading.of, f"{heading.heading} (continued)"), [], _GROUP))
                used = _GROUP
        page.append(here)
        used += here.height
    if page:
        pages.append(page)
    return pages


def _placed(table: Table, shown: Sequence[int], widths: Sequence[float], entry: Entry, width: float) -> _Placed:
    if entry.remark:
        lines = broken(entry.heading, width, united=table.formulas)
        return _Placed(entry, [lines], _LEAST_ROW + max(len(lines) - 1, 0) * table.pitch(NORMAL))
    if not entry.cells:
        return _Placed(entry, [], _GROUP)
    cells = _lines(table, shown, widths, entry)
    return _Placed(entry, cells, _height(table, shown, cells))


def _parted(table: Table, shown: Sequence[int], row: _Placed, room: float) -> list[_Placed]:
    """A row in pieces no higher than `room` mm: what is too long for a sheet goes on below the head of the next."""
    if row.height <= room or not row.entry.cells:
        return [row]
    found, rest = [], row.lines
    fitting = [max(int((room - _LEAST_ROW) / table.pitch(table.columns[n].height)) + 1, 1) for n in shown]
    while any(rest):
        lines = [cell[:most] for cell, most in zip(rest, fitting, strict=True)]
        rest = [cell[most:] for cell, most in zip(rest, fitting, strict=True)]
        found.append(_Placed(row.entry, lines, _height(table, shown, lines)))
    return found


def _heads(parts: list[Primitive], table: Table, shown: Sequence[int], widths: Sequence[float], gap: float, area: Box) -> None:
    x = area.left
    for n, width in zip(shown, widths, strict=True):
        parts.append(Label(x, area.top + 3.5, table.columns[n].head, NORMAL))
        x += width + gap
    parts.append(Line(((area.left, area.top + 5.5), (area.right, area.top + 5.5)), MEDIUM))


def _body(
    parts: list[Primitive],
    table: Table,
    shown: Sequence[int],
    widths: Sequence[float],
    gap: float,
    area: Box,
    page: Sequence[_Placed],
) -> None:
    y = area.top + _HEAD - 2.0
    for placed in page:
        entry = placed.entry
        if entry.cells:
            x = area.left
            for n, width, lines in zip(shown, widths, placed.lines, strict=True):
                _cell(parts, table, table.columns[n], entry.cells[n], lines, x, y, entry.of)
                x += width + gap
        elif entry.remark:
            remark = Column("")
            for lines in placed.lines:
                _cell(parts, table, remark, Cell(), lines, area.left, y, entry.of)
        else:
            parts.append(Label(area.left, y + 6.2, entry.heading, DESIGNATION, bold=True, of=entry.of))
        y += placed.height
        parts.append(Line(((area.left, y), (area.right, y)), NARROW, of=entry.of))


def _cell(
    parts: list[Primitive], table: Table, column: Column, cell: Cell, lines: Sequence[str], x: float, y: float, of: str
) -> None:
    if column.ticks:
        for left in (x, x + _TICK + 1.0):
            top = y + (_LEAST_ROW - _TICK) / 2
            corners = ((left, top), (left + _TICK, top), (left + _TICK, top + _TICK), (left, top + _TICK))
            parts.append(Line(corners, NARROW, closed=True, of=of))
        return
    base = y + _LEAST_ROW / 2 + column.height / 2 - (0.25 if column.height == DESIGNATION else 0.0)
    for number, line in enumerate(lines):
        parts.append(
            Label(
                x, base + number * table.pitch(column.height), line, column.height, "start", cell.bold, cell.of or of, cell.link
            )
        )
