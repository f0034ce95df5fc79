"""Texts broken into columns, and columns that give way."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from render.layout.columns import broken, given_way
from render.layout.fonts import fits, printable, text_width, widest
from render.sheet import DESIGNATION, NORMAL
from tests.cases import each_of


def width_of(text: str) -> float:
    """The width that `text` just fits, mm."""
    return text_width(text) + 0.01


@each_of(
    ("text", "width", "lines"),
    [
        ("", 20.0, ()),
        ("run", 20.0, ("run",)),
        ("pump is running", width_of("pump is"), ("pump is", "running")),
        # a designation breaks before an aspect sign, behind a comma or slash, and loses no character
        ("=RP1-T1:DI1", width_of("=RP1-T1:DI"), ("=RP1", "-T1:DI1")),
        ("=RP1-T1:DI1", width_of("=RP1-T"), ("=RP1", "-T1:DI1")),
        # a terminal leaves its device only where no line holds both
        ("=RP1-T1:BCOM", width_of("-T1:BCO"), ("=RP1", "-T1", ":BCOM")),
        ("see -T1:BCOM", width_of("-T1:BCO"), ("see -T1", ":BCOM")),
        ("TRAY1,TRAY2/1", width_of("TRAY1,T"), ("TRAY1,", "TRAY2/", "1")),
        ("LV1/T.HALL.JB", width_of("LV1/T.HALL.J"), ("LV1/", "T.HALL.JB")),
        # the number behind a point stays with what it counts
        ("T.MCP-inside.1 A3", width_of("T.MCP-inside."), ("T.MCP-", "inside.1 A3")),
        # on the line begun, where a line of its own would not hold it either
        ("to =RP1-T1:DI1", width_of("to =RP1-"), ("to =RP1", "-T1:DI1")),
        ("to =RP1-T1", width_of("to =RP1-"), ("to", "=RP1-T1")),
        # what has no such point breaks anywhere, a number not behind its point where a word may
        ("ABCDEFGH", width_of("ABC"), ("ABC", "DEF", "GH")),
        ("(1.25)", width_of("(1.25"), ("(1.25", ")")),
        # down to one letter in a line
        ("WWW", width_of("W"), ("W", "W", "W")),
    ],
)
def test_texts_break_where_they_may(text: str, width: float, lines: tuple[str, ...]) -> None:
    assert broken(text, width) == lines


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.text("AB1-=:,/.( )mm²", min_size=1, max_size=14), max_size=6).map(" ".join),
    st.floats(8, 50),
    st.sampled_from([NORMAL, DESIGNATION]),
    st.booleans(),
)
def test_nothing_is_lost_and_every_line_fits(text: str, width: float, height: float, united: bool) -> None:
    lines = broken(text, width, height, united=united)
    assert "".join(lines).replace(" ", "") == printable(text).replace(" ", "")
    assert all(fits(line, width, height) or len(line) == 1 for line in lines)
    assert all(line == line.strip() for line in lines)


@settings(max_examples=60, deadline=None)
@given(st.text("AB -=:,", max_size=30), st.floats(8, 50))
def test_no_line_could_take_the_first_of_the_next(text: str, width: float) -> None:
    """Where a line ends at a blank, the word behind it does not fit any more."""
    lines = broken(text, width)
    words = printable(text).split()
    for line, following in pairwise(lines):
        first = following.split(" ")[0]
        if first in words and line.split(" ")[-1] in words:
            assert not fits(f"{line} {first}", width)


def test_columns_give_way_in_proportion_to_what_they_can_spare() -> None:
    assert given_way([30, 40], [10, 20], 80) == [30, 40]
    assert given_way([30, 50], [10, 40], 65) == pytest.approx([20, 45])
    assert given_way([30, 50], [30, 40], 75) == pytest.approx([30, 45])
    assert given_way([30, 50], [20, 40], 30) == pytest.approx([10, 20])
    assert given_way([5, 5], [0, 0], -1) == [0, 0]


def test_the_widest_counts() -> None:
    assert widest([]) == 0
    assert widest(["i", "mm", "m"]) == text_width("mm")
    assert widest(["m"], DESIGNATION, True) == text_width("m", DESIGNATION, True)


@each_of("text", ["what protects ahead of -G0 (gG 63 A)", "added: -F11 2 A, -F13 1 A, -F14 4 A", "up to 10 000 A"])
def test_a_device_keeps_its_amperes_beside_it(text: str) -> None:
    for width in range(24, 60):
        lines = broken(text, float(width), united=True)
        assert " ".join(lines) == text
        assert not [line for line in lines if line[0].isdigit() and not line.startswith("10 000")], (width, lines)
