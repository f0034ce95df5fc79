"""Breaking capacity: what is held to it, with which current, and where the rule says nothing."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("breaking-capacity",)

PLACES = """netdsl 1
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
defaults within=+MCP length=1m
"""
SUPPLY = 'supply -G0 "Site supply" system={system} voltage=400V frequency=50Hz {level}\n'
LEVEL = "fault-current=16kA earth-fault-current=8kA"
THREE_POLES = """
device -Q1 mcb-3p at=+MCP current=16A breaking={breaking}
cable -W1 4G10 length={length} {{
  BN -G0:L1 to -Q1:1
  BK -G0:L2 to -Q1:3
  GY -G0:L3 to -Q1:5
}}
"""
ONE_POLE = """
device -F1 mcb-1p-c at=+MCP current=10A breaking={breaking}
wire -G0:L1 to -F1:1 10mm2 BK length=1m
"""


def broken(found: Found, text: str, *, system: str = "TN-S", level: str = LEVEL) -> list[Finding]:
    return list(found(PLACES + SUPPLY.format(system=system, level=level) + text, frame=""))


def test_it_names_device_current_and_capacity(found: Found) -> None:
    (finding,) = broken(found, THREE_POLES.format(breaking="6kA", length="1m"))
    assert finding.subjects == ("-Q1",)
    assert "`-Q1` breaks 6 kA" in finding.message
    current = float(finding.message.rpartition("up to ")[2].removesuffix(" kA"))
    assert 14 < current < 16
    assert f"{current:g} kA or more" in finding.remedy


@each_of(("breaking", "length"), [("25kA", "1m"), ("6kA", "30m")])
def test_sound_devices_are_silent(found: Found, breaking: str, length: str) -> None:
    assert broken(found, THREE_POLES.format(breaking=breaking, length=length)) == []


def test_one_pole_breaks_the_current_to_neutral(found: Found) -> None:
    assert broken(found, ONE_POLE.format(breaking="10kA")) == []
    (finding,) = broken(found, ONE_POLE.format(breaking="6kA"))
    assert 6 < float(finding.message.rpartition("up to ")[2].removesuffix(" kA")) < 8


def test_a_fuse_before_it_helps_no_breaker(found: Found) -> None:
    fuse = """
device -F0 fuse-10x38-gg at=+MCP current=25A
wire -G0:L1,L2,L3 to -F0:1,3,5 10mm2 BK length=1m
device -Q1 mcb-3p at=+MCP current=16A breaking=6kA
wire -F0:2,4,6 to -Q1:1,3,5 10mm2 BK
"""
    assert [finding.subjects for finding in broken(found, fuse)] == [("-Q1",)]


@each_of(("most", "count"), [("25A", 0), ("20A", 1)])
def test_a_fuse_that_the_maker_names_as_back_up_helps(found: Found, most: str, count: int) -> None:
    fuse = f"""
device -F0 fuse-10x38-gg at=+MCP current=25A
wire -G0:L1,L2,L3 to -F0:1,3,5 10mm2 BK length=1m
device -Q1 mcb-3p at=+MCP current=16A breaking=6kA conditional-current=25kA max-upstream={most} upstream-kind=fuse-gG
wire -F0:2,4,6 to -Q1:1,3,5 10mm2 BK
"""
    assert len(broken(found, fuse)) == count


def test_the_current_behind_a_reactor_is_limited_by_it(found: Found) -> None:
    reactor = """
part choke "Line reactor" {
  kind = reactor   letter = R   class = II
  inductance = 1mH
  terminal :1 :3 :5 line-in  0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6
}
device -R1 choke at=+MCP
wire -G0:L1,L2,L3 to -R1:1,3,5 10mm2 BK length=1m
device -Q1 mcb-3p at=+MCP current=16A breaking=6kA
wire -R1:2,4,6 to -Q1:1,3,5 10mm2 BK
"""
    assert broken(found, reactor) == []


def test_what_protects_before_the_terminals_is_not_judged(found: Found) -> None:
    assert broken(found, THREE_POLES.format(breaking="25kA", length="1m"), level=LEVEL + " upstream=fuse-gG-63A") == []


def test_without_a_fault_level_it_says_nothing(found: Found) -> None:
    assert broken(found, THREE_POLES.format(breaking="1kA", length="1m"), level="") == []


def test_an_unstated_capacity_is_missing_data_and_no_fault(found: Found) -> None:
    unstated = """
part bare "Breaker" {
  kind = breaker   letter = Q   class = II
  terminal :1 :3 :5 line-in  0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6
}
device -Q1 bare at=+MCP
wire -G0:L1,L2,L3 to -Q1:1,3,5 10mm2 BK length=1m
"""
    assert broken(found, unstated) == []


def test_a_breaker_for_direct_current_is_not_held_to_an_alternating_fault(found: Found) -> None:
    dc = """
supply -G1 "Battery" system=DC voltage=24V
device -F1 mcb-1p-c at=+MCP current=6A breaking=1A
wire -G1:+ to -F1:1 2.5mm2 BU
"""
    assert broken(found, dc) == []


def test_a_motor_switched_on_the_mains_adds_to_the_current(found: Found) -> None:
    motor = """
device -Q2 mcb-3p at=+MCP current=200A breaking=25kA
device -M1 motor at=+HALL power=90kW current=160A power-factor=0.86 winding=400/690V
connect -M1 delta
busbar -WB1 at=+MCP poles=3 current=400A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 95mm2 BK length=1m
wire -WB1:L1,L2,L3 to -Q2:1,3,5 95mm2 BK
cable -W2 4G95 length=5m {
  BN -Q2:2 to -M1:U1
  BK -Q2:4 to -M1:V1
  GY -Q2:6 to -M1:W1
  GNYE -G0:PE to -M1:PE
}
device -Q1 mcb-3p at=+MCP current=16A breaking=16kA
wire -WB1:L1,L2,L3 to -Q1:1,3,5 95mm2 BK
"""
    assert [finding.subjects for finding in broken(found, motor)] == [("-Q1",)]
    assert broken(found, motor.replace("power=90kW current=160A", "power=0.75kW current=2A")) == []
