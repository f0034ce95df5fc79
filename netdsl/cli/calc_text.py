"""The calculation sheet as text for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc.calculation import Calculation
from netdsl.calc.explanation import explained, verdict
from netdsl.calc.results import Given, Result
from netdsl.calc.words import CAUTIONS, origin_words, symbol, title
from netdsl.cli.excerpt import cells
from netdsl.findings import Span


def sheet_lines(calculation: Calculation, results: Sequence[Result]) -> Iterator[str]:
    """The whole sheet: cautions, results by feeder, missing data, assumptions."""
    project = calculation.plant.project
    number = project.attributes.get("number", "")
    yield f"Calculation sheet: {_plain(project.title)}" + (f", {_plain(number)}" if number else "")
    yield ""
    yield from CAUTIONS
    for feeder, group in by_feeder(results).items():
        yield ""
        yield f"== {_feeder_words(calculation, feeder)} =="
        for result in group:
            yield ""
            yield from _result_lines(result)
    yield from missing_lines(calculation)
    yield from assumption_lines(calculation)


def by_feeder(results: Sequence[Result]) -> dict[str, list[Result]]:
    """Results by the circuit they are listed under, in order of first mention; those of the plant as a whole last."""
    found: dict[str, list[Result]] = {}
    for result in results:
        found.setdefault(result.feeder, []).append(result)
    if "" in found:
        found[""] = found.pop("")
    return found


def _feeder_words(calculation: Calculation, feeder: str) -> str:
    plant = calculation.plant
    for table in (plant.functions, plant.devices, plant.places):
        if feeder in table:
            text: str = table[feeder].title
            return f"{feeder} {_plain(text)}".rstrip()
    return feeder or "The plant as a whole"


def _result_lines(result: Result) -> Iterator[str]:
    yield f"{title(result.question)} of {_plain(result.subject)}: {result.shown}{_plain(verdict(result))}"
    if result.computed:
        yield f"    {symbol(result.question)} = {_plain(result.formula_text)}"
    if result.computed and result.inserted != result.formula_text:
        yield f"    {' ' * len(symbol(result.question))} = {_plain(result.inserted)}"
    sources = [result.source, *(given_words(given) for given in result.givens if given.source or given.confidence)]
    if result.limit_given is not None:
        sources.append(given_words(result.limit_given))
    kept = [_plain(source) for source in dict.fromkeys(sources) if source]
    if kept:
        yield f"    source: {'; '.join(kept)}"
    if result.note:
        yield f"    {_plain(result.note)}"


def given_words(given: Given) -> str:
    """A value with what it is and where it comes from, for a list of sources."""
    where = origin_words(given.source, given.confidence)
    return f"{given.symbol}: {where}" if where else ""


def missing_lines(calculation: Calculation) -> Iterator[str]:
    """Data that is missing, and what is therefore not computed."""
    if calculation.missing:
        yield ""
        yield "== Missing data =="
    for gap in calculation.missing:
        things = ", ".join(gap.things)
        yield _plain(
            f"{gap.feeder or 'plant'}: {gap.kind} of {things}: not computed: {', '.join(gap.absent)}; {gap.remedy} ({place(gap.span)})"
        )


def assumption_lines(calculation: Calculation) -> Iterator[str]:
    """What was used without being stated."""
    if calculation.assumptions:
        yield ""
        yield "== Assumptions =="
        yield "Used because neither the project nor the thing itself states them; a `project` statement replaces each by its name."
    for assumption in calculation.assumptions:
        yield _plain(f"{assumption.name}: {assumption.words}; {origin_words(assumption.source, assumption.confidence)}")


def explanation_lines(calculation: Calculation, results: Sequence[Result]) -> Iterator[str]:
    """Results explained down to the lines of the netlist."""
    for line in explained(calculation, results):
        if not line.depth:
            yield ""
        where = f"  [{place(line.span)}]" if line.span is not None else ""
        yield f"{'  ' * line.depth}{_plain(line.text)}{where}"
    yield ""
    yield from CAUTIONS


def place(span: Span) -> str:
    """`plant.netdsl:12`."""
    return f"{span.source.path}:{span.begin[0]}"


def _plain(text: str) -> str:
    """`text` without anything that would act on a terminal: it may quote the plant's text."""
    return cells(text)[0]
