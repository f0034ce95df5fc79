"""Installations with an earth of their own each: what is earthed there, and screens between them."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = ("bonding-missing", "screen-both-ends", "earth-missing", "earth-in-series")

TWO = """
place +SUB "Second panel" kind=cabinet
supply -G2 "Other building" system=TN-S voltage=400V fault-current=1kA earth-fault-current=1kA
device -XE2 earth-bar at=+SUB ways=8
cable -W2 4G2.5 length=5m {{
  BN -G2:L1 to -T2:L1
  BK -G2:L2 to -T2:L2
  GY -G2:L3 to -T2:L3
  GNYE -G2:PE to -XE2:1
}}
wire -XE2:2 to +SUB:PE 6mm2 GNYE
device -T1 drive at=+MCP
device -T2 drive at={where}
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK
wire -T1:PE to -XE1:3 10mm2 GNYE
wire -T2:PE to {earth} 10mm2 GNYE
cable -W3 2x0.5 screened length=5m {{
  BN -T1:A to -T2:A
  screen -T1:SH {how}
}}
"""
BOND = "cable -W4 1G16 length=5m {\n  GNYE -XE1:4 to -XE2:4\n}\n"


def told(found: Check, more: str = "", **words: str) -> list[str]:
    filled = {"where": "+SUB", "earth": "-XE2:3", "how": "clamp to -T2:SH clamp", **words}
    return [finding.rule for finding in found(TWO.format(**filled) + more)]


def test_a_screen_between_two_earths_needs_a_bond(found: Check) -> None:
    assert told(found) == ["bonding-missing"]
    assert not told(found, BOND)


@each_of("how", ["clamp to -T2 open", "clamp to -T2:SH capacitor"])
def test_a_screen_that_joins_no_two_earths_is_left_alone(how: str, found: Check) -> None:
    assert not told(found, how=how)


def test_what_is_earthed_nowhere_is_named_for_that(found: Check) -> None:
    without = TWO.format(where="+SUB", earth="-XE2:3", how="clamp to -T2:SH clamp").replace(
        "wire -T2:PE to -XE2:3 10mm2 GNYE\n", ""
    )
    assert [finding.rule for finding in found(without)] == ["earth-missing"]


def test_a_supply_whose_devices_are_earthed_at_the_other_bar_is_no_installation_of_its_own(found: Check) -> None:
    assert "earth-missing" in told(found, where="+MCP", earth="-XE1:5")


def test_a_part_in_series_is_found_at_the_second_bar_too(found: Check) -> None:
    text = TWO.format(where="+SUB", earth="-XE2:3", how="clamp to -T2 open")
    text += "device -T3 drive at=+SUB\nwire -T3:PE to -T2:PE2 10mm2 GNYE\n"
    (finding,) = found(text)
    assert finding.rule == "earth-in-series" and "from `-T3` to `-XE2` passes through `-T2`" in finding.message


SIGNAL = """
device -B1 transmitter at=+SUB
cable -W5 {0} length=5m {{
  {1} -T1:AI1 to -B1:+
  {2} -T1:AC to -B1:-
  screen {3}
}}
"""
OUTER = ("2x0.75 screened", "BN", "BU")


def of_signal(found: Check, how: str, more: str = "", of: tuple[str, str, str] = OUTER, **words: str) -> list[str]:
    return told(found, SIGNAL.format(*of, how) + more, how="clamp to -T2:SH open", **words)


def test_an_analogue_screen_on_two_earths(found: Check) -> None:
    assert of_signal(found, "-T1:SH clamp to -T2:SH clamp") == ["screen-both-ends"]
    assert of_signal(found, "pair 1 -T1:SH clamp to -T2:SH clamp", of=("2x2x0.75 pair-screened", "1a", "1b")) == [
        "screen-both-ends"
    ]
    assert not of_signal(found, "-T1:SH clamp to -T2:SH clamp", BOND)


@each_of("end", ["open", "capacitor"])
def test_an_analogue_screen_on_one_earth(end: str, found: Check) -> None:
    assert not of_signal(found, f"-T1:SH clamp to -T2:SH {end}")


def test_both_ends_of_an_analogue_screen_in_one_installation(found: Check) -> None:
    assert not of_signal(found, "-T1:SH clamp to -XS1:1 clamp", "device -XS1 screen-bar at=+MCP ways=2\n")


def test_supplies_that_the_site_earths_together(found: Check) -> None:
    text = TWO.format(where="+SUB", earth="-XE2:3", how="clamp to -T2:SH open").replace(
        "system=TN-S", "system=TN-S earthed-with=-G0"
    )
    assert not found(text + SIGNAL.format(*OUTER, "-T1:SH clamp to -T2:SH clamp"))
