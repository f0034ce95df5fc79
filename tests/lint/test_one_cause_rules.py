"""One cause, one finding, at the part or conductor concerned: faults whose consequences other rules would tell too."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.rules_together import SIZING, TOGETHER

Found = Callable[..., tuple[Finding, ...]]
RULES = TOGETHER - SIZING

MOTOR = """\
device -T1 drive at=+MCP
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK
wire -T1:PE to -XE1:3 6mm2 GNYE
device -M1 motor at=+HALL
"""
CABLE = """\
cable -W1 4G2.5 screened length=10m {
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
REACTOR = """\
part choke "Line reactor" {
  kind = reactor   letter = L   class = I
  terminal :1 :3 :5 line-in  0.5..10mm2
  terminal :2 :4 :6 load-out 0.5..10mm2
  terminal :PE :PE2 earth    1.5..10mm2
}
device -L1 choke at=+MCP
wire -WB1:L1,L2,L3 to -L1:1,3,5 4mm2 BK
wire -L1:2,4,6 to -T1:L1,L2,L3  4mm2 BK
"""
SUPPLY = """\
part dc-supply "24 V supply" {
  kind = supply-24v   letter = T   class = II
  terminal :L line-in 0.5..4mm2
  terminal :N neutral 0.5..4mm2
  terminal :+ supply-out    0.5..4mm2 clamps=2
  terminal :- supply-common 0.5..4mm2 clamps=2
  source :+ to :- voltage=24V dc current=5A
}
device -T9 dc-supply at=+MCP
wire -WB1:L1 to -T9:L 1.5mm2 BK
wire -WB1:N  to -T9:N 1.5mm2 BU
strip -X2 at=+MCP {
  :1..4 2.5mm2
  bridge :1..4
}
wire -T9:+ to -X2:1 1.5mm2 BU
"""


def told(findings: tuple[Finding, ...]) -> list[tuple[str, str]]:
    return [(finding.rule, finding.span.source.line(finding.span.begin[0]).strip()) for finding in findings]


def test_a_drive_earthed_over_its_reactor_is_in_series_though_its_motor_is_earthed_by_cable(found: Found) -> None:
    text = MOTOR.replace("wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK\n", "").replace("-T1:PE to -XE1:3", "-T1:PE to -L1:PE2")
    findings = found(text + REACTOR + CABLE + "wire -L1:PE to -XE1:3 6mm2 GNYE\n")
    assert told(findings) == [("earth-in-series", "device -T1 drive at=+MCP")]


ISOLATED = (
    MOTOR
    + """\
part site-isolator "Isolator" {
  kind = isolator   letter = Q   class = I
  terminal :1 :3 :5 line-in 0.5..10mm2
  terminal :2 :4 :6 load-out 0.5..10mm2
  terminal :PE1 :PE2 earth-through 0.5..10mm2
  terminal :SH1 :SH2 screen
  pole :1,3,5 to :2,4,6 by=handle
}
device -Q2 site-isolator at=+HALL
cable -W1 4G2.5 screened length=10m {
  BN -T1:U to -Q2:1
  BK -T1:V to -Q2:3
  GY -T1:W to -Q2:5
  GNYE -T1:PE2 to -Q2:PE1
  screen -T1:SH clamp to -Q2:SH1 gland
}
cable -W2 4G2.5 screened length=3m {
  BN -Q2:2 to -M1:U1
  BK -Q2:4 to -M1:V1
  GY -Q2:6 to -M1:W1
  GNYE -Q2:PE2 to -M1:PE
  screen -Q2:SH2 gland to -M1:SH gland
}
"""
)


def test_an_earth_cut_before_the_isolator_is_not_also_a_motor_earth_astray(found: Found) -> None:
    assert found(ISOLATED) == ()
    cut = found(ISOLATED.replace("  GNYE -T1:PE2 to -Q2:PE1\n", ""))
    assert told(cut) == [("earth-missing", "device -Q2 site-isolator at=+HALL")]


def test_a_box_with_a_bonded_rail_hands_the_motor_earth_on(found: Found) -> None:
    text = MOTOR + CABLE.replace("-M1:SH gland", "-XSH:1 clamp").replace("1\n", "1/in\n").replace("-M1:", "-X9:")
    text = text.replace("-X9:PE", "-X9:PE/in")
    text += """\
    place +JB "Junction box" kind=box
    strip -X9 at=+JB rail=bonded {
      :U1 :V1 :W1 4mm2
      :PE earth 4mm2
    }
    device -XSH screen-bar at=+JB ways=2
    cable -W2 4G2.5 screened length=3m {
      BN -X9:U1 to -M1:U1
      BK -X9:V1 to -M1:V1
      GY -X9:W1 to -M1:W1
      GNYE -X9:PE to -M1:PE
      screen -XSH:2 clamp to -M1:SH gland
    }
    """
    assert found(text) == ()


def test_the_bar_bonded_to_the_plate_of_the_screen_clamp_will_do(found: Found) -> None:
    text = MOTOR + "device -XSH screen-bar at=+MCP ways=2\n" + CABLE.replace("-T1:PE2", "-XE1:4").replace("-T1:SH", "-XSH:1")
    assert found(text) == ()
    assert told(found(text.replace("-XSH:1 clamp", "-T1:SH clamp"))) == [("earth-not-at-drive", "GNYE -XE1:4 to -M1:PE")]


def test_a_motor_earthed_at_the_next_motor_is_told_of_that_motor(found: Found) -> None:
    second = CABLE.replace("-W1", "-W2").replace("-M1", "-M2").replace("-T1:U", "-T1:U2").replace("-T1:PE2", "-M1:PE2")
    findings = found(MOTOR + CABLE + "device -M2 motor at=+HALL\n" + second.replace("-T1:U2", "-T1:U"))
    series = [finding for finding in findings if finding.rule.startswith("earth")]
    assert [(finding.rule, finding.subjects[0]) for finding in series] == [("earth-in-series", "-M2")]
    assert [finding.rule for finding in findings if finding.rule == "clamp-overfilled"] == ["clamp-overfilled"]


def test_a_cable_laid_twice_overfills_each_device_once(found: Found) -> None:
    findings = found(MOTOR + CABLE.replace("screened length", "screened parallel=2 length"))
    overfilled = [finding for finding in findings if finding.rule == "clamp-overfilled"]
    assert [finding.subjects[0] for finding in overfilled] == ["-M1", "-T1"]
    assert all(name in overfilled[1].message for name in ("`-T1:U`", "`-T1:V`", "`-T1:W`"))


def test_a_reference_not_declared_is_told_at_its_conductor_only(found: Found) -> None:
    findings = found(SUPPLY + "wire -T9:- to -XE1:8 1.5mm2 GNYE\nwire -X2:2 to -X2:3 1.5mm2 BU\nwire -XE1:9 to -T9:- 1.5mm2 BU\n")
    assert {finding.rule for finding in findings} == {"potentials-joined"}
    findings = found(
        SUPPLY + "wire -T9:- to -XE1:8 1.5mm2 GNYE\nstrip -X3 at=+MCP {\n  :1 2.5mm2\n}\nwire -T9:- to -X3:1 1.5mm2 BU\n"
    )
    assert told(findings) == [("potentials-joined", "wire -T9:- to -XE1:8 1.5mm2 GNYE")]


def test_mains_on_a_drive_output_is_one_finding_for_its_line(found: Found) -> None:
    part = 'part breaker "Breaker" {\n  kind = breaker   letter = Q   class = II\n'
    part += (
        "  terminal :1 :3 :5 line-in 0.5..10mm2\n  terminal :2 :4 :6 load-out 0.5..10mm2 clamps=2\n  pole :1,3,5 to :2,4,6\n}\n"
    )
    part += "device -Q1 breaker at=+MCP\nwire -WB1:L1,L2,L3 to -Q1:1,3,5 4mm2 BK\n"
    findings = found(MOTOR.replace("device -M1 motor at=+HALL\n", "") + part + "wire -Q1:2,4,6 to -T1:U,V,W 4mm2 BK length=2m\n")
    assert told(findings) == [("potentials-joined", "wire -Q1:2,4,6 to -T1:U,V,W 4mm2 BK length=2m")]
    assert "`-T1:V` meet too" in findings[0].message


def test_mains_on_24_volts_says_nothing_of_the_cables_that_carry_it(found: Found) -> None:
    field = 'part switch "Switch" {\n  kind = level-switch   letter = B   class = II\n  terminal :11 :14 contact 0.5..2.5mm2\n}\n'
    field += "device -B1 switch at=+HALL\nroute A at=+HALL kind=tray\n"
    field += "cable -W5 2x1.5 length=10m along=A {\n  BN -X2:3 to -B1:11\n  BU -T1:DI1 to -B1:14\n}\n"
    field += "cable -W6 2x0.75 screened length=10m along=A {\n  BN -T1:A to -M1:TP1\n  screen -T1:SH clamp to -M1:SH gland\n}\n"
    findings = found(MOTOR + CABLE + SUPPLY + field + "wire -WB1:L2 to -X2:2 1.5mm2 BK\n")
    assert told(findings) == [("potentials-joined", "wire -WB1:L2 to -X2:2 1.5mm2 BK")]


def test_a_long_unscreened_way_to_the_sine_filter_is_told(found: Found) -> None:
    part = 'part smoother "Sine filter" {\n  kind = filter   letter = L   class = II   filter = sine\n'
    part += (
        "  terminal :1 :3 :5 line-in 0.5..10mm2\n  terminal :2 :4 :6 load-out 0.5..10mm2\n"
        "  pole :1,3,5 to :2,4,6\n}\ndevice -L5 smoother at=+MCP\n"
    )
    cable = CABLE.replace(" screened", "").replace("  screen -T1:SH clamp to -M1:SH gland\n", "")
    for terminal, core in (("2", "U"), ("4", "V"), ("6", "W")):
        cable = cable.replace(f"-T1:{core} ", f"-L5:{terminal} ")
    wires = "wire -T1:U,V,W to -L5:1,3,5 4mm2 BK length="
    assert found(MOTOR + part + cable + wires + "0.2m\n") == ()
    assert told(found(MOTOR + part + cable + wires + "2m\n")) == [("screen-missing", wires + "2m")]


def test_a_divided_route_named_whole_lies_in_both_halves(found: Found) -> None:
    start = "route A at=+HALL kind=tray divider=yes\n" + MOTOR + CABLE.replace("length=10m", "length=10m along=A/1")
    sensor = "device -B1 transmitter at=+HALL\ncable -W6 2x0.75 screened length=10m along=A/2 {\n"
    sensor += "  BN -T1:AI1 to -B1:+\n  BU -T1:AC to -B1:-\n  screen -T1:SH clamp to -B1 open\n}\n"
    assert found(start + sensor) == ()
    findings = found(start + sensor.replace("along=A/2", "along=A"))
    assert [(finding.rule, finding.subjects[0]) for finding in findings] == [("bundle-mixed", "-W6")]


def test_an_article_fits_its_word(found: Found) -> None:
    sensor = "device -T1 drive at=+MCP\nwire -T1:PE to -XE1:3 6mm2 GNYE\ndevice -B1 transmitter at=+HALL\n"
    sensor += "cable -W6 2x0.75 length=10m {\n  BN -T1:AI1 to -B1:+\n  BU -T1:AC to -B1:-\n}\n"
    assert found(sensor)[0].message == "`-W6` carries an analogue circuit and has no screen"


LAMP = """\
part dial "Lamp, 110 V" {
  kind = lamp   letter = P   class = II
  terminal :X1 :X2 load 0.5..2.5mm2
  load :X1 to :X2 voltage=110V dc
}
supply -G1 "Battery" system=DC voltage=110V
device -H1 dial at=+HALL
strip -X2 at=+MCP {
  :1..2 2.5mm2
}
cable -W8 2x1.5 length=10m {
  BN -G1:+ to -X2:1
  BU -G1:- to -X2:2
}
wire -G1:PE to -XE1:9 4mm2 GNYE
cable -W9 2x1.5 length=10m {
  BN -X2:1/in to -H1:X1
  BU -X2:2/in to -H1:X2
}
"""


def test_live_core_and_return_of_one_source_share_a_cable(found: Found) -> None:
    assert found(LAMP) == ()


def test_a_three_phase_drive_on_two_phases_and_neutral_is_told(found: Found) -> None:
    findings = found(MOTOR.replace("-WB1:L1,L2,L3", "-WB1:L1,L2,N") + CABLE)
    assert [finding.rule for finding in findings] == ["voltage-mismatch"]
    assert "neutral `-G0:N` comes to `-T1:L3`" in findings[0].message


def test_a_coil_between_mains_and_the_zero_volts_of_another_source_is_told(found: Found) -> None:
    coil = 'part relay24 "Relay" {\n  kind = relay   letter = K   class = II\n  terminal :A1 :A2 coil 0.5..2.5mm2\n'
    coil += "  coil :A1 to :A2 voltage=24V dc\n}\ndevice -K1 relay24 at=+MCP\n"
    assert found(SUPPLY + coil + "wire -X2:2 to -K1:A1 1mm2 BU\nwire -T9:- to -K1:A2 1mm2 BU\n") == ()
    findings = found(SUPPLY + coil + "wire -WB1:L3 to -K1:A1 1mm2 BK\nwire -T9:- to -K1:A2 1mm2 BU\n")
    assert told(findings) == [("voltage-mismatch", "wire -WB1:L3 to -K1:A1 1mm2 BK")]


def test_a_strip_terminal_without_earth_is_named_at_the_part_that_needs_it(found: Found) -> None:
    strip = "strip -X3 at=+MCP {\n  :U :V :W 4mm2\n  :PE earth 4mm2\n}\ndevice -M1 motor at=+HALL\n"
    strip += "cable -W1 4G2.5 length=5m {\n  BN -X3:U to -M1:U1\n  GNYE -X3:PE to -M1:PE\n}\n"
    (finding,) = found(strip)
    assert (finding.rule, finding.subjects[0]) == ("earth-missing", "-M1")
    assert "`-X3:PE`" in finding.message
    assert finding.remedy == "connect `-X3:PE` to the earth bar"


def test_an_earth_core_on_a_live_terminal_is_told_with_the_part_it_leaves_without_earth(found: Found) -> None:
    strip = "strip -X3 at=+MCP {\n  :1 6mm2\n}\n"
    (finding,) = found(MOTOR.replace("wire -T1:PE to -XE1:3", "wire -T1:PE to -X3:1") + strip + CABLE)
    assert (finding.rule, finding.subjects[0]) == ("earth-missing", "-T1")
    assert "`-T1:PE -- -X3:1` leads to no earth" in finding.message


def test_a_strip_that_hands_the_earth_on_is_not_named_as_the_missing_one(found: Found) -> None:
    box = "strip -X9 at=+HALL {\n  :PE earth 4mm2\n}\n"
    cable = CABLE.replace("-M1:PE", "-X9:PE/in") + "cable -W2 1G2.5 length=2m {\n  GNYE -X9:PE to -M1:PE\n}\n"
    (finding,) = found(MOTOR.replace("wire -T1:PE to -XE1:3 6mm2 GNYE\n", "") + box + cable)
    assert (finding.rule, finding.subjects[0]) == ("earth-missing", "-T1")
    assert "-X9" not in finding.remedy


def test_a_short_between_two_named_nets_is_no_fault_of_their_names(found: Found) -> None:
    text = SUPPLY + "strip -X4 at=+MCP {\n  :1..3 2.5mm2\n  bridge :1..3\n}\nwire -T9:- to -X4:1 1.5mm2 BU\n"
    text += "potential P24 of -X2:1\npotential M24 of -X4:1\n"
    assert found(text) == ()
    assert told(found(text + "wire -X2:4 to -X4:3 1.5mm2 BU\n")) == [("potentials-joined", "wire -X2:4 to -X4:3 1.5mm2 BU")]


def test_an_earth_missing_silences_the_open_terminal_that_shows_it(found: Found) -> None:
    part = 'part fan "Fan" {\n kind = fan  class = I  letter = G\n terminal :PE earth required\n terminal :L load required\n}\n'
    findings = found(part + "device -E1 fan at=+MCP\n")
    assert sorted(finding.rule for finding in findings) == ["earth-missing", "terminal-open"]
    assert "-E1:PE" not in next(f for f in findings if f.rule == "terminal-open").message
