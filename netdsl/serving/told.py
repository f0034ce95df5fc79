"""Findings as they go from the process that judges whole plants to the server: places by path and offset."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec import Struct

from netdsl.findings import Edit, Finding, Related, Severity, Span

#: path of a text, and the characters of it from and up to which something stands, in code points
Place = tuple[str, int, int]


class Asked(Struct):
    """A plant to be judged: its `file`, the ISO date of `today`, texts that are not as on the disk, by path from its folder."""

    file: str
    today: str
    texts: dict[str, str]


class Told(Struct):
    """A Finding with its places as `Place`s."""

    rule: str
    severity: str
    message: str
    remedy: str
    place: Place
    subjects: tuple[str, ...]
    source: str
    related: list[tuple[str, Place]]
    allowed: str | None
    fix: list[tuple[Place, str]]


def told(finding: Finding) -> Told:
    """A finding put so."""
    return Told(
        finding.rule,
        finding.severity.value,
        finding.message,
        finding.remedy,
        _place(finding.span),
        finding.subjects,
        finding.source,
        [(each.message, _place(each.span)) for each in finding.related],
        finding.allowed,
        [(_place(edit.span), edit.text) for edit in finding.fix],
    )


def _place(span: Span) -> Place:
    return (span.source.path, span.start, span.end)


def heard(all_told: Iterable[Told], span_at: Callable[[Place], Span | None]) -> tuple[Finding, ...]:
    """The findings again; `span_at` says where a place is now, None where it is in no text that is known."""
    result = []
    for each in all_told:
        span = span_at(each.place)
        if span is None:
            continue
        related = [Related(message, found) for message, place in each.related if (found := span_at(place)) is not None]
        edits = [Edit(found, text) for place, text in each.fix if (found := span_at(place)) is not None]
        result.append(
            Finding(
                each.rule,
                Severity(each.severity),
                each.message,
                each.remedy,
                span,
                each.subjects,
                each.source,
                tuple(related),
                each.allowed,
                tuple(edits) if len(edits) == len(each.fix) else (),
            )
        )
    return tuple(result)
