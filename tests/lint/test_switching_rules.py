"""Rules about switching states: what they leave alone, and damage to the example plants that each of them finds."""

from __future__ import annotations

import pytest

from lint import check
from lint.facts import Facts
from lint.switching import Switched
from netdsl.findings import Finding, Severity
from tests.states.changed_examples import changed

RULES = (
    "output-backfed",
    "switching-short",
    "output-switched",
    "line-used-as-start",
    "stop-circuit",
    "safety-single-channel",
    "feedback-missing",
)


def found(example: str, *changes: tuple[str, str]) -> list[Finding]:
    """Findings of these rules about an example with its scheme changed."""
    return list(check(changed(example, *changes), only=set(RULES)))


@pytest.mark.parametrize(
    ("example", "changes", "rule", "words"),
    [
        (
            "mains-bypass",
            [("  interlock $output $bypass mechanical\n", "")],
            "output-backfed",
            "turn `=OB1-S1` to auto: `=OB1-K2` drops, `=OB1-K1` pulls while an arc still burns in `=OB1-K2`",
        ),
        (
            "star-delta",
            [("  interlock $delta $star mechanical\n", "")],
            "switching-short",
            "meet in the moment of changing over",
        ),
        (
            "mains-bypass",
            [("  wire $output:14   to $drive:(start)", "  wire $rail:($feed+1) to $drive:(start)")],
            "output-switched",
            "moves while the drive is told to run",
        ),
        (  # the contact that lets the start wait for the contactor, passed by
            "mains-bypass",
            [("wire $selector:44 to $output:13 ", "wire $selector:44 to $drive:(start) to $output:13 ")],
            "output-switched",
            "1. 11-14 of `=OB1-B2` closes (pressure) and turn `=OB1-S1` to auto: `=OB1-K1` pulls",
        ),
        (
            "alternating-pumps",
            [("wire $overload:96 to $strip:($first)", "wire $rail:($feed+1) to $strip:($first)")],
            "stop-circuit",
            "current can flow on through overload relay `=BP1-B1` after it has tripped",
        ),
        (
            "direct-on-line",
            [("wire $stop:22 to $start:13 to $contactor:13", "wire $breaker:14 to $contactor:13\n  wire $stop:22 to $start:13")],
            "stop-circuit",
            "`=TD1-K1` runs on while `=TD1-S2` is actuated",
        ),
        (
            "emergency-stop",
            [("wire $relay:S21 to $button:21  along=$door-way\n", "wire $relay:S21 to $button:22  along=$door-way\n")],
            "safety-single-channel",
            "`=GC1-S5` does not open channel `=GC1-K1:S21`",
        ),
        (
            "emergency-stop",
            [("2      $relay:24    to", "2      $relay:14    to")],
            "safety-single-channel",
            "both safe-torque-off inputs",
        ),
    ],
)
def test_damage_is_reported(example: str, changes: list[tuple[str, str]], rule: str, words: str) -> None:
    findings = found(example, *changes)
    assert rule in {finding.rule for finding in findings}, findings
    assert any(words in finding.message for finding in findings if finding.rule == rule), findings
    assert all(finding.severity is not Severity.NOTE for finding in findings)


def test_what_is_not_judged_is_listed() -> None:
    assert Facts(changed("mains-bypass")).of(Switched).not_judged == ()
    unwired = changed("mains-bypass", ("wire $timer:18    to $bypass:A1\n", "wire $timer:18    to $timer:16\n"))
    (only,) = Facts(unwired).of(Switched).not_judged
    assert only.subject == "=OB1-K2" and "coil is not connected" in only.reason
