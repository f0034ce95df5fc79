"""The calculation sheet as text for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.sheet import (
    CAUTIONS,
    about,
    circuit_rows,
    explained,
    leaning,
    least_margin,
    margin_text,
    not_judged,
    noted,
    origin_words,
    sections_of,
    selectivity_word,
    sources_of,
    summary_of,
    title,
    verdict,
    worked,
)
from netdsl.cli.excerpt import cells
from netdsl.findings import Span

_CIRCUITS: tuple[str, ...] = (
    *("circuit", "load", "device", "conductor", "Iz", "drop"),
    *("Ik max", "Ik min", "disconnection", "selectivity", "margin", "of"),
)


def sheet_lines(calculation: Calculation, results: Sequence[Result]) -> Iterator[str]:
    """The whole sheet: what it is, cautions, summary, a line for each circuit, what is missing, not judged and assumed, then the
    results by circuit."""
    yield "Calculation sheet"
    yield from map(_plain, about(calculation))
    yield ""
    yield from CAUTIONS
    yield from summary_lines(calculation, results)
    yield from circuit_lines(calculation, results)
    yield from missing_lines(calculation)
    yield from not_judged_lines(calculation)
    yield from assumption_lines(calculation)
    for section in sections_of(calculation, results):
        yield ""
        yield f"== {_plain(section.heading)} =="
        for result in section.results:
            yield ""
            yield from _result_lines(calculation, result)


def summary_lines(calculation: Calculation, results: Sequence[Result]) -> Iterator[str]:
    """How many figures and limits, those not kept, what could not be computed, the smallest margins."""
    summary = summary_of(calculation, results)
    yield ""
    yield "== Summary =="
    yield summary.counts
    for heading, found in (("Not kept:", summary.broken), ("Smallest margins:", summary.tightest)):
        if found:
            yield ""
            yield heading
        for result in found:
            where = "" if result.feeder in ("", result.subject) else f" [{result.feeder}]"
            leans = ", resting on what is assumed" if leaning(calculation, result) else ""
            yield _plain(f"  {title(result.question)} of {result.subject}{where}: {result.shown}{verdict(result)}{leans}")


def circuit_lines(calculation: Calculation, results: Sequence[Result]) -> Iterator[str]:
    """A line for each circuit, that with the least margin first."""
    found = circuit_rows(calculation, results, [left.feeder for left in not_judged(calculation)])
    if not found:
        return
    rows = [_CIRCUITS]
    for row in sorted(found, key=least_margin):
        figures = (row.load, row.capacity, row.drop, row.largest, row.smallest, row.disconnection)
        load, capacity, drop, largest, smallest, loop = (each.shown if each is not None else "-" for each in figures)
        selective = selectivity_word(row.selectivity) if row.selectivity is not None else "-"
        of = f"{title(row.worst.question)} of {row.worst.subject}" if row.worst is not None else "no limit is computed"
        of += f"; not computed: {', '.join(row.missing)}" if row.missing else ""
        of += f"; not judged: {row.left}" if row.left else ""
        margin = margin_text(row.worst) if row.worst is not None else "-"
        device, conductor = row.device or "-", row.conductor or "-"
        rows.append((row.circuit, load, device, conductor, capacity, drop, largest, smallest, loop, selective, margin, of))
    widths = [max(len(_plain(row[n])) for row in rows) for n in range(len(rows[0]))]
    yield ""
    yield "== Circuits, that with the least margin first =="
    for each in rows:
        yield "  ".join(_plain(cell).ljust(width) for cell, width in zip(each, widths, strict=True)).rstrip()


def _result_lines(calculation: Calculation, result: Result) -> Iterator[str]:
    yield f"{title(result.question)} of {_plain(result.subject)}: {result.shown}{_plain(verdict(result))}"
    for line in worked(result):
        yield f"    {_plain(line)}"
    sources = sources_of(result, symbols=True)
    if sources:
        yield f"    source: {_plain('; '.join(sources))}"
    note = noted(calculation, result)
    if note:
        yield f"    {_plain(note)}"


def not_judged_lines(calculation: Calculation) -> Iterator[str]:
    """What is left out on purpose, those with one reason together."""
    together: dict[tuple[str, str], list[str]] = {}
    for each in not_judged(calculation):
        together.setdefault((each.what, each.reason), []).append(each.device)
    if together:
        yield ""
        yield "== Not judged =="
    for (what, reason), devices in together.items():
        yield _plain(f"{what} of {', '.join(devices)}: {reason}")


def missing_lines(calculation: Calculation) -> Iterator[str]:
    """Data that is missing, and what is therefore not computed."""
    if calculation.missing:
        yield ""
        yield "== Missing data =="
    for gap in calculation.missing:
        things = ", ".join(gap.things)
        yield _plain(
            f"{gap.feeder or 'plant'}: {gap.kind} of {things}: not computed: {', '.join(gap.absent)};"
            f" {gap.remedy} ({place(gap.span)})"
        )


def assumption_lines(calculation: Calculation) -> Iterator[str]:
    """What was used without being stated."""
    if calculation.assumptions:
        yield ""
        yield "== Assumptions =="
        yield (
            "Used because neither the project nor the thing itself states them; a word of that name in the `project` statement,"
            " or at the thing itself, replaces each."
        )
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
    return text if text.isprintable() else cells(text)[0]
