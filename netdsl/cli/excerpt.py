"""Source lines as shown below a finding, the exact columns underlined.

Widths are terminal cells: a wide character takes two, a combining mark none, a tab reaches to the next stop.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable

from netdsl.findings import Span

TAB = 4
#: cells of a source line shown at most, and how many of them before the underlined part
WINDOW, BEFORE = 160, 60
_STRANGE = "\N{REPLACEMENT CHARACTER}"

Paint = Callable[[str], str]


def excerpt(span: Span, paint: Paint = str, indent: str = "  ") -> list[str]:
    """Lines that show `span`: its first and last source line, each with its columns underlined in `paint`'s colour."""
    first, start = span.begin
    last, end = _last_place(span)
    gutter = len(str(last))
    result = _underlined(span, first, start - 1, end - 1 if last == first else None, gutter)
    if last > first + 1:
        result.append((" " * gutter + " :", ""))
    if last > first:
        line = span.source.line(last)
        result += _underlined(span, last, min(len(line) - len(line.lstrip()), end - 1), end - 1, gutter)
    return [indent + plain + (paint(mark) if mark else "") for plain, mark in result]


def _last_place(span: Span) -> tuple[int, int]:
    """Line and column behind the last character shown: a span that ends with a line end stops before it."""
    end = span.end
    while end > span.start and span.source.text[end - 1] in "\r\n":
        end -= 1
    return span.source.place(end)


def _underlined(span: Span, number: int, start: int, end: int | None, gutter: int) -> list[tuple[str, str]]:
    """The source line and its underline, as (plain text, marks); `start` and `end` count code points from 0."""
    line = span.source.line(number)
    start = min(start, len(line))
    end = len(line) if end is None else min(max(end, start), len(line))
    shown, before, marked = _window(line, start, end)
    return [(f"{number:>{gutter}} | {shown}".rstrip(), ""), (f"{'':>{gutter}} | {' ' * before}", "^" * marked)]


def _window(line: str, start: int, end: int) -> tuple[str, int, int]:
    """`line` as shown, cut to what surrounds the marked part; cells before the mark, cells of the mark (at least one)."""
    skip = 0
    if len(line) > WINDOW:
        skip = max(0, min(start - BEFORE, len(line) - WINDOW))
        line = line[skip : skip + WINDOW]
        start, end = start - skip, min(end - skip, WINDOW)
    lead = "..." if skip else ""
    text, edges = cells(line, len(lead))
    return lead + text, edges[start], max(1, edges[end] - edges[start])


def cells(line: str, offset: int = 0) -> tuple[str, list[int]]:
    """`line` as a terminal shows it, and the cell at which each of its characters begins, the end last.

    Tabs become blanks; what would move the cursor or change the terminal becomes a replacement character.
    """
    if line.isascii() and line.isprintable():
        return line, list(range(offset, offset + len(line) + 1))
    shown: list[str] = []
    edges = [offset]
    for character in line:
        text, width = _cell(character, edges[-1] - offset)
        shown.append(text)
        edges.append(edges[-1] + width)
    return "".join(shown), edges


def _cell(character: str, column: int) -> tuple[str, int]:
    """One character as shown and its width in cells."""
    if " " <= character <= "~":
        return character, 1
    if character == "\t":
        width = TAB - column % TAB
        return " " * width, width
    category = unicodedata.category(character)
    if category in ("Mn", "Me"):
        return character, 0
    if category[0] == "C" or category in ("Zl", "Zp"):
        return _STRANGE, 1
    return character, 2 if unicodedata.east_asian_width(character) in "WF" else 1
