"""Disconnection, let-through and protective conductors: what is reported, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("fault-loop", "fault-withstand", "earth-undersized")

LONG = """
device -Q1 {breaker} at=+MCP current=16A {more}
device -T1 {part} at=+HALL
wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
cable -W1 4G4 length=80m method=C {{
  BN   -Q1:2  to -T1:L1
  BK   -Q1:4  to -T1:L2
  GY   -Q1:6  to -T1:L3
  GNYE -XE1:3 to -T1:PE
}}
"""
SHORT = """
device -Q1 mcb-3p-d at=+MCP current=16A {more}
device -T1 drive at=+MCP
wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
wire -Q1:2,4,6 to -T1:L1,L2,L3 {section} BK length={length}
wire -T1:PE to -XE1:3 {earth} GNYE length={length}
"""
LARGE = FRAME.replace("upstream=fuse-gG-50A", "upstream=mccb-50A")
TO_EARTH = LARGE.replace("earth-fault-current=3kA", "earth-fault-current=6kA")


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def long(breaker: str = "mcb-3p-d", part: str = "drive", more: str = "") -> str:
    return LONG.format(breaker=breaker, part=part, more=more)


def short(section: str = "2.5mm2", earth: str = "2.5mm2", length: str = "1m", more: str = "") -> str:
    return SHORT.format(section=section, earth=earth, length=length, more=more)


# --- disconnection ------------------------------------------------------------------------------------------------
def test_a_loop_too_long_names_the_device_and_the_numbers(found: Found) -> None:
    (finding,) = found(long())
    assert finding.subjects == ("-T1", "-Q1", "-W1")
    assert "% of it in `-W1`" in finding.message
    assert "`-Q1` (D16) operates within 0.4 s only up to 0.682 Ω" in finding.message
    assert [related.span.text for related in finding.related] == ["-Q1"]


@each_of("more", ["curve=C", "curve=B"])
def test_a_quicker_curve_disconnects_the_same_loop(found: Found, more: str) -> None:
    assert rules(found(long("mcb-3p", more=more))) == []


def test_a_residual_device_disconnects_what_the_breaker_does_not(found: Found) -> None:
    text = long().replace(
        "wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK",
        """device -F1 rcd-4p-b-300 at=+MCP current=40A
wire -WB1:L1,L2,L3 to -F1:1,3,5 6mm2 BK
wire -F1:2,4,6 to -Q1:1,3,5 6mm2 BK""",
    )
    assert rules(found(text)) == []


def test_above_32_a_five_seconds_are_enough(found: Found) -> None:
    text = long("fuse-nh00-gg").replace("current=16A", "current=40A").replace("4G4", "4G6")
    assert rules(found(text)) == []
    chosen = LARGE.replace("netdsl 1\n", 'netdsl 1\nproject "T" {\n  disconnection-time = 0.1s\n}\n')
    assert "fault-loop" in rules(found(text, frame=chosen))


def test_a_project_may_choose_another_factor(found: Found) -> None:
    frame = FRAME.replace("netdsl 1\n", 'netdsl 1\nproject "T" {\n  loop-factor = 0.5\n}\n')
    assert rules(found(long("mcb-3p-c"), frame=frame)) == ["fault-loop"]


def test_nothing_is_judged_behind_a_drive(found: Found) -> None:
    text = (
        short("6mm2", "6mm2")
        + """
device -M1 motor at=+HALL
cable -W1 4G0.75 screened length=900m method=C {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
    )
    assert rules(found(text)) == []


def test_in_an_it_system_the_second_fault_counts(found: Found) -> None:
    frame = FRAME.replace("system=TN-S", "system=IT").replace("  BU   -G0:N  to -WB1:N\n", "")
    (finding,) = found(long(), frame=frame)
    assert finding.rule == "fault-loop"
    assert "operates within 0.4 s only up to 0.593 Ω" in finding.message  # 0.95 * 400 V / (2 * 320 A)
    assert rules(found(short("6mm2", "6mm2"), frame=frame)) == []


def test_class_two_has_no_exposed_part(found: Found) -> None:
    part = 'part box "Box" {\n kind = heater  letter = E  class = II\n terminal :L1 :L2 :L3 line-in 0.5..6mm2\n}\n'
    text = part + long(part="box").replace("  GNYE -XE1:3 to -T1:PE\n", "").replace("4G4", "3x4")
    assert rules(found(text)) == []


@each_of("lacking", ["length=80m ", "earth-fault-current=3kA", "current=16A"])
def test_without_data_nothing_is_said(found: Found, lacking: str) -> None:
    assert "fault-loop" not in rules(found(long().replace(lacking, ""), frame=FRAME.replace(lacking, "")))


