"""Insulation of what lies together, and what is left alone."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("voltage-segregation", "bundle-mixed")

START = """
device -T1 drive at=+MCP
device -T2 drive at=+MCP
wire -T1:PE to -XE1:3 6mm2 GNYE
wire -T2:PE to -XE1:4 6mm2 GNYE
route D at=+MCP kind=duct
route E at=+MCP kind=duct divider=yes
"""
WIRE = "wire -T1:24V to -T2:DI2 0.75mm2 BU along=D insulation={}\n"
MORE = "wire -T1:24V to -T2:DI3 0.75mm2 BU along=D insulation=250V\n"


def mains(along: str, attributes: str = "") -> str:
    return f"cable -WP 4G2.5 length=9m {attributes}{along} {{\n BN -WB1:L1 to -T1:L1\n BK -WB1:L2 to -T1:L2\n}}\n"


def control(along: str, attributes: str = "") -> str:
    return f"cable -WC 2x1.5 length=3m {attributes}{along} {{\n BN -T1:24V to -T2:DI1\n BU -T1:COM to -T2:COM\n}}\n"


def told(found: Found, text: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.subjects[0]) for finding in found(START + text)]


WEAK = [("voltage-segregation", "-WC")]
WIRED = [("voltage-segregation", "-T1:24V -- -T2:DI2")]


@each_of(
    ("text", "expected"),
    [
        (mains("along=D") + control("along=D"), []),
        (mains("along=D") + control("along=D", "voltage=300/500V "), []),
        (mains("along=D") + control("along=D", "voltage=0.6/1kV "), []),
        (mains("along=D") + control("along=D", "voltage=300V "), WEAK),
        (mains("along=D") + control("", "voltage=300V "), []),
        (mains("along=E/1") + control("along=E/2", "voltage=300V "), []),
        (mains("along=E/1") + control("along=E/1", "voltage=300V "), WEAK),
        (mains("along=D,E") + control("along=D,E", "voltage=300V "), WEAK),
        (mains("along=D") + WIRE.format("400V"), []),
        (mains("along=D") + WIRE.format("399V"), WIRED),
        (mains("along=D") + WIRE.format("300V") + MORE, WIRED),
        (WIRE.format("50V") + MORE, []),
        (mains("", "voltage=300V "), [("voltage-segregation", "-WP")]),
        (mains("along=D", "voltage=300V "), [("voltage-segregation", "-WP")]),
        (mains("along=D", "voltage=450/750V "), []),
    ],
)
def test_what_lies_together(found: Found, text: str, expected: list[tuple[str, str]]) -> None:
    assert told(found, text) == expected


def test_all_that_is_too_weak_in_one_route_is_told_once(found: Found) -> None:
    (finding,) = found(START + mains("along=D") + WIRE.format("300V") + MORE)
    assert finding.message == "`-T1:24V -- -T2:DI2` is insulated for 300 V and lies in `D` with `-WP`, 400 V"
    assert [related.message for related in finding.related] == ["so does `-T1:24V -- -T2:DI3`, for 250 V", "`-WP` lies there too"]


def test_classes_that_must_not_lie_together_are_told_alone(found: Found) -> None:
    signal = (
        "device -B1 transmitter at=+HALL\ncable -WA 2x0.75 screened length=9m voltage=300V along=D {\n BN -T1:AI1 to -B1:+\n}\n"
    )
    assert told(found, mains("along=D") + signal) == [("bundle-mixed", "-WA")]
