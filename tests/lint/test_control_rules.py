"""Exemptions of the rules about control sources, contacts, current loops and serial lines."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding

Found = Callable[..., tuple[Finding, ...]]

RULES = ("source-overloaded", "contact-overloaded", "supply-cannot-trip", "control-drop", "loop-burden", "bus-too-long")

LAMP = """\
part demo-lamp "Lamp, 24 V" {
  kind = lamp   letter = P   class = II
  terminal :X1 :X2 load
  load :X1 to :X2 voltage=24V dc {power}
}
part demo-supply "DC supply 24 V" {
  kind = supply-24v   letter = T   class = II   {peak}
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc {current}
}
device -T2 demo-supply at=+MCP
device -P1 demo-lamp at=+MCP
"""
DIRECT = "wire -T2:+ to -P1:X1 0.75mm2 BU\nwire -P1:X2 to -T2:- 0.75mm2 BU\n"
BEHIND = """\
device -F2 mcb-1p at=+MCP current=4A curve=C
wire -T2:+ to -F2:1 1.5mm2 BU
wire -F2:2 to -P1:X1 0.75mm2 BU
wire -P1:X2 to -T2:- 0.75mm2 BU
"""


def lamp(power: str = "power=48W", current: str = "current=1A", peak: str = "") -> str:
    """A supply and a lamp, ratings as given."""
    return LAMP.replace("{power}", power).replace("{current}", current).replace("{peak}", peak)


def rules(findings: tuple[Finding, ...]) -> list[str]:
    """The rules of findings."""
    return [finding.rule for finding in findings]


def test_the_lamp_overloads_its_supply(found: Found) -> None:
    findings = found(lamp() + DIRECT, only="source-overloaded")
    assert [finding.message for finding in findings] == ["`-T2:+` gives at most 1 A, what it feeds can take 2 A"]
    assert findings[0].subjects[0] == "-T2"


def test_a_source_without_a_stated_current_is_not_judged(found: Found) -> None:
    assert rules(found(lamp(current="") + DIRECT)) == []


def test_a_consumer_without_a_stated_power_is_not_counted_as_nothing(found: Found) -> None:
    assert rules(found(lamp(power="") + DIRECT)) == []


def test_a_supply_without_a_peak_current_is_not_judged_on_tripping(found: Found) -> None:
    assert rules(found(lamp("power=1W") + BEHIND)) == []
    assert rules(found(lamp("power=1W", peak="peak-current=3A") + BEHIND)) == ["supply-cannot-trip"]


CONTACT = """\
part demo-contact "Switch" {
  kind = switch   letter = S   class = II
  terminal :13 :14 contact {rated}
  contact :13 to :14 make by=hand
}
device -S1 demo-contact at=+MCP
wire -T2:+ to -S1:13 0.75mm2 BU
wire -S1:14 to -P1:X1 0.75mm2 BU
wire -P1:X2 to -T2:- 0.75mm2 BU
"""


def test_a_contact_without_a_stated_current_is_not_judged(found: Found) -> None:
    text = lamp(current="current=3A") + CONTACT
    assert rules(found(text.replace("{rated}", "current=1A"))) == ["contact-overloaded"]
    assert rules(found(text.replace("{rated}", ""))) == []


def test_what_another_contact_switches_is_not_counted(found: Found) -> None:
    beside = "device -P2 demo-lamp at=+MCP\nwire -T2:+ to -P2:X1 0.75mm2 BU\nwire -P2:X2 to -T2:- 0.75mm2 BU\n"
    text = lamp(current="current=5A") + CONTACT.replace("{rated}", "current=2A") + beside
    assert "contact-overloaded" not in rules(found(text))


def test_a_cable_without_a_length_gives_no_drop(found: Found) -> None:
    text = (
        lamp(power="power=24W", current="current=5A")
        + "cable -W1 2x0.75 {length} {\n  BN -T2:+ to -P1:X1\n  BU -T2:- to -P1:X2\n}\n"
    )
    assert rules(found(text.replace("{length}", "length=60m"))) == ["control-drop"]
    assert rules(found(text.replace("{length}", ""))) == []


LOOP = """\
part demo-transmitter "Transmitter, two-wire" {
  kind = transmitter   letter = B   class = III   signal = 4..20mA   {range}
  terminal :+ supply-in
  terminal :- analogue-out
}
device -T1 drive at=+MCP burden=800ohm
device -B1 demo-transmitter at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
wire -T1:AC to -T1:COM 0.75mm2 BU
cable -W1 1x2x0.75 screened length=20m {
  1a -T1:24V to -B1:+
  1b -T1:AI1 to -B1:-
  screen -T1:SH clamp to -B1 open
}
"""


def test_a_transmitter_that_states_no_voltage_is_not_judged(found: Found) -> None:
    assert rules(found(LOOP.replace("{range}", "voltage = 12..30V"))) == ["loop-burden"]
    assert rules(found(LOOP.replace("{range}", ""))) == []


BUS = """\
device -T1 drive at=+MCP bit-rate=500kbit/s
device -T2 drive at=+HALL
cable -W1 1x2x0.5 screened {length} {
  1a -T1:A to -T2:A
  1b -T1:B to -T2:B
  screen -T1:SH clamp to -T2:SH clamp
}
"""


def test_a_line_of_unknown_length_or_rate_beyond_the_table_is_not_judged(found: Found) -> None:
    assert rules(found(BUS.replace("{length}", "length=300m"))) == ["bus-too-long"]
    assert rules(found(BUS.replace("{length}", ""))) == []
    beyond = BUS.replace("{length}", "length=300m").replace("500kbit/s", "20000kbit/s")
    assert rules(found(beyond)) == []
