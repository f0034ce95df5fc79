"""Signals and their returns in the cores and pairs of cables, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("return-shared", "pair-split", "pair-untwisted", "wire-doubled", "cable-mixed")

START = """
device -T1 vsd-0.75kw at=+MCP
wire -T1:PE to -XE1:3 10mm2 GNYE
part reader "Recorder" {
  kind = meter   letter = P   class = III
  terminal :1 :2 analogue-in common=:M
  terminal :M analogue-common clamps=4
}
device -P1 reader at=+HALL
"""
FOUR = "device -B1 transmitter-oxygen at=+HALL\n"
LOOPS = "device -B1 transmitter-level at=+HALL\ndevice -B2 transmitter-level at=+HALL\n"
OUT, BACK, NEXT = "-T1:AO1 to -P1:1", "-T1:AGND to -P1:M", "-T1:AO2 to -P1:2"
IN, RETURN, PLUS, ZERO = "-T1:AI2 to -B1:I+", "-T1:AGND to -B1:I-", "-T1:24V to -B1:+", "-T1:COM to -B1:-"


def cable(construction: str, *lines: str, name: str = "-W1") -> str:
    return f"cable {name} {construction} screened length=20m {{\n  " + "\n  ".join(lines) + "\n}\n"


def told(found: Found, text: str) -> list[str]:
    return [finding.rule for finding in found(START + text)]


def test_two_signals_over_one_core(found: Found) -> None:
    (finding,) = found(START + cable("2x2x0.75", f"1a {OUT}", f"1b {BACK}", f"2a {NEXT}"), only="return-shared")
    assert finding.span.text == f"1b {BACK}"
    assert "`-T1:AO1`, `-T1:AO2`" in finding.message


@each_of(
    ("construction", "lines", "expected"),
    [
        ("2x2x0.75", (f"1a {OUT}", f"1b {BACK}", f"2a {NEXT}", f"2b {BACK}"), []),
        ("2x2x0.75", (f"1a {OUT}", f"1b {BACK}"), []),
        ("3x2x0.75", (f"1a {OUT}", f"1b {BACK}", f"2a {NEXT}", f"3b {BACK}"), ["wire-doubled", "pair-split"]),
        ("4x0.75", (f"BN {OUT}", f"BK {BACK}", f"GY {NEXT}"), ["return-shared"]),
    ],
)
def test_the_ways_back_of_two_signals(found: Found, construction: str, lines: tuple[str, ...], expected: list[str]) -> None:
    assert sorted(told(found, cable(construction, *lines))) == sorted(expected)


def test_returns_of_two_cables_to_one_common(found: Found) -> None:
    two = cable("2x0.75", f"BN {OUT}", f"BU {BACK}") + cable("2x0.75", f"BN {NEXT}", f"BU {BACK}", name="-W2")
    assert told(found, two) == []


def test_wires_inside_share_a_return(found: Found) -> None:
    inside = START.replace("at=+HALL", "at=+MCP") + f"wire {OUT} 0.75mm2\nwire {NEXT} 0.75mm2\nwire {BACK} 0.75mm2\n"
    assert not found(inside)


def test_one_core_back_among_several_ways(found: Found) -> None:
    shared = cable("2x2x0.75", f"1a {OUT}", f"1b {BACK}", f"2a {NEXT}")
    assert "return-shared" not in told(found, shared + cable("2x0.75", f"BN {BACK}", name="-W2"))


def test_one_plus_for_two_loops(found: Found) -> None:
    lines = ("1a -T1:24V to -B1:+", "1b -T1:AI2 to -B1:-", "2b -T1:AI1 to -B2:-")
    text = LOOPS + cable("2x2x0.75", *lines) + "wire -B1:+ to -B2:+ 0.75mm2\n"
    assert told(found, text) == ["pair-split"]


def test_loops_over_a_trunk_cable_with_one_plus_in_the_panel(found: Found) -> None:
    strip = "strip -X1 at=+MCP {\n  :1..4 2.5mm2\n  bridge :1 :3\n}\nwire -T1:24V to -X1:1 0.75mm2\n"
    strip += "wire -T1:AI1 to -X1:2 0.75mm2\nwire -T1:AI2 to -X1:4 0.75mm2\n"
    trunk = ("1a -X1:1 to -X2:1", "1b -X1:2 to -X2:2", "2a -X1:3 to -X2:3", "2b -X1:4 to -X2:4")
    box = "strip -X2 at=+HALL {\n  :1..4 2.5mm2\n}\n" + cable("2x2x0.75", *trunk)
    far = "cable -W{0} 2x0.75 screened length=5m {{\n  BN -X2:{1}/in to -B{0}:+\n  BU -X2:{2}/in to -B{0}:-\n}}\n"
    assert told(found, LOOPS + strip + box + far.format(1, 1, 2).replace("-W1", "-W3") + far.format(2, 3, 4)) == []


def test_two_inputs_of_one_signal(found: Found) -> None:
    series = "wire -P1:M to -P2:1 0.75mm2\n" + "device -P2 reader at=+HALL\n"
    assert told(found, series + cable("1x2x0.75", f"1a {OUT}", "1b -T1:AGND to -P2:M")) == []


@each_of(
    ("construction", "lines", "expected"),
    [
        ("2x2x0.75", (f"1a {IN}", f"1b {RETURN}", f"2a {PLUS}", f"2b {ZERO}"), []),
        ("2x2x0.75", (f"1a {IN}", f"2b {RETURN}"), ["pair-split"]),
        ("2x2x0.75", (f"1a {IN}", f"2a {RETURN}", f"1b {PLUS}", f"2b {ZERO}"), ["pair-split"]),
        ("1x4x0.75", (f"1a {IN}", f"1c {RETURN}", f"1b {PLUS}", f"1d {ZERO}"), []),
        ("4x0.75", (f"BN {IN}", f"BK {RETURN}", f"GY {PLUS}", f"BU {ZERO}"), ["pair-untwisted"]),
        ("3x0.75", (f"BN {IN}", f"BK {RETURN}"), ["pair-untwisted"]),
        ("2x0.75", (f"BN {IN}", f"BU {RETURN}"), []),
        ("2x0.75 cores=numbers", (f"1 {IN}", f"2 {RETURN}"), []),
        ("2G0.75", (f"1 {IN}", f"GNYE {RETURN}"), ["pair-untwisted"]),
    ],
)
def test_a_transmitter_with_a_supply_of_its_own(
    found: Found, construction: str, lines: tuple[str, ...], expected: list[str]
) -> None:
    assert told(found, FOUR + cable(construction, *lines)) == expected


def test_two_signals_in_one_pair(found: Found) -> None:
    both = cable("2x0.75", f"BN {OUT}", f"BU {NEXT}") + f"cable -W2 2x0.75 screened length=20m {{\n  BN {BACK}\n}}\n"
    (finding,) = found(START + both, only="pair-split")
    assert finding.span.text == f"BU {NEXT}" and "one pair of `-W1`" in finding.message


def test_a_group_of_four_may_hold_two_signals(found: Found) -> None:
    four = cable("1x4x0.75", f"1a {OUT}", f"1c {BACK}", f"1b {NEXT}", f"1d {BACK}")
    assert "pair-split" not in told(found, four)


@each_of("construction", ["3x0.75", "2x2x0.5"])
def test_a_potentiometer(found: Found, construction: str) -> None:
    one, two, three = ("BN", "BK", "GY") if construction == "3x0.75" else ("1a", "2a", "2b")
    lines = (f"{one} -T1:AI1 to -R1:2", f"{two} -T1:10V to -R1:3", f"{three} -T1:AGND to -R1:1")
    assert told(found, "device -R1 potentiometer at=+HALL\n" + cable(construction, *lines)) == []


LINE = "device -T2 vsd-0.75kw at=+MCP\n"


@each_of(
    ("construction", "cores", "expected"),
    [
        ("2x2x0.5", "1a 1b 2a", []),
        ("2x2x0.5", "1a 2a 1b", ["pair-split"]),
        ("2x2x0.5", "1a 2b 2a", ["pair-split"]),
        ("3x0.5", "BN BK GY", ["pair-untwisted"]),
        ("1x3x0.5", "1a 1b 1c", []),
    ],
)
def test_a_serial_line(found: Found, construction: str, cores: str, expected: list[str]) -> None:
    ends = zip(cores.split(), ("A", "B", "BCOM"), strict=True)
    assert told(found, LINE + cable(construction, *(f"{core} -T1:{name} to -T2:{name}" for core, name in ends))) == expected


def test_signals_beside_control_are_a_matter_of_the_cable(found: Found) -> None:
    lines = (f"1 {IN}", f"2 {RETURN}", "3 -T1:DI1 to -S1:13", "4 -T1:24V to -S1:14")
    assert told(found, FOUR + "device -S1 push-button at=+HALL\n" + cable("7x0.75", *lines)) == ["cable-mixed"]
