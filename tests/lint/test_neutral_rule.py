"""A neutral has the section of the phases beside it, wherever it is laid."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = ("neutral-undersized",)

#: phases and neutral to a socket by separate ways: the neutral over a strip for itself
SOCKET = """
device -F5 mcb-1p at=+MCP current=16A
device -XS1 socket at=+HALL
strip -X5 at=+MCP {{
  :1..2 neutral 4mm2
  bridge :1..2
}}
wire -WB1:L1 to -F5:1 6mm2
wire -WB1:N to -X5:1 {first} BU
cable -W5 3G2.5 length=10m method=C {{
  BN -F5:2 to -XS1:L
  BU -X5:2 to -XS1:N
  GNYE -XE1:4 to -XS1:PE
}}
"""
#: a three-phase feeder with its neutral, to a bar behind a breaker
FEEDER = """
device -Q5 mcb-3p at=+MCP current=32A
busbar -WB5 at=+MCP poles=4 current=63A
wire -WB1:L1,L2,L3 to -Q5:1,3,5 {phases} BK
wire -Q5:2,4,6 to -WB5:L1,L2,L3 {phases} BK
wire -WB1:N to -WB5:N {neutral} BU
device -F5 rcbo-1pn-a at=+MCP current=10A
device -XS1 socket at=+MCP
wire -WB5:L1 to -F5:1 2.5mm2
wire -WB5:N to -F5:N1 2.5mm2 BU
wire -F5:2 to -XS1:L 2.5mm2
wire -F5:N2 to -XS1:N 2.5mm2 BU
wire -XS1:PE to -XE1:4 2.5mm2 GNYE
"""


def told(found: Check, text: str) -> list[str]:
    return [finding.message for finding in found(text)]


@each_of(
    ("first", "needed"),
    [
        ("2.5mm2", ""),
        ("1.5mm2", "neutral from `-WB1:N` to `-X5:1` has 1.5 mm², its phases have 2.5 mm²: at least 2.5 mm² is required"),
    ],
)
def test_over_a_strip_of_its_own(found: Check, first: str, needed: str) -> None:
    assert told(found, SOCKET.format(first=first)) == ([needed] if needed else [])


@each_of(
    ("phases", "neutral", "least"), [("10mm2", "10mm2", 0), ("10mm2", "6mm2", 10), ("35mm2", "16mm2", 0), ("35mm2", "10mm2", 16)]
)
def test_beside_a_breaker_of_the_phases(found: Check, phases: str, neutral: str, least: int) -> None:
    messages = told(found, FEEDER.format(phases=phases, neutral=neutral))
    assert [f"at least {least} mm²" in message for message in messages] == ([True] if least else [])
