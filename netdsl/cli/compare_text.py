"""A comparison as text for a person, as Markdown for a review, and as one JSON object for a program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Any

from netdsl.cli.excerpt import cells
from netdsl.cli.report import span_object

if TYPE_CHECKING:
    from netdsl.comparing import Change, Comparison
    from netdsl.findings import Span

NONE = "no change"


def text_lines(comparison: Comparison, changes: tuple[Change, ...]) -> Iterator[str]:
    """Function by function a line for each change, its places behind it, details below; at the end how many there are."""
    for heading, members in by_function(comparison, changes):
        yield heading
        for change in members:
            yield f"  {plain(change.text)}  [{places(change)}]"
            yield from (f"      {plain(detail)}" for detail in change.details)
        yield ""
    yield closing(changes)


def markdown_lines(comparison: Comparison, changes: tuple[Change, ...]) -> Iterator[str]:
    """The same as a list below a heading for each function."""
    for heading, members in by_function(comparison, changes):
        yield f"### {_escaped(heading)}"
        yield ""
        for change in members:
            yield f"- {_escaped(change.text)} ({_escaped(places(change))})"
            yield from (f"  - {_escaped(detail)}" for detail in change.details)
        yield ""
    yield closing(changes)


def closing(changes: tuple[Change, ...]) -> str:
    """How many changes there are, and how many of them concern names and texts alone."""
    number = len(changes)
    if not number:
        return NONE
    texts = sum(not change.electrical for change in changes)
    line = f"{number} change{'s'[: number > 1]}"
    if texts == number:
        return f"{line}, of names and texts alone"
    return f"{line}, {texts} of them of names and texts alone" if texts else line


def json_object(comparison: Comparison) -> dict[str, Any]:
    """The one object that `compare --format json` prints; lines and columns from 1."""
    return {
        "electrical": comparison.electrical,
        "renamed": dict(comparison.names.things),
        "changes": [
            {
                "what": change.what,
                "function": change.function,
                "subject": change.subject,
                "text": change.text,
                "electrical": change.electrical,
                "number": change.number,
                "subjects": list(change.subjects or (change.subject,)),
                "name": change.name,
                "was": change.was,
                "now": change.now,
                "details": list(change.details),
                "old": span_object(change.before) if change.before else None,
                "new": span_object(change.after) if change.after else None,
            }
            for change in comparison.changes
        ],
    }


def by_function(comparison: Comparison, changes: Iterable[Change]) -> Iterator[tuple[str, list[Change]]]:
    titles = {pair.either.id: pair.either.facts.get("title", "") for pair in comparison.pairs if pair.either.kind == "function"}
    for function, members in groupby(changes, key=lambda change: change.function):
        yield f"{function} {titles.get(function, '')}".strip() if function else "Common part", list(members)


def places(change: Change) -> str:
    """`plant.netdsl:12 -> 14`: old and new line, as far as there is one."""
    old, new = _place(change.before), _place(change.after)
    if old and new and change.before and change.after and change.before.source.path == change.after.source.path:
        return f"{old} -> {change.after.begin[0]}"
    if old and new:
        return f"{old} -> {new}"
    return f"new {new}" if new else f"old {old}" if old else "no line of its own"


def _place(span: Span | None) -> str:
    return f"{plain(span.source.path)}:{span.begin[0]}" if span is not None else ""


def plain(text: str) -> str:
    return cells(text)[0]


def _escaped(text: str) -> str:
    """Text in Markdown: what stands in backticks is code there too, the rest is taken as it is."""
    pieces = plain(text).split("`")
    for number in range(0, len(pieces), 2):
        for mark in ("\\", "*", "_", "<", "[", "|"):
            pieces[number] = pieces[number].replace(mark, f"\\{mark}")
    return "`".join(pieces)
