"""Each phase once, in its order, at what takes three; windings of six ends; and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("phase-missing", "phase-order", "load-shorted", "load-open")

DRIVES = """
device -F1 mcb-3p at=+MCP current=10A
device -T1 drive at=+MCP
device -T2 drive at=+MCP
wire -F1:2,4,6 to -T1:L1,L2,L3 to -T2:L1,L2,L3 2.5mm2
"""
MOTOR = """
device -F1 mcb-3p at=+MCP current=10A curve=D
device -K1 contactor-9a at=+MCP
device -M1 motor at=+HALL power=0.37kW current=1.2A power-factor=0.7
wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2
wire -F1:2,4,6 to -K1:1,3,5 2.5mm2
cable -W1 4G2.5 length=5m method=C {{
  BN -K1:2 to -M1:{0}
  BK -K1:4 to -M1:{1}
  GY -K1:6 to -M1:{2}
  GNYE -XE1:3 to -M1:PE
}}
"""


def told(found: Found, text: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.severity.value) for finding in found(text)]


def test_three_phases_are_silent(found: Found) -> None:
    assert told(found, DRIVES + "wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2\n") == []


def test_two_phases_exchanged_at_a_drive_are_silent(found: Found) -> None:
    assert told(found, DRIVES + "wire -WB1:L1,L3,L2 to -F1:1,3,5 2.5mm2\n") == []


def test_one_phase_twice_is_told_once_at_the_conductor(found: Found) -> None:
    (finding,) = found(DRIVES + "wire -WB1:L1,L2 to -F1:1,3 2.5mm2\nwire -WB1:L2 to -F1:5 2.5mm2\n")
    assert finding.rule == "phase-missing"
    assert finding.span.text.endswith("-WB1:L2 to -F1:5 2.5mm2")
    assert {"-T1", "-T2"} <= set(finding.subjects)


def test_a_bridge_between_two_terminals_is_the_conductor_that_is_told(found: Found) -> None:
    text = DRIVES.replace("-F1:2,4,6 to -T1:L1,L2,L3 to -T2:L1,L2,L3", "-F1:2,4,6 to -T2:L1,L2,L3")
    text += "wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2\nwire -T2:L1,L2 to -T1:L1,L2 2.5mm2\nwire -T1:L2 to -T1:L3 2.5mm2\n"
    (finding,) = found(text)
    assert finding.span.text.endswith("-T1:L2 to -T1:L3 2.5mm2")


def test_a_phase_left_out_is_told_once_for_all_behind(found: Found) -> None:
    (finding,) = found(DRIVES + "wire -WB1:L1,L2 to -F1:1,3 2.5mm2\n")
    assert (finding.rule, finding.subjects[:3]) == ("phase-missing", ("-T1", "-T2", "-T1:L3"))


@each_of(
    "third",
    [
        "wire -WB1:N to -F1:5 2.5mm2\n",  # told as a voltage
        "outside -A1 at=+MCP {\n  terminal :1 plain\n}\nwire -A1:1 to -F1:5 2.5mm2\n",
        "part unknown {\n  kind = meter   letter = P   class = II\n  terminal :1 :2 plain\n}\n"
        "device -P1 unknown at=+MCP\nwire -P1:2 to -F1:5 2.5mm2\n",
    ],
)
def test_what_else_may_come_to_the_third_terminal(found: Found, third: str) -> None:
    assert told(found, DRIVES + "wire -WB1:L1,L2 to -F1:1,3 2.5mm2\n" + third) == []


def test_a_terminal_without_a_conductor_is_left_to_another_rule(found: Found) -> None:
    text = DRIVES.replace("-F1:2,4,6 to -T1:L1,L2,L3 to -T2:L1,L2,L3", "-F1:2,4 to -T1:L1,L2")
    assert told(found, text + "wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2\n") == []


def test_one_pole_left_out_at_the_second_of_two_contactors(found: Found) -> None:
    text = MOTOR.format("U1", "V1", "W1") + "device -K2 contactor-9a at=+MCP\ninterlock -K1 -K2 mechanical\n"
    text += "wire -K1:1,3,5 to -K2:1,3,5 2.5mm2\nwire -K2:4,6 to -K1:4,2 2.5mm2\n"
    (finding,) = found(text)
    assert finding.rule == "phase-missing"
    assert "over `-K2`" in finding.message


@each_of(
    ("ends", "expected"),
    [
        (("U1", "V1", "W1"), []),
        (("V1", "W1", "U1"), []),
        (("V1", "U1", "W1"), [("phase-order", "note")]),
    ],
)
def test_the_order_at_a_motor_is_a_note(found: Found, ends: tuple[str, str, str], expected: list[tuple[str, str]]) -> None:
    assert told(found, MOTOR.format(*ends)) == expected


REVERSING = """
device -K2 contactor-9a at=+MCP
interlock -K1 -K2 mechanical
wire -K1:1,3,5 to -K2:1,3,5 2.5mm2
wire -K1:2,4,6 to -K2:{0} 2.5mm2
"""


@each_of(
    ("poles", "expected"),
    [("6,4,2", []), ("2,6,4", []), ("2,4,6", [("phase-order", "error")]), ("4,6,2", [("phase-order", "error")])],
)
def test_reversing(found: Found, poles: str, expected: list[tuple[str, str]]) -> None:
    assert told(found, MOTOR.format("U1", "V1", "W1") + REVERSING.format(poles)) == expected


def test_contactors_without_an_interlock_and_with_feeds_of_their_own_need_not_reverse(found: Found) -> None:
    base = MOTOR.format("U1", "V1", "W1")
    assert told(found, base + REVERSING.format("2,4,6").replace("interlock -K1 -K2 mechanical\n", "")) == []
    two = "device -F2 mcb-3p at=+MCP current=10A curve=D\nwire -WB1:L1,L2,L3 to -F2:1,3,5 2.5mm2\n"
    two += REVERSING.format("2,4,6").replace("-K1:1,3,5 to -K2:1,3,5", "-F2:2,4,6 to -K2:1,3,5")
    assert told(found, base + two) == []


HANDED = """
device -T1 drive at=+MCP
device -K2 contactor-9a at=+MCP
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2
wire -T1:U,V,W to -K2:1,3,5 2.5mm2
wire -K2:2,4,6 to -K1:{0} 2.5mm2
"""


@each_of(("poles", "expected"), [("2,4,6", []), ("4,2,6", [("phase-order", "warning")])])
def test_mains_and_drive_turn_a_motor_one_way(found: Found, poles: str, expected: list[tuple[str, str]]) -> None:
    assert told(found, MOTOR.format("U1", "V1", "W1") + HANDED.format(poles)) == expected


STAR_DELTA = """
device -F1 mcb-3p at=+MCP current=10A curve=D
device -K1 contactor-9a at=+MCP
device -K2 contactor-9a at=+MCP
device -K3 contactor-9a at=+MCP
device -M1 motor-7.5kw-4p at=+HALL
wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2
wire -F1:2,4,6 to -K1:1,3,5 to -K2:1,3,5 2.5mm2
wire -K2:2,4,6 to -K3:1,3,5 2.5mm2
{star}
cable -W1 7G2.5 length=5m method=C {{
  1 -K1:2 to -M1:U1
  2 -K1:4 to -M1:V1
  3 -K1:6 to -M1:W1
  4 -K2:{u} to -M1:U2
  5 -K2:{v} to -M1:V2
  6 -K2:{w} to -M1:W2
  GNYE -XE1:3 to -M1:PE
}}
"""
STAR = "wire -K3:2 to -K3:4 to -K3:6 2.5mm2"


@each_of(
    ("ends", "star", "expected"),
    [
        ("462", STAR, []),
        ("624", STAR, []),
        ("642", STAR, [("load-shorted", "error")]),
        ("462", "wire -K3:2 to -K3:4 2.5mm2", [("load-open", "error")]),
        ("462", "", [("load-open", "error")]),
        ("462", STAR.replace("-K3:6", "-K3:6 to -WB1:N"), []),
    ],
)
def test_star_and_delta(found: Found, ends: str, star: str, expected: list[tuple[str, str]]) -> None:
    text = STAR_DELTA.format(star=star, u=ends[0], v=ends[1], w=ends[2])
    assert [entry for entry in told(found, text) if entry[1] != "note"] == expected
