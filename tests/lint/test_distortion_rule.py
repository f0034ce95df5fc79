"""Distortion of a supply against what the project names, and where nothing is named or known."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("distortion-exceeded", "reactor-missing")
PLANT = """\
project "Plant" {{
  number = "1"   {choice}
}}
device -T1 drive at=+MCP {drive}
wire -T1:PE to -XE1:3 10mm2 GNYE
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK length=1m
"""
OPEN = "power=2.2kW"


@each_of(
    ("choice", "drive", "about"),
    [
        ("", OPEN, []),
        ("distortion-limit = 40%", OPEN, ["the distortion of its current"]),
        ("distortion-limit = 40%", f"{OPEN} current-distortion=35%", []),
        ("distortion-class = class-3", OPEN, []),
    ],
)
def test_what_the_project_names_is_held(found: Found, choice: str, drive: str, about: list[str]) -> None:
    findings = found(PLANT.format(choice=choice, drive=drive))
    assert [finding.message.partition(": ")[2].partition(" is ")[0] for finding in findings] == about
    assert all([each.message for each in finding.related] == ["`-T1` adds 100 %"] for finding in findings)


def test_a_class_is_held_in_total_and_order_by_order(found: Found) -> None:
    """At a supply of 300 A the drive's own harmonics make more than class 1 bears."""
    text = PLANT.format(choice="distortion-class = class-1", drive="power=5.5kW current=14A input-current=14A")
    weak = "supply -G9 system=TN-S voltage=400V frequency=50Hz fault-current=300A earth-fault-current=200A upstream=fuse-gG-35A\n"
    (finding,) = found(weak + text.replace("-WB1:L1,L2,L3", "-G9:L1,L2,L3"))
    assert finding.subjects == ("-G9",)
    assert " of its voltage is " in finding.message
    assert " more of its levels" in finding.message


def test_drives_without_a_choke_at_a_stiff_supply_are_the_cause(found: Found) -> None:
    """The drive that lacks a choke is named, and not what comes of it as well."""
    level = "fault-current=20kA earth-fault-current=15kA upstream=fuse-gG-35A"
    stiff = f"supply -G9 system=TN-S voltage=400V frequency=50Hz {level}\n"
    drive = "power=5.5kW current=14A input-current=14A"

    def told(own: str) -> list[str]:
        text = PLANT.format(choice="distortion-limit = 40%", drive=own).replace("-WB1:L1,L2,L3", "-G9:L1,L2,L3")
        return [each.rule for each in found(stiff + text)]

    assert told(drive) == ["reactor-missing"]
    assert told(f"{drive} choke=2%") == ["distortion-exceeded"]
