"""Findings as text: the exact columns underlined whatever the source line holds."""

from __future__ import annotations

import io
from types import SimpleNamespace

import pytest

from netdsl.cli.report import MOST, closing_line, counts, json_report, reaches, text_report, wants_colour
from netdsl.cli.work import Judged
from netdsl.findings import Finding, Related, Severity, Source, Span
from tests.cases import each_of


def finding(text: str, start: int, end: int, **more: object) -> Finding:
    """A warning on characters `start` to `end` of `text`."""
    values = {"rule": "some-rule", "severity": Severity.WARNING, "message": "something is off", "remedy": "mend it", **more}
    return Finding(span=Span(Source("a.netdsl", text), start, end), **values)  # type: ignore[arg-type]


def lines(one: Finding, colour: bool = False) -> list[str]:
    return list(text_report([one], colour))


def test_head_line_remedy_source_and_related_places() -> None:
    other = Span(Source("b.netdsl", "x\nother place\n"), 2, 7)
    shown = lines(finding("one two\n", 4, 7, source="IEC 60204-1, 8.2", related=(Related("set here", other),)))
    assert shown == [
        "a.netdsl:1:5: warning some-rule: something is off",
        "  1 | one two",
        "    |     ^^^",
        "  remedy: mend it",
        "  source: IEC 60204-1, 8.2",
        "  b.netdsl:2:1: set here",
        "    2 | other place",
        "      | ^^^^^",
        "",
    ]


@each_of(
    ("text", "start", "end", "source_line", "marks"),
    [
        ("\tset -T1", 1, 4, "    set -T1", "    ^^^"),
        ("ab\tset", 3, 6, "ab  set", "    ^^^"),
        ("“水泵” -T1", 5, 8, "“水泵” -T1", "       ^^^"),
        ("水泵", 0, 2, "水泵", "^^^^"),
        ("e\u0301x -T1", 4, 7, "e\u0301x -T1", "   ^^^"),
        ("wire -X1", 8, 8, "wire -X1", "        ^"),
        ("", 0, 0, "", "^"),
        ("a\x1b[31mb", 1, 2, "a\N{REPLACEMENT CHARACTER}[31mb", " ^"),
        ("one\r\ntwo\r\n", 5, 8, "two", "^^^"),
        ("only newline\n", 12, 13, "only newline", "            ^"),
    ],
)
def test_the_exact_columns_are_underlined(text: str, start: int, end: int, source_line: str, marks: str) -> None:
    shown = lines(finding(text, start, end))
    assert shown[1].partition(" | ")[2] == source_line
    assert shown[2].partition(" | ")[2] == marks


def test_a_span_over_several_lines_shows_its_first_and_its_last() -> None:
    text = "cable -W1 {\n  BN a\n  BK b\n}\n"
    assert lines(finding(text, 6, text.index("}") + 1))[1:6] == [
        "  1 | cable -W1 {",
        "    |       ^^^^^",
        "    :",
        "  4 | }",
        "    | ^",
    ]


def test_two_lines_that_follow_each_other_have_nothing_between() -> None:
    assert lines(finding("one two\n  three four\n", 4, 15))[1:5] == [
        "  1 | one two",
        "    |     ^^^",
        "  2 |   three four",
        "    |   ^^^^^",
    ]


def test_a_tab_reaches_to_the_next_stop_behind_a_wide_letter_too() -> None:
    assert lines(finding("水\tset", 2, 5))[1:3] == ["  1 | 水  set", "    |     ^^^"]


def test_the_end_of_a_long_line_is_shown_in_a_full_window() -> None:
    text = "".join(f"{number:05}" for number in range(80))
    _, line, marks, *_ = lines(finding(text, 395, 400))
    assert line == f"  1 | ...{text[-160:]}" and marks == f"    | {' ' * 158}^^^^^"
    _, line, marks, *_ = lines(finding(text, 0, 5))
    assert line == f"  1 | {text[:160]}" and marks == "    | ^^^^^"


