"""How long a line, a word and a text may be: at the bound nothing is said, beyond it once, and the rest of the text is read."""

from __future__ import annotations

from netdsl.findings import Source
from netdsl.syntax import parse
from netdsl.syntax.measure import MAX_LINE, MAX_TEXT, MAX_WORD
from tests.cases import each_of

BEHIND = '\ndevice -H2 lamp "behind" at=+A\n'
#: a line with a hole, what fills it, how often that may stand there, what is said of once more
BOUNDS = [
    ("device -{} lamp at=+A", "H", MAX_WORD - 1, f"this word has {MAX_WORD + 1} characters, {MAX_WORD} at most"),
    ('device -H1 lamp "{}" at=+A', "W", MAX_TEXT, f"this text has {MAX_TEXT + 1} characters, {MAX_TEXT} at most"),
    ('device -H1 lamp "{}" at=+A', '\\"', MAX_TEXT // 2, f"this text has {MAX_TEXT + 2} characters, {MAX_TEXT} at most"),
    ("strip -X1 at=+A row=1 {}{{\n}}", " ", MAX_LINE - 23, f"this line has {MAX_LINE + 1} characters, {MAX_LINE} at most"),
    ("device -H1 lamp at=+A{}", " a=1", (MAX_LINE - 21) // 4, f"this line has {MAX_LINE + 1} characters, {MAX_LINE} at most"),
    ("# {}", "7", 3 * MAX_LINE, ""),
]


@each_of(("line", "filled", "most", "said"), BOUNDS)
def test_what_is_too_long_is_told_once_and_read_up_to_there(line: str, filled: str, most: int, said: str) -> None:
    for count in (most, most + 1):
        tree, findings = parse(Source("p", line.format(filled * count) + BEHIND))
        wanted = [f"{said}; the rest is not read"] if count > most and said else []
        assert [finding.message for finding in findings] == wanted
        assert tree.statements[-1].span.text == BEHIND.strip()


def test_what_has_no_end_takes_no_time_and_few_words() -> None:
    for text in ("9" * 300_000 + " x", '"' + "W" * 300_000, "device -H1 lamp at=+A " + "a=1 " * 100_000, "(" * 100_000):
        _, findings = parse(Source("p", text))
        assert 0 < len(findings) < 5
        assert all(len(finding.message) + len(finding.remedy) < 400 for finding in findings)


def test_lines_that_end_with_a_carriage_return_alone_are_lines() -> None:
    text = "\r".join(f'device -H{n} lamp "of many" at=+A' for n in range(500))
    assert parse(Source("p", text))[1] == ()
