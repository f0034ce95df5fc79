"""Exemptions of the rule about conductors of a serial line that do not reach every station."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding, Severity

Found = Callable[..., tuple[Finding, ...]]

RULES = ("bus-line-open",)
STATION = """\
part station "Station" {
  kind = controller   letter = A   class = III
  terminal :A bus line=a clamps=2
  terminal :B bus line=b clamps=2
  terminal :C bus line=common clamps=2
}
device -A1 station at=+MCP
device -A2 station at=+MCP
device -A3 station at=+MCP
"""


def line(*cores: str) -> str:
    """A cable for each two stations, with these cores from one to the next."""
    text = STATION
    for number in (1, 2):
        text += f"cable -W{number} 2x2x0.5 screened length=5m spare=insulated {{\n"
        text += "".join(
            f"  {core} -A{number}:{end} to -A{number + 1}:{end}\n"
            for core, end in zip(("1a", "1b", "2a"), cores[number - 1], strict=False)
        )
        text += f"  screen -A{number} clamp to -A{number + 1} clamp\n}}\n"
    return text


def told(findings: tuple[Finding, ...]) -> list[tuple[str, Severity]]:
    return [(finding.message, finding.severity) for finding in findings if finding.rule in RULES]


def test_each_conductor_of_the_pair_reaches_every_station(found: Found) -> None:
    assert told(found(line("AB", "AB"))) == []
    assert told(found(line("AB", "A"))) == [
        ("conductor b of the serial line from `-A1`, `-A2` does not reach `-A3`", Severity.ERROR)
    ]


def test_the_common_is_led_to_all_or_to_none(found: Found) -> None:
    assert told(found(line("ABC", "ABC"))) == []
    assert told(found(line("ABC", "AB"))) == [
        ("the common of the serial line from `-A1`, `-A2` does not reach `-A3`", Severity.WARNING)
    ]
