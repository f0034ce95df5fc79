"""What a result that keeps its limit narrowly rests on without anybody having stated it."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Calculation, Input, Result, answers

#: a margin below this is said to lean on what was assumed, percent
NARROW_PERCENT = 10.0
_NAMED = 4


def leaning(calculation: Calculation, result: Result) -> str:
    """`margin below 10 %, resting on what is assumed: factor ... (1.5)`; "" where the margin is wider, none is kept, or all that
    it rests on is stated or verified."""
    margin = result.margin_percent
    if margin is None or not result.holds or margin >= NARROW_PERCENT or not answers()[result.question].graded:
        return ""
    listed = frozenset(each.words for each in calculation.assumptions)
    found: dict[str, None] = {}
    _gather(calculation, result, listed, found, {result.key})
    if not found:
        return ""
    more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    return f"margin below {NARROW_PERCENT:g} %, resting on what is assumed: {'; '.join(list(found)[:_NAMED])}{more}"


def narrow(calculation: Calculation) -> Iterator[tuple[Result, str]]:
    """What keeps its limit by less than that on what nobody stated, the narrowest first, with what it rests on."""
    found = ((result, leaning(calculation, result)) for result in calculation.results)
    yield from sorted((each for each in found if each[1]), key=lambda each: (each[0].margin_percent or 0.0, each[0].key))


def noted(calculation: Calculation, result: Result) -> str:
    """The note of a result, with what it leans on."""
    return "; ".join(each for each in (result.note, leaning(calculation, result)) if each)


def _gather(calculation: Calculation, result: Result, listed: frozenset[str], found: dict[str, None], seen: set[str]) -> None:
    givens = (*result.rests_on, *((result.limit_given,) if result.limit_given is not None else ()))
    for given in givens:
        if _assumed(given, listed):
            found[f"{given.words or given.symbol} ({given.shown})"] = None
    for given in givens:
        behind = calculation.by_key.get(given.result) if given.result else None
        if behind is not None and behind.key not in seen:
            seen.add(behind.key)
            _gather(calculation, behind, listed, found, seen)


def _assumed(given: Input, listed: frozenset[str]) -> bool:
    """Whether nobody stated a value: it is a choice that the project left open, or usual in the trade."""
    if given.span is not None or given.result:
        return False
    return given.confidence == "common practice" or f"{given.words}: {given.shown}" in listed
