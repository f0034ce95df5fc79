"""Overload and missing protection: what is reported, and each case of sound practice that is not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = (
    "overload",
    "protection-missing",
)

HEAD = """netdsl 1
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
defaults within=+MCP length=1m
supply -G0 system=TN-S voltage=400V upstream=fuse-gG-63A
busbar -WB1 at=+MCP poles=4 current=100A
device -XE1 earth-bar at=+MCP ways=12
cable -W0 5G16 length=10m method=E {
  BN   -G0:L1 to -WB1:L1
  BK   -G0:L2 to -WB1:L2
  GY   -G0:L3 to -WB1:L3
  BU   -G0:N  to -WB1:N
  GNYE -G0:PE to -XE1:1
}
wire -XE1:2 to +MCP:PE 16mm2 GNYE
"""
MOTOR = """device -M1 motor at=+HALL power=4kW current=8.5A power-factor=0.83 winding=400/690V
connect -M1 delta
"""


def motor_cable(source: str, section: str = "2.5", earth: str = "-XE1:4") -> str:
    """A cable to the motor."""
    a, b, c = source.split(",")
    return f"""cable -W1 4G{section} length=15m method=E {{
  BN {a} to -M1:U1
  BK {b} to -M1:V1
  GY {c} to -M1:W1
  GNYE {earth} to -M1:PE
}}
"""


@pytest.fixture
def told(found: Check) -> Callable[[str], list[tuple[str, str]]]:
    """Findings of the two rules about a text behind the head: rule and first subject."""

    def run(text: str, head: str = HEAD) -> list[tuple[str, str]]:
        findings = found(head + text, frame="")
        return [(f.rule, f.subjects[0]) for f in findings]

    return run


Told = Callable[..., list[tuple[str, str]]]


def test_a_breaker_above_what_its_conductors_carry(told: Told) -> None:
    text = (
        "device -F1 mcb-1p at=+MCP current=20A\ndevice -E1 heater at=+MCP\nwire -WB1:L1 to -F1:1 4mm2\n"
        "wire -WB1:N to -E1:N 1.5mm2 BU\n"
    )
    assert told(text + "wire -F1:2 to -E1:L 1.5mm2\n") == [("overload", "-F1:2 -- -E1:L")]
    assert told(text.replace("20A", "13A") + "wire -F1:2 to -E1:L 1.5mm2\n") == []


def test_a_load_above_its_breaker_is_told_once(told: Told) -> None:
    text = (
        "part oven {\n  kind = heater   letter = E   class = II   voltage = 230V\n  terminal :L line-in\n"
        "  terminal :N neutral\n}\n"
        "device -E1 oven at=+MCP current=12A\ndevice -F1 mcb-1p at=+MCP current=10A\n"
        "wire -WB1:L1 to -F1:1 4mm2\nwire -F1:2 to -E1:L 4mm2\nwire -WB1:N to -E1:N 4mm2 BU\n"
    )
    assert [rule for rule, _ in told(text)] == ["overload"]


def test_the_message_names_numbers_and_remedy(found: Check) -> None:
    text = (
        "device -F1 mcb-1p at=+MCP current=20A\ndevice -E1 heater at=+MCP\nwire -WB1:L1 to -F1:1 4mm2\n"
        "wire -F1:2 to -E1:L 1.5mm2\n"
    )
    finding = next(f for f in found(HEAD + text, frame="") if f.rule == "overload")
    assert "20 A" in finding.message and "13.5 A" in finding.message and "`-F1`" in finding.message
    assert finding.remedy


def test_an_overload_relay_behind_protects_what_lies_before_it(told: Told) -> None:
    text = (
        MOTOR + "device -Q1 mcb-3p at=+MCP current=25A\ndevice -B1 overload-relay at=+MCP\nset -B1 tripping-current=8.5A\n"
        "wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2\nwire -Q1:2,4,6 to -B1:1,3,5 2.5mm2\n" + motor_cable("-B1:2,-B1:4,-B1:6")
    )
    assert told(text) == []


def test_without_the_relay_the_breaker_is_too_large(told: Told) -> None:
    text = (
        MOTOR
        + "device -Q1 mcb-3p at=+MCP current=32A\nwire -WB1:L1,L2,L3 to -Q1:1,3,5 10mm2\n"
        + motor_cable("-Q1:2,-Q1:4,-Q1:6")
    )
    assert told(text) == [("overload", "-W1")]


def test_a_drive_limits_what_lies_before_and_behind_it(told: Told) -> None:
    text = (
        MOTOR + "device -Q1 mcb-3p at=+MCP current=25A\ndevice -T1 vsd-4kw at=+MCP\nset -T1 motor-current=8.5A\n"
        "wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2\nwire -Q1:2,4,6 to -T1:L1,L2,L3 2.5mm2\nwire -T1:PE to -XE1:3 10mm2 GNYE\n"
        + motor_cable("-T1:U,-T1:V,-T1:W", "1.5", "-T1:PE2")
    )
    assert told(text) == []


def test_the_breakers_of_all_branches_protect_the_bar_together(told: Told) -> None:
    text = "busbar -WB2 at=+MCP poles=3 current=40A\nwire -WB1:L1,L2,L3 to -WB2:L1,L2,L3 6mm2\n"
    breakers = "".join(f"device -Q{n} mcb-3p at=+MCP current=10A\nwire -WB2:L1,L2,L3 to -Q{n}:1,3,5 4mm2\n" for n in (1, 2, 3))
    assert told(text + breakers) == []
    assert told(text + breakers.replace("10A", "16A")) == [("overload", "-WB1:L1 -- -WB2:L1")]


def test_a_control_wire_below_its_breaker(told: Told) -> None:
    text = (
        "device -F1 mcb-1p at=+MCP current=6A\ndevice -T9 supply-24v at=+MCP\nwire -WB1:L1 to -F1:1 2.5mm2\n"
        "wire -F1:2 to -T9:L 2.5mm2\nwire -WB1:N to -T9:N 2.5mm2 BU\n"
        "device -F2 mcb-1p at=+MCP current=10A voltage=60V\nwire -T9:+ to -F2:1 2.5mm2\ndevice -K1 relay-4co at=+MCP\n"
        "wire -F2:2 to -K1:A1 0.75mm2\nwire -T9:- to -K1:A2 0.75mm2\n"
    )
    assert told(text) == [("overload", "-F2")]
    assert told(text.replace("current=10A", "current=4A")) == []


def test_a_return_wire_carries_all_that_its_branches_let_flow(told: Told) -> None:
    text = """device -F0 mcb-1p at=+MCP current=6A
