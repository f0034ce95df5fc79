"""What a list says: columns, rows of cells, headings; no place on a sheet yet."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from render.layout.fonts import line_pitch
from render.sheet import NORMAL

ANY = "group"  # what headings name where a list does not say it
_RAISED = frozenset("²³")  # reach above capitals, up to the roots of the line above
_RAISED_PITCH = 1.68
_ROOT_PITCH = 1.76  # of the lettering height: roots and bars reach from above the capitals to below the base line


class Column(Struct, frozen=True):
    """A column: its name, the lettering height, and the widths in mm it may grow and shrink to. `ticks`: two boxes. `unit`: of
    the numbers in it, which stand without it in a file for programs. `room`: kept free to be written in by hand, mm. `below`:
    told below each row where the sheet is narrow. `whole`: a word no wider than this, mm, is broken last."""

    head: str
    height: float = NORMAL
    most: float = 60.0
    least: float = 12.0
    ticks: bool = False
    unit: str = ""
    room: float = 0.0
    below: bool = False
    whole: float = 26.0


class Cell(Struct, frozen=True):
    """What one row says in one column; each line of `text` begins a line. `of`: the designation it belongs to; `link`: key of the
    sheet it leads to; `bold`: for what is not to be overlooked; `value`: the number that the text states, in the unit of its
    column."""

    text: str = ""
    of: str = ""
    link: str = ""
    bold: bool = False
    value: float | None = None


class Entry(Struct, frozen=True):
    """A row: one cell per column, or a heading before the rows of a group (`cells` empty); `remark`: the heading is a sentence
    lettered as the rows are, and heads nothing; `least`: the least height of the row, mm; `whole`: the rows below the heading
    stay on one sheet."""

    cells: tuple[Cell, ...]
    of: str = ""
    heading: str = ""
    remark: bool = False
    least: float = 0.0
    whole: bool = False


class Table(Struct, frozen=True):
    """A whole list: `key`, `number` of its sheets without their running number, title, columns, rows, remarks; `notes` stand on
    its first sheet, on the others `later`, where given. `formulas`: its texts hold signs taller than letters, so that lines lie
    further apart. `blocks`: how many blocks of rows stand side by side on a sheet; `counted`:
    every fifth rule is heavier, for the eye; `grouped`: its headings head groups of rows, and are said again where a group goes
    on; `by`: what its headings name, for files that have a column for it; `whole`: its rows stay on one sheet."""

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
    blocks: int = 1
    counted: bool = False
    grouped: bool = True
    by: str = ANY
    whole: bool = False

    def pitch(self, height: float, lines: Sequence[str] = ()) -> float:
        """Distance of base lines in a cell lettered `height` mm high that holds `lines`, mm."""
        if self.formulas:
            return _ROOT_PITCH * height
        raised = len(lines) > 1 and not _RAISED.isdisjoint("".join(lines[1:]))
        return _RAISED_PITCH * height if raised else line_pitch(height)
