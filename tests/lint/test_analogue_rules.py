"""Signals at terminals of their kind, with what they are measured against; and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("signal-mismatch", "reference-missing", "load-open", "polarity-mismatch")

DRIVE = "device -T1 vsd-0.75kw at=+MCP\nwire -T1:PE to -XE1:3 10mm2 GNYE\n"
SECOND = "device -T2 vsd-0.75kw at=+MCP\nwire -T2:PE to -XE1:4 10mm2 GNYE\n"
LOOP = "device -B1 transmitter-4-20ma at=+HALL\nset -T1 ai2=4..20mA\n"
PAIR = "cable -W1 1x2x0.75 screened length=20m {{\n  1a {0}\n  1b {1}\n  screen -T1:SHC clamp to -B1:SH open\n}}\n"
JOINED = "wire -T1:AGND to -T1:COM 0.75mm2\n"
METER = "device -P1 panel-meter at=+MCP\n"
FOUR = """
device -B1 transmitter-4-20ma-4wire at=+HALL
wire -T1:24V to -B1:+ 0.75mm2
wire -T1:COM to -B1:- 0.75mm2
"""
POTENTIOMETER = """
device -R1 potentiometer at=+MCP
wire -T1:10V to -R1:{0} 0.75mm2
wire -T1:AGND to -R1:{1} 0.75mm2
"""


def told(found: Found, text: str) -> list[str]:
    return [finding.rule for finding in found(DRIVE + text)]


@each_of("terminal", ["A", "AO1", "THP", "AI1"])
def test_mains_on_a_signal_terminal(found: Found, terminal: str) -> None:
    (finding,) = found(DRIVE + f"wire -WB1:L1 to -T1:{terminal} 1.5mm2\n", only="signal-mismatch")
    assert finding.span.text.endswith(f"-WB1:L1 to -T1:{terminal} 1.5mm2")
    assert "`-G0:L1`, 400 V" in finding.message


def test_low_voltages_on_signal_terminals_are_silent(found: Found) -> None:
    assert told(found, "wire -T1:24V to -T1:THP 0.75mm2\n") == []


@each_of(
    ("text", "expected"),
    [
        (PAIR.format("-T1:24V to -B1:+", "-T1:AI2 to -B1:-") + JOINED, []),
        (PAIR.format("-T1:24V to -B1:+", "-T1:AI2 to -B1:-"), ["reference-missing"]),
        (PAIR.format("-T1:AGND to -B1:+", "-T1:AI2 to -B1:-"), ["load-open"]),
        (PAIR.format("-T1:24V to -B1:-", "-T1:AI2 to -B1:+") + JOINED, ["polarity-mismatch"]),
        # the signal comes over a meter, whose common leads on to the drive's input
        (
            PAIR.format("-T1:24V to -B1:+", "-P1:+ to -B1:-") + METER + "wire -P1:- to -T1:AI2 0.75mm2\n" + JOINED,
            [],
        ),
        (
            PAIR.format("-T1:24V to -B1:+", "-P1:+ to -B1:-") + METER + "wire -P1:- to -T1:AI2 0.75mm2\n",
            ["reference-missing"],
        ),
    ],
)
def test_a_loop_of_two_wires(found: Found, text: str, expected: list[str]) -> None:
    assert told(found, LOOP + text) == expected


def test_a_loop_fed_from_outside_is_not_judged(found: Found) -> None:
    outside = "outside -A1 at=+HALL {\n  terminal :P plain\n}\n"
    assert told(found, LOOP + outside + PAIR.format("-A1:P to -B1:+", "-T1:AI2 to -B1:-")) == []


@each_of(
    ("ends", "setting", "more", "expected"),
    [
        (("AI2", "AGND"), "4..20mA", "", []),
        (("AI2", "COM"), "4..20mA", "", ["reference-missing"]),
        (("AI2", "COM"), "4..20mA", JOINED, []),
        (("AI2", "AGND"), "voltage", "", ["signal-mismatch"]),
        (("RO1A", "AGND"), "4..20mA", "", ["signal-mismatch"]),
        (("DI1", "AGND"), "4..20mA", "", ["signal-mismatch"]),
    ],
)
def test_a_signal_with_a_supply_of_its_own(
    found: Found, ends: tuple[str, str], setting: str, more: str, expected: list[str]
) -> None:
    text = FOUR + f"set -T1 ai2={setting}\nwire -T1:{ends[0]} to -B1:I+ 0.75mm2\nwire -T1:{ends[1]} to -B1:I- 0.75mm2\n"
    assert told(found, text + more) == expected


def test_a_resistor_makes_a_voltage_of_a_current(found: Found) -> None:
    text = FOUR + "set -T1 ai2=voltage\nwire -T1:AI2 to -B1:I+ 0.75mm2\nwire -T1:AGND to -B1:I- 0.75mm2\n"
    text += "part r {\n  kind = resistor   letter = R   class = II\n  terminal :1 :2 load\n}\ndevice -R1 r at=+MCP\n"
    assert told(found, text + "wire -T1:AI2 to -R1:1 0.75mm2\nwire -T1:AGND to -R1:2 0.75mm2\n") == []


def test_a_contact_that_chooses_between_two_signals(found: Found) -> None:
    text = "set -T1 ai1=voltage\ndevice -S1 selector-3 at=+MCP\n" + POTENTIOMETER.format("3", "1")
    text += POTENTIOMETER.format("3", "1").replace("-R1", "-R2")
    text += "wire -R1:2 to -S1:13 0.75mm2\nwire -R2:2 to -S1:23 0.75mm2\nwire -S1:14 to -S1:24 to -T1:AI1 0.75mm2\n"
    assert told(found, text) == []


@each_of(("ends", "setting"), [(("3", "1"), "voltage"), (("1", "3"), "voltage"), (("3", "1"), "4..20mA")])
def test_a_potentiometer(found: Found, ends: tuple[str, str], setting: str) -> None:
    text = f"set -T1 ai1={setting}\n" + POTENTIOMETER.format(*ends) + "wire -T1:AI1 to -R1:2 0.75mm2\n"
    assert told(found, text) == (["signal-mismatch"] if setting != "voltage" else [])


def test_a_potentiometer_at_the_reference_of_another_drive(found: Found) -> None:
    text = SECOND + POTENTIOMETER.format("3", "1").replace("-T1", "-T2") + "set -T1 ai1=voltage\n"
    assert told(found, text + "wire -T1:AI1 to -R1:2 0.75mm2\n") == ["reference-missing"]
    assert told(found, text + "wire -T1:AI1 to -R1:2 0.75mm2\nwire -T1:AGND to -T2:AGND 0.75mm2\n") == []


def test_where_an_input_is_set_is_the_place(found: Found) -> None:
    text = FOUR + "set -T1 ai2=voltage\nwire -T1:AI2 to -B1:I+ 0.75mm2\nwire -T1:AGND to -B1:I- 0.75mm2\n"
    (finding,) = found(DRIVE + text)
    assert finding.span.text == "ai2=voltage"
    text = text.replace("set -T1 ai2=voltage\n", "").replace("AI2", "AI1")  # voltage by default
    (finding,) = found(DRIVE + text)
    assert finding.span.text.endswith("-T1:AI1 to -B1:I+ 0.75mm2")


def test_outputs_that_are_joined(found: Found) -> None:
    text = FOUR + FOUR.replace("-B1", "-B2").replace("-T1:24V", "-B1:+").replace("-T1:COM", "-B1:-")
    text += "wire -T1:AI2 to -B1:I+ to -B2:I+ 0.75mm2\nwire -T1:AGND to -B1:I- to -B2:I- 0.75mm2\n"
    assert told(found, text) == ["signal-mismatch"]


OUTSIDE = "outside -A1 at=+HALL {{\n  terminal :AO analogue-out {common}\n  terminal :AC analogue-common\n}}\n"


@each_of(("common", "expected"), [("common=:AC", ["reference-missing"]), ("", [])])
def test_what_states_no_common_is_not_judged(found: Found, common: str, expected: list[str]) -> None:
    assert told(found, OUTSIDE.format(common=common) + "wire -T1:AI1 to -A1:AO 0.75mm2\n") == expected
