"""A list fitted to the width of a sheet: columns measured from their texts, words that wrap, heights of rows."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate

from msgspec import Struct
from msgspec.structs import replace

from netdsl.kept import cached_property
from netdsl.sums import sum_of
from render.layout.columns import broken, given_way, unbroken, widest_word
from render.layout.fonts import text_width, widest
from render.sheet import DESIGNATION, NORMAL
from render.tables.table import Cell, Column, Entry, Table

TICK = 3.0
_TICKS = 2 * TICK + 1.0
_GAP, _CLOSE = 3.5, 2.0  # between columns, and between those of blocks that stand side by side
LEAST_ROW = 6.0
_BELOW = 1.5  # of base lines above the rule of a row of one line, room for roots and a heavy rule
_TALL = 5.6  # the least height of a row with designations, mm
GROUP = 9.0
INDENT = 6.0  # of what is told below a row
_STRETCH = 6.0  # the most that spare width adds to a gap


class Placed(Struct, frozen=True):
    """A row with its cells in lines, those told below them, and the height it takes, mm."""

    entry: Entry
    lines: list[tuple[str, ...]]
    height: float
    below: tuple[str, ...] = ()


class Fitted(Struct, frozen=True, dict=True):
    """A list of `width` mm. `shown`: indices of the columns that say something; `widths`: theirs, mm; `gap`: between them;
    `below`: indices of those told below each row; `row`: height of a row of one line, mm."""

    table: Table
    width: float
    shown: tuple[int, ...]
    widths: tuple[float, ...]
    gap: float
    below: tuple[int, ...] = ()
    row: float = LEAST_ROW

    @staticmethod
    def of(table: Table, width: float) -> Fitted:
        """`table` fitted to a block of `width` mm."""
        shown = tuple(
            n
            for n, column in enumerate(table.columns)
            if column.ticks or column.room or any(entry.cells and entry.cells[n].text for entry in table.entries)
        )
        fitted, fits = Fitted._of(table, width, shown)
        below = tuple(n for n in shown if table.columns[n].below)
        if fits or not below:
            return fitted
        narrow, _ = Fitted._of(table, width, tuple(n for n in shown if n not in below))
        return replace(narrow, below=below)

    @staticmethod
    def _of(table: Table, width: float, shown: tuple[int, ...]) -> tuple[Fitted, bool]:
        """The list with the columns `shown`, and whether they have room without breaking words."""
        natural, least, full, heads = [], [], [], []
        said: list[list[str]] = []
        rows = [entry.cells for entry in table.entries if entry.cells]
        for n in shown:
            column = table.columns[n]
            head = text_width(column.head)
            cells = {(cell.text, cell.bold) for row in rows for cell in (row[n],)}
            texts = [line for text, _ in cells for line in text.split("\n")]
            said.append(texts)
            strong = [line for text, bold in cells if bold for line in text.split("\n")]
            needed = max(widest(texts, column.height), widest(strong, column.height, bold=True))
            extent = max(_TICKS if column.ticks else column.room or min(needed, column.most), head)
            natural.append(extent)
            full.append(extent if column.ticks or column.room else max(needed, head))
            low = max(column.least, head)
            if low < extent and column.height != DESIGNATION:
                low = max(low, min(max(map(widest_word, texts), default=0.0), column.whole))
            least.append(extent if column.ticks or column.room else min(extent, low))
            heads.append(extent if column.ticks or column.room else head)
        between = _GAP if table.blocks == 1 else _CLOSE
        fits = sum_of(least) <= width - between * (len(shown) - 1)
        if not fits:  # a narrow sheet: columns stand closer
            between = _CLOSE
        room = width - between * (len(shown) - 1)
        for held in (True, False):  # designations break, at last between device and terminal
            if sum_of(least) > room:
                columns = [table.columns[n] for n in shown]
                narrower = [_narrowest(column, texts, held) for column, texts in zip(columns, said, strict=True)]
                bounds = zip(columns, natural, heads, narrower, strict=True)
                least = [
                    extent if column.ticks or column.room else min(extent, max(head, piece))
                    for column, extent, head, piece in bounds
                ]
        if sum_of(least) > room:  # words break, names of columns never
            natural, least = least, heads
        widths = _widened(natural, full, room) if table.counted else natural
        widths = given_way(widths, least, room)
        spare = (room - sum_of(widths)) / max(len(shown) - 1, 1)
        return Fitted(table, width, shown, tuple(widths), between + min(max(spare, 0.0), _STRETCH)), fits

    @property
    def base(self) -> float:
        """Where the base line of a row's first line lies below its upper edge, mm: that of words and designations alike."""
        return self.row - _BELOW

    def closer(self, row: float) -> Fitted:
        """With rows of `row` mm, or as near to that as its lettering allows."""
        tall = any(self.table.columns[n].height > NORMAL for n in self.shown)
        return replace(self, row=max(row, _TALL) if tall else row)

    @property
    def group(self) -> float:
        """Height of a heading of one line, mm: nearer where rows are."""
        return GROUP - 1.5 * (LEAST_ROW - self.row)

    @cached_property
    def columns(self) -> tuple[tuple[Column, float, float], ...]:
        """Each column shown, where it begins and how wide it is, mm."""
        begins = accumulate((width + self.gap for width in self.widths), initial=0.0)
        return tuple((self.table.columns[n], x, width) for n, x, width in zip(self.shown, begins, self.widths, strict=False))

    def placed(self, entry: Entry) -> Placed:
        """A row in lines."""
        table = self.table
        if entry.remark:
            lines = broken(entry.heading, self.width, united=True)
            return Placed(entry, [lines], self.row + max(len(lines) - 1, 0) * table.pitch(NORMAL, lines))
        if not entry.cells:
            lines = broken(entry.heading, self.width, DESIGNATION, bold=True)
            return Placed(entry, [lines], self.group + max(len(lines) - 1, 0) * table.pitch(DESIGNATION))
        cells = [self._lines(table.columns[n], entry.cells[n], width) for n, width in zip(self.shown, self.widths, strict=True)]
        told = "; ".join(f"{table.columns[n].head} {entry.cells[n].text}" for n in self.below if entry.cells[n].text)
        below = broken(told, self.width - INDENT, united=True) if told else ()
        more = len(below) * table.pitch(NORMAL, ("", *below)) if below else 0.0
        return Placed(entry, cells, max(self._height(cells) + more, entry.least), below)

    def parted(self, row: Placed, room: float) -> list[Placed]:
        """A row in pieces no higher than `room` mm: what is too long for a sheet goes on below the head of the next."""
        if row.height <= room or not row.entry.cells:
            return [row]
        last = len(row.below) * self.table.pitch(NORMAL, ("", *row.below))
        found, rest = [], row.lines
        pitches = [self.table.pitch(self.table.columns[n].height, cell) for n, cell in zip(self.shown, row.lines, strict=True)]
        fitting = [max(int((room - self.row) / pitch) + 1, 1) for pitch in pitches]
        while any(rest):
            lines = [cell[:most] for cell, most in zip(rest, fitting, strict=True)]
            rest = [cell[most:] for cell, most in zip(rest, fitting, strict=True)]
            found.append(Placed(row.entry, lines, self._height(lines)))
        found[-1] = replace(found[-1], height=found[-1].height + last, below=row.below)
        return found

    def _lines(self, column: Column, cell: Cell, width: float) -> tuple[str, ...]:
        text, height, bold = cell.text, column.height, cell.bold
        if "\n" not in text:
            return broken(text, width, height, bold, True) if text else ()
        return tuple(line for part in text.split("\n") for line in broken(part, width, height, bold, True))

    def _height(self, lines: list[tuple[str, ...]]) -> float:
        """Height of a row: `row`, more where a cell takes several lines."""
        if max(map(len, lines), default=0) < 2:
            return self.row
        several = ((n, cell) for n, cell in zip(self.shown, lines, strict=True) if len(cell) > 1)
        extents = ((len(cell) - 1) * self.table.pitch(self.table.columns[n].height, cell) for n, cell in several)
        return self.row + max(extents, default=0.0)


def _narrowest(column: Column, texts: Iterable[str], held: bool) -> float:
    """The width of the widest piece into which the texts of a column may break, mm; `held`: a device stays with its terminal."""
    return min(max((unbroken(text, column.height, True, held) for text in texts), default=0.0), column.whole)


def _widened(natural: list[float], full: list[float], room: float) -> list[float]:
    """Widths with the room that is left shared by the columns whose texts would need more, as far as they do."""
    spare, wanted = room - sum_of(natural), sum_of(full) - sum_of(natural)
    if spare <= 0.0 or wanted <= 0.0:
        return natural
    share = min(spare / wanted, 1.0)
    return [width + (most - width) * share for width, most in zip(natural, full, strict=True)]
