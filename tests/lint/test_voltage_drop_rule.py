"""When `voltage-drop` speaks and when it is silent."""

from __future__ import annotations

from tests.lint.conftest import Check

RULES = ("voltage-drop",)

HEAD = """netdsl 1
{project}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz
"""
CABLE = """
cable -W1 4G10 resistance={ohms}ohm reactance=0ohm {{
  BN   -G0:L1 to -M1:U1
  BK   -G0:L2 to -M1:V1
  GY   -G0:L3 to -M1:W1
  GNYE -G0:PE to -M1:PE
}}
"""
STARTING = "starting-current=60A starting-power-factor=1"


def messages(found: Check, motor: str, ohms: float, project: str = "") -> list[str]:
    text = HEAD.format(project=f'project "P" {{\n  {project}\n}}' if project else "")
    text += f"device -M1 motor at=+HALL {motor}\n" + CABLE.format(ohms=ohms)
    return [finding.message for finding in found(text, frame="")]


def test_a_drop_in_service_above_the_limit_is_found(found: Check) -> None:
    (message,) = messages(found, "current=10A power-factor=1 starting-current=11A starting-power-factor=1", 1.3)
    assert message == "`-M1` loses 5.6 % in service, at most 5 % is allowed (`-W1` 100 % of it)"


def test_a_start_above_its_limit_is_found(found: Check) -> None:
    (message,) = messages(found, f"current=10A power-factor=1 {STARTING}", 0.7)
    assert "18.2 % while it starts, at most 15 % is allowed" in message and "in service" not in message


def test_both_are_one_finding(found: Check) -> None:
    (message,) = messages(found, f"current=10A power-factor=1 {STARTING}", 1.3)
    assert "in service" in message and "while it starts" in message


def test_the_projects_limits_count(found: Check) -> None:
    motor = f"current=10A power-factor=1 {STARTING}"
    assert messages(found, motor, 0.7, "starting-drop-limit = 20%") == []
    assert len(messages(found, motor, 0.7, "starting-drop-limit = 20%   voltage-drop-limit = 3%")) == 1


def test_missing_data_is_silent(found: Check) -> None:
    assert messages(found, "power=5kW", 1.3) == []


WAYS = """
device -T1 vsd-7.5kw at=+MCP input-current=10A power-factor=1
device -K1 contactor-12a at=+MCP
device -K2 contactor-12a at=+MCP
device -M1 motor at=+HALL current=10A power-factor=1 starting-current=11A starting-power-factor=1
wire -G0:L1,L2,L3  to -T1:L1,L2,L3 4mm2 length=1m
wire -T1:U,V,W     to -K1:1,3,5    4mm2 length=1m
wire -G0:L1,L2,L3  to -K2:1,3,5    4mm2 length=1m
wire -K2:2,4,6     to -M1:U1,V1,W1 4mm2 length=1m
cable -W1 4G4 resistance={ohms}ohm reactance=0ohm {{
  BN -K1:2 to -M1:U1
  BK -K1:4 to -M1:V1
  GY -K1:6 to -M1:W1
}}
"""


def test_a_drop_by_one_of_several_ways_alone_is_found(found: Check) -> None:
    """Past the drive next to nothing is lost, behind it the cable is too long."""
    text = HEAD.format(project="")
    assert [finding.message for finding in found(text + WAYS.format(ohms=0.5), frame="")] == []
    (message,) = (finding.message for finding in found(text + WAYS.format(ohms=1.5), frame=""))
    assert message == "`-M1` loses 6.5 % in service, at most 5 % is allowed (`-W1` 100 % of it)"
