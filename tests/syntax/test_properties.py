"""Random text: never a traceback, spans in range, the canonical form final and complete."""

from __future__ import annotations

import os
import random
import re
import sys
from itertools import accumulate
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from netdsl.findings import Source
from netdsl.syntax import decode, format_text, parse
from netdsl.syntax.balance import balanced
from netdsl.syntax.lexer import KINDS, tokens_of

CASES = Path(__file__).with_name("cases")
EXAMPLES = [CASES.joinpath(f"{name}.netdsl").read_text(encoding="utf-8") for name in ("example.in", "values.out")]
EXAMPLE = "\n".join(EXAMPLES)
#: every so many of the slips are tried; NETDSL_SLIPPED=1 tries all
SLIPPED = int(os.environ.get("NETDSL_SLIPPED", "5"))
PIECES = [
    "wire",
    "cable",
    "device",
    "function",
    "strip",
    "part",
    "scheme",
    "project",
    "outside",
    "to",
    "screen",
    "let",
    "-W1..4",
    "teeth",
    "couple",
    "channel",
    "twin",
    "layout",
    "D1,D2",
    "use",
    "for",
    "in",
    "and",
    "1..4",
    "=PP$a-M1",
    "terminal",
    "of",
    "on",
    "-T1",
    "-T1:1,2",
    "=RP1",
    "+MCP",
    "=",
    ":1..6",
    ":(start)",
    "$a",
    "$a:($b+1)",
    "4G10",
    "10mm2",
    "BK",
    '"text"',
    '"open',
    "at=",
    "at = ",
    "at =",
    "{",
    "}",
    "(",
    ")",
    ",",
    "#c",
    "\n",
    "\n",
    "\n  ",
    "\r\n",
    "\t",
    "\\",
    "é",
    "\x00",
    "\ufeff",
    "2x(2x1)",
]
ONE_BY_ONE = re.compile(r"[ \t]*(?:" + "|".join(f"(?P<{kind}>{pattern})" for kind, pattern in KINDS) + ")")
soup = st.lists(st.sampled_from(PIECES), max_size=60).map(" ".join)


def check(text: str) -> None:
    source = Source("a", text)
    _, findings = parse(source)
    for finding in findings:
        assert 0 <= finding.span.start <= finding.span.end <= len(text)
        assert finding.message and finding.remedy and "\n" not in finding.message
    formatted = format_text(source, findings)
    assert (formatted is None) == bool(findings)
    if formatted is not None:
        assert format_text(Source("a", formatted)) == formatted


@settings(max_examples=150, deadline=None)
@given(soup)
def test_token_soup(text: str) -> None:
    check(text)


@settings(max_examples=150, deadline=None)
@given(soup)
def test_every_block_is_closed_before_parsing(text: str) -> None:
    tokens = balanced(Source("a", text), tokens_of(text), lambda *_: None)
    assert not any(token.type == "OPENSTRING" for token in tokens)
    depths = list(accumulate((token.type == "LBRACE") - (token.type == "RBRACE") for token in tokens))
    assert min(depths) == depths[-1] == 0
    assert [token.type for token in tokens[-2:]] in (["NEWLINE", "$END"], ["$END"])


@settings(max_examples=300)
@given(st.lists(st.sampled_from([*PIECES, "-5", "-5.5", "..", "$", ":", "$a", " ", "\n", "#"]), max_size=12).map("".join))
def test_tokens_are_what_the_patterns_give_one_after_the_other(text: str) -> None:
    text = text.lstrip("\ufeff")  # which may stand before a text
    matches = [match for match in ONE_BY_ONE.finditer(text) if match.lastgroup not in ("NEWLINE", "COMMENT", "END")]
    if any(match.lastgroup in ("OPENSTRING", "RBRACE") for match in matches):
        return  # a string that is not closed ends before a brace, and a closing brace may end a line
    wanted = [(match.lastgroup, match[match.lastgroup or 0], match.start(match.lastgroup or 0)) for match in matches]
    found = [(token.type, token.value, token.start_pos) for token in tokens_of(text)]
    assert [token for token in found if token[0] not in ("NEWLINE", "$END")] == wanted


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    check(text)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    source, findings = decode(data, "a")
    assert all(0 <= finding.span.start <= finding.span.end <= len(source.text) for finding in findings)
    check(source.text)


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 2**32))
def test_mutated_example(seed: int) -> None:
    choice = random.Random(seed)
    text = EXAMPLE
    for _ in range(choice.randint(1, 4)):
        start = choice.randrange(len(text))
        end = min(len(text), start + choice.choice((0, 1, 1, 5, 40)))
        text = text[:start] + choice.choice(("", "", choice.choice(PIECES), text[end : end + 30])) + text[end:]
    check(text)


@pytest.mark.parametrize("example", EXAMPLES, ids=["example", "values"])
def test_one_slip_anywhere_gives_at_most_one_finding(example: str) -> None:
    tokens = [match.span() for match in re.finditer(r'"[^"\n]*"|#[^\n]*|[^\s"#]+', example)]
    lines = [match.span() for match in re.finditer(r"[^\n]*\n", example)]
    slips = [example[:start] + example[end:] for start, end in tokens + lines]
    slips += [example[:end] + " " + example[start:end] + example[end:] for start, end in tokens]
    slips += [example[: start + 1] + "q" + example[start + 1 :] for start, _ in tokens]
    slips += [example[:start] + example[start + 1 :] for start, _ in tokens]
    slips += [example[: end - 1] + " " + example[end:] for _, end in tokens]
    for text in slips[::SLIPPED]:
        _, findings = parse(Source("a", text))
        assert len(findings) <= 1, [(finding.span.begin, finding.message) for finding in findings]


def test_comments_are_kept() -> None:
    lines = [f"{line}  # note {number}" for number, line in enumerate(EXAMPLE.splitlines()) if "#" not in line]
    formatted = format_text(Source("a", "\n".join(lines)))
    assert formatted is not None
    assert re.findall(r"# note \d+", formatted) == re.findall(r"# note \d+", "\n".join(lines))


def test_awkward_text_is_read_to_its_end() -> None:
    """With a time that grew with the square of the length, this would not end."""
    for text in (
        "(" * 10000,
        '"' * 10001,
        ":" * 10000,
        "{\n" * 10000,
        "}\n" * 10000,
        "a=" * 10000,
        "wire " * 10000,
        "$a:(" * 5000,
        "=" * 10000,
        "#" * 10000,
        "x {\n" * 5000 + "}\n" * 5000,
        "1," * 10000,
        "-T1:" + "(a" * 5000,
        "\ud800" * 5000,
        "device -T1 x {\n}\n" * 3000,
        "x(" * 5000,
        "a \t" * 5000,
        " " * 20000,
        "\n \n" * 10000,
    ):
        check(text)


def work(text: str) -> int:
    """How many lines of the program run to read `text`."""
    count = 0

    def trace(_frame: object, _event: str, _argument: object) -> object:
        nonlocal count
        count += 1
        return trace

    before = sys.gettrace()
    sys.settrace(trace)  # type: ignore[arg-type]
    try:
        parse(Source("a", text))
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize("slip", [" a =1", " a= ", " ,", " { }", ' "x', " ;", " tp -B1:1", "\n}", " {\n}\n"])
def test_work_grows_no_faster_than_the_slips(slip: str) -> None:
    parse(Source("a", "wire\n"))
    few, many = (work(f"wire -A1:1 to -B1:1{slip * count}\n") for count in (50, 400))
    assert many < 8.5 * few
