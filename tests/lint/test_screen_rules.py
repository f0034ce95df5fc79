"""Screens: what each use asks for, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from netdsl.findings import Finding, Severity
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "screen-missing",
    "screen-pigtail",
    "screen-unterminated",
)

DRIVE = "device -T1 drive at=+MCP\nwire -T1:PE to -XE1:3 6mm2 GNYE\n"
MOTOR = "device -M1 motor at=+HALL\n"


def motor_cable(screen: str, attributes: str = "screened length=10m") -> str:
    return (
        DRIVE
        + MOTOR
        + f"""cable -W1 4G2.5 {attributes} {{
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  {screen}
}}
"""
    )


def pair_cable(a: str, b: str, screen: str, attributes: str = "screened length=10m", more: str = "") -> str:
    """A two-core cable between the drive's terminals `a` and the device terminals `b`."""
    (a1, a2), (b1, b2) = a.split(), b.split()
    return DRIVE + more + f"cable -W2 2x0.75 {attributes} {{\n BN {a1} to {b1}\n BU {a2} to {b2}\n {screen}\n}}\n"


LOOP = {"a": "-T1:AI1 -T1:AC", "b": "-B1:+ -B1:-", "more": "device -B1 transmitter at=+HALL\n"}
BUS = {"a": "-T1:A -T1:B", "b": "-T2:A -T2:B", "more": "device -T2 drive at=+MCP\nwire -T2:PE to -XE1:4 6mm2 GNYE\n"}
PTC = {"a": "-T1:THP -T1:THN", "b": "-M1:TP1 -M1:TP2", "more": MOTOR + "cable -W9 1G6 length=1m {\n GNYE -XE1:5 to -M1:PE\n}\n"}
BUTTON = (
    'part button "Button" {\n kind = push-button  letter = S  class = II\n terminal :13 :14 contact\n terminal :SH screen\n}\n'
)
DIGITAL = {"a": "-T1:24V -T1:DI1", "b": "-S1:13 -S1:14", "more": BUTTON + "device -S1 button at=+HALL\n"}


@each_of("ends", ["-T1:SH clamp", "-M1:SH gland", "-T1:SH clamp to -M1:SH open", "-T1:SH capacitor to -M1:SH gland"])
def test_motor_cables_need_both_ends(found: Found, ends: str) -> None:
    (finding,) = found(motor_cable(f"screen {ends}"))
    assert (finding.rule, finding.severity, finding.subjects[0]) == ("screen-unterminated", Severity.ERROR, "-W1")
    assert ("`-M1`" in finding.message) != ("`-T1`" in finding.message)


def test_a_screen_without_any_line_is_one_finding(found: Found) -> None:
    (finding,) = found(motor_cable(""))
    assert finding.rule == "screen-unterminated"


@each_of("how", ["clamp", "gland", "pigtail 50x12mm"])
def test_clamp_gland_and_short_pigtail_will_do(found: Found, how: str) -> None:
    assert found(motor_cable(f"screen -T1:SH {how} to -M1:SH gland")) == ()


def test_a_screen_bar_in_the_cabinet_is_the_drives_end(found: Found) -> None:
    assert found(motor_cable("screen -XSH:1 clamp to -M1:SH gland") + "device -XSH screen-bar at=+MCP ways=2\n") == ()


def test_each_piece_of_a_motor_cable_counts(found: Found) -> None:
    text = (
        DRIVE
        + MOTOR
        + """
    place +BOX kind=box
    strip -X9 at=+BOX {
      :1..3 4mm2
      :4 earth 4mm2
      :5 screened
    }
    wire -X9:4 to +BOX:PE 4mm2 GNYE
    cable -W1 4G2.5 screened length=10m {
      BN -T1:U to -X9:1/in
      BK -T1:V to -X9:2/in
      GY -T1:W to -X9:3/in
      GNYE -T1:PE2 to -X9:4/in
      screen -T1:SH clamp to +BOX:PE gland
    }
    cable -W2 4G2.5 screened length=10m {
      BN -X9:1/out to -M1:U1
      BK -X9:2/out to -M1:V1
      GY -X9:3/out to -M1:W1
      GNYE -X9:4/out to -M1:PE
      screen +BOX:PE gland to -M1:SH gland
    }
    """
    )
    text = text.replace("wire -X9:4 to", "wire -X9:6 to").replace(":5 screened", ":5 screened\n :6 earth 4mm2\n bridge :4,6")
    assert [finding.rule for finding in found(text)] == []
    assert [f.subjects[0] for f in found(text.replace("screen +BOX:PE gland to -M1:SH gland", "screen -M1:SH gland"))] == ["-W2"]


def test_the_bus_needs_both_ends(found: Found) -> None:
    assert found(pair_cable(screen="screen -T1:SH clamp to -T2:SH clamp", **BUS)) == ()
    (finding,) = found(pair_cable(screen="screen -T1:SH clamp to -T2:SH open", **BUS))
    assert (finding.rule, finding.severity) == ("screen-unterminated", Severity.ERROR)


