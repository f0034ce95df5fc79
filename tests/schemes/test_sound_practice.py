"""What a sound panel adds to a drive with a bypass stays without a finding."""

from __future__ import annotations

import pytest

from tests.schemes.scheme_plants import example_text, findings_of, with_scheme

FEED = "  wire -Q1:2,4,6     to -T1:L1,L2,L3\n"
EARTH = "  wire -T1:PE        to -XE1:5  10mm2"
LINK = "  connect -M1 delta\n"

#: what is exchanged in the text of the bypass example, and what for
VARIANTS = {
    "input contactor": (
        FEED,
        """\
  device -K9 contactor-25a "Mains to drive"
  wire -Q1:2,4,6 to -K9:1,3,5
  wire -K9:2,4,6 to -T1:L1,L2,L3
  wire -X2:5  to -K9:A1
  wire -K9:A2 to -X2:25
""",
    ),
    "line filter": (
        FEED,
        """\
  device -L9 emc-filter current=16A losses=7W
  wire -L9:PE1 to -XE1:11 4mm2
  wire -Q1:2,4,6 to -L9:L1,L2,L3
  wire -L9:L1o,L2o,L3o to -T1:L1,L2,L3
""",
    ),
    "doubled earth": (EARTH, "  wire -T1:PE2 to -XE1:11 4mm2\n  wire -T1:PE to -XE1:5 4mm2"),
    "thermistors": (
        LINK,
        LINK
        + """\
  cable -W8 1x2x0.75 screened "thermistors" length=15m along=TRAY2 {
    1a -T1:(thermistor-1) to -M1:TP1
    1b -T1:(thermistor-2) to -M1:TP2
    screen -T1:(screen-control) clamp to -M1:SH open
  }
""",
    ),
}

#: an isolator in a metal box between the joint of both ways and the motor
BOX = """\
  device -Q9 field-isolator "Maintenance isolator" at=$field current=20A
  cable -W9 4G2.5 screened length=3m along=$way {
    BN     -Q9:2   to $motor:U1
    BK     -Q9:4   to $motor:V1
    GY     -Q9:6   to $motor:W1
    GNYE   -Q9:PE2 to $motor:PE
    screen -Q9:SH2 gland to $motor:SH gland
  }
}
"""


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_a_bypass_with_more_around_it_has_no_finding(variant: str) -> None:
    old, new = VARIANTS[variant]
    text = example_text("mains-bypass", house_drive=False)
    assert old in text
    assert findings_of(text.replace(old, new, 1)) == ()


def test_a_bypass_through_an_isolator_in_a_box_has_no_finding() -> None:
    ends = {"U1": "-Q9:1", "V1": "-Q9:3", "W1": "-Q9:5", "PE": "-Q9:PE1", "SH gland": "-Q9:SH1 gland"}
    text = with_scheme("mains-bypass", "schemes-motor.netdsl", "mains-bypass", "$motor:SH gland", "$motor:SH gland")
    for terminal, instead in ends.items():
        assert f"to $motor:{terminal}" in text
        text = text.replace(f"to $motor:{terminal}", f"to {instead}")
    assert findings_of(text.rstrip().removesuffix("}") + BOX) == ()


MOTOR_CABLE = """\
    BN     -T1:U   to -M1:U1
    BK     -T1:V   to -M1:V1
    GY     -T1:W   to -M1:W1
    GNYE   -T1:PE2 to -M1:PE
    screen -T1:SH clamp to -M1:SH gland
"""


@pytest.mark.parametrize("part", ["dvdt-filter-25a", "load-reactor"])
def test_what_stands_between_the_drive_and_its_motor_cable_has_no_finding(part: str) -> None:
    text = example_text("two-wire-start", house_drive=False)
    assert text.count(MOTOR_CABLE) == 1
    behind = MOTOR_CABLE.replace("-T1:U ", "-L9:2 ").replace("-T1:V ", "-L9:4 ").replace("-T1:W ", "-L9:6 ")
    behind = behind.replace("-T1:SH", "-L9:SH2")
    filtered = f"""\
  device -L9 {part} current=25A losses=26W
  wire -L9:PE to -XE1:8  4mm2
  cable -W9 3x1.5 screened length=1m method=C {{
    BN     -T1:U to -L9:1
    BK     -T1:V to -L9:3
    GY     -T1:W to -L9:5
    screen -T1:SH clamp to -L9:SH1 clamp
  }}
"""
    text = text.replace(MOTOR_CABLE, behind).replace("  cable -W1 ", filtered + "  cable -W1 ", 1)
    assert findings_of(text) == ()
