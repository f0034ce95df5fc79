"""Protective earth: what is reported, where, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding, Severity
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "earth-missing",
    "earth-in-series",
    "earth-loop",
    "earth-not-at-drive",
    "earth-colour",
    "earth-clamp-shared",
)

DRIVES = """
device -T1 drive at=+MCP
device -T2 drive at=+MCP
wire -T1:PE to -XE1:3 6mm2 GNYE
"""
MOTOR = """
device -T1 drive at=+MCP
device -M1 motor at=+HALL
cable -W1 4G2.5 screened length=10m {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
EARTHED = "wire -T1:PE to -XE1:3 6mm2 GNYE\n"
ISOLATOR = """
part isolator "Isolator in a metal box" {
  kind = isolator   letter = Q   class = I
  terminal :1 :3 :5 line-in 1..16mm2
  terminal :2 :4 :6 load-out 1..16mm2
  terminal :PE1 :PE2 earth-through 1..16mm2
  terminal :SH1 :SH2 screen
  pole :1,3,5 to :2,4,6 by=handle
}
device -Q2 isolator at=+HALL
"""


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def test_a_chain_cut_off_is_one_finding_at_its_head(found: Found) -> None:
    (finding,) = found(MOTOR)
    assert finding.rule == "earth-missing"
    assert finding.subjects[0] == "-T1"
    assert "`-M1` is cut off with it" in finding.message
    assert finding.span.text == "-T1"


def test_the_supply_cut_off_from_the_bar_is_one_finding(found: Found) -> None:
    findings = found("", frame=FRAME.replace("  GNYE -G0:PE to -XE1:1\n", ""))
    assert rules(findings) == ["earth-missing"]


def test_an_enclosure_comes_before_its_door(found: Found) -> None:
    (finding,) = found("place +BOX kind=cabinet\nplace +BOX.D kind=door\nwire +BOX:PE to +BOX.D:PE 6mm2 GNYE\n")
    assert finding.subjects[0] == "+BOX"


def test_without_any_bar_or_supply_it_is_said_once(found: Found) -> None:
    findings = found("netdsl 1\nplace +A kind=cabinet\nplace +B kind=cabinet\n", frame="")
    assert rules(findings) == ["earth-missing"]


@each_of("ending", ["class = II", "class = III"])
def test_class_two_and_extra_low_voltage_need_no_earth(found: Found, ending: str) -> None:
    part = f'part button "Button" {{\n kind = push-button  letter = S  {ending}\n terminal :1 :2 contact\n}}\n'
    assert found(part + "device -S1 button at=+MCP\n") == ()


def test_an_extra_low_voltage_supply_needs_no_earth(found: Found) -> None:
    assert found('supply -G9 "Battery" system=DC voltage=24V\n') == ()


def test_a_box_of_plastic_needs_no_earth(found: Found) -> None:
    assert found("place +BOX kind=box material=plastic\n") == ()


MOUNTED = """
part plate-mounted "Device on the plate" {
  kind = controller   letter = K   class = I   earthed-by-mounting = yes
  terminal :PE earth
}
"""


def test_mounting_on_a_bonded_plate_is_earth_enough(found: Found) -> None:
    assert found(MOUNTED + "place +MCP.P kind=plate\ndevice -K1 plate-mounted at=+MCP.P\n") == ()


def test_mounting_on_a_plate_that_is_not_bonded_is_not(found: Found) -> None:
    findings = found(MOUNTED + "place +MCP.P kind=plate bonded=no\ndevice -K1 plate-mounted at=+MCP.P\n")
    assert rules(findings) == ["earth-missing"]


def test_series_is_decided_on_all_paths(found: Found) -> None:
    series = DRIVES + "wire -T2:PE to -T1:PE2 6mm2 GNYE\n"
    (finding,) = found(series)
    assert (finding.rule, finding.subjects[:2]) == ("earth-in-series", ("-T2", "-T1"))
    assert "earth-in-series" not in rules(found(series + "wire -T2:PE2 to -XE1:4 6mm2 GNYE\n"))


def test_bars_strips_studs_and_rails_are_no_other_device(found: Found) -> None:
    text = """
    device -T1 drive at=+MCP
    device -T2 drive at=+MCP
    device -T3 drive at=+MCP
    device -XE2 earth-bar at=+MCP ways=4
    strip -X1 at=+MCP {
      :1 earth 6mm2
    }
    strip -X2 at=+MCP rail=bonded {
      :1 earth 6mm2
    }
    place +BOX kind=box
    device -T4 drive at=+BOX
    wire -XE1:3 to -XE2:1 10mm2 GNYE
    wire -XE2:2 to -T1:PE 6mm2 GNYE
    wire -XE1:4 to -X1:1/in 6mm2 GNYE
    wire -X1:1/out to -T2:PE 6mm2 GNYE
    wire -X2:1 to -T3:PE 6mm2 GNYE
    wire -XE1:5 to +BOX:PE 6mm2 GNYE
    wire +BOX:PE to -T4:PE 6mm2 GNYE
    """
    assert found(text) == ()


def test_earth_through_terminals_are_no_other_device(found: Found) -> None:
    text = (
        ISOLATOR
        + """
    device -M1 motor at=+HALL
    cable -W1 4G2.5 length=10m {
      BN   -WB1:L1 to -Q2:1
      BK   -WB1:L2 to -Q2:3
      GY   -WB1:L3 to -Q2:5
      GNYE -XE1:3 to -Q2:PE1
    }
    cable -W2 4G2.5 length=3m {
      BN   -Q2:2 to -M1:U1
      BK   -Q2:4 to -M1:V1
      GY   -Q2:6 to -M1:W1
      GNYE -Q2:PE2 to -M1:PE
    }
    """
    )
    assert found(text) == ()


def test_the_drive_that_feeds_the_motor_through_its_cable_is_no_other_device(found: Found) -> None:
    assert found(MOTOR + EARTHED) == ()


def test_a_drive_that_does_not_feed_it_is_another_device(found: Found) -> None:
    text = MOTOR.replace("GNYE -T1:PE2", "GNYE -T2:PE2") + EARTHED + "device -T2 drive at=+MCP\nwire -T2:PE to -XE1:4 6mm2 GNYE\n"
    assert rules(found(text)) == ["earth-in-series"]


LOOP = DRIVES + "wire -T2:PE to -XE1:4 6mm2 GNYE\nwire -T1:PE2 to -T2:PE2 6mm2 GNYE\n"


def test_a_loop_lists_its_ring(found: Found) -> None:
    (finding,) = found(LOOP)
    assert finding.severity is Severity.WARNING
    assert "`-XE1` - `-T1` - `-T2` - `-XE1`" in finding.message


def test_a_motor_bonded_to_the_bar_as_well_makes_no_loop(found: Found) -> None:
    assert found(MOTOR + EARTHED + "cable -W2 1G6 length=10m {\n GNYE -XE1:4 to -M1:PE2\n}\n") == ()


def test_two_conductors_side_by_side_make_no_loop(found: Found) -> None:
    assert found(DRIVES + "wire -T1:PE2 to -XE1:4 6mm2 GNYE\nwire -T2:PE to -XE1:5 6mm2 GNYE\n") == ()


def test_screens_make_no_loop(found: Found) -> None:
    text = LOOP.replace("wire -T1:PE2 to -T2:PE2 6mm2 GNYE\n", "")
    text += "cable -W1 2x0.5 screened length=1m {\n BN -T1:A to -T2:A\n BU -T1:B to -T2:B\n"
    assert found(text + " screen -T1:SH clamp to -T2:SH clamp\n}\n") == ()


def test_meshed_bonding_asks_for_loops(found: Found) -> None:
    assert found(LOOP, frame=FRAME.replace('"Panel" kind=cabinet', '"Panel" kind=cabinet bonding=meshed')) == ()


WRONG_BAR = MOTOR.replace("GNYE -T1:PE2", "GNYE -XE1:4") + EARTHED


def test_the_motor_earth_on_a_bar_without_the_screen_is_told(found: Found) -> None:
    (finding,) = found(WRONG_BAR)
    assert (finding.rule, finding.severity) == ("earth-not-at-drive", Severity.WARNING)
    assert finding.subjects[:3] == ("-M1", "-W1", "-T1")


def test_the_plate_that_carries_the_screen_clamp_will_do(found: Found) -> None:
    text = WRONG_BAR.replace("-XE1:4", "-X1:1").replace("-T1:SH clamp", "-XSH:1 clamp")
    text += "strip -X1 at=+MCP rail=bonded {\n :1 earth 6mm2\n}\ndevice -XSH screen-bar at=+MCP ways=4\n"
    assert found(text) == ()


def test_an_isolator_in_the_way_hands_the_earth_on(found: Found) -> None:
    text = MOTOR.replace("-M1:U1", "-Q2:1").replace("-M1:V1", "-Q2:3").replace("-M1:W1", "-Q2:5").replace("-M1:PE", "-Q2:PE1")
    text = (
        ISOLATOR
        + text.replace("-M1:SH", "-Q2:SH1")
        + EARTHED
        + """
    cable -W2 4G2.5 screened length=3m {
      BN   -Q2:2 to -M1:U1
      BK   -Q2:4 to -M1:V1
      GY   -Q2:6 to -M1:W1
      GNYE -Q2:PE2 to -M1:PE
      screen -Q2:SH2 gland to -M1:SH gland
    }
    """
    )
    assert found(text) == ()
    past = text.replace("GNYE -T1:PE2 to -Q2:PE1", "GNYE -XE1:4 to -Q2:PE1")
    assert rules(found(past)) == ["earth-not-at-drive"]


def test_a_direct_feeder_has_no_drive_to_go_back_to(found: Found) -> None:
    text = "device -M1 motor at=+HALL\ncable -W1 4G2.5 length=9m {\n BN -WB1:L1 to -M1:U1\n BK -WB1:L2 to -M1:V1\n"
    assert found(text + " GY -WB1:L3 to -M1:W1\n GNYE -XE1:4 to -M1:PE\n}\n") == ()


def test_a_motor_that_a_bypass_can_feed_is_exempt(found: Found) -> None:
    contactor = """
    part contactor "Contactor" {
      kind = contactor   letter = Q   class = II
      terminal :1 :3 :5 line-in 1..16mm2
      terminal :2 :4 :6 load-out 1..16mm2 clamps=2
      terminal :A1 :A2 coil
      coil :A1 to :A2 voltage=24V dc
      pole :1,3,5 to :2,4,6 switched by=coil
    }
    device -K1 contactor at=+MCP
    device -K2 contactor at=+MCP
    device -T1 drive at=+MCP
    device -M1 motor at=+HALL
    wire -T1:PE to -XE1:3 6mm2 GNYE
    wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK
    wire -WB1:L1,L2,L3 to -K2:1,3,5 4mm2 BK
    wire -T1:U,V,W to -K1:1,3,5 4mm2 BK length=0.2m
    wire -K1:2,4,6 to -K2:2,4,6 4mm2 BK length=0.2m
    cable -W1 4G2.5 screened length=10m {
      BN   -K1:2   to -M1:U1
      BK   -K1:4   to -M1:V1
      GY   -K1:6   to -M1:W1
      GNYE -XE1:4  to -M1:PE
      screen -T1:SH clamp to -M1:SH gland
    }
    """
    assert found(contactor) == ()


def test_green_yellow_for_a_live_conductor_is_told_once_a_line(found: Found) -> None:
    (finding,) = found(DRIVES + "wire -T2:PE to -XE1:4 6mm2 GNYE\nwire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 GNYE\n")
    assert finding.rule == "earth-colour"


@each_of("how", ["BK material=bare", "BK material=braid", "BU mark=PEN", "material=rail BK"])
def test_bare_braid_rail_and_pen_may_have_another_colour(found: Found, how: str) -> None:
    assert found(DRIVES + f"wire -T2:PE to -XE1:4 6mm2 {how}\n") == ()


def test_the_core_of_a_pen_may_be_blue(found: Found) -> None:
    frame = FRAME.replace("system=TN-S", "system=TN-C").replace("  BU   -G0:N  to -WB1:N\n", "")
    assert found("", frame=frame.replace("GNYE -G0:PE to", "BU -G0:PEN to")) == ()


def test_functional_earth_may_have_another_colour(found: Found) -> None:
    part = 'part gateway "Gateway" {\n kind = controller  letter = K  class = III\n terminal :FE functional-earth\n}\n'
    assert found(part + "device -K1 gateway at=+MCP\nwire -K1:FE to -XE1:5 4mm2 PK\n") == ()


def test_the_reference_conductor_of_a_source_may_have_another_colour(found: Found) -> None:
    assert (
        found(DRIVES + "wire -T2:PE to -XE1:4 6mm2 GNYE\nwire -T1:COM to -XE1:5 2.5mm2 BU\nearthing of -T1:COM at -XE1:5\n") == ()
    )


def test_one_clamp_holds_one_protective_conductor(found: Found) -> None:
    (finding,) = found(DRIVES + "wire -T2:PE to -XE1:3 6mm2 GNYE\n")
    assert finding.rule == "earth-clamp-shared"
    assert "-XE1:3" in finding.subjects


def test_sides_through_terminals_and_studs_hold_one_each_way(found: Found) -> None:
    text = (
        ISOLATOR.replace(":PE1 :PE2 earth-through", ":PE1 earth-through")
        + """
    device -T1 drive at=+MCP
    strip -X1 at=+MCP {
      :1 earth 6mm2
    }
    wire -XE1:3 to -X1:1/in 6mm2 GNYE
    cable -W1 1G6 length=3m {
      GNYE -X1:1 to -Q2:PE1
    }
    cable -W2 1G6 length=3m {
      GNYE -Q2:PE1 to -T1:PE
    }
    wire +MCP:PE to -XE1:4 6mm2 GNYE
    """
    )
    assert found(text) == ()
