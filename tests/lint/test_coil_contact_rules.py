"""Exemptions of the rules about contacts and coils of control circuits."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding

Found = Callable[..., tuple[Finding, ...]]

RULES = ("coil-return-switched", "coil-unsuppressed", "contact-underloaded")

SUPPLY = """\
part demo-supply "DC supply 24 V 5 A" {
  kind = supply-24v   letter = T   class = II   peak-current = 20A
  terminal :+ supply-out clamps=4
  terminal :- supply-common clamps=4
  source :+ to :- voltage=24V dc current=5A
}
device -T2 demo-supply at=+MCP
wire -T2:- to -XE1:4 2.5mm2 GNYE
earthing of -T2:- at -XE1:4
"""
RETURN = """\
device -K1 relay-1co at=+MCP
device -S1 {contact} at=+MCP
wire -T2:+ to -K1:A1 0.75mm2 RD
wire -K1:A2 to -S1:{a} 0.75mm2 RD
wire -S1:{b} to -T2:- 0.75mm2 RD
"""
HAND = RETURN.format(contact="selector-2", a="13", b="14")
OVERLOAD = RETURN.format(contact="overload-relay-10a", a="95", b="96")
OUTPUT = """\
part demo-controller "Controller" {
  kind = controller   letter = K   class = II
  terminal :L+ supply-in
  terminal :M supply-common
  terminal :Q1 digital-out
}
device -K9 demo-controller at=+MCP
device -K1 relay-1co at=+MCP suppressor=none
wire -T2:+ to -K9:L+ 0.75mm2 RD
wire -K9:M to -T2:- 0.75mm2 RD
wire -K9:Q1 to -K1:A1 0.75mm2 RD
wire -K1:A2 to -T2:- 0.75mm2 RD
"""
OWN = """\
part bare-relay "Relay" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 coil voltage=24V dc
  coil :A1 to :A2 voltage=24V dc power=1W
}
"""
SWITCH = """\
device -S1 selector-2 at=+MCP min-current={least}
device -P1 lamp at=+MCP
wire -T2:+ to -S1:13 0.75mm2 RD
wire -S1:14 to -P1:X1 0.75mm2 RD
wire -P1:X2 to -T2:- 0.75mm2 RD
"""


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def test_a_contact_behind_a_coil_names_both_and_the_common(found: Found) -> None:
    (finding,) = found(SUPPLY + HAND)
    assert finding.rule == "coil-return-switched" and finding.subjects == ("-K1", "-S1", "-T2:-")
    assert finding.remedy == "lead the live side of `-K1` through it, and `-K1:A2` straight to the common"


def test_a_source_without_earth_is_left_alone(found: Found) -> None:
    assert rules(found(SUPPLY.split("wire -T2:-")[0] + HAND)) == []


def test_an_overload_contact_beside_the_coil_is_left_alone_and_one_elsewhere_is_not(found: Found) -> None:
    assert rules(found(SUPPLY + OVERLOAD)) == []
    assert rules(found(SUPPLY + OVERLOAD.replace("overload-relay-10a at=+MCP", "overload-relay-10a at=+HALL"))) == [
        "coil-return-switched"
    ]


def test_a_device_that_opens_both_poles_is_left_alone(found: Found) -> None:
    both = HAND.replace("selector-2", "two-poles").replace("wire -T2:+ to -K1:A1", "wire -S1:24 to -K1:A1")
    part = """\
