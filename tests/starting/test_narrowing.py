"""Comments that make a line of a draft too long."""

from __future__ import annotations

from netdsl.starting.narrowing import WIDTH, narrowed

LONG = " ".join(["word"] * 30)


def test_what_fits_stays_as_it_is() -> None:
    text = f"a\n# {'x' * (WIDTH - 2)}\n  b  # c\n"
    assert narrowed(text) == text


def test_a_comment_behind_a_statement_stands_above_it_in_its_indent() -> None:
    lines = narrowed(f"  wire a to b  # {LONG}\n").splitlines()
    assert lines[-1] == "  wire a to b" and len(lines) == 3
    assert " ".join(line.removeprefix("  # ") for line in lines[:-1]) == LONG
    assert all(len(line) <= WIDTH for line in lines)


def test_what_goes_on_of_an_item_stands_below_its_text() -> None:
    first, second = narrowed(f"#   - {LONG}").splitlines()
    assert first.startswith("#   - word") and second.startswith("#     word")


def test_a_statement_too_long_stays() -> None:
    text = f'remark on -A "{LONG}"'
    assert narrowed(text) == text
