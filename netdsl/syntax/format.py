"""Tree to canonical text: one statement a line, two blanks a level, columns of consecutive conductor lines aligned.

Works on the tokens the tree was read from, because comments and blank lines stay where they stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from netdsl.findings import Finding, Source
from netdsl.syntax.lexer import Token, tokens_of
from netdsl.syntax.parser import parse

_LINE_END = re.compile(r"\r\n|\r|\n")


class _Line(Struct):
    """One line to be written: its cells (padded to columns within a group), or a comment, or nothing for a blank line.

    `group`: lines that follow each other with the same group share columns; "" stands alone.
    """

    depth: int
    cells: list[str]
    group: str = ""
    comment: str = ""


def format_text(source: Source, findings: tuple[Finding, ...] | None = None) -> str | None:
    """`source` in canonical form; None where it has findings of syntax, because then nothing may be moved. `findings`: these, of
    a text that has been read already.

    Lines end with LF. Should the result not say the same, or not be final, the text is given back as it is.
    """
    if parse(source)[1] if findings is None else findings:
        return None
    tokens = tokens_of(source.text)
    result = _written(source.text, tokens)
    again = tokens_of(result)
    if _meaning(again) != _meaning(tokens) or _written(result, again) != result:
        return source.text
    return result


def _meaning(tokens: list[Token]) -> list[tuple[str, str]]:
    """Kinds and texts, from which alone the tree is built."""
    return [(token.type, token.value.rstrip(" \t=") if token.type == "KEY" else token.value) for token in tokens]


def _written(text: str, tokens: list[Token]) -> str:
    """All lines laid out."""
    lines = _without_edges(list(_lines(text, tokens)))
    out: list[str] = []
    position = 0
    while position < len(lines):
        end = position + 1
        while lines[position].group and end < len(lines) and lines[end].group == lines[position].group:
            end += 1
        out += _columns(lines[position:end])
        position = end
    return "".join(line + "\n" for line in out)


def _without_edges(lines: list[_Line]) -> list[_Line]:
    """`lines` with single blank lines only, and none at the start and the end."""
    kept: list[_Line] = []
    for line in lines:
        if line.cells or line.comment or (kept and (kept[-1].cells or kept[-1].comment)):
            kept.append(line)
    if kept and not (kept[-1].cells or kept[-1].comment):
        kept.pop()
    return kept


def _columns(lines: list[_Line]) -> list[str]:
    """The lines of one group as text, every cell but a line's last padded to its column."""
    widths: list[int] = []
    for line in lines:
        for number, cell in enumerate(line.cells[:-1]):
            if number == len(widths):
                widths.append(0)
            widths[number] = max(widths[number], len(cell))
    result = []
    for line in lines:
        padded = [cell.ljust(width) for cell, width in zip(line.cells[:-1], widths, strict=False)]
        body = " ".join([*padded, *line.cells[-1:]])
        if line.comment:
            body += ("  " if body else "") + line.comment
        result.append(("  " * line.depth + body).rstrip() if body else "")
    return result


# --- lines --------------------------------------------------------------------------------------------------------
def _lines(text: str, tokens: list[Token]) -> Iterator[_Line]:
    """Statements with the comments and blank lines between them."""
    bodies: list[str] = []
    position = 1 if text.startswith("\ufeff") else 0
    pending: _Line | None = None
    line: list[Token] = []
    for token in tokens:
        if token.type not in ("NEWLINE", "$END"):
            line.append(token)
            continue
        if line or token.type == "$END":
            gap = text[position : line[0].start_pos if line else len(text)]
            yield from _between(gap, pending, len(bodies))
        if line:
            pending = _statement(line, bodies)
            position = line[-1].end_pos
            line = []


def _between(gap: str, before: _Line | None, depth: int) -> Iterator[_Line]:
    """The line `before` with the comment behind it, then the comment lines and blank lines up to the next statement."""
    pieces = [piece.strip(" \t") for piece in _LINE_END.split(gap)]
    if before is not None:
        before.comment = pieces[0].rstrip()
        yield before
        pieces = pieces[1:]
    for piece in pieces[:-1]:
        yield _Line(depth, [], comment=piece.rstrip())
    if pieces and pieces[-1]:
        yield _Line(depth, [], comment=pieces[-1].rstrip())


def _statement(line: list[Token], bodies: list[str]) -> _Line:
    """One statement as cells; `bodies`, the keywords of the open blocks, is kept up to date."""
    if line[0].type == "RBRACE":
        bodies.pop()
    depth = len(bodies)
    body = bodies[-1] if bodies else ""
    keyword = line[0].value if line[0].type == "WORD" else ""
    if line[-1].type == "LBRACE":
        bodies.append(keyword)
    pieces = _pieces(line)
    if body == "cable" and keyword:
        if keyword == "screen":
            return _Line(depth, ["screen", " ".join(pieces[1:])], "cable")
        return _Line(depth, _conductor(pieces), "cable")
    if body == "strip" and line[0].type == "TERMS":
        count = next((number for number, piece in enumerate(pieces) if not piece.startswith(":")), len(pieces))
        return _Line(depth, _tail([" ".join(pieces[:count])], pieces[count:]), "strip")
    if keyword == "wire":
        cells = _conductor(pieces)
        return _Line(depth, cells, f"wire{sum(cell.startswith('to ') for cell in cells)}")
    if line[0].type == "KEY":
        return _Line(depth, ["   ".join(pieces)])
    return _Line(depth, [" ".join(pieces)])


def _conductor(pieces: list[str]) -> list[str]:
    """`wire A to B items attributes` as cells: keyword or core, first end, `to` with each further end, the tail."""
    cells = pieces[:2]
    position = 2
    while position + 1 < len(pieces) and pieces[position] == "to":
        cells.append(f"to {pieces[position + 1]}")
        position += 2
    return _tail(cells, pieces[position:])


def _tail(cells: list[str], rest: list[str]) -> list[str]:
    """`cells` and behind them, two blanks away, the items one by one and the attributes together."""
    if not rest:
        return cells
    first = next((number for number, piece in enumerate(rest) if _is_attribute(piece)), len(rest))
    tail = rest[:first] + ([" ".join(rest[first:])] if first < len(rest) else [])
    tail[0] = " " + tail[0]
    return cells + tail


def _is_attribute(piece: str) -> bool:
    return piece[:1].isalpha() and "=" in piece


def _pieces(line: list[Token]) -> list[str]:
    """The tokens as written, with `key=value,value` and the head of a scheme closed up."""
    spaced = line[0].type == "KEY" or line[0].value == "shade"
    pieces: list[str] = []
    glued = False
    for token in line:
        kind, text = token.type, token.value
        if kind == "KEY":
            text = text.rstrip(" \t=") + (" = " if spaced else "=")
        elif kind == "COMMA" and line[0].value == "scheme":
            text = ", "
        if glued or kind in ("COMMA", "LPAR", "RPAR"):
            pieces[-1] += text
        else:
            pieces.append(text)
        glued = kind in ("KEY", "COMMA", "LPAR")
    return pieces
