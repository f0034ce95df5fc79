"""Motor cables, residual-current devices, filters on unearthed supplies, missing data, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding, Severity
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]

RULES = ("motor-cable-long", "residual-device", "filter-on-unearthed-supply")
RCD = """
part residual "Residual-current device" {
  kind = residual-device   letter = F   class = II   current = 25A
  terminal :1 :3 :5 line-in  0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6 by=handle
}
part filtered "Frequency converter with a filter" {
  kind = drive   letter = T   class = I   voltage = 380..480V   input-current = 3.9A   current = 4.1A
  terminal :L1 :L2 :L3 line-in 0.5..6mm2
  terminal :PE earth 1.5..10mm2
  setting emc-filter connected disconnected
}
"""


def motor_feeder(length: str, drive: str = "", motor: str = "", cable: str = "screened", fed: bool = False) -> str:
    """A drive with one motor cable; `fed`: its supply is drawn."""
    line = "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK\n" if fed else ""
    return f"""device -T1 drive at=+MCP {drive}
device -M1 motor at=+HALL {motor}
{line}wire -T1:PE to -XE1:3 10mm2 GNYE
cable -W1 4G2.5 {cable} {length} method=C {{
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
  GNYE -T1:PE2 to -M1:PE
}}
"""


@each_of(
    ("length", "drive", "told"),
    [
        ("length=50m", "max-cable-length=50m", False),
        ("length=51m", "max-cable-length=50m", True),
        ("length=500m", "", False),
        ("length=40m", "max-cable-length=50m max-cable-length-c2=25m", False),
        ("length=40m", "max-cable-length=50m max-cable-length-c2=25m emission=C2", True),
        ("length=30m parallel=2", "max-cable-length=50m", True),
    ],
)
def test_the_shortest_stated_limit_holds(found: Found, length: str, drive: str, told: bool) -> None:
    assert bool(list(found(motor_feeder(length, drive)))) is told


def test_the_category_of_the_project_holds_for_its_drives(found: Found) -> None:
    text = motor_feeder("length=40m", "max-cable-length=50m max-cable-length-c2=25m")
    (finding,) = found(text + 'project "P" {\n  emission = C2\n}\n')
    assert "25 m" in finding.message and "C2" in finding.message


def test_an_unscreened_cable_has_a_limit_of_its_own(found: Found) -> None:
    drive = "max-cable-length=50m max-cable-length-unscreened=100m"
    assert found(motor_feeder("length=80m", drive, cable="")) == ()
    assert len(list(found(motor_feeder("length=80m", drive)))) == 1


@each_of(
    ("length", "motor", "told"),
    [
        ("length=60m", "peak-voltage=1000V", True),
        ("length=60m", "peak-voltage=1300V", False),
        ("length=60m", "", False),
        ("length=10m", "peak-voltage=1000V", False),
    ],
)
def test_the_peak_is_held_to_what_the_motor_states(found: Found, length: str, motor: str, told: bool) -> None:
    findings = found(motor_feeder(length, motor=motor, fed=True))
    assert bool(findings) is told
    assert all("1120 V" in finding.message for finding in findings)


def residual(ratings: str, drive: str = "touch-current=5mA", lines: str = "wire -F1:2,4,6 to -T1:L1,L2,L3 4mm2 BK") -> str:
    """A drive behind a residual-current device."""
    return f"""{RCD}device -F1 residual at=+MCP {ratings}
device -T1 drive at=+MCP {drive}
wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2 BK
{lines}
wire -T1:PE to -XE1:3 10mm2 GNYE
"""


@each_of("kind", ["AC", "A", "F"])
def test_only_type_b_sees_a_three_phase_drive(found: Found, kind: str) -> None:
    (finding,) = found(residual(f"residual-type={kind} residual-current=300mA"))
    assert finding.severity is Severity.ERROR and f"type {kind}" in finding.message


def test_type_b_of_300_ma_and_a_device_of_unstated_type_are_left_alone(found: Found) -> None:
    assert found(residual("residual-type=B residual-current=300mA")) == ()
    assert found(residual("residual-current=300mA")) == ()


def test_a_small_rating_and_much_leakage_are_one_warning(found: Found) -> None:
    (finding,) = found(residual("residual-type=B residual-current=30mA", "touch-current=12mA"))
    assert finding.severity is Severity.WARNING
    assert "30 mA" in finding.message and "12 mA" in finding.message and "9 mA" in finding.message


@each_of(
    ("kind", "drive", "told"),
    [
        ("A", "smooth-direct-current=5mA", False),
        ("A", "smooth-direct-current=8mA", True),
        ("F", "smooth-direct-current=8mA", False),
        ("A", "", True),
        ("AC", "smooth-direct-current=1mA", True),
    ],
)
def test_a_single_phase_drive_may_do_with_less(found: Found, kind: str, drive: str, told: bool) -> None:
    text = residual(f"residual-type={kind} residual-current=300mA", f"touch-current=5mA {drive}", "wire -F1:2 to -T1:L1 4mm2 BK")
    assert bool(list(found(text))) is told


def test_no_other_type_stands_ahead_of_type_b(found: Found) -> None:
    text = f"""{RCD}device -F1 residual at=+MCP residual-type=A residual-current=300mA
device -F2 residual at=+MCP residual-type=B residual-current=300mA
wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2 BK
wire -F1:2,4,6 to -F2:1,3,5 4mm2 BK
"""
    (finding,) = found(text)
    assert finding.subjects[0] == "-F1" and "`-F2`" in finding.message


def unearthed(setting: str, system: str = "IT") -> str:
    """A drive with a filter on a second supply."""
    return f"""{RCD}supply -G1 "Second supply" system={system} voltage=400V frequency=50Hz fault-current=3kA upstream=fuse-gG-10A
device -T1 filtered at=+HALL
set -T1 emc-filter={setting}
cable -W1 4G4 length=10m method=C {{
  BN -G1:L1 to -T1:L1
  BK -G1:L2 to -T1:L2
  GY -G1:L3 to -T1:L3
  GNYE -G1:PE to -T1:PE
}}
"""


def test_a_filter_is_told_on_an_unearthed_supply_only(found: Found) -> None:
    (finding,) = found(unearthed("connected"))
    assert finding.subjects == ("-T1",) and "`-G1`" in finding.message
    assert found(unearthed("disconnected")) == ()
    assert found(unearthed("connected", "TN-S")) == ()


def test_a_filter_is_told_where_a_phase_is_earthed(found: Found) -> None:
    text = unearthed("connected", "TN-S") + "earthing of -G1:L2 at -XE1:9\n"
    (finding,) = found(text)
    assert "`-G1:L2`" in finding.message


def test_missing_lengths_of_one_feeder_are_one_finding(found: Found) -> None:
    findings = found(motor_feeder(""), only="data-missing")
    assert [finding.subjects for finding in findings] == [("-W1",)]
    assert "length of `-W1`" in findings[0].message and "motor cable length" in findings[0].message
    assert findings[0].severity is Severity.WARNING
