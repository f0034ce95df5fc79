"""Reading a list of motors: comma, semicolon or tab separated, one motor a line, every fault a finding."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from netdsl.findings import Finding, Severity, Source, Span
from netdsl.spelling import nearest
from netdsl.starting.cell_values import (
    Reader,
    designation_of,
    length_of,
    place_of,
    power_of,
    way_of,
    winding_of,
    words_of,
)
from netdsl.starting.practice import Way, practice, ways
from netdsl.starting.reach import brake_within_reach, quantity_of, within_reach
from netdsl.starting.table import Cell, rows_of

_NEEDED = ("designation", "power", "way of running")


class Motor(Struct, frozen=True):
    """One line of the list. `power_w`: in W; `winding`: 400/690V or 230/400V; `way`: one of `ways()`; `length_m`: of the motor
    cable, m; `place`: designation without `+`, `place_title` its words; `assumed`: column and words of what the line leaves
    open; `panel`: words of the panel that feeds it, "" where the list names none; `quantity`: motors on its drive."""

    designation: str
    description: str
    power_w: float
    winding: str
    way: str
    length_m: float
    place: str
    place_title: str
    assumed: tuple[tuple[str, str], ...] = ()
    panel: str = ""
    quantity: int = 1

    @property
    def running(self) -> Way:
        """What its way of running means."""
        return ways()[self.way]

    def leaves_open(self, column: str) -> bool:
        """Whether the list leaves a column of this motor open."""
        return column in dict(self.assumed)


def read_motor_list(text: str, path: str) -> tuple[tuple[Motor, ...], tuple[Finding, ...]]:
    """The motors of a list and everything that is wrong with it, in order of its lines; notes stop nothing."""
    source = Source(path, text.removeprefix("\ufeff"))
    reader, start = Reader(source), Span(source, 0, len(source.line(1)))
    rows = tuple(rows_of(source))
    if not rows:
        reader.fault("motor-list", start, "the list holds no heading and no motor", f"begin with the line {_heading()}")
        return (), tuple(reader.findings)
    columns = _columns(reader, rows[0])
    motors = [motor for row in rows[1:] if columns and (motor := _motor(reader, row, columns))]
    if columns and len(rows) == 1:
        reader.fault("motor-list", _all(rows[0]), "the list holds a heading and no motor", "add one line for each motor")
    return tuple(motors), tuple(reader.findings)


def columns_known() -> Mapping[str, list[str]]:
    """The columns, each with the spellings of its heading."""
    found: Mapping[str, list[str]] = practice()["columns"]
    return found


def _heading() -> str:
    return f"`{','.join(columns_known())}`"


def _all(row: tuple[Cell, ...]) -> Span:
    """The part of a row that stands on its first line."""
    first = row[0].span
    line = first.begin[0]
    ends = [cell.span.end for cell in row if cell.span.begin[0] == line]
    return Span(first.source, first.start, max(ends))


def _columns(reader: Reader, row: tuple[Cell, ...]) -> list[str]:
    """The column that each cell belongs to, "" for one that is not read; empty where the heading has faults."""
    known = {spelling: name for name, spellings in columns_known().items() for spelling in spellings}
    plain = [" ".join(re.sub(r"[\[\]()_-]", " ", cell.text.lower()).split()) for cell in row]
    if not any(word in known for word in plain):
        reader.fault("motor-list", _all(row), "the first line is no heading of a motor list", f"begin with the line {_heading()}")
        return []
    found, meant, before = list[str](), set[str](), reader.errors
    for cell, word in zip(row, plain, strict=True):
        name, near = known.get(word, ""), nearest(word, known)
        if not name and near:
            meant.add(known[near])
            reader.fault("unknown-word", cell.span, f"`{cell.text}` is no column of a motor list", f"did you mean `{near}`?")
        elif not name and word:
            reader.findings.append(
                Finding(
                    "unknown-word",
                    Severity.NOTE,
                    f"column `{cell.text}` is not read",
                    f"a motor list has the columns {', '.join(columns_known())}",
                    cell.span,
                )
            )
        elif name and name in found:
            reader.fault("duplicate-name", cell.span, f"column `{name}` is there twice", "keep one of them")
        found.append(name)
    for name in _NEEDED:
        if name not in found and name not in meant:
            reader.fault("missing-value", _all(row), f"column `{name}` is missing", "add it to the heading")
    return found if reader.errors == before else []


def _motor(reader: Reader, row: tuple[Cell, ...], columns: list[str]) -> Motor | None:
    """The motor of a line; None where it has a fault."""
    before, assumed = reader.errors, dict[str, str]()
    if not _is_whole(reader, row, columns):
        return None
    nothing = Cell("", _all(row))
    by_column = dict.fromkeys(columns_known(), nothing) | {name: cell for name, cell in zip(columns, row, strict=False) if name}
    cell = {name: found if found.text else nothing for name, found in by_column.items()}
    designation = designation_of(reader, cell["designation"])
    way = way_of(reader, cell["way of running"])
    watts = power_of(reader, cell["power"], way, assumed)
    quantity = quantity_of(reader, cell["quantity"], way, assumed)
    winding = winding_of(reader, cell["voltage"], watts, way, assumed)
    length = length_of(reader, cell["cable length"], assumed)
    place, title = place_of(reader, cell["place"], assumed)
    within_reach(reader, cell["power"], way, watts, quantity)
    brake_within_reach(reader, cell["cable length"], way, watts, length)
    if reader.errors != before:
        return None
    description = words_of(cell["description"]) or designation
    panel = words_of(cell["panel"])
    return Motor(designation, description, watts, winding, way, length, place, title, tuple(assumed.items()), panel, quantity)


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


def assumptions(motors: tuple[Motor, ...]) -> Iterator[str]:
    """What the list leaves open, one sentence each kind, with the motors."""
    by_kind: dict[str, list[str]] = {}
    for motor in motors:
        for _, what in motor.assumed:
            by_kind.setdefault(what, []).append(f"={motor.designation}")
    for what, names in by_kind.items():
        yield f"{what} of {', '.join(names)}"
