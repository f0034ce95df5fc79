"""Exemptions of the rules about ways of circuits, loose wires, loads at a drive's output and marks."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding, Severity
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]

RULES = ("circuit-split", "leaves-unprotected", "output-loaded", "mark-duplicate", "contact-bridged")

HEATER = """\
device -F1 mcb-1p at=+MCP current=6A
device -E1 heater at=+HALL
route C1 "one" at=+HALL kind=conduit
route C2 "other" at=+HALL kind={kind}
wire -WB1:L1 to -F1:1 2.5mm2 BK
wire -F1:2 to -E1:L 1.5mm2 BK {live}
wire -WB1:N to -E1:N 1.5mm2 BU {neutral}
"""
SIX = """\
part six-ends "Motor" {
  kind = motor   letter = M   class = I
  terminal :U1 :V1 :W1 :U2 :V2 :W2 winding 0.75..10mm2
  terminal :PE earth 0.75..10mm2
}
device -M1 six-ends at=+HALL
cable -W1 4G2.5 length=5m {
  BN -WB1:L1 to -M1:U1
  BK -WB1:L2 to -M1:V1
  GY -WB1:L3 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""
SECOND = """\
device -K1 contactor-9a at=+MCP
cable -W2 4G2.5 length=5m {
  BN -K1:2 to -M1:U2
  BK -K1:4 to -M1:V2
  GY -K1:6 to -M1:W2
}
wire -WB1:L1,L2,L3 to -K1:1,3,5 4mm2 BK
"""
DRIVE = """\
device -T1 drive at=+MCP
device -K1 contactor-9a at=+MCP
device -K2 contactor-9a at=+MCP
device -M1 motor at=+HALL
device -F5 {part} at=+MCP
wire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK
cable -W1 4G2.5 length=5m {
  BN -K1:2 to -M1:U1
  BK -K1:4 to -M1:V1
  GY -K1:6 to -M1:W1
}
"""
MARKED = "device -T1 drive at=+MCP\nstrip -X1 at=+MCP {\n  :1 4mm2 disconnect\n  :2 4mm2\n}\n"


def heater(kind: str = "conduit", live: str = "along=C1", neutral: str = "along=C1") -> str:
    return HEATER.format(kind=kind, live=live, neutral=neutral)


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


# --- circuit-split ------------------------------------------------------------------------------------------------
def test_single_cores_lie_together(found: Found) -> None:
    assert rules(found(heater())) == []
    (finding,) = found(heater(neutral="along=C2"))
    assert finding.rule == "circuit-split" and finding.severity is Severity.ERROR
    assert finding.message.endswith("apart from each other: `-F1:2 -- -E1:L` along `C1`; `-WB1:N -- -E1:N` along `C2`")


def test_one_way_more_on_the_same_course_is_another_way(found: Found) -> None:
    assert rules(found(heater(live="along=C1,C2", neutral="along=C1"))) == ["circuit-split"]


def test_cores_without_a_way_are_not_judged_as_split(found: Found) -> None:
    assert rules(found(heater(live="", neutral="along=C1"), only="circuit-split")) == []


def test_two_cables_that_hold_all_phases_each(found: Found) -> None:
    assert rules(found(SIX + SECOND)) == []
    assert rules(found(SIX + SIX.split("device -M1")[1].replace(" six-ends at=+HALL\n", "").replace("-W1", "-W3"))) == []


def test_one_phase_in_the_other_cable(found: Found) -> None:
    moved = SIX.replace("  BN -WB1:L1 to -M1:U1\n", "") + SECOND.replace("4G2.5", "5G2.5").replace(
        "  BN -K1:2", "  BU -WB1:L1 to -M1:U1\n  BN -K1:2"
    )
    assert rules(found(moved)) == ["circuit-split"]


def test_a_load_in_the_enclosure_that_feeds_it_is_none_of_this(found: Found) -> None:
    assert rules(found(heater(live="", neutral="").replace("heater at=+HALL", "heater at=+MCP"))) == []


def test_a_protective_conductor_in_another_cable(found: Found) -> None:
    apart = SIX.replace("  GNYE -XE1:3 to -M1:PE\n", "") + "cable -W5 3G1.5 length=5m {\n  GNYE -XE1:3 to -M1:PE\n}\n"
    (finding,) = found(apart)
    assert finding.rule == "circuit-split" and finding.severity is Severity.WARNING
    assert finding.message == "the protective conductor of `-M1` runs in `-W5`, its phases in `-W1`"
    alone = SIX.replace("  GNYE -XE1:3 to -M1:PE\n", "") + "wire -XE1:3 to -M1:PE 6mm2 GNYE\n"
    assert rules(found(alone)) == []


# --- leaves-unprotected -------------------------------------------------------------------------------------------
@each_of(("kind", "count"), [("conduit", 0), ("duct", 0), ("hinge", 0), ("tray", 1), ("ladder", 1), ("floor", 1)])
def test_wires_leave_in_what_closes_them_in(kind: str, count: int, found: Found) -> None:
    findings = found(heater(kind, "along=C2", "along=C2"))
    assert rules(findings) == ["leaves-unprotected"] * count
    assert all(finding.severity is Severity.ERROR and "C2" in finding.subjects for finding in findings)


def test_wires_without_a_way_are_a_warning(found: Found) -> None:
    (finding,) = found(heater(live="", neutral=""), only="leaves-unprotected")
    assert finding.severity is Severity.WARNING and finding.message.endswith("from `+MCP` to `+HALL`, and no way is stated")


def test_protective_conductors_cables_and_what_lies_beyond_are_left_alone(found: Found) -> None:
    assert rules(found("device -E1 heater at=+HALL\nwire -XE1:3 to -E1:PE 4mm2 GNYE\n")) == []
    assert rules(found("outside -A1 at=+HALL {\n  terminal :1 plain\n}\nwire -WB1:L1 to -A1:1 4mm2 BK\n")) == []
    assert rules(found(SIX)) == []


# --- output-loaded ------------------------------------------------------------------------------------------------
CAPACITOR = """\
part demo-capacitor "Capacitor" {
  kind = capacitor   letter = C   class = II
  terminal :1 :3 :5 line-in
}
"""


def test_a_capacitor_behind_a_contactor(found: Found) -> None:
    text = CAPACITOR + DRIVE.replace("{part}", "demo-capacitor") + "wire -K1:2,4,6 to -F5:1,3,5 2.5mm2 BK\n"
    text += "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n"
    (finding,) = found(text)
    assert finding.subjects == ("-F5", "-T1") and "no compensation" in finding.remedy


def test_a_residual_device_ahead_and_in_the_bypass(found: Found) -> None:
    text = DRIVE.replace("{part}", "rcd-4p-b") + "wire -WB1:L1,L2,L3 to -F5:1,3,5 2.5mm2 BK\n"
    assert rules(found(text + "wire -F5:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK\n")) == []
    bypass = "wire -F5:2,4,6 to -K2:1,3,5 2.5mm2 BK\ncable -W2 4G2.5 length=5m {\n"
    bypass += "  BN -K2:2 to -M1:U1\n  BK -K2:4 to -M1:V1\n  GY -K2:6 to -M1:W1\n}\n"
    assert rules(found(text + bypass)) == []


# --- mark-duplicate -----------------------------------------------------------------------------------------------
def test_one_mark_for_one_potential(found: Found) -> None:
    ahead, behind = "wire -T1:24V to -X1:1/in 1mm2 RD mark=7\n", "wire -X1:1/out to -T1:DI1 1mm2 RD mark={mark}\n"
    assert rules(found(MARKED + ahead + behind.format(mark=7))) == []
    other = "wire -X1:2 to -T1:DI2 1mm2 RD mark=7\n"
    assert rules(found(MARKED + ahead + other)) == ["mark-duplicate"]
    assert rules(found(MARKED + ahead + other.replace("mark=7", "mark=8"))) == []


def test_one_mark_in_two_enclosures(found: Found) -> None:
    text = MARKED + "wire -T1:24V to -X1:2 1mm2 RD mark=7\nplace +BOX kind=box\n"
    text += "device -P1 lamp at=+BOX\ndevice -S1 selector-2 at=+BOX\nwire -S1:14 to -P1:X1 1mm2 RD mark=7\n"
    assert rules(found(text)) == []


# --- contact-bridged -------------------------------------------------------------------------------------------------
def test_poles_one_behind_the_other_are_not_bridged(found: Found) -> None:
    text = "device -K1 contactor-9a at=+MCP\nwire -WB1:L1 to -K1:1 4mm2 BK\nwire -K1:2 to -K1:3 4mm2 BK\n"
    assert rules(found(text)) == []
    (finding,) = found(text + "wire -K1:3 to -K1:4 4mm2 BK\n")
    assert finding.message == "a wire leads past the pole `-K1:3` to `-K1:4`: `-K1` does not open it"
    assert finding.subjects[0] == "-K1"


def test_a_bridged_contact_of_a_selector_but_not_of_what_other_rules_judge(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -S1 {part} at=+MCP\nwire -T1:24V to -S1:13 1mm2 RD\nwire -S1:14 to -T1:DI1 1mm2 RD\n"
    text += "wire -S1:13 to -S1:14 1mm2 RD\n"
    (finding,) = found(text.replace("{part}", "selector-2"))
    assert finding.message == "a wire leads past the contact `-S1:13` to `-S1:14`: `-S1` does not open it"
    stop = 'part stop-13 "Stop" {\n  kind = emergency-stop   letter = S   class = II\n'
    stop += "  terminal :13 :14 contact\n  contact :13 to :14 break by=hand\n}\n"
    assert rules(found(stop + text.replace("{part}", "stop-13"))) == []
