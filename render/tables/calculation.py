"""The calculation sheets: every result with formula, values put in, source and margin; then what is missing and assumed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc.calculation import Calculation
from netdsl.calc.results import Result, figure_text
from netdsl.calc.words import CAUTIONS, origin_words, symbol, title
from render.drawings.terminals import size_of
from render.layout.frame import framed
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import Cell, Column, Entry, Table, table_sheets

_RESULTS = (
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=56.0, least=24.0),
    Column("value", most=24.0, least=16.0),
    Column("limit", most=40.0, least=18.0),
    Column("margin", most=16.0, least=12.0),
    Column("formula and values put in", most=130.0, least=60.0),
    Column("source", most=110.0, least=40.0),
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
        _table("results", "CR", "Results", _RESULTS, tuple(_results(calculation, results)), project.title),
        _table("missing", "CM", "Missing data", _MISSING, tuple(_missing(calculation)), project.title),
        _table("assumptions", "CA", "Assumptions", _ASSUMED, tuple(_assumed(calculation)), project.title),
    )
    return tuple(framed(sheet, project, errors) for table in tables for sheet in table_sheets(table, size))


def _table(key: str, number: str, heading: str, columns: tuple[Column, ...], entries: tuple[Entry, ...], project: str) -> Table:
    return Table(key, number, heading, _KIND, project, columns, entries, CAUTIONS)


def _results(calculation: Calculation, results: Sequence[Result]) -> Iterator[Entry]:
    by_feeder: dict[str, list[Result]] = {}
    for result in results:
        by_feeder.setdefault(result.feeder, []).append(result)
    if "" in by_feeder:
        by_feeder[""] = by_feeder.pop("")
    for feeder, group in by_feeder.items():
        yield Entry((), feeder, _heading(calculation, feeder))
        for result in group:
            yield Entry(tuple(_result(result)), result.subject)


def _heading(calculation: Calculation, feeder: str) -> str:
    plant = calculation.plant
    for table in (plant.functions, plant.devices, plant.places):
        if feeder in table:
            return f"{feeder} {table[feeder].title}".rstrip()
    return feeder or "The plant as a whole"


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
    inserted = f" = {result.inserted}" if result.inserted != result.formula_text else ""
    formula = f"{symbol(result.question)} = {result.formula_text}{inserted}" if result.computed else ""
    yield Cell("; ".join(text for text in (formula, result.note) if text))
    yield Cell(_sources(result))


def _margin(result: Result) -> str:
    margin = result.margin_percent
    if margin is None:
        return ""
    return f"{margin:.0f} %" if result.holds else "NOT KEPT"


def _sources(result: Result) -> str:
    """The sources of a result: of its formula, and of each figure in it, once each."""
    givens = (*result.givens, *([result.limit_given] if result.limit_given else []))
    found = [result.source, *(origin_words(given.source, given.confidence) for given in givens)]
    return "; ".join(dict.fromkeys(words for words in found if words))


def _missing(calculation: Calculation) -> Iterator[Entry]:
    for gap in calculation.missing:
        texts = (gap.feeder, gap.kind, ", ".join(gap.things), ", ".join(gap.absent), gap.remedy)
        yield Entry(tuple(Cell(text) for text in texts), gap.feeder)


def _assumed(calculation: Calculation) -> Iterator[Entry]:
    for assumption in calculation.assumptions:
        texts = (assumption.name, assumption.words, origin_words(assumption.source, assumption.confidence))
        yield Entry(tuple(Cell(text) for text in texts))
