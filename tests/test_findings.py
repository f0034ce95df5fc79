"""Places in a text, and findings in order."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from netdsl.findings import Finding, Severity, Source, Span, arranged
from tests.cases import each_of

TEXTS = st.lists(st.sampled_from(["a", "bc", "\n", "\r\n", "\r", "\f", "\u2028", "\x85", "ü", " "]), max_size=12).map("".join)


@settings(deadline=None)
@given(TEXTS, st.integers(0, 24))
def test_a_place_is_found_again_by_its_line_and_column(text: str, offset: int) -> None:
    source = Source("a", text)
    offset = min(offset, len(text))
    line, column = source.place(offset)
    lines = re.split(r"\r\n|\r|\n", text)
    assert 1 <= line <= len(lines)
    assert source.line(line) == lines[line - 1]
    before = re.findall(r"[^\r\n]*(?:\r\n|\r|\n)", text)[: line - 1]
    assert sum(map(len, before)) + column - 1 == offset


@each_of(
    ("text", "offset", "place"),
    [
        ("", 0, (1, 1)),
        ("ab", 2, (1, 3)),
        ("ab\n", 2, (1, 3)),
        ("ab\n", 3, (2, 1)),
        ("ab\r\ncd", 4, (2, 1)),
        ("ab\rcd", 3, (2, 1)),
        ("a\fb\u2028ü\nd", 6, (2, 1)),
        ("ü\r\nd", 3, (2, 1)),
        ("ü\rd", 2, (2, 1)),
    ],
)
def test_places(text: str, offset: int, place: tuple[int, int]) -> None:
    assert Source("a", text).place(offset) == place


def test_spans() -> None:
    source = Source("a", "device -T1\n  vsd")
    first, second = Span(source, 7, 10), Span(source, 13, 16)
    assert (first.text, first.begin, first.finish) == ("-T1", (1, 8), (1, 11))
    assert (second.text, second.begin, second.finish) == ("vsd", (2, 3), (2, 6))
    assert first.to(second) == Span(source, 7, 16)
    assert first != Span(Source("a", source.text), 7, 10)


def test_severities_rank_the_worst_first() -> None:
    assert sorted(Severity, key=lambda severity: severity.rank) == [Severity.ERROR, Severity.WARNING, Severity.NOTE]
    assert [severity.rank for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE)] == [0, 1, 2]


def test_findings_are_arranged_by_place_rule_and_message_without_doubles() -> None:
    one, two = Source("a", "x" * 9), Source("b", "x" * 9)

    def finding(source: Source, start: int, end: int, rule: str, message: str, subjects: tuple[str, ...] = ()) -> Finding:
        return Finding(rule, Severity.ERROR, message, "mend it", Span(source, start, end), subjects)

    wanted = [
        finding(one, 1, 3, "z", "z"),
        finding(one, 2, 3, "z", "z"),
        finding(one, 2, 4, "a", "a"),
        finding(one, 2, 4, "b", "a"),
        finding(one, 2, 4, "b", "b", ("-T1",)),
        finding(one, 2, 4, "b", "b", ("-T2",)),
        finding(two, 0, 1, "a", "a"),
    ]
    mixed = [wanted[number] for number in (6, 4, 3, 5, 0, 2, 1)]
    assert arranged([*mixed, replace(wanted[3], remedy="the same place, rule and message"), wanted[0]]) == tuple(wanted)


def test_an_allowed_finding_keeps_all_but_its_reason() -> None:
    finding = Finding("a", Severity.NOTE, "m", "r", Span(Source("a", "x"), 0, 1), ("-T1",), "a source")
    assert finding.allowed is None
    assert finding.allow("agreed") == replace(finding, allowed="agreed")
