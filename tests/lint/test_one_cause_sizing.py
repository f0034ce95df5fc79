"""One figure of the hatchery made wrong, or one each in several parts of it: the rule nearest the cause speaks, with its
numbers, and no other."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import pytest

from netdsl.findings import Finding
from tests.readings import HATCHERY
from tests.rules_together import found_together


class Wrong(NamedTuple):
    """What is written, what is put in its place, the rule, words of its message."""

    before: str
    after: str
    rule: str
    words: str


#: those of one group are made in one text: each in another part of the plant
GROUPS = (
    (
        Wrong(
            "fault-current=6kA earth-fault-current=3kA",
            "fault-current=200A earth-fault-current=150A",
            "fault-loop",
            "`-WB1` is 1.71 Ω",
        ),
    ),
    (
        Wrong(
            "device -Q1 mcb-3p current=20A",
            "device -Q1 mcb-3p current=63A",
            "drive-protection",
            "allows 25 A ahead of it, `=AB1-Q1` has 63 A",
        ),
        Wrong('supply-24v "24 V DC"', 'supply-24v "24 V DC" current=0.5A', "source-overloaded", "gives at most 0.5 A"),
        Wrong(
            "-T1:PE to -XE1:3   10mm2",
            "-T1:PE to -XE1:3   4mm2",
            "earth-undersized",
            "has 4 mm²: the touch current of `=RP1-T1` is 5 mA",
        ),
        Wrong(
            "set -Q1 tripping-current=8.5A",
            "set -Q1 tripping-current=10A",
            "overload-setting",
            "takes 8.5 A: at most 8.93 A",
        ),
    ),
    (
        Wrong('-W0 5G16 "incoming', '-W0 5G6 "incoming', "overload", "`-W0` carries 37.8 A"),
        Wrong(
            "current=10A setting-range=7..10A",
            "current=25A setting-range=20..25A",
            "out-of-range",
            "`8.5A` lies outside `20..25A`",
        ),
        Wrong(
            '4G2.5 screened "motor cable" length=19m',
            '4G2.5 screened "motor cable" length=140m',
            "motor-cable-long",
            "is 140 m long",
        ),
    ),
    (Wrong(" upstream=fuse-gG-63A", "", "protection-missing", "`-W0` begins at `-G0`"),),
)
CASES = [(wrong, group) for group in GROUPS for wrong in group]


@cache
def found(group: tuple[Wrong, ...]) -> tuple[Finding, ...]:
    """What is found in the hatchery with things written otherwise in its main file, each where it stands first."""
    text = HATCHERY.read_text("utf-8")
    for wrong in group:
        assert wrong.before in text
        text = text.replace(wrong.before, wrong.after, 1)
    return found_together(HATCHERY, {HATCHERY.name: text})


@pytest.mark.parametrize(("wrong", "group"), CASES, ids=[f"{wrong.rule} {wrong.after[:24]}" for wrong, _ in CASES])
def test_one_wrong_figure_gives_one_finding(wrong: Wrong, group: tuple[Wrong, ...]) -> None:
    findings = found(group)
    assert sorted(finding.rule for finding in findings) == sorted(each.rule for each in group), [
        finding.message for finding in findings
    ]
    (finding,) = [finding for finding in findings if finding.rule == wrong.rule]
    assert wrong.words in finding.message


def test_motors_linked_wrongly_overload_nothing() -> None:
    text = HATCHERY.read_text("utf-8")
    assert "connect -M1 delta" in text
    linked = text.replace("connect -M1 delta", "connect -M1 star")
    findings = found_together(HATCHERY, {HATCHERY.name: linked})
    assert {finding.rule for finding in findings} == {"winding-connection"}