def test_a_tt_system_needs_an_electrode_that_fits_its_device(found: Found) -> None:
    residual = long().replace(
        "wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK",
        """device -F1 rcd-4p-b-300 at=+MCP current=40A
wire -WB1:L1,L2,L3 to -F1:1,3,5 6mm2 BK
wire -F1:2,4,6 to -Q1:1,3,5 6mm2 BK""",
    )
    frame = FRAME.replace("system=TN-S", "system=TT")
    good, bad = (frame.replace("frequency=50Hz", f"frequency=50Hz earth-resistance={ohms}ohm") for ohms in (20, 300))
    assert rules(found(residual, frame=good)) == []
    findings = found(residual, frame=bad)
    assert {finding.subjects[0] for finding in findings} == {"-T1"}
    assert "earth resistance at `-T1` is 300 Ω" in findings[0].message


# --- let-through --------------------------------------------------------------------------------------------------
def test_thin_wires_behind_a_breaker_that_lets_much_through(found: Found) -> None:
    (finding,) = (
        each for each in found(short(length="1.5m", more="let-through=150kA2s"), frame=LARGE) if each.rule == "fault-withstand"
    )
    assert finding.subjects[1:] == ("-Q1", "-T1")
    assert "has 2.5 mm², but a fault of" in finding.message and "broken by `-Q1` (D16)" in finding.message


def test_a_stated_let_through_counts(found: Found) -> None:
    assert rules(found(short(more="let-through=30kA2s"), frame=LARGE)) == []


def test_a_fuse_ahead_limits_for_the_breaker(found: Found) -> None:
    assert rules(found(short())) == []


def test_a_class_of_energy_limiting_breaker_counts(found: Found) -> None:
    assert rules(found(short().replace("mcb-3p-d", "mcb-3p-c"), frame=LARGE)) == []


def test_a_short_tap_to_the_device_that_protects_is_left_alone(found: Found) -> None:
    tap = short(more="let-through=30kA2s").replace("to -Q1:1,3,5 6mm2 BK", "to -Q1:1,3,5 2.5mm2 BK length={}")
    frame = LARGE.replace("fault-current=6kA", "fault-current=8kA")
    assert rules(found(tap.replace("{}", "3m"), frame=frame)) == []
    assert rules(found(tap.replace("{}", "3.5m"), frame=frame)) == ["fault-withstand"]


def test_of_conductors_in_parallel_one_bears_all(found: Found) -> None:
    text = short(more="let-through=150kA2s").replace(
        "wire -Q1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK length=1m", "wire -Q1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK length=1m\n" * 2
    )
    assert "fault-withstand" in rules(found(text, frame=LARGE))


# --- protective conductors ----------------------------------------------------------------------------------------
def test_too_thin_by_table_and_by_equation(found: Found) -> None:
    (finding,) = found(short("6mm2", "1.5mm2"), frame=TO_EARTH)
    assert "beside phase conductors of 6 mm² the table asks for 6 mm²" in finding.message
    assert "broken by `-Q1` (D16) takes" in finding.message
    assert finding.subjects[0] == "-T1:PE -- -XE1:3"


def test_the_equation_alone_is_enough(found: Found) -> None:
    assert rules(found(short("6mm2", "1.5mm2"))) == []


def test_the_table_alone_is_enough(found: Found) -> None:
    assert rules(found(short("6mm2", "6mm2"), frame=TO_EARTH)) == []


def test_the_current_to_earth_counts_not_that_between_the_poles(found: Found) -> None:
    assert rules(found(short("6mm2", "1.5mm2"), frame=LARGE)) == []  # half as much as in the tests above


def test_touch_current_asks_for_ten_or_for_two(found: Found) -> None:
    touching = short("6mm2", "6mm2").replace("device -T1 drive at=+MCP", "device -T1 drive at=+MCP touch-current=5mA")
    assert rules(found(touching)) == ["earth-undersized"]
    assert rules(found(touching + "wire -T1:PE2 to -XE1:4 6mm2 GNYE\n")) == []
    assert rules(found(touching.replace("-XE1:3 6mm2", "-XE1:3 10mm2"))) == []
    chosen = FRAME.replace("netdsl 1\n", 'netdsl 1\nproject "T" {\n  touch-current-limit = 10mA\n}\n')
    assert rules(found(touching, frame=chosen)) == []


def test_the_core_in_the_motor_cable_follows_the_ordinary_rule(found: Found) -> None:
    text = (
        short("6mm2", "10mm2").replace("device -T1 drive at=+MCP", "device -T1 drive at=+MCP touch-current=5mA")
        + """
device -M1 motor at=+HALL
cable -W1 4G2.5 screened length=10m method=C {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
    )
    assert rules(found(text)) == []


def test_laid_apart_it_is_at_least_four_square_millimetres(found: Found) -> None:
    apart = long("mcb-3p-c").replace("  GNYE -XE1:3 to -T1:PE\n", "").replace("4G4", "3x4")
    assert rules(found(apart + "wire -XE1:3 to -T1:PE 2.5mm2 GNYE length=80m\n")) == ["earth-undersized"]
    assert rules(found(apart + "wire -XE1:3 to -T1:PE 4mm2 GNYE length=80m\n")) == []