device -T9 supply-24v-20a at=+MCP
wire -WB1:L1 to -F0:1 2.5mm2
wire -F0:2 to -T9:L 2.5mm2
wire -WB1:N to -T9:N 2.5mm2 BU
wire -T9:PE to -XE1:5 2.5mm2
device -F1 mcb-1p-b at=+MCP current=6A
device -F2 mcb-1p-b at=+MCP current=6A
device -K1 relay-4co at=+MCP
device -K2 relay-4co at=+MCP
wire -T9:+ to -F1:1 4mm2
wire -T9:+ to -F2:1 4mm2
wire -F1:2 to -K1:A1 1mm2
wire -F2:2 to -K2:A1 1mm2
wire -K1:A2 to -K2:A2 1mm2
wire -K2:A2 to -T9:- {section}
"""
    assert told(text.format(section="1mm2")) == [("overload", "-T9")]  # 6 A and 6 A come back by a wire for 10.3 A
    assert told(text.format(section="1.5mm2")) == []


@pytest.mark.parametrize(("rating", "told_of"), [("4A", [("overload", "-F1")]), ("10A", [])])
def test_a_control_branch_takes_more_than_its_breaker_is_for(told: Told, rating: str, told_of: list[tuple[str, str]]) -> None:
    text = f"""device -F0 mcb-1p at=+MCP current=6A
