"""A list of motors kept as a workbook: its first sheet as the text of a separated list, row by row."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

from netdsl.plain_files import read_plain

#: most rows and columns of a sheet that are read: beyond them it is no list of motors
MAX_ROWS, MAX_COLUMNS = 20_000, 100
#: largest file, bytes
MAX_BYTES = 4_000_000
ENDING = ".xlsx"


class NoWorkbook(Exception):
    """The file is no workbook that can be read; the text says why."""


def text_of(path: Path) -> str:
    """The first sheet of a workbook with a row a line, so that line and row have one number. Raises NoWorkbook, OSError.

    What a cell shows by a formula is its value as last saved; a formula is never worked out.
    """
    from openpyxl.reader import excel  # loaded for this alone

    data = read_plain(path, MAX_BYTES)
    try:
        read: Any = excel.load_workbook  # the package states no types
        book = read(io.BytesIO(data), read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            rows = [
                [_shown(cell) for cell in row]
                for row in sheet.iter_rows(max_row=MAX_ROWS + 1, max_col=MAX_COLUMNS, values_only=True)
            ]
        finally:
            book.close()
    except Exception as error:  # the library lets through whatever a broken archive or table provokes in it
        raise NoWorkbook("it is damaged, or no workbook") from error
    if len(rows) > MAX_ROWS:
        raise NoWorkbook(f"its first sheet has more than {MAX_ROWS} rows")
    written = io.StringIO()
    csv.writer(written, lineterminator="\n").writerows(_without_empty_end(rows))
    return written.getvalue()


def _shown(value: object) -> str:
    """A value of a cell in words, without line ends: 5.0 as `5`."""
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return " ".join(str(value).split())


def _without_empty_end(rows: list[list[str]]) -> list[list[str]]:
    """Rows without the empty columns behind the last one that holds something."""
    width = max((n for row in rows for n, cell in enumerate(row, 1) if cell), default=0)
    return [row[:width] for row in rows]
