"""Exemptions of the rules about contacts and cores that are half wired or act on nothing, and what gets no current at all."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding, Severity

Found = Callable[..., tuple[Finding, ...]]

RULES = ("contact-half-wired", "contact-without-effect", "never-fed", "load-open", "strip-end-open", "pole-open")
#: a start button beside the contact with which the coil holds itself
HELD = """\
device -T1 drive at=+MCP
device -S1 push-button at=+MCP
device -K1 contactor-9a at=+MCP
wire -T1:24V to -S1:13 to -K1:13 1mm2 RD
wire -S1:14 to -K1:14 1mm2 RD
wire -K1:14 to -K1:A1 1mm2 RD
wire -K1:A2 to -T1:COM 1mm2 RD
"""
MOTOR = """\
device -Q1 motor-breaker at=+MCP current=10A
device -K1 contactor-9a at=+MCP
device -M1 motor at=+HALL
wire -Q1:2,4,6 to -K1:1,3,5 2.5mm2 BK
cable -W1 4G2.5 length=10m {
  BN -K1:2 to -M1:U1
  BK -K1:4 to -M1:V1
  GY -K1:6 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""
FED = "wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK\n"


def said(findings: tuple[Finding, ...]) -> list[tuple[str, str]]:
    return [(finding.rule, finding.subjects[0]) for finding in findings if finding.rule in RULES]


def never(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.rule == "never-fed")


# --- contact-half-wired ----------------------------------------------------------------------------------------------
def test_a_contact_is_wired_on_both_sides(found: Found) -> None:
    assert said(found(HELD)) == []
    (finding,) = (f for f in found(HELD.replace("wire -S1:14 to -K1:14 1mm2 RD\n", "")) if f.rule in RULES)
    assert finding.message.startswith(
        "of what `-S1` switches `-S1:13` is wired on one side alone: nothing is connected to `-S1:14`"
    )


def test_contacts_of_one_device_are_told_together_and_what_follows_from_them_is_not(found: Found) -> None:
    text = HELD.replace("-S1:14 to -K1:14", "-S1:14 to -K1:22").replace("-S1:13 to -K1:13", "-S1:13")
    (finding,) = (f for f in found(text) if f.rule in RULES)
    assert (finding.rule, finding.subjects) == ("contact-half-wired", ("-K1", "-K1:14", "-K1:22", "-K1:13", "-K1:21"))


def test_one_throw_of_a_changeover_is_enough_but_not_both_without_their_common(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -K1 relay-1co at=+MCP\nwire -T1:24V to -K1:{common} 1mm2 RD\n"
    text += "wire -K1:14 to -T1:DI1 1mm2 RD\nwire -T1:24V to -K1:A1 1mm2 RD\nwire -K1:A2 to -T1:COM 1mm2 RD\n"
    assert said(found(text.replace("{common}", "11"))) == []
    assert said(found(text.replace("{common}", "12"))) == [("contact-half-wired", "-K1")]


def test_poles_of_a_breaker_may_stand_in_reserve_those_of_a_contactor_in_use_not(found: Found) -> None:
    reserve = "device -Q9 motor-breaker at=+MCP current=10A\nwire -WB1:L1,L2,L3 to -Q9:1,3,5 2.5mm2 BK\n"
    assert said(found(FED and MOTOR + FED + reserve)) == []
    text = MOTOR + FED
    assert said(found(text.replace("  GY -K1:6 to -M1:W1\n", ""))) == [("pole-open", "-K1")]
    spare = "device -K9 contactor-9a at=+MCP\nwire -WB1:L1,L2,L3 to -K9:1,3,5 2.5mm2 BK\n"
    assert said(found(text + spare)) == []


# --- contact-without-effect ------------------------------------------------------------------------------------------
def test_a_button_past_which_the_coil_is_fed_has_no_effect(found: Found) -> None:
    (finding,) = (f for f in found(HELD.replace("-K1:14 to -K1:A1", "-S1:13 to -K1:A1")) if f.rule in RULES)
    assert (finding.rule, finding.severity) == ("contact-without-effect", Severity.ERROR)
    assert finding.message == "operating `-S1` changes nothing: no coil, lamp, input, motor or safety loop depends on its contact"


def test_what_may_be_led_on_is_left_alone(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -S1 push-button at=+MCP\nstrip -X1 at=+MCP {\n  :1 2.5mm2\n}\n"
    text += "wire -T1:24V to -S1:13 1mm2 RD\nwire -S1:14 to -X1:1 1mm2 RD\n"
    assert said(found(text)) == []


def test_a_button_of_a_circuit_without_a_way_back_is_not_told_beside_it(found: Found) -> None:
    assert [rule for rule, _ in said(found(HELD.replace("wire -K1:A2 to -T1:COM 1mm2 RD\n", "")))] in ([], ["load-open"])


# --- never-fed -------------------------------------------------------------------------------------------------------
def test_a_motor_to_whose_breaker_nothing_leads_is_never_fed(found: Found) -> None:
    assert said(found(MOTOR + FED)) == []
    (finding,) = (f for f in found(MOTOR) if f.rule in RULES)
    assert finding.message == "nothing feeds `-M1`: no source comes to `-M1:U1`, `-M1:V1`, `-M1:W1` in any state"
    assert finding.remedy == "lead the supply to `-Q1:1`, `-Q1:3`, `-Q1:5`"


def test_what_ends_on_a_strip_waits_for_a_wire_yet_to_come(found: Found) -> None:
    strip = "strip -X1 at=+MCP {\n  :1..3 4mm2\n}\nwire -X1:1..3 to -Q1:1,3,5 2.5mm2 BK\n"
    assert said(found(MOTOR + strip)) == []


def test_bridged_terminals_wait_for_no_wire_a_single_one_does(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -K1 relay-1co at=+MCP\ndevice -S1 selector-2 at=+MCP\n"
    text += "strip -X1 at=+MCP {\n  :1..3 2.5mm2\n}\nwire -X1:2 to -S1:13 1mm2 RD\nwire -S1:14 to -K1:A1 1mm2 RD\n"
    text += "wire -K1:A2 to -T1:COM 1mm2 RD\n"
    assert said(found(text)) == []
    (finding,) = never(found(text.replace("  :1..3 2.5mm2\n", "  :1..3 2.5mm2\n  bridge :1..3\n")))
    assert finding.subjects == ("-X1", "-X1:1", "-X1:2", "-X1:3", "-K1")
    fed = text.replace("  :1..3 2.5mm2\n", "  :1..3 2.5mm2\n  bridge :1..3\n") + "wire -T1:24V to -X1:1 1mm2 RD\n"
    assert said(found(fed)) == []


def test_a_coil_that_waits_for_itself(found: Found) -> None:
    text = HELD.replace("wire -S1:14 to -K1:14 1mm2 RD\n", "").replace("-S1:13 to -K1:13", "-K1:13")
    (finding,) = never(found(text))
    assert (finding.severity, finding.message) == (
        Severity.ERROR,
        "`-K1` is never pulled: each way to `-K1:A1` leads over a contact of `-K1`",
    )


def test_two_coils_that_wait_for_each_other(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -K1 contactor-9a at=+MCP\ndevice -K2 contactor-9a at=+MCP\n"
    for one, other in ((1, 2), (2, 1)):
        text += (
            f"wire -T1:24V to -K{other}:13 1mm2 RD\nwire -K{other}:14 to -K{one}:A1 1mm2 RD\nwire -K{one}:A2 to -T1:COM 1mm2 RD\n"
        )
    (finding,) = never(found(text))
    assert finding.subjects[:2] == ("-K1", "-K2")
    assert "which wait for one another" in finding.message


def test_a_coil_behind_two_contacts_of_one_button_that_are_never_closed_together(found: Found) -> None:
    text = """part both "Button" {
  kind = push-button   letter = S   class = II
  terminal :13 :14 :21 :22 contact
  contact :13 to :14 make by=hand
  contact :21 to :22 break by=hand
}
""" + HELD.replace("push-button", "both").replace("wire -S1:14 to -K1:14", "wire -S1:14 to -S1:21 1mm2 RD\nwire -S1:22 to -K1:14")
    text = text.replace("-S1:13 to -K1:13", "-S1:13").replace("-K1:14 1mm2 RD\nwire -K1:14 to -K1:A1", "-K1:A1")
    (finding,) = never(found(text))
    assert finding.message.endswith("leads over contacts that are never closed together")


def test_a_power_supply_gets_both_poles(found: Found) -> None:
    text = "device -F1 mcb-1p at=+MCP current=6A\ndevice -T9 supply-24v at=+MCP\nwire -F1:2 to -T9:L 1.5mm2 BK\n"
    text += "wire -WB1:N to -T9:N 1.5mm2 BU\nwire -T9:PE to -XE1:4 2.5mm2 GNYE\n"
    (finding,) = (f for f in found(text) if f.rule in RULES)
    assert (finding.rule, finding.severity) == ("load-open", Severity.WARNING)
    assert finding.message == "nothing feeds `-T9:L`: no source comes there in any state"
    assert said(found(text + "wire -WB1:L1 to -F1:1 1.5mm2 BK\n")) == []


# --- strip-end-open --------------------------------------------------------------------------------------------------
FLOAT = """\
strip -X1 at=+MCP {
  :1..3 2.5mm2
}
route A at=+HALL kind=perforated-tray
device -T1 drive at=+MCP
device -B1 level-switch at=+HALL
wire -T1:24V to -X1:1 0.75mm2 RD
wire -X1:2 to -T1:DI1 0.75mm2 RD
cable -W1 3x1.5 length=10m along=A {
  BN -X1:1 to -B1:11
  BK -X1:2 to -B1:14
  GY -X1:3 to -B1:12
}
"""


def test_a_throw_that_is_not_needed_may_end_on_a_strip_one_that_is_needed_may_not(found: Found) -> None:
    assert said(found(FLOAT)) == []
    (finding,) = (f for f in found(FLOAT.replace("wire -X1:2 to -T1:DI1 0.75mm2 RD\n", "")) if f.subjects[0] == "-X1:2")
    assert finding.message == "the core from `-B1:14` ends on `-X1:2`: nothing is connected to the other side of the terminal"


def test_what_is_prepared_whole_for_later_may_end_on_a_strip(found: Found) -> None:
    text = FLOAT.replace("wire -X1:2 to -T1:DI1 0.75mm2 RD\n", "").replace("wire -T1:24V to -X1:1 0.75mm2 RD\n", "")
    assert said(found(text)) == []


def test_a_bridge_is_the_other_side_too(found: Found) -> None:
    text = FLOAT.replace("wire -T1:24V to -X1:1 0.75mm2 RD\n", "wire -T1:24V to -X1:3 0.75mm2 RD\n").replace(
        "  GY -X1:3 to -B1:12\n", ""
    )
    assert said(found(text.replace("  :1..3 2.5mm2\n", "  :1..3 2.5mm2\n  bridge :1,3\n"))) == []
    assert said(found(text)) == [("strip-end-open", "-X1:1")]
