"""One result explained down to its inputs and their lines in the netlist."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from netdsl.calc.basis import Calculation, Input, Result, answers, figure_text
from netdsl.calc.sheet.leaning import noted
from netdsl.calc.sheet.words import origin_words, symbol, title
from netdsl.findings import Span

MAX_DEPTH = 60


class ExplainedLine(Struct, frozen=True):
    """A line of an explanation: how deep it stands, its text, the place in the netlist it comes from."""

    depth: int
    text: str
    span: Span | None = None


def results_at(calculation: Calculation, designation: str) -> tuple[Result, ...]:
    """Results about a designation: a device, place, cable, conductor, function, or a result's own key; in order of the sheet.

    Of what has none of its own, as a strip of a control circuit, an earth bar or a terminal: those of the conductors that end
    there.
    """
    if designation in calculation.by_key:
        return (calculation.by_key[designation],)
    cable = calculation.plant.cables.get(designation)
    cores = set(cable.conductors) if cable else set()
    found = tuple(
        result
        for result in calculation.results
        if designation == _thing(result.subject)
        or designation in result.conductors
        or (cores and cores & set(result.conductors))
        or designation == result.feeder
    )
    return found or _at_ends(calculation, designation)


def _thing(subject: str) -> str:
    """The device of a contact or an output, `-K1` of `-K1:13-14`; any other subject itself."""
    return subject if " -- " in subject else subject.partition(":")[0]


def _at_ends(calculation: Calculation, designation: str) -> tuple[Result, ...]:
    """Results about conductors that end at a device or terminal."""
    names = {
        name
        for name, conductor in calculation.plant.conductors.items()
        if any(designation in (end.device, end.id) for end in conductor.ends)
    }
    return tuple(result for result in calculation.results if not names.isdisjoint(result.conductors))


def designations(calculation: Calculation) -> tuple[str, ...]:
    """Every designation that `results_at` answers to, in order of the sheet."""
    plant = calculation.plant
    found: dict[str, None] = {}
    for result in calculation.results:
        cables = (plant.conductors[name].cable or "" for name in result.conductors)
        found.update(dict.fromkeys((result.subject, result.feeder, *cables, *result.conductors)))
    found.pop("", None)
    return tuple(found)


def explained(calculation: Calculation, results: Sequence[Result]) -> Iterator[ExplainedLine]:
    """Each result with its formula and inputs; an input that is a result in turn is explained below it, once."""
    told: set[str] = set()
    for result in results:
        if result.key not in told:
            yield from _one(calculation, result, 0, told)


def _one(calculation: Calculation, result: Result, depth: int, told: set[str]) -> Iterator[ExplainedLine]:
    told.add(result.key)
    yield ExplainedLine(depth, f"{title(result.question)} of {result.subject}: {result.shown}{verdict(result)}", result.span)
    name = symbol(result.question)
    if result.computed:
        yield ExplainedLine(depth + 1, f"{name} = {result.formula_text}")
    if result.computed and result.inserted != result.formula_text:
        yield ExplainedLine(depth + 1, f"{' ' * len(name)} = {result.inserted} = {result.shown}")
    if result.source:
        yield ExplainedLine(depth + 1, f"after {result.source}")
    note = noted(calculation, result)
    if note:
        yield ExplainedLine(depth + 1, note)
    for given in (*result.rests_on, *((result.limit_given,) if result.limit_given is not None else ())):
        yield from _given(calculation, given, depth + 1, told)


def _given(calculation: Calculation, given: Input, depth: int, told: set[str]) -> Iterator[ExplainedLine]:
    behind = calculation.by_key.get(given.result)
    where = f", {origin_words(given.source, given.confidence)}" if given.source or given.confidence else ""
    words = f" {title(given.words).lower() if given.words in answers() else given.words}" if given.words else ""
    if behind is None:
        yield ExplainedLine(depth, f"{given.symbol} = {given.shown}{words}{where}", given.span)
    elif behind.key in told or depth > MAX_DEPTH:
        yield ExplainedLine(depth, f"{given.symbol} = {given.shown}{words}, computed above", given.span)
    else:
        yield ExplainedLine(depth, f"{given.symbol} = {given.shown}{words}:", given.span)
        yield from _one(calculation, behind, depth + 1, told)


def verdict(result: Result) -> str:
    """`, at most 5 %, margin 32 %` or `, at most 5 %: NOT kept`; "" without a limit."""
    if result.limit is None or not result.sense:
        return ""
    words = f" ({result.limit_words})" if result.limit_words else ""
    limit = f", {result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip() + words
    margin = result.margin_percent
    if not result.holds:
        return f"{limit}: NOT KEPT"
    return limit + (f", margin {round(margin)} %" if margin is not None else "")
