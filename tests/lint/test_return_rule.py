"""A consumer that is fed and has no way back, and what may be a way back that the plant does not show."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = ("return-missing",)

LAMPS = """
supply -G1 "Battery" system=DC voltage=24V
strip -X1 at=+MCP {{
  :1..2 2.5mm2
  bridge :1..2
}}
strip -X2 at=+MCP {{
  :1..3 2.5mm2
  bridge :1..3
}}
device -P1 lamp at=+MCP
device -P2 lamp at=+MCP
cable -W1 2x1.5 length=5m {{
  BN -G1:+ to -X1:1
  {back}
}}
wire -X1:1 to -P1:X1 1mm2 BU
wire -X1:2 to -P2:X1 1mm2 BU
wire -P1:X2 to -X2:2 1mm2 BU
wire -P2:X2 to -X2:3 1mm2 BU
{more}
"""
OUTSIDE = """
outside -A1 "Controller of the building" at=+MCP {
  terminal :Q1 plain
}
wire -X2:1 to -A1:Q1 1mm2 BU
"""


def told(found: Check, text: str) -> list[str]:
    return [finding.message for finding in found(text)]


@each_of(
    ("back", "more", "count"),
    [
        ("", "", 1),
        ("BU -G1:- to -X2:1", "", 0),
        ("", OUTSIDE, 0),
        ("", "device -K1 relay-1co at=+MCP\nwire -X2:1 to -K1:11 1mm2 BU\n", 0),
    ],
)
def test_lamps_on_a_strip(found: Check, back: str, more: str, count: int) -> None:
    messages = told(found, LAMPS.format(back=back, more=more))
    assert len(messages) == count
    assert all(message.startswith("`-P1:X2`, `-P2:X2` lead back to no source") for message in messages)


def test_what_nothing_feeds_has_no_way_back_to_miss(found: Check) -> None:
    assert told(found, LAMPS.format(back="", more="").replace("BN -G1:+ to -X1:1", "")) == []
