"""Routes and cables: what may lie together, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

import lint
from lint.frame import FRAME
from netdsl.findings import Finding, Severity
from netdsl.network import Network
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "bundle-mixed",
    "cable-mixed",
    "spacing-short",
    "crossing-angle",
    "relation-unknown",
    "screen-missing",
)

START = """
device -T1 drive at=+MCP
device -T2 drive at=+MCP
device -M1 motor at=+HALL
device -M2 motor at=+HALL
device -B1 transmitter at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
wire -T2:PE to -XE1:4 6mm2 GNYE
route A at=+HALL kind=tray
"""
DIVIDED = START.replace("kind=tray", "kind=tray divider=yes")


def motor(n: int, along: str, kind: str = "screened") -> str:
    screen = f"screen -T{n}:SH clamp to -M{n}:SH gland" if kind else ""
    return f"""cable -WM{n} 4G2.5 {kind} length=10m along={along} {{
  BN   -T{n}:U   to -M{n}:U1
  BK   -T{n}:V   to -M{n}:V1
  GY   -T{n}:W   to -M{n}:W1
  GNYE -T{n}:PE2 to -M{n}:PE
  {screen}
}}
"""


def mains(along: str, attributes: str = "") -> str:
    return f"cable -WP 4G2.5 length=9m {attributes} along={along} {{\n BN -WB1:L1 to -T1:L1\n BK -WB1:L2 to -T1:L2\n}}\n"


def analogue(along: str, name: str = "-WA") -> str:
    ends = "BN -T1:AI1 to -B1:+\n BU -T1:AC to -B1:-\n screen -T1:SH clamp to -B1 open"
    return f"cable {name} 2x0.75 screened length=10m along={along} {{\n {ends}\n}}\n"


def bus(along: str) -> str:
    ends = "BN -T1:A to -T2:A\n BU -T1:B to -T2:B\n screen -T1:SH clamp to -T2:SH clamp"
    return f"cable -WBUS 2x0.5 screened length=3m along={along} {{\n {ends}\n}}\n"


def control(along: str, attributes: str = "") -> str:
    return f"cable -WC 2x1.5 length=3m {attributes} along={along} {{\n BN -T1:24V to -T2:DI1\n BU -T1:COM to -T2:COM\n}}\n"


BOTH_MOTORS_EARTHED = (
    "cable -WE 1G6 length=1m {\n GNYE -XE1:5 to -M1:PE2\n}\ncable -WF 1G6 length=1m {\n GNYE -XE1:6 to -M2:PE2\n}\n"
)


def check(found: Found, text: str) -> list[tuple[str, str]]:
    used = BOTH_MOTORS_EARTHED
    findings = found(text + used)
    return [(finding.rule, finding.subjects[0]) for finding in findings]


@each_of("stray", [analogue("A"), bus("A"), control("A")])
@each_of("power", [motor(1, "A"), mains("A")])
def test_signals_share_no_route_with_power(found: Found, power: str, stray: str) -> None:
    (finding,) = found(START + power + stray + BOTH_MOTORS_EARTHED)
    assert finding.rule == "bundle-mixed"
    assert finding.subjects[0] in {"-WA", "-WBUS", "-WC"}
    assert {"-WM1", "-WP"} & set(finding.subjects)
    assert "`A`" in finding.message


def test_a_divider_separates(found: Found) -> None:
    text = DIVIDED + motor(1, "A/1") + motor(2, "A/1") + analogue("A/2") + bus("A/2") + control("A/2")
    assert check(found, text) == []
    assert check(found, text.replace("along=A/2", "along=A/1", 1)) == [("bundle-mixed", "-WA")]


def test_one_finding_for_each_route(found: Found) -> None:
    text = START + "route B at=+MCP kind=duct\nrelation A B crossing=90deg\n" + motor(1, "A,B") + analogue("A,B") + bus("A,B")
    assert check(found, text) == [("bundle-mixed", "-WA")] * 2


def test_a_stray_cable_gives_no_second_finding_about_distances(found: Found) -> None:
    text = START + "route B at=+HALL kind=tray\n" + motor(1, "A") + motor(2, "B") + analogue("B")
    assert check(found, text) == [("bundle-mixed", "-WA")]


def test_screened_motor_cables_share(found: Found) -> None:
    assert check(found, START + motor(1, "A") + motor(2, "A")) == []


def test_an_unscreened_motor_cable_is_a_matter_of_its_screen_only(found: Found) -> None:
    assert check(found, START + motor(1, "A") + motor(2, "A", "")) == [("screen-missing", "-WM2")]


def test_signals_share_with_signals(found: Found) -> None:
    assert check(found, START + analogue("A") + bus("A") + control("A")) == []


INSIDE = START + "route D at=+MCP kind=duct\n"


def test_inside_mains_and_control_share(found: Found) -> None:
    assert check(found, INSIDE + mains("D") + control("D")) == []


def test_inside_motor_and_signal_cables_keep_off(found: Found) -> None:
    assert check(found, INSIDE + motor(1, "D") + mains("D")) == [("bundle-mixed", "-WP")]
    assert check(found, INSIDE + mains("D") + analogue("D")) == [("bundle-mixed", "-WA")]


def test_loose_motor_wires_of_one_drive_share(found: Found) -> None:
    wires = "strip -X1 at=+MCP {\n :1..6 4mm2\n}\nwire -T1:U,V,W to -X1:1..3 2.5mm2 BK along=D length=0.2m\n"
    assert check(found, INSIDE + wires) == []
    second = "wire -T2:U,V,W to -X1:4..6 2.5mm2 BK along=D length=0.2m\n"
    assert [rule for rule, _ in check(found, INSIDE + wires + second)] == ["bundle-mixed"]


def test_an_inner_screen_exempts_its_pair(found: Found) -> None:
    cores = "\n 1a -T1:THP to -M1:TP1\n 1b -T1:THN to -M1:TP2"
    hybrid = motor(1, "A").replace("4G2.5 screened", "4G2.5+2x(2x1) screened").replace("\n}", f"{cores}\n}}")
    inner = hybrid.replace("screened", "screened pair-screened").replace("\n}", "\n screen pair 1 -T1:SH clamp to -M1:SH open\n}")
    assert check(found, START + inner) == []
    assert check(found, START + hybrid) == [("cable-mixed", "-WM1")]


MIXED = """
part button "Button" {
  kind = push-button   letter = S   class = II
  terminal :13 :14 :23 :24 contact
}
device -S1 button at=+HALL
device -T1 drive at=+MCP
wire -T1:PE to -XE1:3 6mm2 GNYE
cable -W1 7x1.5 length=10m {
  1 -T1:24V to -S1:13
  2 -T1:DI1 to -S1:14
"""


def test_extra_low_voltage_shares_no_cable_with_more(found: Found) -> None:
    (finding,) = found(MIXED + " 3 -WB1:L1 to -S1:23\n}\n")
    assert finding.rule == "cable-mixed"
    assert found(MIXED + " 3 -T1:DI2 to -S1:24\n 4 -T1:24V to -S1:23\n}\n") == ()


def test_the_supply_of_a_signal_lies_in_its_cable(found: Found) -> None:
    text = START + "cable -WA 2x2x0.75 screened length=9m {\n 1a -T1:AI1 to -B1:+\n 1b -T1:24V to -B1:-\n"
    assert check(found, text + " screen -T1:SH clamp to -B1 open\n}\n") == []


TWO = START + "route B at=+HALL kind=tray\n"


@each_of(
    ("spacing", "parallel", "needed"),
    [("500mm", "30m", ""), ("499mm", "30m", "500 mm"), ("800mm", "45m", ""), ("700mm", "45m", "750 mm"), ("500mm", "1m", "")],
)
def test_distance_grows_with_class_and_length(found: Found, spacing: str, parallel: str, needed: str) -> None:
    findings = found(
        TWO + f"relation A B spacing={spacing} parallel={parallel}\n" + motor(1, "A") + analogue("B") + BOTH_MOTORS_EARTHED
    )
    assert [finding.rule for finding in findings] == (["spacing-short"] if needed else [])
    assert all(f"need {needed}" in finding.message for finding in findings)


def test_inside_a_screened_motor_cable_needs_less(found: Found) -> None:
    text = INSIDE + "route E at=+MCP kind=duct\n" + motor(1, "D") + analogue("E")
    assert check(found, text + "relation D E spacing=100mm parallel=2m\n") == []
    assert check(found, text + "relation D E spacing=80mm parallel=2m\n") == [("spacing-short", "D")]


def test_what_may_share_a_route_needs_no_distance(found: Found) -> None:
    text = TWO + "relation A B spacing=10mm parallel=30m\n"
    assert check(found, text + analogue("A") + control("B")) == []
    assert check(found, text + motor(1, "A") + motor(2, "B")) == []


def test_conduit_of_metal_needs_no_distance_nor_relation(found: Found) -> None:
    steel = TWO.replace("B at=+HALL kind=tray", "B at=+HALL kind=conduit material=steel")
    for relation in ("relation A B spacing=10mm parallel=30m\n", "relation A B crossing=30deg\n", ""):
        assert check(found, steel + relation + motor(1, "A") + analogue("B")) == []


@each_of(("angle", "rules"), [("80deg", []), ("100deg", []), ("79deg", ["crossing-angle"]), ("45deg", ["crossing-angle"])])
def test_power_and_signals_cross_at_a_right_angle(found: Found, angle: str, rules: list[str]) -> None:
    for text in (motor(1, "A") + bus("B"), mains("B") + control("A")):
        assert [rule for rule, _ in check(found, TWO + f"relation A B crossing={angle}\n" + text)] == rules


def test_routes_of_one_kind_cross_as_they_like(found: Found) -> None:
    assert check(found, TWO + "relation A B crossing=30deg\n" + motor(1, "A") + motor(2, "B")) == []
    assert check(found, TWO + "relation A B crossing=30deg\n" + analogue("A") + control("B")) == []


def test_an_unknown_relation_is_one_note_for_a_pair(found: Found) -> None:
    findings = found(TWO + motor(1, "A") + motor(2, "A") + analogue("B") + bus("B") + BOTH_MOTORS_EARTHED)
    assert [(finding.rule, finding.severity) for finding in findings] == [("relation-unknown", Severity.NOTE)]
    assert set(findings[0].subjects) >= {"A", "B"}


def test_routes_at_different_places_or_of_like_content_need_no_relation(found: Found) -> None:
    assert check(found, INSIDE + motor(1, "A") + analogue("D")) == []
    assert check(found, TWO + analogue("A") + control("B")) == []
    assert check(found, TWO + motor(1, "A")) == []


def test_the_frame_alone_is_clean(found: Found) -> None:
    assert found("", frame=FRAME) == ()


SIDE_BY_SIDE = TWO + "relation A B spacing=500mm parallel=10m\n" + motor(1, "A") + analogue("B")


def test_a_project_may_ask_for_more_than_the_table(found: Found) -> None:
    assert check(found, SIDE_BY_SIDE) == []
    assert check(found, SIDE_BY_SIDE + "separation analogue motor outside=800mm\n") == [("spacing-short", "A")]
    assert check(found, SIDE_BY_SIDE + "separation analogue motor inside=800mm\n") == []


def test_classes_that_share_by_the_table_may_be_kept_apart(found: Found) -> None:
    text = START + analogue("A") + bus("A")
    assert check(found, text) == []
    assert [rule for rule, _ in check(found, text + "separation analogue bus outside=50mm\n")] == ["bundle-mixed"]


def test_less_than_the_table_needs_a_reason(found: Found) -> None:
    near = SIDE_BY_SIDE.replace("spacing=500mm", "spacing=300mm")
    assert check(found, near) == [("spacing-short", "A")]
    refused = found(near + BOTH_MOTORS_EARTHED + "separation motor analogue outside=200mm\n")
    assert {finding.rule for finding in refused} == {"spacing-short", "separation-looser"}
    (told,) = (finding for finding in refused if finding.rule == "separation-looser")
    assert told.severity is Severity.ERROR
    assert "200 mm apart outside, where the table asks for 500 mm" in told.message
    assert check(found, near + 'separation motor analogue outside=200mm because "a partition of steel"\n') == []


def test_a_smaller_distance_stands_on_the_cover(connect: Callable[[str], Network]) -> None:
    text = FRAME + SIDE_BY_SIDE + 'separation motor analogue outside=200mm because "a partition of steel"\n'
    assert lint.verdict(connect(text)).extent.lowered == (
        "motor and analogue lie 200 mm apart outside, where the table asks for 500 mm: a partition of steel",
    )


def test_one_bare_motor_cable_takes_the_shorter_distance_from_all(found: Found) -> None:
    near = INSIDE + "route E at=+MCP kind=duct\nrelation D E spacing=150mm parallel=2m\n" + motor(1, "D") + analogue("E")
    assert found(near + BOTH_MOTORS_EARTHED, only="spacing-short") == ()
    (finding,) = found(near + motor(2, "D", "") + BOTH_MOTORS_EARTHED, only="spacing-short")
    assert "need 200 mm" in finding.message
