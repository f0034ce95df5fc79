"""Measures of lettering against the font file and against what the words promise."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from render.layout.fonts import (
    CAPITAL,
    fit_height,
    fits,
    font_file,
    ink_box,
    printable,
    shorten,
    start_of,
    text_width,
    wrap,
)
from render.sheet import DESIGNATION, NORMAL, TITLE, Label


def test_height_is_the_height_of_capitals() -> None:
    with TTFont(font_file(False)) as font:
        assert font["OS/2"].sCapHeight / font["head"].unitsPerEm == pytest.approx(CAPITAL)
    box = ink_box(Label(10, 50, "H", DESIGNATION))
    assert box.bottom == pytest.approx(50)
    assert box.bottom - box.top == pytest.approx(DESIGNATION, rel=0.01)


def test_width_is_the_sum_of_advances() -> None:
    with TTFont(font_file(True)) as font:
        names, advances = font.getBestCmap(), font["hmtx"].metrics
    expected = sum(advances[names[ord(c)]][0] for c in "=RP1-T1:AV") / 1000 * NORMAL / CAPITAL
    assert text_width("=RP1-T1:AV", NORMAL, bold=True) == pytest.approx(expected)


def test_anchor_moves_the_ink() -> None:
    start, middle, end = (ink_box(Label(0, 0, "-T1", NORMAL, anchor)) for anchor in ("start", "middle", "end"))
    width = text_width("-T1")
    assert start.left - middle.left == pytest.approx(width / 2)
    assert start.left - end.left == pytest.approx(width)
    assert start_of(Label(100, 0, "-T1", NORMAL, "end")) == pytest.approx(100 - width)


def test_descenders_reach_below_the_base_line_and_blank_has_no_ink() -> None:
    assert ink_box(Label(0, 0, "g")).bottom > 0.5
    blank = ink_box(Label(3, 4, "  "))
    assert (blank.width, blank.height) == (0, 0)


def test_printable_keeps_the_signs_of_the_trade_and_replaces_what_the_font_lacks() -> None:
    assert printable("10 kΩ 5 µF 2.5 mm² ΔU ≤ 5 % 40 °C") == "10 kΩ 5 µF 2.5 mm² ΔU ≤ 5 % 40 °C"
    assert printable("a\t b\x00c  d") == "a b c d"
    assert printable("\u6f22") == "\ufffd"
    assert printable("e\u0301") == "é"


def test_fit_height_takes_the_largest_that_fits() -> None:
    room = text_width("Overview", DESIGNATION) + 0.1
    assert fit_height("Overview", room, (TITLE, DESIGNATION, NORMAL)) == DESIGNATION
    assert fit_height("Overview of all", 1, (TITLE, NORMAL)) == NORMAL


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60), st.floats(12, 60))
def test_shortened_and_wrapped_texts_fit(text: str, width: float) -> None:
    assert fits(shorten(text, width), width)
    lines = wrap(text, width)
    assert all(fits(line, width) for line in lines)
    assert "".join(lines).replace(" ", "") == printable(text).replace(" ", "")
    assert len(wrap(text, width, lines=2)) <= 2


def test_shorten_says_that_it_cut() -> None:
    assert shorten("Recirculation pump 1", 20).endswith("…")
    assert shorten("pump", 20) == "pump"


def test_wrapping_to_few_lines_says_that_it_cut() -> None:
    room = text_width("two…") + 0.1
    assert wrap("one two six", room) == ("one", "two", "six")
    assert wrap("one two six", room, lines=3) == ("one", "two", "six")
    assert wrap("one two six", room, lines=2) == ("one", "two…")
    assert wrap("one two six", room, lines=1) == ("one…",)


def test_a_word_as_long_as_a_book_is_cut_into_lines_that_are_full() -> None:
    lines = wrap("W" * 20_000, 40.0)
    assert "".join(lines) == "W" * 20_000
    assert {len(line) for line in lines[:-1]} == {len(lines[0])}
    assert fits(lines[0], 40.0) and not fits(lines[0] + "W", 40.0)
