"""Cells of a separated list with their places: quoted cells may hold separators, quotation marks and line ends."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.findings import Source, Span

_SEPARATORS = ";\t,"


class Cell(Struct, frozen=True):
    """One cell: its `text` with single blanks, and where it stands. `closed`: False where its quotation mark has no partner."""

    text: str
    span: Span
    closed: bool = True


def rows_of(source: Source) -> Iterator[tuple[Cell, ...]]:
    """Rows with something in them, the first being the heading; lines that begin with `#` are comments.

    The separator is the one that the first line has most of: semicolon, tab or comma.
    """
    position, separator = 0, ""
    while position < len(source.text):
        end = _line_end(source, position)
        line = source.text[position:end]
        if not line.strip(" \t;,\r\n\ufeff") or line.lstrip().startswith("#"):
            position = end
            continue
        separator = separator or max(_SEPARATORS, key=line.count)
        cells, position = _row(source, position, separator)
        if any(cell.text for cell in cells):
            yield cells


def _line_end(source: Source, position: int) -> int:
    line, _ = source.place(position)
    return source.line_starts[line] if line < len(source.line_starts) else len(source.text)


def _row(source: Source, position: int, separator: str) -> tuple[tuple[Cell, ...], int]:
    """The cells of the row that begins at `position`, and where the next begins."""
    cells, text = list[Cell](), source.text
    while True:
        cell, position = _cell(source, position, separator)
        cells.append(cell)
        if text[position : position + 1] != separator:
            return tuple(cells), position + (2 if text[position : position + 2] == "\r\n" else 1)
        position += 1


def _cell(source: Source, start: int, separator: str) -> tuple[Cell, int]:
    """The cell that begins at `start`, and where it ends."""
    text, ends = source.text, separator + "\r\n"
    while start < len(text) and text[start] in " \t" and text[start] != separator:
        start += 1
    position, parts, closed = start, list[str](), True
    if text[start : start + 1] == '"':
        inside, position, closed = _quoted(text, start)
        parts.append(inside)
    plain = position
    while position < len(text) and text[position] not in ends:
        position += 1
    parts.append(text[plain:position])
    last = max(start, len(text[:position].rstrip(" \t")))
    return Cell(" ".join("".join(parts).split()), Span(source, start, _on_one_line(source, start, last)), closed), position


def _quoted(text: str, start: int) -> tuple[str, int, bool]:
    """What stands between the quotation mark at `start` and its partner, the position behind that, and whether there is one."""
    parts, position = list[str](), start + 1
    while (mark := text.find('"', position)) != -1:
        parts.append(text[position:mark])
        if text[mark + 1 : mark + 2] != '"':
            return "".join(parts), mark + 1, True
        parts.append('"')
        position = mark + 2
    return "".join((*parts, text[position:])), len(text), False


def _on_one_line(source: Source, start: int, end: int) -> int:
    """`end`, or the end of the line of `start` where that comes first: a finding shows one line."""
    line, _ = source.place(start)
    return min(end, source.line_starts[line - 1] + len(source.line(line)))
