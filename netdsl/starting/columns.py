"""Heading and rows of a list: which column each cell belongs to, and whether a row can be told apart; faults are findings."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import islice

from msgspec import Struct

from netdsl.findings import Finding, Severity, Span
from netdsl.spelling import nearest
from netdsl.starting.cell_values import Reader
from netdsl.starting.table import Cell, rows_of


class Kind(Struct, frozen=True):
    """A kind of list: `what` it is called, as "motor list"; `known`: its columns, each with the spellings of its heading;
    `needed`: those of them that it must have; `most`: how many of its `thing` it may name."""

    what: str
    known: Mapping[str, Sequence[str]]
    needed: tuple[str, ...]
    most: int
    thing: str

    @property
    def heading(self) -> str:
        """Its first line as it may be written."""
        return f"`{','.join(self.known)}`"


def whole_row(row: tuple[Cell, ...]) -> Span:
    """The part of a row that stands on its first line."""
    first = row[0].span
    line = first.begin[0]
    ends = [cell.span.end for cell in row if cell.span.begin[0] == line]
    return Span(first.source, first.start, max(ends))


def columns_of(reader: Reader, row: tuple[Cell, ...], kind: Kind) -> list[str]:
    """The column that each cell belongs to, "" for one that is not read; empty where the heading has faults."""
    article = f"{'an' if kind.what[:1] in 'aeioI' else 'a'} {kind.what}"
    known = {spelling: name for name, spellings in kind.known.items() for spelling in spellings}
    plain = [" ".join(re.sub(r"[\[\]()_-]", " ", cell.text.lower()).split()) for cell in row]
    if not any(word in known for word in plain):
        message = f"the first line is no heading of {article}"
        reader.fault("motor-list", whole_row(row), message, f"begin with the line {kind.heading}")
        return []
    found, meant, before = list[str](), set[str](), reader.errors
    for cell, word in zip(row, plain, strict=True):
        name, near = known.get(word, ""), nearest(word, known)
        if not name and near:
            meant.add(known[near])
            reader.fault("unknown-word", cell.span, f"`{cell.text}` is no column of {article}", f"did you mean `{near}`?")
        elif not name and word:
            remedy = f"{article} has the columns {', '.join(kind.known)}"
            reader.findings.append(Finding("unknown-word", Severity.NOTE, f"column `{cell.text}` is not read", remedy, cell.span))
        elif name and name in found:
            reader.fault("duplicate-name", cell.span, f"column `{name}` is there twice", "keep one of them")
        found.append(name)
    for name in kind.needed:
        if name not in found and name not in meant:
            reader.fault("missing-value", whole_row(row), f"column `{name}` is missing", "add it to the heading")
    return found if reader.errors == before else []


def rows_within(reader: Reader, kind: Kind) -> tuple[tuple[Cell, ...], ...] | None:
    """The rows of a list, the heading first; None, with a finding, where they are more than it may have or none at all."""
    rows = tuple(islice(rows_of(reader.source), kind.most + 2))
    if len(rows) > kind.most + 1:
        message, remedy = f"the list has more than {kind.most} {kind.thing}s", "split it: a plant for each part of the works"
        reader.fault("motor-list", whole_row(rows[-1]), message, remedy)
        return None
    if not rows:
        start = Span(reader.source, 0, len(reader.source.line(1)))
        message = f"the list holds no heading and no {kind.thing}"
        reader.fault("motor-list", start, message, f"begin with the line {kind.heading}")
    return rows or None


def cells_of(reader: Reader, row: tuple[Cell, ...], columns: list[str], kind: Kind) -> dict[str, Cell] | None:
    """The cells of a row by their columns, an empty one for each that is not there; None where they cannot be told apart."""
    if not _is_whole(reader, row, columns):
        return None
    nothing = Cell("", whole_row(row))
    by_column = dict.fromkeys(kind.known, nothing) | {name: cell for name, cell in zip(columns, row, strict=False) if name}
    return {name: found if found.text else nothing for name, found in by_column.items()}


def _is_whole(reader: Reader, row: tuple[Cell, ...], columns: list[str]) -> bool:
    """Whether the cells of a row can be told apart and read."""
    before = reader.errors
    for cell in row:
        if not cell.closed:
            reader.fault(
                "unclosed-string",
                cell.span,
                "the cell begins with a quotation mark that has no partner",
                "put one behind its text, or take it out",
            )
        elif not cell.text.isprintable():
            reader.fault("encoding", cell.span, "the cell holds a control character", "write its text anew")
    beyond = [cell for cell in row[len(columns) :] if cell.text]
    if beyond and reader.errors == before:
        reader.fault(
            "count-mismatch",
            beyond[0].span,
            f"{len(row)} cells for {len(columns)} columns",
            "take out what is too much, put text with a separator in quotes, write a fraction with a point",
        )
    return reader.errors == before
