"""One figure of the hatchery made wrong at a time: the rule nearest the cause speaks, with its numbers, and no other."""

from __future__ import annotations

import pytest

from netdsl.cli.work import judge
from netdsl.findings import Finding
from tests.readings import HATCHERY
from tests.rules_together import together

#: what is written, what is put in its place, the rule, words of its message
CASES = (
    (
        "fault-current=6kA earth-fault-current=3kA",
        "fault-current=200A earth-fault-current=150A",
        "fault-loop",
        "`-WB1` is 1.71 Ω",
    ),
    (
        "device -Q1 mcb-3p current=20A",
        "device -Q1 mcb-3p current=63A",
        "drive-protection",
        "allows 25 A ahead of it, `=AB1-Q1` has 63 A",
    ),
    ('supply-24v "24 V DC"', 'supply-24v "24 V DC" current=0.5A', "source-overloaded", "gives at most 0.5 A"),
    ('-W0 5G16 "incoming', '-W0 5G6 "incoming', "overload", "`-W0` carries 37.8 A"),
    (
        "-T1:PE to -XE1:3   10mm2",
        "-T1:PE to -XE1:3   4mm2",
        "earth-undersized",
        "has 4 mm²: the touch current of `=RP1-T1` is 5 mA",
    ),
    ("set -Q1 tripping-current=8.5A", "set -Q1 tripping-current=10A", "overload-setting", "takes 8.5 A: at most 8.93 A"),
    ("current=10A setting-range=7..10A", "current=25A setting-range=20..25A", "out-of-range", "`8.5A` lies outside `20..25A`"),
    (" upstream=fuse-gG-63A", "", "protection-missing", "`-W0` begins at `-G0`"),
    ('4G2.5 screened "motor cable" length=19m', '4G2.5 screened "motor cable" length=140m', "motor-cable-long", "is 140 m long"),
)


def found(before: str, after: str, everywhere: bool = False) -> tuple[Finding, ...]:
    """What is found in the hatchery with one thing written otherwise in its main file, where it stands first or `everywhere`."""
    text = HATCHERY.read_text("utf-8")
    assert before in text
    return together(judge(HATCHERY, instead={HATCHERY.name: text.replace(before, after, -1 if everywhere else 1)}).findings)


@pytest.mark.parametrize(("before", "after", "rule", "words"), CASES, ids=[f"{case[2]} {case[1][:24]}" for case in CASES])
def test_one_wrong_figure_gives_one_finding(before: str, after: str, rule: str, words: str) -> None:
    findings = found(before, after)
    assert [finding.rule for finding in findings] == [rule], [finding.message for finding in findings]
    assert words in findings[0].message


@pytest.mark.parametrize("connection", ["star"])
def test_motors_linked_wrongly_overload_nothing(connection: str) -> None:
    findings = found("connect -M1 delta", f"connect -M1 {connection}", everywhere=True)
    assert {finding.rule for finding in findings} == {"winding-connection"}
