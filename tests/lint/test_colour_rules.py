"""Colours of conductors, conductors that are there twice, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("colour-reserved", "colour-missing", "wire-doubled", "clamp-overfilled")

HEATER = """
device -F1 mcb-1p at=+MCP current=6A
device -E1 heater at=+MCP
wire -WB1:L1 to -F1:1 2.5mm2 {phase}
wire -F1:2 to -E1:L 2.5mm2 BK
wire -WB1:N to -E1:N 2.5mm2 {neutral}
wire -E1:PE to -XE1:3 2.5mm2 GNYE
"""
SHADES = 'shade DBU = BU "dark blue"\nshade LBU = BU "light blue"\n'
CONTROL = """
device -T1 drive at=+MCP
device -K1 relay-2co at=+MCP
wire -T1:24V to -K1:A1 0.75mm2 {0}
wire -T1:COM to -K1:A2 0.75mm2 {0}
"""


def told(found: Found, text: str, frame: str = FRAME) -> list[str]:
    return [finding.rule for finding in found(text, frame=frame)]


@each_of(
    ("phase", "neutral", "expected"),
    [
        ("BK", "BU", 0),
        ("BK", "BK", 1),
        ("BK", "LBU", 0),
        ("BK", "DBU", 0),
        ("BU", "BU", 1),
        ("LBU", "BU", 1),
        ("DBU", "BU", 0),
        ("BK", "WH", 1),
    ],
)
def test_colours_of_a_heater(found: Found, phase: str, neutral: str, expected: int) -> None:
    assert told(found, SHADES + HEATER.format(phase=phase, neutral=neutral)) == ["colour-reserved"] * expected


def test_white_is_a_neutral_of_sixty_hertz(found: Found) -> None:
    text = HEATER.format(phase="BK", neutral="WH")
    assert told(found, text, FRAME.replace("50Hz", "60Hz").replace("  BU   -G0:N", "  BU   -G0:N")) == []


def test_light_blue_for_the_control_circuits_is_one_finding(found: Found) -> None:
    (finding,) = found(CONTROL.format("BU"))
    assert (finding.rule, finding.severity.value) == ("colour-reserved", "warning")
    assert "`-T1:24V -- -K1:A1`, `-T1:COM -- -K1:A2`" in finding.message
    assert told(found, 'shade DBU = BU "dark blue"\n' + CONTROL.format("DBU")) == []


def test_light_blue_where_there_is_no_neutral(found: Found) -> None:
    frame = FRAME.replace("5G10", "4G10").replace("  BU   -G0:N  to -WB1:N\n", "").replace("poles=4", "poles=3")
    assert told(found, CONTROL.format("BU"), frame) == []


def test_what_no_source_reaches_has_no_colour_of_its_own(found: Found) -> None:
    assert told(found, "device -K1 relay-2co at=+MCP\nwire -K1:14 to -K1:21 0.75mm2 BU\n") == []


CABLE = """
device -F1 mcb-1p at=+MCP current=6A
wire -WB1:L1 to -F1:1 2.5mm2 BK
device -E1 heater at=+HALL
cable -W1 {construction} length=5m {{
  {line} -F1:2 to -E1:L
  {neutral} -WB1:N to -E1:N
  {earth} -XE1:3 to -E1:PE
}}
"""


@each_of(
    ("construction", "line", "neutral", "earth", "expected"),
    [
        ("3G1.5", "BN", "BU", "GNYE", []),
        ("3G1.5", "BU", "BN", "GNYE", ["colour-reserved"]),
        ("7G1.5", "1", "2", "GNYE", []),
    ],
)
def test_cores(found: Found, construction: str, line: str, neutral: str, earth: str, expected: list[str]) -> None:
    assert told(found, CABLE.format(construction=construction, line=line, neutral=neutral, earth=earth)) == expected


def test_a_blue_core_in_a_cable_without_a_neutral(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -B1 level-switch at=+HALL\n"
    assert told(found, text + "cable -W1 2x1.5 length=5m {\n  BN -T1:24V to -B1:11\n  BU -T1:DI1 to -B1:14\n}\n") == []


def test_wires_without_a_colour_are_one_note(found: Found) -> None:
    (finding,) = found(CONTROL.format(""))
    assert (finding.rule, finding.severity.value) == ("colour-missing", "note")
    assert finding.message.startswith("the colour of 2 wires in `+MCP`")


def test_a_wire_between_enclosures_is_left_alone(found: Found) -> None:
    assert told(found, "device -S1 push-button at=+HALL\ndevice -T1 drive at=+MCP\nwire -T1:24V to -S1:13 1mm2 length=5m\n") == []


TWICE = "device -F1 mcb-1p at=+MCP current=6A\nwire -WB1:L1 to -F1:1 2.5mm2 BK\n"


@each_of(
    ("text", "expected"),
    [
        (TWICE + "wire -WB1:L1 to -F1:1 2.5mm2 BK\n", ["wire-doubled"]),
        (TWICE + "wire -F1:1 to -WB1:L1 2.5mm2 BK\n", ["wire-doubled"]),
        (TWICE + "wire -WB1:L2 to -F1:1 2.5mm2 BK\n", ["clamp-overfilled"]),
        ("wire -XE1:3 to +MCP:PE 10mm2 GNYE\nwire -XE1:3 to +MCP:PE 10mm2 GNYE\n", ["clamp-overfilled"]),
        ("busbar -WB2 at=+MCP poles=1 current=250A\n" + "wire -WB1:L1 to -WB2:L1 50mm2 BK\n" * 2, []),
    ],
)
def test_a_second_conductor(found: Found, text: str, expected: list[str]) -> None:
    assert told(found, text) == expected


def test_the_second_one_is_named_with_the_first_beside_it(found: Found) -> None:
    (finding,) = found(TWICE + "wire -WB1:L1 to -F1:1 2.5mm2 RD\n")
    assert finding.span.text.endswith("2.5mm2 RD")
    assert finding.related[0].span.text.endswith("2.5mm2 BK")


def test_two_cables_side_by_side_and_one_laid_twice(found: Found) -> None:
    feed = "busbar -WB2 at=+HALL poles=3 current=250A\n"
    cores = "  BN -WB1:L1 to -WB2:L1\n  BK -WB1:L2 to -WB2:L2\n  GY -WB1:L3 to -WB2:L3\n"
    assert told(found, feed + "".join(f"cable -W{n} 3x16 length=5m {{\n{cores}}}\n" for n in (1, 2))) == []
    assert told(found, feed + f"cable -W1 3x16 parallel=2 length=5m {{\n{cores}}}\n") == []


def test_a_tooth_of_a_comb_has_no_colour(found: Found) -> None:
    text = "comb -WC1 at=+MCP poles=3 current=63A section=10mm2\ndevice -F1 mcb-1p at=+MCP current=6A\n"
    assert told(found, text + "teeth of -WC1:L1 on -F1:1\n") == []
    assert "colour-missing" in told(found, text + "wire -WC1:L1 to -F1:1 4mm2\n")
