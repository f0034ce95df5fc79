"""The lists of a plant as text, as CSV and as a workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from netdsl.cli.excerpt import cells
from netdsl.quantities import number_text

if TYPE_CHECKING:
    from render.tables.table import Cell, Column, Table

_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")
#: fixed: the same plant gives the same bytes
_DATE = datetime(2000, 1, 1)
_WIDEST = 60  # characters of a column of the workbook


def text_lines(table: Table) -> Iterator[str]:
    """The list for a person: columns as wide as what stands in them, headings above their rows, notes below."""
    yield _plain(f"{table.title}: {table.part_of}" if table.part_of else table.title)
    shown = _said(table)
    rows = [[_plain(_line(entry.cells[n])) for n in shown] for entry in table.entries if entry.cells]
    heads = [table.columns[n].head for n in shown]
    widths = [max(len(text) for text in column) for column in zip(heads, *rows, strict=True)]
    yield _aligned(heads, widths)
    for entry in table.entries:
        if entry.cells:
            yield _aligned([_plain(_line(entry.cells[n])) for n in shown], widths)
        else:
            yield from ("", _plain(entry.heading))
    if not table.entries:
        yield "nothing to list"
    if table.notes:
        yield ""
    yield from map(_plain, table.notes)


def csv_text(table: Table, as_is: bool = False) -> str:
    """A row per row (RFC 4180), what its heading says in the first column; numbers without their unit, which stands in the head.

    A cell that a spreadsheet would take for a formula, as every designation, begins with a blank, unless `as_is`.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    for row in _rows(table):
        writer.writerow([number_text(v) if isinstance(v, float) else v if as_is else safe(v) for v in row])
    return stream.getvalue()


def workbook_bytes(table: Table) -> bytes:
    """A workbook with the list as its first sheet and the notes on the second; texts as texts, whatever they begin with."""
    from xlsxwriter import Workbook

    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": table.part_of, "created": _DATE})
    bold = book.add_format({"bold": True, "bottom": 1, "valign": "top"})
    rows = list(_rows(table))
    sheet = book.add_worksheet(table.title[:31])
    for column in range(len(rows[0])):
        longest = max(len(str(row[column])) for row in rows)
        sheet.set_column(column, column, min(longest + 2, _WIDEST))
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, float):
                sheet.write_number(number, column, value)
            elif value:
                sheet.write_string(number, column, value, bold if number == 0 else None)
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, max(len(rows) - 1, 1), len(rows[0]) - 1)
    if table.notes:
        notes = book.add_worksheet("Notes")
        notes.set_column(0, 0, 120)
        for number, note in enumerate(table.notes):
            notes.write_string(number, 0, note)
    book.close()
    return stream.getvalue()


def _rows(table: Table) -> Iterator[list[str | float]]:
    """Heads, then every row, each with its heading first where there are headings, with rows or without: who reads the file finds
    the same columns. The boxes to tick are left out."""
    from render.tables.table import ANY

    shown = [n for n, column in enumerate(table.columns) if not column.ticks]
    empty = not table.entries and table.by != ANY
    grouped = empty or any(not entry.cells and not entry.remark for entry in table.entries)
    yield [*([table.by] if grouped else []), *(_head(table.columns[n]) for n in shown)]
    heading = ""
    for entry in table.entries:
        if entry.cells:
            values = [_value(table.columns[n], entry.cells[n]) for n in shown]
            yield [*([heading] if grouped else []), *values]
        elif entry.remark:  # a sentence about the rows below it
            yield [*([heading] if grouped else []), entry.heading, *[""] * (len(shown) - 1)]
        else:
            heading = entry.heading


def _said(table: Table) -> list[int]:
    """Columns in which something stands; all where there is no row."""
    rows = [entry.cells for entry in table.entries if entry.cells]
    return [
        n for n, column in enumerate(table.columns) if not column.ticks and (not rows or any(cells[n].text for cells in rows))
    ]


def _head(column: Column) -> str:
    return f"{column.head} [{column.unit}]" if column.unit else column.head


def _value(column: Column, cell: Cell) -> str | float:
    if cell.value is not None:
        return float(cell.value)
    # a length that is not stated is no text in a column of numbers
    return "" if column.unit else _line(cell)


def _line(cell: Cell) -> str:
    return " ".join(cell.text.split("\n"))


def safe(text: str) -> str:
    """`text` with a blank before what a spreadsheet would take for a formula."""
    return f" {text}" if text.startswith(_SPREADSHEET) else text


def _plain(text: str) -> str:
    """`text` without anything that would act on a terminal: it may quote the plant's text."""
    return cells(text)[0]


def _aligned(texts: list[str], widths: list[int]) -> str:
    return "  ".join(text.ljust(width) for text, width in zip(texts, widths, strict=True)).rstrip()
