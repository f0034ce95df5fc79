"""Addresses and terminations of serial lines, and what the rules leave alone."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("bus-address-double", "bus-unterminated")


def line(stations: int, length: str = "5m") -> str:
    """Drives in a row, joined from each to the next."""
    text = ""
    for number in range(1, stations + 1):
        text += f"device -T{number} vsd-0.75kw at=+MCP\nwire -T{number}:PE to -XE1:{number + 2} 10mm2 GNYE\n"
        if number > 1:
            text += f"cable -W{number} 1x2x0.5 screened length={length} {{\n  1a -T{number - 1}:A to -T{number}:A\n"
            text += f"  1b -T{number - 1}:B to -T{number}:B\n  screen -T{number - 1}:SHC clamp to -T{number}:SHC clamp\n}}\n"
    return text


def told(found: Found, text: str) -> list[tuple[str, str, str]]:
    return [(finding.rule, finding.severity.value, finding.subjects[0]) for finding in found(text)]


ON = "set -T1 termination=on\nset -T3 termination=on\n"


@each_of(
    ("settings", "expected"),
    [
        (ON, []),
        (ON + "set -T1 address=1\nset -T2 address=2\nset -T3 address=3\n", []),
        (ON + "set -T1 address=1\nset -T3 address=1\n", [("bus-address-double", "error", "-T3")]),
        ("set -T1 termination=on\n", [("bus-unterminated", "warning", "-T3")]),
        (ON + "set -T2 termination=on\n", [("bus-unterminated", "error", "-T2")]),
        ("", [("bus-unterminated", "warning", "-T1"), ("bus-unterminated", "warning", "-T3")]),
    ],
)
def test_three_stations_in_a_row(found: Found, settings: str, expected: list[tuple[str, str, str]]) -> None:
    assert told(found, line(3) + settings) == expected


def test_a_long_line_without_a_termination_is_an_error(found: Found) -> None:
    assert told(found, line(3, "200m") + "set -T1 termination=on\n") == [("bus-unterminated", "error", "-T3")]


def test_the_place_is_the_setting(found: Found) -> None:
    (finding,) = found(line(3) + ON + "set -T2 address=7 termination=on\n")
    assert finding.span.text == "termination=on"


def test_the_same_address_on_two_lines(found: Found) -> None:
    other = line(2).replace("-T", "-U").replace("-W", "-V").replace("-XE1:3", "-XE1:8").replace("-XE1:4", "-XE1:9")
    settings = "".join(f"set {name} termination=on address=1\n" for name in ("-T1", "-U1"))
    settings += "".join(f"set {name} termination=on address=2\n" for name in ("-T2", "-U2"))
    assert told(found, line(2) + other + settings) == []


def test_a_resistor_and_a_station_without_a_setting_are_left_alone(found: Found) -> None:
    resistor = "part r {\n  kind = resistor   letter = R   class = II\n  terminal :1 :2 load\n}\ndevice -R1 r at=+MCP\n"
    resistor += "wire -T3:A to -R1:1 0.5mm2 length=0.1m\nwire -T3:B to -R1:2 0.5mm2 length=0.1m\n"
    assert ("bus-unterminated", "warning", "-T3") not in told(found, line(3) + "set -T1 termination=on\n" + resistor)
    plain = "outside -A1 at=+HALL {\n  terminal :A bus line=a\n  terminal :B bus line=b\n  terminal :SH screen\n}\n"
    plain += "cable -W9 1x2x0.5 screened length=5m {\n  1a -T2:A to -A1:A\n  1b -T2:B to -A1:B\n"
    plain += "  screen -T2:SHC clamp to -A1:SH open\n}\n"
    assert told(found, line(2) + plain + "set -T1 termination=on\n") == []


def test_a_star_is_not_judged(found: Found) -> None:
    star = "cable -W9 1x2x0.5 screened length=5m {\n  1a -T2:A to -T4:A\n  1b -T2:B to -T4:B\n"
    star += "  screen -T2:SHC clamp to -T4:SHC clamp\n}\n"
    fourth = "device -T4 vsd-0.75kw at=+MCP\nwire -T4:PE to -XE1:9 10mm2 GNYE\n"
    assert told(found, line(3) + fourth + star) == []
