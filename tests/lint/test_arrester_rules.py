"""Arresters with their back-up protection, and protective conductors with least sections of their own: what is left alone."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = ("arrester-protection", "earth-undersized")

ARRESTER = """
part arrester "Arrester" {{
  kind = surge-protection   letter = F   class = I   {ratings}
  terminal :L1 :L2 :L3 line-in 1.5..25mm2
  terminal :PE earth 1.5..25mm2
}}
device -F0 fuse-10x38-gg at=+MCP {current}
device -F1 arrester at=+MCP
wire -WB1:L1,L2,L3 to -F0:1,3,5 6mm2 BK
wire -F0:2,4,6 to -F1:L1,L2,L3 6mm2 BK
wire -F1:PE to -XE1:4 {earth}mm2 GNYE
"""


def told(found: Check, text: str, frame: str = FRAME) -> list[str]:
    return [finding.message for finding in found(text, frame=frame)]


@each_of(
    ("ratings", "current", "message"),
    [
        ("min-upstream=16A", "current=10A", "arrester `-F1` asks for at least 16 A ahead of it, `-F0` has 10 A"),
        ("min-upstream=16A max-upstream=32A", "current=25A", ""),
        # the supply is protected by 50 A: the smallest on the way is the one that acts
        ("max-upstream=32A", "current=32A", ""),
        ("", "current=2A", ""),
        ("min-upstream=16A max-upstream=63A", "", ""),
    ],
)
def test_what_protects_an_arrester(ratings: str, current: str, message: str, found: Check) -> None:
    assert told(found, ARRESTER.format(ratings=ratings, current=current, earth=6)) == ([message] if message else [])


@each_of(
    ("ratings", "earth", "needed"),
    [("", 2.5, "4 mm²"), ("", 4, ""), ("lightning-current=12.5kA", 10, "16 mm²"), ("lightning-current=12.5kA", 16, "")],
)
def test_the_earth_of_an_arrester(ratings: str, earth: float, needed: str, found: Check) -> None:
    messages = told(found, ARRESTER.format(ratings=ratings, current="current=25A", earth=earth))
    assert (len(messages), bool(messages) and needed in messages[0]) == ((1, True) if needed else (0, False))


@each_of(
    ("ratings", "lead", "needed"),
    [
        ("", "1.5mm2", "2.5 mm²"),
        ("", "2.5mm2", ""),
        ("lightning-current=12.5kA", "4mm2", "6 mm²"),
        ("lightning-current=12.5kA", "6mm2", ""),
    ],
)
def test_the_live_leads_of_an_arrester(ratings: str, lead: str, needed: str, found: Check) -> None:
    text = ARRESTER.format(ratings=ratings, current="current=25A", earth=16).replace("-F1:L1,L2,L3 6mm2", f"-F1:L1,L2,L3 {lead}")
    messages = told(found, text)
    assert (len(messages), bool(messages) and needed in messages[0]) == ((1, True) if needed else (0, False))


def test_arresters_of_signals_and_of_24_volts_follow_their_makers(found: Check) -> None:
    assert not told(found, "device -F1 spd-24v at=+MCP\nwire -F1:PE to -XE1:4 1.5mm2 GNYE\n")


DRIVES = "".join(
    f"device -T{n} drive at=+MCP touch-current=3mA\n"
    f"wire -WB1:L1,L2,L3 to -T{n}:L1,L2,L3 2.5mm2 BK\n"
    f"wire -T{n}:PE to -XE1:{n + 3} 2.5mm2 GNYE\n"
    for n in range(1, 5)
)


@each_of(
    ("feed", "drives", "needed"),
    [
        ("4x16+1G10", "", "16 mm²"),
        ("4x16+1G16", "", ""),
        ("4x25+1G16", "", ""),
        ("5G6", DRIVES, "10 mm²"),
        ("5G10", DRIVES, ""),
    ],
)
def test_the_protective_conductor_of_the_supply(feed: str, drives: str, needed: str, found: Check) -> None:
    messages = told(found, drives, frame=FRAME.replace("cable -W0 5G10", f"cable -W0 {feed}"))
    assert (len(messages), bool(messages) and needed in messages[0]) == ((1, True) if needed else (0, False))


def test_a_second_conductor_from_the_supply_to_the_bar_carries_the_leakage_too(found: Check) -> None:
    frame = FRAME.replace("cable -W0 5G10", "cable -W0 5G6")
    by_the_bar_of_the_site = """
device -XE9 earth-bar at=+HALL ways=4
cable -W8 1G6 length=2m {
  GNYE -G0:PE to -XE9:1
}
cable -W9 1G6 length=9m {
  GNYE -XE9:2 to -XE1:9
}
"""
    assert told(found, DRIVES, frame)
    assert not told(found, DRIVES + by_the_bar_of_the_site, frame)
