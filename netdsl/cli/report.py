"""Findings as text for a person and as one JSON object for a program."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from typing import IO, TYPE_CHECKING, Any

import click

from netdsl import __version__
from netdsl.cli.excerpt import cells, excerpt
from netdsl.findings import Finding, Severity, Span

if TYPE_CHECKING:
    from netdsl.cli.work import Judged

#: findings shown to a person: nobody reads more at once, and a text may give one in each of its lines
MOST = 1000
_COLOURS = {"error": "red", "warning": "yellow", "note": "cyan", "allowed": "green"}


def wants_colour(stream: IO[str]) -> bool:
    """Colour only on a terminal that can show it and where `NO_COLOR` is not set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def counts(findings: Iterable[Finding]) -> dict[str, int]:
    """Findings per severity; the excepted ones counted as `allowed` only."""
    result = {"error": 0, "warning": 0, "note": 0, "allowed": 0}
    for finding in findings:
        result["allowed" if finding.allowed is not None else finding.severity.value] += 1
    return result


def reaches(findings: Iterable[Finding], level: str) -> bool:
    """Whether a finding that is not excepted is at or above `level`."""
    limit = Severity(level).rank
    return any(finding.allowed is None and finding.severity.rank <= limit for finding in findings)


# --- text ---------------------------------------------------------------------------------------------------------
def text_report(findings: Sequence[Finding], colour: bool) -> Iterator[str]:
    """Lines of all findings, a blank one behind each; of thousands the first ones, and how many more there are."""
    for finding in findings[:MOST]:
        yield from _finding_lines(finding, colour)
        yield ""
    if len(findings) > MOST:
        yield f"{len(findings) - MOST} more findings are not shown here: mend these first, or see `--format json`"
        yield ""


def _finding_lines(finding: Finding, colour: bool) -> Iterator[str]:
    """Head, source line, remedy, source and related places of one finding."""
    word = "allowed" if finding.allowed is not None else finding.severity.value

    def paint(text: str) -> str:
        return click.style(text, fg=_COLOURS[word], bold=True) if colour else text

    yield f"{_place(finding.span)}: {paint(word)} {finding.rule}: {_plain(finding.message)}"
    yield from excerpt(finding.span, paint)
    if finding.allowed is not None:
        yield f"  allowed: {_plain(finding.allowed)}"
    elif finding.remedy:
        yield f"  remedy: {_plain(finding.remedy)}"
    if finding.source:
        yield f"  source: {_plain(finding.source)}"
    for related in finding.related:
        yield f"  {_place(related.span)}: {_plain(related.message)}"
        yield from excerpt(related.span, indent="    ")


def _place(span: Span) -> str:
    line, column = span.begin
    return f"{_plain(span.source.path)}:{line}:{column}"


def _plain(text: str) -> str:
    """`text` without anything that would act on a terminal: it may quote the plant's text."""
    return cells(text)[0]


def closing_line(judged: Judged) -> str:
    """How many findings of each kind, by how many rules, and of how much something could not be judged; never worded as a proof
    that the plant is right."""
    number = counts(judged.findings)
    parts = [_counted(number[word], word) for word in ("error", "warning", "note") if number[word]]
    if number["allowed"]:
        parts.append(f"{number['allowed']} allowed")
    line = ", ".join(parts) or "no finding"
    verdict = judged.verdict
    if verdict is not None:
        things = len(verdict.subjects)
        line += f"; {len(verdict.applied)} rules looked at {_counted(things, 'thing')}"
        left = len(verdict.left)
        line += f", {left} of them could not be judged in some respect (`--coverage` says why)" if left else ""
    if not judged.checked:
        return f"{line}; what the text with errors is about was left unjudged"
    if not parts:
        return f"{line}; a skilled person still has to judge the plant"
    return line


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


# --- JSON ---------------------------------------------------------------------------------------------------------
def json_report(judged: Judged) -> dict[str, Any]:
    """The one object that `check --format json` prints; lines and columns from 1, the end just behind the last character.
    `rules`: names of those applied; `subjects`: how many things they had to look at; `not_judged`: what they could not."""
    verdict = judged.verdict
    return {
        "tool": "netdsl",
        "version": __version__,
        "findings": [_finding_object(finding) for finding in judged.findings],
        "summary": counts(judged.findings),
        "rules": [rule.name for rule in verdict.applied] if verdict else [],
        "subjects": len(verdict.subjects) if verdict else 0,
        "not_judged": [each._asdict() for each in verdict.not_judged] if verdict else [],
    }


def _finding_object(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "message": finding.message,
        "remedy": finding.remedy,
        "subjects": list(finding.subjects),
        "source": finding.source,
        "span": span_object(finding.span),
        "related": [{"message": related.message, "span": span_object(related.span)} for related in finding.related],
        "allowed": finding.allowed,
        "fix": [{"span": span_object(edit.span), "text": edit.text} for edit in finding.fix],
    }


def span_object(span: Span) -> dict[str, Any]:
    """Where something stands, lines and columns from 1, the end just behind the last character."""
    line, column = span.begin
    end_line, end_column = span.finish
    return {"file": span.source.path, "line": line, "column": column, "end_line": end_line, "end_column": end_column}