def test_a_very_long_line_is_cut_round_what_is_meant() -> None:
    text = "x" * 50_000 + "WRONG" + "y" * 50_000
    _, line, marks, *_ = lines(finding(text, 50_000, 50_005))
    assert len(line) < 200
    begin = marks.index("^")
    assert line[begin : begin + 5] == "WRONG"
    assert marks.count("^") == 5


def test_message_cannot_act_on_the_terminal() -> None:
    assert "\x1b" not in "\n".join(lines(finding("abc", 0, 1, message="unknown word `\x1b[2J`", remedy="\x07")))


def test_colour_only_where_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert wants_colour(Terminal())
    assert not wants_colour(io.StringIO())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour(Terminal())
    one = finding("abc", 0, 1)
    assert "\x1b[" in "\n".join(lines(one, colour=True))
    assert "\x1b[" not in "\n".join(lines(one))


def test_an_exception_is_shown_with_its_reason_and_fails_nothing() -> None:
    one = finding("abc", 0, 1, severity=Severity.ERROR).allow("reviewed, sheet 4")
    assert lines(one)[0].startswith("a.netdsl:1:1: allowed some-rule")
    assert "  allowed: reviewed, sheet 4" in lines(one)
    assert not [line for line in lines(one) if "remedy" in line]
    assert not reaches([one], "note")
    assert counts([one]) == {"error": 0, "warning": 0, "note": 0, "allowed": 1}


@each_of(
    ("severity", "level", "fails"),
    [
        ("error", "error", True),
        ("warning", "error", False),
        ("warning", "warning", True),
        ("note", "warning", False),
        ("note", "note", True),
    ],
)
def test_levels(severity: str, level: str, fails: bool) -> None:
    assert reaches([finding("a", 0, 1, severity=Severity(severity))], level) is fails


def test_closing_line_counts_and_never_promises() -> None:
    one = finding("a", 0, 1)
    assert closing_line(Judged(None, None, (one, one), True)) == "2 warnings"
    assert closing_line(Judged(None, None, (one,), False)).startswith("1 warning; what the text with errors")
    assert "skilled person" in closing_line(Judged(None, None, (), True))


@each_of(("things", "words"), [(0, "0 things"), (1, "1 thing"), (2, "2 things")])
def test_closing_line_says_how_much_was_looked_at(things: int, words: str) -> None:
    verdict = SimpleNamespace(subjects=range(things), applied=range(3), left=range(things - 1))
    judged = Judged(None, None, (finding("a", 0, 1),), True, verdict)  # type: ignore[arg-type]
    left = ", 1 of them could not be judged in some respect (`--coverage` says why)" if things == 2 else ""
    assert closing_line(judged) == f"1 warning; 3 rules looked at {words}{left}"


def test_json_object_has_the_promised_keys() -> None:
    report = json_report(Judged(None, None, (finding("x\nabc", 2, 5, subjects=("=RP1-T1",)),), True))
    assert report["summary"] == {"error": 0, "warning": 1, "note": 0, "allowed": 0}
    assert report["findings"] == [
        {
            "rule": "some-rule",
            "severity": "warning",
            "message": "something is off",
            "remedy": "mend it",
            "subjects": ["=RP1-T1"],
            "source": "",
            "span": {"file": "a.netdsl", "line": 2, "column": 1, "end_line": 2, "end_column": 4},
            "related": [],
            "allowed": None,
            "fix": [],
        }
    ]


def test_of_thousands_of_findings_the_first_are_shown_and_the_rest_counted() -> None:
    source = Source("plant.netdsl", "x\n" * 3000)
    many = [Finding("syntax", Severity.ERROR, f"no {n}", "", Span(source, 2 * n, 2 * n + 1)) for n in range(MOST + 7)]
    assert "7 more findings are not shown here: mend these first, or see `--format json`" in list(text_report(many, False))
    assert not any("more findings" in line for line in text_report(many[:MOST], False))