@pytest.mark.parametrize("use", [LOOP, PTC], ids=["analogue", "thermistor"])
def test_slow_signals_need_the_drives_end_and_a_word_about_the_other(found: Found, use: dict[str, str]) -> None:
    far = use["b"].split(":")[0]
    for end in (f"{far} open", f"{far} capacitor" if far == "-B1" else f"{far}:SH capacitor", f"{far} open bare 20mm"):
        assert found(pair_cable(screen=f"screen -T1:SH clamp to {end}", **use)) == ()
    for screen in ("screen -T1:SH clamp", f"screen -T1:SH open to {far} clamp", ""):
        (finding,) = found(pair_cable(screen=screen, **use))
        assert (finding.rule, finding.severity) == ("screen-unterminated", Severity.ERROR)


def test_a_digital_screen_is_a_warning(found: Found) -> None:
    assert found(pair_cable(screen="screen -T1:SH clamp to -S1:SH open", **DIGITAL)) == ()
    (finding,) = found(pair_cable(screen="screen -T1:SH clamp", **DIGITAL))
    assert (finding.rule, finding.severity) == ("screen-unterminated", Severity.WARNING)


@each_of(("use", "word"), [(LOOP, "analogue"), (BUS, "bus"), (PTC, "thermistor")])
def test_small_signals_need_a_screen(found: Found, use: dict[str, str], word: str) -> None:
    (finding,) = found(pair_cable(screen="", attributes="length=10m", **use))
    assert finding.rule == "screen-missing"
    assert word in finding.message


def test_digital_circuits_need_none(found: Found) -> None:
    assert found(pair_cable(screen="", attributes="length=10m", **DIGITAL)) == ()


def test_conduit_of_metal_replaces_a_screen(found: Found) -> None:
    route = "route C1 at=+HALL kind=conduit material=steel\n"
    assert found(route + motor_cable("", "length=10m along=C1")) == ()
    plastic = route.replace("steel", "plastic")
    assert [f.rule for f in found(plastic + motor_cable("", "length=10m along=C1"))] == ["screen-missing"]
    partly = route + "route T1 at=+HALL kind=tray\n"
    assert [f.rule for f in found(partly + motor_cable("", "length=10m along=C1,T1"))] == ["screen-missing"]


def test_behind_a_sine_filter_no_screen_is_needed(found: Found) -> None:
    text = """
    part sine "Sine filter" {
      kind = filter   letter = L   class = I   filter = sine
      terminal :1 :3 :5 line-in
      terminal :2 :4 :6 load-out
      terminal :PE earth
      pole :1,3,5 to :2,4,6
    }
    device -L1 sine at=+MCP
    device -T1 drive at=+MCP
    device -M1 motor at=+HALL
    wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK
    wire -T1:PE to -XE1:3 6mm2 GNYE
    wire -L1:PE to -XE1:4 6mm2 GNYE
    wire -T1:U,V,W to -L1:1,3,5 4mm2 BK length=0.2m
    cable -W1 4G2.5 length=10m {
      BN   -L1:2 to -M1:U1
      BK   -L1:4 to -M1:V1
      GY   -L1:6 to -M1:W1
      GNYE -T1:PE2 to -M1:PE
    }
    """
    assert found(text) == ()
    assert [f.rule for f in found(text.replace("filter = sine", "filter = emission"))] == ["screen-missing"]


def test_up_to_200_mm_inside_the_panel_need_none(found: Found) -> None:
    assert found(pair_cable(screen="", attributes="length=0.2m", **BUS)) == ()
    wires = DRIVE + BUS["more"] + "wire -T1:A,B to -T2:A,B 0.75mm2 WH length={}\n"
    assert found(wires.format("0.2m")) == ()
    assert found(wires.replace(" length={}", "")) == ()
    (finding,) = found(wires.format("0.5m"))
    assert finding.rule == "screen-missing"


@each_of(
    ("end", "severity"),
    [
        ("pigtail 61x12mm", Severity.ERROR),
        ("pigtail 40mm", Severity.WARNING),
        ("clamp bare 120mm", Severity.WARNING),
        ("clamp bare 310mm", Severity.ERROR),
        ("pigtail 80x10mm bare 120mm", Severity.ERROR),
    ],
)
def test_long_pigtails_and_bare_cores_are_told(found: Found, end: str, severity: Severity) -> None:
    (finding,) = found(motor_cable(f"screen -T1:SH {end} to -M1:SH gland"))
    assert (finding.rule, finding.severity) == ("screen-pigtail", severity)


@each_of("end", ["pigtail 60x12mm", "clamp bare 100mm"])
def test_what_is_just_right_is_left_alone(found: Found, end: str) -> None:
    assert found(motor_cable(f"screen -T1:SH {end} to -M1:SH gland")) == ()


def test_the_pigtail_of_a_signal_cable_is_left_alone(found: Found) -> None:
    assert found(pair_cable(screen="screen -T1:SH pigtail 80x10mm bare 200mm to -B1 open", **LOOP)) == ()
