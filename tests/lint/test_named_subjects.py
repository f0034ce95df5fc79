"""What exceptions, relations and screen ends may name, and what they then mean."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from lint.frame import FRAME
from netdsl.findings import Finding
from netdsl.model import read_plant
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "bundle-mixed",
    "spacing-short",
    "relation-unknown",
    "screen-unterminated",
)

PLANT = """\
route A at=+HALL kind=tray divider=yes
route B at=+HALL kind=tray
device -T1 drive at=+MCP
device -M1 motor at=+HALL
device -B1 transmitter at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
cable -W1 4G2.5 screened length=10m along=A/1 {
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
cable -W2 2x0.75 screened length=10m along=B {
  BN -T1:AI1 to -B1:+
  BU -T1:AC to -B1:-
  screen -T1:SH clamp to -B1 open
}
"""


@each_of(("spacing", "rules"), [("500mm", []), ("100mm", ["spacing-short"])])
def test_a_relation_may_name_a_compartment(found: Found, spacing: str, rules: list[str]) -> None:
    assert [finding.rule for finding in found(PLANT + f"relation A/1 B spacing={spacing} parallel=5m\n")] == rules


def test_a_relation_of_the_other_compartment_says_nothing_of_this_ones_distance(found: Found) -> None:
    assert found(PLANT + "relation A/2 B spacing=50mm parallel=5m\nrelation A/1 B spacing=500mm parallel=5m\n") == ()


def test_an_exception_may_name_the_route(found: Found) -> None:
    text = PLANT + 'relation A B spacing=100mm parallel=5m\nallow spacing-short on B because "no room, filters fitted"\n'
    (finding,) = found(text)
    assert finding.allowed == "no room, filters fitted"


def test_an_exception_may_name_the_route_of_a_bundle(found: Found) -> None:
    text = PLANT.replace("along=A/1", "along=B") + 'allow bundle-mixed on B because "two metres only"\n'
    assert [finding.allowed for finding in found(text)] == ["two metres only"]


@each_of("day", ["2027-02-30", "2027-13-01", "2027-6-1"])
def test_a_day_that_no_calendar_has_is_told(tmp_path: Path, day: str) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(FRAME + f'allow earth-loop on -XE1 because "meshed" until {day}\n', encoding="utf-8")
    _, findings = read_plant(file)
    assert [finding.rule for finding in findings] == ["wrong-unit"]
    assert f"`{day}`" in findings[0].message


def test_both_ends_of_a_screen_at_one_device_leave_the_other_side_open(found: Found) -> None:
    text = PLANT.replace("to -M1:SH gland", "to -T1:SH clamp") + "relation A B spacing=500mm parallel=5m\n"
    (finding,) = found(text)
    assert finding.rule == "screen-unterminated"
    assert "not joined to earth at `-M1`" in finding.message
