"""Devices on their plate: what they cover, what room they leave each other, and whether they fit."""

from __future__ import annotations

from tests.cases import each_of
from tests.lint.conftest import Check

RULES = ("clearance-short",)

PANEL = """place +BOX "Box" kind=box material=plastic size=400x600x250mm
part cooled {
  kind = signal-converter   class = II
  body = 100x120x90mm   clearance-above = 30mm   clearance-below = 50mm   clearance-beside = 10mm
  terminal :1 plain 0.5..2.5mm2
}
part plain {
  kind = signal-converter   class = II
  body = 100x120x90mm
  terminal :1 plain 0.5..2.5mm2
}
"""


def two(second: str, part: str = "plain") -> str:
    return PANEL + f"device -U1 cooled at=+BOX position=100x100mm\ndevice -U2 {part} at=+BOX {second}\n"


@each_of(
    ("second", "message"),
    [
        ("position=150x150mm", "`-U2` lies over `-U1`, 50 mm"),
        ("position=100x269mm", "`-U2` stands 49 mm below `-U1`, 50 mm are to be kept free"),
        ("position=209x100mm", "`-U2` stands 9 mm beside `-U1`, 10 mm are to be kept free"),
        ("position=301x400mm", "`-U2` reaches 1 mm over the right edge of `+BOX`, 400 mm wide"),
        ("position=100x481mm", "`-U2` reaches 1 mm over the lower edge of `+BOX`, 600 mm high"),
        ("position=100x400mm body=100x120x260mm", "`-U2` is 260 mm deep, its enclosure 250 mm"),
    ],
)
def test_what_stands_too_close_or_does_not_fit(second: str, message: str, found: Check) -> None:
    assert [finding.message for finding in found(two(second))] == [message]


def test_the_room_above_counts_for_what_stands_there(found: Check) -> None:
    text = PANEL + "device -U1 cooled at=+BOX position=100x200mm\ndevice -U2 plain at=+BOX position=100x50mm\n"
    assert found(text) == ()
    (finding,) = found(text.replace("100x50mm", "100x51mm"))
    assert finding.message == "`-U1` stands 29 mm below `-U2`, 30 mm are to be kept free"
    assert finding.subjects == ("-U1", "-U2")


@each_of(
    "second",
    [
        "position=100x270mm",  # just the room it needs
        "position=210x100mm",
        "position=200x220mm",  # corner to corner
        "position=300x480mm",  # up to both edges
    ],
)
def test_what_leaves_the_room_it_must(second: str, found: Check) -> None:
    assert found(two(second)) == ()


def test_at_another_place_nothing_is_in_the_way(found: Check) -> None:
    door = 'place +BOX.D "Door" kind=door metal=no\n'
    assert found(door + two("position=100x100mm").replace("-U2 plain at=+BOX", "-U2 plain at=+BOX.D")) == ()


def test_without_positions_nothing_is_known(found: Check) -> None:
    assert found(PANEL + "device -U1 cooled at=+BOX\ndevice -U2 cooled at=+BOX\n") == ()
    assert found(two("position=350x100mm").replace(" size=400x600x250mm", "")) == ()


@each_of(
    ("rails", "row", "message"),
    [
        ("rails=150mm,350mm", "row=3", "`-U2` is to stand in row 3, and `+BOX` states 2 rails"),
        ("rails=150mm", "row=2", "`-U2` is to stand in row 2, and `+BOX` states 1 rail"),
        ("rails=150mm,350mm", "row=2", None),
        ("", "row=9", None),  # rows without stated rails are as many as are wanted
        ("rails=150mm", "row=2 position=250x300mm", None),  # the position goes first
    ],
)
def test_a_row_needs_its_rail(rails: str, row: str, message: str | None, found: Check) -> None:
    findings = found(two(row).replace("size=400x600x250mm", f"size=400x600x250mm {rails}"))
    assert [finding.message for finding in findings if "row" in finding.message] == ([message] if message else [])