device -T9 supply-24v-20a at=+MCP
wire -WB1:L1 to -F0:1 2.5mm2
wire -F0:2 to -T9:L 2.5mm2
wire -WB1:N to -T9:N 2.5mm2 BU
wire -T9:PE to -XE1:5 2.5mm2
device -F1 mcb-1p-b at=+MCP current={rating}
part block "Valve block" {{
  kind = valve   symbol = valve   letter = M   class = III
  terminal :1 :2 load 0.5..2.5mm2
  load :1 to :2 voltage=24V dc power=240W
}}
device -V1 block at=+MCP
wire -T9:+ to -F1:1 4mm2
wire -F1:2 to -V1:1 4mm2
wire -V1:2 to -T9:- 4mm2
"""
    assert told(text) == told_of


def test_a_supply_that_does_not_say_what_protects_it(told: Told) -> None:
    assert told("", HEAD.replace(" upstream=fuse-gG-63A", "")) == [("protection-missing", "-G0")]
    assert told("") == []


def test_a_supply_inside_the_panel_may_have_its_breaker_beside_it(told: Told) -> None:
    head = (
        'netdsl 1\nplace +MCP "Panel" kind=cabinet\nsupply -G0 at=+MCP system=TN-S voltage=400V\n'
        "device -Q1 mcb-3p at=+MCP current=16A\nwire -G0:L1,L2,L3 to -Q1:1,3,5 4mm2 length="
    )
    assert told("1m\n", head) == []
    assert told("5m\n", head) == [("protection-missing", "-G0")]


def test_a_long_thin_tap_lacks_protection_a_short_one_does_not(told: Told) -> None:
    breaker = "device -Q1 mcb-3p at=+MCP current=10A\nwire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 length="
    assert told(breaker + "3m\n") == []
    assert told(breaker + "4m\n") == [("protection-missing", "-WB1:L1 -- -Q1:1")]


def test_a_socket_takes_what_its_protective_device_lets_through(found: Check) -> None:
    text = (
        "device -F1 rcbo-1pn-a at=+MCP current=10A\ndevice -XS1 socket at=+MCP\nwire -WB1:L1 to -F1:1 2.5mm2 BK\n"
        "wire -WB1:N to -F1:N1 2.5mm2 BU\nwire -F1:2 to -XS1:L 2.5mm2 BK\nwire -F1:N2 to -XS1:N 2.5mm2 BU\n"
        "wire -XS1:PE to -XE1:3 2.5mm2 GNYE\n"
    )
    assert found(text, only="overload") == ()


DRIVE = """
device -Q5 mcb-3p at=+MCP current=32A
device -T5 vsd-15kw at=+MCP
device -M5 motor at=+HALL power=3kW current=6.4A power-factor=0.84
wire -WB1:L1,L2,L3 to -Q5:1,3,5 10mm2 BK
wire -Q5:2,4,6 to -T5:L1,L2,L3 {section} BK
wire -T5:PE to -XE1:5 10mm2 GNYE
cable -W5 4G6 screened length=10m method=C {{
  BN -T5:U to -M5:U1
  BK -T5:V to -M5:V1
  GY -T5:W to -M5:W1
  GNYE -T5:PE2 to -M5:PE
  screen -T5:SH clamp to -M5:SH gland
}}
{more}
"""


@each_of(
    ("section", "more", "told"), [("2.5mm2", "", True), ("10mm2", "", False), ("2.5mm2", "set -T5 motor-current=6.4A", True)]
)
def test_a_drive_may_take_what_it_is_rated_for_whatever_motor_it_is_set_to(
    found: Check, section: str, more: str, told: bool
) -> None:
    findings = found(DRIVE.format(section=section, more=more))
    overloads = [finding.message for finding in findings if finding.rule == "overload" and "-T5" in finding.message]
    assert len(overloads) == told, overloads
