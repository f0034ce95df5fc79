"""Where control sources are earthed, and what passes a residual-current device; and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("control-earthing", "residual-bypassed", "return-missing")

SUPPLY = """
device -T9 supply-24v at=+MCP
wire -WB1:L1 to -T9:L 1.5mm2
wire -WB1:N to -T9:N 1.5mm2
wire -T9:PE to -XE1:3 2.5mm2 GNYE
device -P1 lamp at=+MCP
strip -X2 at=+MCP {
  :1..6 4mm2
  bridge :1..6
}
wire -T9:+ to -P1:X1 1mm2
wire -T9:- to -X2:1 1mm2
wire -X2:2 to -P1:X2 1mm2
"""
EARTHED = "wire -X2:3 to -XE1:4 2.5mm2 GNYE\nearthing of -T9:- at -XE1:4\n"


def told(found: Found, text: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.severity.value) for finding in found(text)]


@each_of(
    ("more", "expected"),
    [
        (EARTHED, []),
        ("", [("control-earthing", "warning")]),
        ("earthing of -T9:- at -XE1:4\n", [("control-earthing", "error")]),
        # somebody else's earth, or what watches the insulation
        ("outside -A1 at=+HALL {\n  terminal :0V plain\n}\nwire -X2:3 to -A1:0V 1mm2\n", []),
        (
            "part watch {\n  kind = meter   letter = P   class = II   quantity = insulation\n  terminal :1 :2 plain\n}\n"
            "device -P2 watch at=+MCP\nwire -X2:3 to -P2:1 1mm2\n",
            [],
        ),
        (
            "device -T8 drive at=+MCP\nwire -X2:3 to -T8:COM 1mm2\n",
            [("control-earthing", "warning")],
        ),
        # earthed twice, at two bars
        (
            EARTHED
            + "device -XE2 earth-bar at=+MCP ways=4\nwire -XE2:1 to -XE1:9 10mm2 GNYE\nwire -X2:4 to -XE2:2 2.5mm2 GNYE\n"
            + "earthing of -T9:- at -XE2:2\n",
            [("control-earthing", "warning")],
        ),
        (EARTHED + "wire -X2:4 to -XE1:5 2.5mm2 GNYE\nearthing of -T9:- at -XE1:5\n", []),
    ],
)
def test_a_24_volt_supply(found: Found, more: str, expected: list[tuple[str, str]]) -> None:
    assert told(found, SUPPLY + more) == expected


def test_a_second_supply_with_a_common_zero_is_earthed_with_the_first(found: Found) -> None:
    second = SUPPLY.replace("-T9", "-T8").replace("-P1", "-P2").replace("-X2", "-X3").replace("-XE1:3", "-XE1:6")
    assert told(found, SUPPLY + EARTHED + second + "wire -X2:5 to -X3:5 1mm2\n") == []
    assert told(found, SUPPLY + EARTHED + second) == [("control-earthing", "warning")]


def test_a_supply_to_which_nothing_is_connected(found: Found) -> None:
    assert told(found, SUPPLY.partition("device -P1")[0]) == []


def test_a_common_left_open_is_told_as_a_missing_return(found: Found) -> None:
    assert told(found, (SUPPLY + EARTHED).replace("wire -T9:- to -X2:1 1mm2\n", "")) == [("return-missing", "error")]


HEATER = """
device -F1 mcb-1p at=+MCP current=6A
device -F9 rcd-2p-a at=+MCP current=16A
device -E1 heater at=+MCP
wire -WB1:L1 to -F1:1 2.5mm2
wire -F1:2 to -F9:1 2.5mm2
wire -F9:2 to {line} 2.5mm2
{neutral}
wire -E1:PE to -XE1:3 2.5mm2 GNYE
"""
THROUGH = "wire -WB1:N to -F9:N1 2.5mm2\nwire -F9:N2 to -E1:N 2.5mm2"
CONTACT = "device -K1 contactor-9a at=+MCP\nwire -K1:2 to -E1:L 2.5mm2\n"


@each_of(
    ("line", "neutral", "expected"),
    [
        ("-E1:L", THROUGH, 0),
        ("-E1:L", "wire -WB1:N to -E1:N 2.5mm2", 1),
        ("-K1:1", CONTACT + THROUGH, 0),
        ("-K1:1", CONTACT + "wire -WB1:N to -E1:N 2.5mm2", 1),
        # a position of a switch that leads past the device
        (
            "-K1:1",
            CONTACT + "device -K2 contactor-9a at=+MCP\nwire -F1:2 to -K2:1 2.5mm2\nwire -K2:2 to -E1:L 2.5mm2\n"
            "wire -WB1:N to -E1:N 2.5mm2",
            0,
        ),
        # the neutral of another device
        (
            "-E1:L",
            "device -F8 rcd-2p-a at=+MCP current=16A\nwire -WB1:N to -F8:N1 2.5mm2\nwire -F8:N2 to -E1:N 2.5mm2",
            1,
        ),
    ],
)
def test_a_heater_behind_a_residual_current_device(found: Found, line: str, neutral: str, expected: int) -> None:
    findings = found(HEATER.format(line=line, neutral=neutral), only="residual-bypassed")
    assert len(findings) == expected
    assert all("-E1" in finding.subjects and "`-E1:N`" in finding.message for finding in findings)


def test_a_supply_behind_begins_a_circuit_of_its_own(found: Found) -> None:
    text = SUPPLY.replace("wire -WB1:L1 to -T9:L", "wire -F9:2 to -T9:L").replace("wire -WB1:N to -T9:N", "wire -F9:N2 to -T9:N")
    feed = "device -F9 rcd-2p-a at=+MCP current=16A\nwire -WB1:L1 to -F9:1 1.5mm2\nwire -WB1:N to -F9:N1 1.5mm2\n"
    assert told(found, feed + text + EARTHED) == []


def test_a_neutral_that_comes_from_a_pen_is_no_way_past(found: Found) -> None:
    heater = HEATER.format(line="-E1:L", neutral="wire -XE1:7 to -F9:N1 2.5mm2\nwire -F9:N2 to -E1:N 2.5mm2")
    frame = FRAME.replace("TN-S", "TN-C").replace("5G10", "4G10").replace("-G0:PE to", "-G0:PEN to")
    frame = frame.replace("  BU   -G0:N  to -WB1:N\n", "")
    assert found(heater, frame=frame, only="residual-bypassed") == ()
    past = heater.replace("wire -F9:N2 to -E1:N", "wire -XE1:8 to -E1:N")
    assert [finding.rule for finding in found(past, frame=frame, only="residual-bypassed")] == ["residual-bypassed"]
