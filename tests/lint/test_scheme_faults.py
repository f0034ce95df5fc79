"""A fault in the text of a scheme is told once; one that a use makes by its parameters is told at that use."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding

Check = Callable[..., tuple[Finding, ...]]
RULES = ("earth-undersized", "earth-missing")

SCHEME = """
scheme pump(way, section) "A pump" {
  device -T1 drive at=+MCP touch-current=5mA
  wire -T1:PE to -XE1:($way) $section GNYE
}
"""
USES = "".join(f'function =P{n} "Pump" at=+MCP {{{{\n  use pump way={n + 2} section={{{n}}}\n}}}}\n' for n in range(3))


def test_a_fault_of_all_uses_is_told_at_the_scheme(found: Check) -> None:
    (finding,) = found(SCHEME.replace("$section", "4mm2") + USES.format("10mm2", "10mm2", "10mm2"))
    assert finding.span.text.startswith("wire -T1:PE")
    assert "so it is in 2 other uses of this scheme" in finding.message
    assert [related.span.text for related in finding.related if related.message.startswith("used here")] == [
        f"use pump way={n + 2} section=10mm2" for n in range(3)
    ]
    assert {"=P0-T1", "=P1-T1", "=P2-T1"} <= set(finding.subjects)


def test_a_fault_of_some_uses_is_told_at_these(found: Check) -> None:
    findings = found(SCHEME + USES.format("4mm2", "10mm2", "6mm2"))
    assert [finding.span.text for finding in findings] == ["use pump way=2 section=4mm2", "use pump way=4 section=6mm2"]
    assert all(any(related.message == "in this line of the scheme" for related in finding.related) for finding in findings)


def test_a_fault_of_the_only_use_is_told_there(found: Check) -> None:
    (finding,) = found(SCHEME + USES.format("4mm2", "", "").partition("function =P1")[0])
    assert finding.span.text == "use pump way=2 section=4mm2"


def test_what_is_allowed_for_one_use_is_told_of_the_others(found: Check) -> None:
    text = SCHEME + USES.format("4mm2", "4mm2", "4mm2") + 'allow earth-undersized on =P1-T1 because "bolted twice"\n'
    findings = found(text)
    assert [finding.span.text for finding in findings if finding.allowed is None] == [
        "use pump way=2 section=4mm2",
        "use pump way=4 section=4mm2",
    ]
