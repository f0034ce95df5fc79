"""The tables of LANGUAGE.md, made from the tables by which statements are read, and from the usual values of choices.

`python -m netdsl.model.document` refreshes them. A table is found by its first row, which names its statement.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import groupby
from pathlib import Path
from typing import Any

from netdsl import beyond, plain_files
from netdsl.model import build, construction, files, filling, includes, named_values, several_cables, terminals, unfold
from netdsl.model.language import LINES, STATEMENTS
from netdsl.model.rating_table import RATINGS
from netdsl.model.statements import cables, devices, layouts
from netdsl.model.statements.electrical import ELECTRICAL
from netdsl.model.statements.project import USUAL
from netdsl.model.table import Stands, Statement, Take
from netdsl.syntax import balance, measure, reports

PAGE = Path(__file__).parent.parent / "LANGUAGE.md"
CHOICES_HEAD = ("choice", "value", "what it is", "usual value")
COLUMNS = ("what stands there", "what it says")
RATINGS_HEAD = ("rating", "value", "what it is")
BOUNDS_HEAD = ("bound", "most")
#: what many statements take alike, in one row
SHARED: tuple[tuple[tuple[str, ...], tuple[Take, ...]], ...] = (
    (("any rating", "see [ratings](#ratings)", "its own, in place of its part's"), RATINGS),
    (("electrical values", "see [below](#what-wires-and-cables-state)", "for the calculation"), ELECTRICAL),
)


def tables() -> Iterator[str]:
    """Every table of the manual that is made here."""
    for rows, alike in groupby(STATEMENTS.values(), lambda statement: tuple(_rows(statement))):
        keywords = [f"`{statement.keyword}`" for statement in alike]
        yield _table((f"{', '.join(keywords)} take{'s' if len(keywords) == 1 else ''}", *COLUMNS), rows)
    for block, lines in LINES.items():
        if block != "outside":  # its lines are those of a part
            yield _table((f"line of a `{block}`", *COLUMNS), _lines(lines))
    yield _table(("wires and cables state", *COLUMNS), map(_row, ELECTRICAL))
    yield _table(CHOICES_HEAD, _choices())
    yield _table(RATINGS_HEAD, map(_row, RATINGS))
    yield _table(BOUNDS_HEAD, ((what, f"{most:,}") for what, most in bounds()))


def bounds() -> Iterator[tuple[str, int]]:
    """What is bounded, and how many of it there may be."""
    yield "bytes of a file, and of all files of a plant", plain_files.MAX_BYTES
    yield "lines of all files of a plant", includes.MAX_LINES
    yield "files of a plant", includes.MAX_FILES
    yield "files that include one another, deep", files.MAX_DEPTH
    yield "characters of a line", measure.MAX_LINE
    yield "characters of a word, and of a designation with all that is put into it", measure.MAX_WORD
    yield "characters of a text in quotes, also with all that is put into it", measure.MAX_TEXT
    yield "blocks in one another", balance.MAX_DEPTH
    yield "terminals of one range", terminals.MAX_RANGE
    yield "terminals that all ranges of a plant stand for", terminals.MAX_STEPPED
    yield "terminals of all devices and strips", build.MAX_TERMINALS
    yield "conductors of all wires and cables", build.MAX_CONDUCTORS
    yield "cores of all cables", cables.MAX_ALL_CORES
    yield "values of a `for`", named_values.MAX_EACH
    yield "characters of a list that is handed to a scheme", filling.MAX_LIST
    yield "names given by names, and sums in parentheses, deep", filling.MAX_DEPTH
    yield "a computed number is below", filling.MAX_NUMBER
    yield "schemes that take schemes, deep", unfold.MAX_NESTING
    yield "times that schemes are taken", unfold.MAX_USES
    yield "statements that schemes make", unfold.MAX_UNFOLDED
    yield "cables that ranges of designations stand for", several_cables.MAX_CABLES
    yield "cores of a cable", construction.MAX_CORES
    yield "cables in parallel under one name", cables.MAX_PARALLEL
    yield "terminals of an earth bar", devices.MAX_WAYS
    yield "routes of a layout", layouts.MAX_ROUTES
    yield "findings about the writing of one text", reports.MAX_FINDINGS
    yield "sheets of a set of drawings", beyond.MAX_SHEETS


def refreshed(page: str) -> str:
    """The page with its tables as they are now. Raises ValueError where the page lacks one."""
    for table in tables():
        head = table[: table.index("\n")]
        begin = page.index(head + "\n")
        page = page[:begin] + table + page[page.index("\n\n", begin) :]
    return page


def _rows(statement: Statement[Any]) -> Iterator[tuple[str, ...]]:
    """A row for each value; what many statements take alike is one."""
    told = {_row(take) for _, takes in SHARED if {take.name for take in takes} <= statement.keys.keys() for take in takes}
    for take in sorted(statement.takes, key=lambda take: tuple(Stands).index(take.stands)):
        if take.field != "choices" and _row(take) not in told:
            yield _row(take)
    yield from (row for row, takes in SHARED if {take.name for take in takes} <= statement.keys.keys())


def _row(take: Take) -> tuple[str, ...]:
    """A value as it stands in its line (`NAME`, section, "text", `along=`), what can stand there, and what it says."""
    written = {Stands.KEY: f"`{take.name}=`", Stands.FIXED: f"`{take.name}`", Stands.TEXT: '`"text"`', Stands.WORD: take.name}
    return written[take.stands], take.kind.manual, take.says


def _lines(lines: Iterable[Statement[Any]]) -> Iterator[tuple[str, ...]]:
    """The rows of each line of a block, behind one that says what it is."""
    for line in lines:
        yield f"**`{line.keyword or line.takes[0].name}`**", "", line.says
        yield from _rows(line)


def _choices() -> Iterator[tuple[str, ...]]:
    """What a project chooses for the calculation, by name."""
    chosen = (take for take in STATEMENTS["project"].takes if take.field == "choices")
    for take in sorted(chosen, key=lambda take: take.name):
        usual = USUAL.get(take.name, {"value": "", "unit": ""})
        value = _plain(usual["value"]) if isinstance(usual["value"], float) else str(usual["value"])
        yield f"`{take.name}`", take.kind.manual, take.says, f"{value} {usual['unit']}".strip()


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = (f"| {' | '.join(cells)} |" for cells in rows)
    return "\n".join((f"| {' | '.join(head)} |", "|---" * len(head) + "|", *lines)).replace("|  |", "| |")


def _plain(value: float) -> str:
    """A number without a power of ten: `0.00008`, `50`."""
    return f"{Decimal(str(value)).normalize():f}"


if __name__ == "__main__":
    PAGE.write_text(refreshed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
