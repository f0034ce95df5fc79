"""Results of enclosures, and one as a value of another."""

from __future__ import annotations

from netdsl.calc.basis import Given, Limit, Result, Sense, formula
from netdsl.model.plant import Place


def enclosure_result(
    place: Place,
    name: str,
    unit: str,
    text: str,
    givens: tuple[Given, ...],
    source: str,
    note: str = "",
    limit: Given | None = None,
) -> Result:
    """A result of an enclosure, `name` behind `enclosure.`, worked out by the formula `text`."""
    return Result.worked(
        f"enclosure.{name}",
        place.id,
        place.id,
        formula(text),
        unit,
        givens,
        source,
        Limit(limit.value, Sense.AT_MOST, "highest temperature inside", limit) if limit else None,
        note=note,
        span=place.span,
    )


def value_of(symbol: str, result: Result) -> Given:
    """A result as a value of another."""
    return Given(symbol, result.value, result.unit, result.question, result=result.key)
