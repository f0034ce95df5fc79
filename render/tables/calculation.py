"""The calculation sheets: every result with formula, values put in, source and margin; then what is missing and assumed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc.calculation import Calculation
from netdsl.calc.results import Result, figure_text
from netdsl.calc.sheet import about, not_judged, sections_of, sources_of, summary_of, worked
from netdsl.calc.words import CAUTIONS, SUPPORT, origin_words, title
from render.drawings.terminals import size_of
from render.layout.frame import framed
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import Cell, Column, Entry, Table, table_sheets

_RESULTS = (
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=56.0, least=24.0),
    Column("value", most=30.0, least=30.0),
    Column("limit", most=62.0, least=24.0),
    Column("margin", most=16.0, least=12.0),
    Column("formula and values put in", most=130.0, least=55.0),
    Column("source", most=90.0, least=34.0),
)
_SUMMARY = (
    Column("circuit", DESIGNATION, 40.0, 16.0),
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=80.0, least=30.0),
    Column("value", most=30.0, least=30.0),
    Column("limit", most=110.0, least=30.0),
    Column("margin", most=16.0, least=12.0),
)
_LEFT_OUT = (
    Column("circuit", DESIGNATION, 40.0, 20.0),
    Column("device", DESIGNATION, 40.0, 20.0),
    Column("not judged", most=80.0, least=30.0),
    Column("reason", most=200.0, least=60.0),
)
_MISSING = (
    Column("circuit", DESIGNATION, 40.0, 20.0),
    Column("missing", most=40.0, least=20.0),
    Column("of", most=120.0, least=40.0),
    Column("not computed", most=120.0, least=40.0),
    Column("what to write", most=80.0, least=30.0),
)
_ASSUMED = (
    Column("choice", most=60.0, least=30.0),
    Column("value used", most=200.0, least=60.0),
    Column("source", most=130.0, least=40.0),
)
_KIND = "Calculation sheet"


def calculation_sheets(calculation: Calculation, results: Sequence[Result], errors: int = 0) -> tuple[Sheet, ...]:
    """The sheets with their frames; `errors`: error findings of the plant, noted on each."""
    size = size_of(calculation.network)
    project = calculation.plant.project
    tables = (
        _table("summary", "CS", "Summary", _SUMMARY, tuple(_summary(calculation, results)), project.title),
        _table("results", "CR", "Results", _RESULTS, tuple(_results(calculation, results)), project.title),
        _table("not-judged", "CN", "Not judged", _LEFT_OUT, tuple(_left_out(calculation)), project.title),
        _table("missing", "CM", "Missing data", _MISSING, tuple(_missing(calculation)), project.title),
        _table("assumptions", "CA", "Assumptions", _ASSUMED, tuple(_assumed(calculation)), project.title),
    )
    return tuple(framed(sheet, project, errors) for table in tables for sheet in table_sheets(table, size))


def _table(key: str, number: str, heading: str, columns: tuple[Column, ...], entries: tuple[Entry, ...], project: str) -> Table:
    return Table(key, number, heading, _KIND, project, columns, entries, CAUTIONS, formulas=True)


def _summary(calculation: Calculation, results: Sequence[Result]) -> Iterator[Entry]:
    """What the sheets are, how many figures they hold, what is not kept, and what is kept by the least."""
    summary = summary_of(results)
    for line in (f"Calculation sheet: {about(calculation)[0]}", *about(calculation)[1:]):
        yield Entry((), "", line)
    yield Entry((), "", SUPPORT[0].partition(":")[0] + ".")
    yield Entry((), "", summary.counts)
    for heading, found in (("Not kept", summary.broken), ("Smallest margins", summary.tightest)):
        if found:
            yield Entry((), "", heading)
        for result in found:
            cells = (Cell(result.feeder, result.feeder), *_result(result))
            yield Entry(cells[:6], result.subject)


def _results(calculation: Calculation, results: Sequence[Result]) -> Iterator[Entry]:
    for section in sections_of(calculation, results):
        yield Entry((), section.feeder, section.heading)
        for result in section.results:
            yield Entry(tuple(_result(result)), result.subject)


def _left_out(calculation: Calculation) -> Iterator[Entry]:
    for left in not_judged(calculation):
        yield Entry(tuple(Cell(text) for text in (left.feeder, left.device, left.what, left.reason)), left.device)


def _result(result: Result) -> Iterator[Cell]:
    yield Cell(result.subject, result.subject)
    yield Cell(title(result.question))
    yield Cell(result.shown)
    limit = (
        f"{result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip()
        if result.limit is not None and result.sense
        else ""
    )
    yield Cell(f"{limit}, {result.limit_words}" if limit and result.limit_words else limit)
    yield Cell(_margin(result))
    formula = (line.strip() for line in worked(result))
    yield Cell("\n".join(text for text in (*formula, result.note) if text))
    yield Cell("; ".join(sources_of(result, symbols=False)))


def _margin(result: Result) -> str:
    margin = result.margin_percent
    if margin is None:
        return ""
    return f"{margin:.0f} %" if result.holds else "NOT KEPT"


def _missing(calculation: Calculation) -> Iterator[Entry]:
    for gap in calculation.missing:
        texts = (gap.feeder, gap.kind, ", ".join(gap.things), ", ".join(gap.absent), gap.remedy.replace("`", ""))
        yield Entry(tuple(Cell(text) for text in texts), gap.feeder)


def _assumed(calculation: Calculation) -> Iterator[Entry]:
    for assumption in calculation.assumptions:
        texts = (assumption.name, assumption.words, origin_words(assumption.source, assumption.confidence))
        yield Entry(tuple(Cell(text) for text in texts))
