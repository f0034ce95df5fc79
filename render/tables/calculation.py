"""The calculation sheets: every result with formula, values put in and what they are, source and margin; then what is missing,
what is assumed, and the sources by number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc import Calculation
from netdsl.calc.basis import Input, Result, answers, figure_text
from netdsl.calc.sheet import (
    CAUTIONS,
    CONFIDENCES,
    IN_SHORT,
    SUPPORT,
    Sources,
    about,
    in_series,
    not_judged,
    noted,
    sections_of,
    summary_of,
    title,
    told,
    worked,
)
from render.layout.frame import framed, size_of
from render.sheet import DESIGNATION, Sheet
from render.tables.grid import Cell, Column, Entry, Table, table_sheets

_RESULTS = (
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=56.0, least=24.0),
    Column("value", most=30.0, least=30.0),
    Column("limit", most=56.0, least=24.0),
    Column("margin", most=22.0, least=12.0),
    Column("formula, values put in, what they are", most=230.0, least=80.0),
    Column("source", most=12.0, least=12.0),
)
#: on a sheet too narrow for that: value, limit and margin below each other
_NARROW = (
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=50.0, least=24.0),
    Column("value, limit, margin", most=50.0, least=36.0),
    Column("formula, values put in, what they are", most=230.0, least=80.0),
    Column("source", most=12.0, least=12.0),
)
_SUMMARY = (
    Column("circuit", DESIGNATION, 40.0, 16.0),
    Column("subject", DESIGNATION, 62.0, 26.0),
    Column("result", most=80.0, least=30.0),
    Column("value", most=30.0, least=30.0),
    Column("limit", most=110.0, least=30.0),
    Column("margin", most=22.0, least=12.0),
)
_LEFT_OUT = (
    Column("circuit", DESIGNATION, 40.0, 20.0),
    Column("device", DESIGNATION, 40.0, 30.0),
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
    Column("confidence", most=40.0, least=40.0),
)
_SOURCES = (
    Column("number", most=16.0, least=12.0),
    Column("source", most=160.0, least=60.0),
    Column("confidence", most=40.0, least=40.0),
    Column("used in", most=200.0, least=60.0),
)
_KIND = "Calculation sheet"
#: in place of the cautions on every sheet but the first
_IN_SHORT = (f"{IN_SHORT} Cautions in full: sheet CS1.",)
_READING = (
    "Margin: how far a value stays from its limit, in percent of the limit.",
    "Numbers in brackets are those of the list of sources, sheet CQ1. Figures marked as from memory are to be looked up before "
    "anyone relies on them; common practice has no single authority; those without a mark were read in print.",
    "Conductors are given as section, length, resistance per length at 20 °C, temperature.",
)
_BEHIND = "What lacks data is not computed, nor what rests on it: neither in the circuit named nor in those that it feeds."
_REPLACED = (
    "Used because neither the project nor the thing itself states them; a word of that name in the project statement, or at the "
    "thing itself, replaces each."
)


def calculation_sheets(calculation: Calculation, results: Sequence[Result], errors: int = 0) -> tuple[Sheet, ...]:
    """The sheets with their frames; `errors`: error findings of the plant, noted on each."""
    project = calculation.plant.project
    size = size_of(project)
    sources, narrow = Sources(), size == "A4"
    worked_out = tuple(_results(calculation, results, sources, narrow))
    tables = (
        _table("summary", "CS", "Summary", _SUMMARY, tuple(_summary(calculation, results)), project.title, CAUTIONS),
        _table("results", "CR", "Results", _NARROW if narrow else _RESULTS, worked_out, project.title),
        _table("not-judged", "CN", "Not judged", _LEFT_OUT, tuple(_left_out(calculation)), project.title),
        _table("missing", "CM", "Missing data", _MISSING, tuple(_missing(calculation)), project.title),
        _table("assumptions", "CA", "Assumptions", _ASSUMED, tuple(_assumed(calculation)), project.title),
        _table("sources", "CQ", "Sources", _SOURCES, tuple(_named(sources)), project.title),
    )
    return tuple(framed(sheet, project, errors) for table in tables for sheet in table_sheets(table, size))


def _table(
    key: str,
    number: str,
    heading: str,
    columns: tuple[Column, ...],
    entries: tuple[Entry, ...],
    project: str,
    notes: tuple[str, ...] = _IN_SHORT,
) -> Table:
    return Table(key, number, heading, _KIND, project, columns, entries, notes, formulas=True, later=_IN_SHORT)


def _remarks(texts: Sequence[str]) -> Iterator[Entry]:
    return (Entry((), "", text, remark=True) for text in texts)


def _summary(calculation: Calculation, results: Sequence[Result]) -> Iterator[Entry]:
    """What the sheets are, how many figures they hold, how to read them, what is not kept, and what is kept by the least."""
    summary = summary_of(calculation, results)
    for line in (f"Calculation sheet: {about(calculation)[0]}", *about(calculation)[1:]):
        yield Entry((), "", line)
    yield Entry((), "", SUPPORT[0].partition(":")[0] + ".")
    yield Entry((), "", summary.counts)
    yield from _remarks((_lists(calculation), *_READING))
    for heading, found in (("Not kept", summary.broken), ("Smallest margins", summary.tightest)):
        if found:
            yield Entry((), "", heading)
        for result in found:
            yield Entry((Cell(result.feeder, result.feeder), *_outcome(result)), result.subject)


def _lists(calculation: Calculation) -> str:
    """How much is not judged, missing and assumed, with the sheets that say what."""
    counts = (
        ("Not judged", "CN1", len(not_judged(calculation))),
        ("missing data", "CM1", len(calculation.missing)),
        ("assumptions", "CA1", len(calculation.assumptions)),
    )
    return "; ".join(f"{name}: {count}, sheet {sheet}" if count else f"{name}: none noted" for name, sheet, count in counts)


def _results(calculation: Calculation, results: Sequence[Result], sources: Sources, narrow: bool) -> Iterator[Entry]:
    for section in sections_of(calculation, results):
        yield Entry((), section.feeder, section.heading)
        before: Result | None = None
        for result in section.results:
            cells = tuple(_result(calculation, result, before, sources))
            yield Entry(_stacked(cells) if narrow else cells, result.subject)
            before = result


def _stacked(cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """Value, limit and margin in one cell."""
    subject, name, value, limit, margin, *others = cells
    kept = f"margin {margin.text}" if margin.text[:1].isdigit() else margin.text
    return subject, name, Cell("\n".join(text for text in (value.text, limit.text, kept) if text)), *others


def _left_out(calculation: Calculation) -> Iterator[Entry]:
    for left in not_judged(calculation):
        yield Entry(tuple(Cell(text) for text in (left.feeder, left.device, left.what, left.reason)), left.device)


def _outcome(result: Result) -> tuple[Cell, ...]:
    """Subject, result, value, limit and margin."""
    return (
        Cell(result.subject, result.subject),
        Cell(title(result.question)),
        Cell(result.shown),
        Cell(_limit(result)),
        Cell(_margin(result)),
    )


def _result(calculation: Calculation, result: Result, before: Result | None, sources: Sources) -> Iterator[Cell]:
    """The cells of a result. What the row `before` it, of the same subject, says beside its formula is not said again."""

    def mark(given: Input) -> str:
        return sources.mark(given.source, given.confidence, result.question)

    subject, name, value, limit, margin = _outcome(result)
    own = sources.mark(result.source, "", result.question)
    said_before = before.rests_on if before is not None and before.subject == result.subject else ()
    series = in_series(calculation, result.conductors, mark) if answers()[result.question].in_series else ""
    said = told(result, mark, said_before, series)
    formula = [line.strip() for line in worked(result)] if result.computed else []
    note = noted(calculation, result)
    words = (note, *said) if result.computed else (*said, note)
    limit_mark = mark(result.limit_given) if result.limit_given is not None else ""
    yield from (subject, name, value, Cell(f"{limit.text} {limit_mark}".strip()), margin)
    yield Cell("\n".join(text for text in (*formula, "; ".join(each for each in words if each)) if text))
    yield Cell(own)


def _limit(result: Result) -> str:
    if result.limit is None or not result.sense:
        return ""
    limit = f"{result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip()
    return f"{limit}, {result.limit_words}" if result.limit_words else limit


def _margin(result: Result) -> str:
    margin = result.margin_percent
    if not result.holds:
        return "NOT KEPT" if margin is None else f"NOT KEPT, by {-margin:.0f} %"
    return "" if margin is None else f"{round(margin)} %"


def _missing(calculation: Calculation) -> Iterator[Entry]:
    if calculation.missing:
        yield from _remarks((_BEHIND,))
    for gap in calculation.missing:
        where = f"{gap.span.source.path}:{gap.span.begin[0]}"
        remedy = f"{gap.remedy.replace('`', '')} ({where})"
        texts = (gap.feeder, gap.kind, ", ".join(gap.things), ", ".join(gap.absent), remedy)
        yield Entry(tuple(Cell(text) for text in texts), gap.feeder)


def _assumed(calculation: Calculation) -> Iterator[Entry]:
    if calculation.assumptions:
        yield from _remarks((_REPLACED,))
    for assumption in calculation.assumptions:
        sure = CONFIDENCES.get(assumption.confidence, assumption.confidence)
        texts = (assumption.name, assumption.words.replace("`", ""), assumption.source, sure)
        yield Entry(tuple(Cell(text) for text in texts))


def _named(sources: Sources) -> Iterator[Entry]:
    for source in sources.named():
        sure = CONFIDENCES.get(source.confidence, source.confidence) or "names a formula"
        texts = (f"[{source.number}]", source.text, sure, ", ".join(source.questions))
        yield Entry(tuple(Cell(text) for text in texts))