part two-poles "Switch" {
  kind = selector   letter = S   class = II
  terminal :13 :14 :23 :24 contact
  contact :13 to :14 make by=hand
  contact :23 to :24 make by=hand
}
wire -T2:+ to -S1:23 0.75mm2 RD
"""
    assert rules(found(SUPPLY + both + part)) == []


def test_a_lamp_may_be_switched_on_either_side(found: Found) -> None:
    assert rules(found(SUPPLY + HAND.replace("relay-1co", "lamp").replace(":A1", ":X1").replace(":A2", ":X2"))) == []


def test_a_coil_between_two_phases_has_no_common(found: Found) -> None:
    text = HAND.replace("relay-1co", "wide").replace("-T2:+", "-WB1:L1").replace("-T2:-", "-WB1:L2")
    part = 'part wide "Contactor" {\n  kind = contactor   letter = K   class = II\n  terminal :A1 :A2 coil\n'
    part += "  coil :A1 to :A2 voltage=400V ac power=5W\n}\n"
    assert rules(found(part + text)) == []


def test_an_output_and_a_bare_coil(found: Found) -> None:
    (finding,) = found(SUPPLY + OUTPUT)
    assert finding.message == "the coil of `-K1` has no suppressor and is switched by an output of `-K9`"
    assert rules(found(SUPPLY + OUTPUT.replace("suppressor=none", "suppressor=varistor"))) == []


DIODE = """\
device -V1 suppressor-diode-24v at=+MCP
wire -K1:A1 to -V1:{} 0.75mm2 RD
wire -K1:A2 to -V1:{} 0.75mm2 RD
"""


def test_a_diode_across_the_coil_damps_it_and_has_its_direction(found: Found) -> None:
    assert rules(found(SUPPLY + OUTPUT + DIODE.format("K", "A"))) == []
    assert found(SUPPLY + OUTPUT + DIODE.format("K", "A"), only="polarity-mismatch") == ()
    (told,) = found(SUPPLY + OUTPUT + DIODE.format("A", "K"), only="polarity-mismatch")
    assert told.message == "plus and minus of `-V1` are exchanged, at `-V1:K` and `-V1:A`"
    beside = DIODE.format("K", "A").replace("-K1:A2 to -V1:A", "-K9:L+ to -V1:A")
    assert "coil-unsuppressed" in rules(found(SUPPLY + OUTPUT + beside))


def test_a_contact_that_is_no_small_one_may_switch_a_bare_coil(found: Found) -> None:
    text = HAND.replace("relay-1co", "relay-1co suppressor=none")
    swapped = text.replace("-T2:+ to", "-T2:- to").replace("to -T2:-", "to -T2:+")
    assert rules(found(SUPPLY + swapped)) == []


def test_a_coil_that_does_not_say_is_not_judged(found: Found) -> None:
    assert rules(found(SUPPLY + OWN + OUTPUT.replace("relay-1co at=+MCP suppressor=none", "bare-relay at=+MCP"))) == []


def test_a_load_at_the_limit_is_enough(found: Found) -> None:
    # a lamp of 0.5 W at 24 V takes 20.8 mA
    assert rules(found(SUPPLY + SWITCH.format(least="20mA"))) == []
    assert rules(found(SUPPLY + SWITCH.format(least="21mA"))) == ["contact-underloaded"]
    assert rules(found(SUPPLY + SWITCH.replace(" min-current={least}", ""))) == []


FAN = """\
device -F1 mcb-1p at=+MCP current=6A
device -B9 thermostat at=+MCP
device -E9 cabinet-fan at=+MCP
wire -WB1:L1 to -F1:1 2.5mm2 BK
"""


def test_a_load_is_switched_in_its_phase(found: Found) -> None:
    phase = "wire -F1:2 to -B9:1 1.5mm2 BK\nwire -B9:2 to -E9:L 1.5mm2 BK\nwire -WB1:N to -E9:N 1.5mm2 BU\n"
    assert rules(found(FAN + phase)) == []
    neutral = "wire -F1:2 to -E9:L 1.5mm2 BK\nwire -WB1:N to -B9:1 1.5mm2 BU\nwire -B9:2 to -E9:N 1.5mm2 BU\n"
    (finding,) = found(FAN + neutral)
    assert finding.message == (
        "`-B9` stands between `-E9` and `-G0:N`, which is joined to earth: it stays live when it is switched off, and an earth "
        "fault there switches it on"
    )
