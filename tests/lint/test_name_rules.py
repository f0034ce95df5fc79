"""Names found outside a function, and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("found-outside",)

OUTSIDE = "device -P1 lamp-230v at=+MCP\ndevice -K1 relay-2co at=+MCP\nstrip -X1 at=+MCP {\n  :1..3 2.5mm2\n}\n"


def inside(*lines: str) -> str:
    body = "\n".join(f"  {line}" for line in lines)
    return f'{OUTSIDE}function =F1 "Door" at=+MCP {{\n{body}\n}}\n'


@each_of(
    ("lines", "expected"),
    [
        # the lamp of the function is left without the connection that the panel's gets
        (("device -P2 lamp-230v", "wire -WB1:L1 to -P1:X1 1mm2"), 1),
        # it is connected, or of another letter, or has no such terminal
        (("device -P2 lamp-230v", "wire -WB1:L1 to -P1:X1 1mm2", "wire -WB1:L1 to -P2:X1 1mm2"), 0),
        (("device -E2 heater", "wire -WB1:L1 to -P1:X1 1mm2"), 0),
        (("device -P2 stack-light", "wire -WB1:L1 to -P1:X1 1mm2"), 0),
        # contacts that are left over
        (("device -K2 relay-2co", "wire -WB1:L1 to -K2:A1 1mm2", "wire -WB1:L1 to -K1:11 1mm2"), 0),
        (("device -K2 relay-2co", "wire -WB1:L1 to -K1:11 1mm2"), 1),
        # strips are there for all
        (("strip -X2 {", "  :1..3 2.5mm2", "}", "wire -WB1:L1 to -X1:1 1mm2"), 0),
    ],
)
def test_names_of_the_panel(found: Found, lines: tuple[str, ...], expected: int) -> None:
    assert len(found(inside(*lines))) == expected


def test_the_terminals_are_told_once_for_each_pair(found: Found) -> None:
    (finding,) = found(inside("device -P2 lamp-230v", "wire -WB1:L1 to -P1:X1 1mm2", "wire -WB1:N to -P1:X2 1mm2"))
    assert finding.severity.value == "warning"
    assert finding.subjects == ("-P1", "=F1-P2", "-P1:X1", "-P1:X2")


def test_an_outer_function_is_outside_too(found: Found) -> None:
    text = 'function =A "Plant" at=+MCP {\n  device -P1 lamp-230v\n  function =B "Door" {\n    device -P2 lamp-230v\n'
    assert len(found(text + "    wire -WB1:L1 to -P1:X1 1mm2\n  }\n}\n")) == 1
    other = 'function =A "Plant" at=+MCP {\n  device -P1 lamp-230v\n}\nfunction =B "Door" at=+MCP {\n  device -P2 lamp-230v\n'
    assert found(other + "  wire -WB1:L1 to =A-P1:X1 1mm2\n}\n") == ()
