"""The runner: order, exceptions, failing rules, consequences."""

from __future__ import annotations

from collections.abc import Callable

import networkx as nx

from lint.facts import Facts
from lint.registry import Report, Rule
from lint.rules import rules as all_rules
from lint.runner import judged
from netdsl.findings import Finding, Severity
from netdsl.network import Network
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "earth-missing",
    "clamp-range",
)
FAULT = "device -T1 drive at=+MCP\n"


def test_an_allowed_finding_stays_with_its_reason(found: Found) -> None:
    (finding,) = found(FAULT + 'allow earth-missing on -T1 because "on trial" until 2027-06-30\n', today="2027-06-30")
    assert (finding.rule, finding.allowed) == ("earth-missing", "on trial")


def test_an_exception_that_has_run_out_excepts_nothing(found: Found) -> None:
    text = FAULT + 'allow earth-missing on -T1 because "on trial" until 2027-06-30\n'
    (finding,) = found(text, today="2027-07-01")
    assert finding.allowed is None
    assert "2027-06-30" in finding.related[-1].message
    (finding,) = found(text)
    assert finding.allowed == "on trial"


def test_an_exception_for_another_subject_or_rule_is_reported(found: Found) -> None:
    findings = found(FAULT + 'allow earth-missing on -XE1 because "no"\nallow earth-mising on -T1 because "no"\n')
    assert [finding.rule for finding in findings] == ["earth-missing", "allow-unmatched", "allow-unmatched"]
    assert findings[0].allowed is None
    assert findings[1].severity is Severity.WARNING
    assert findings[2].remedy == "did you mean `earth-missing`?"


def test_of_an_exception_to_a_rule_that_is_not_applied_nothing_is_said(found: Found) -> None:
    text = FAULT + 'allow clamp-range on -T1 because "no"\n'
    assert [finding.rule for finding in found(text)] == ["earth-missing", "allow-unmatched"]
    assert [finding.rule for finding in found(text, only="earth-missing")] == ["earth-missing"]


def test_a_rule_that_fails_is_reported_and_the_others_go_on(connect: Callable[..., Network]) -> None:
    def crash(_: Facts) -> list[Report]:
        raise KeyError("lost")

    from lint.frame import FRAME

    network = connect(FAULT, FRAME)
    broken = Rule("broken", Severity.ERROR, "common practice", (), "", crash)
    heard = judged(Facts(network), [broken, all_rules()["earth-missing"]])
    reports = heard.reports
    assert [(each.rule, each.subject) for each in heard.not_judged] == [("broken", "")]
    assert [report.finding.rule for report in reports] == ["internal-error", "earth-missing"]
    assert "`broken`" in reports[0].finding.message


def test_findings_come_in_the_order_of_the_text_and_always_the_same(found: Found) -> None:
    text = "device -T1 drive at=+MCP\ndevice -T2 drive at=+MCP\nwire -T1:24V to -T1:DI1 4mm2 BU\n"
    findings = found(text)
    assert [finding.rule for finding in findings] == ["earth-missing", "earth-missing", "clamp-range"]
    assert [finding.span.start for finding in findings] == sorted(finding.span.start for finding in findings)
    assert [f.message for f in found(text)] == [f.message for f in findings]


@each_of("text", ["netdsl 1\n", "netdsl 1\nplace +HALL kind=field\n"])
def test_a_plant_without_anything_has_no_findings(found: Found, text: str) -> None:
    assert found(text, frame="") == ()


def test_no_two_rules_explain_each_other_away() -> None:
    graph = nx.DiGraph([(name, other) for name, entry in all_rules().items() for other in entry.silences])
    assert list(nx.simple_cycles(graph)) == []
