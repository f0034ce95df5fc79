"""A project takes findings as worse than usual as it likes, as less bad with a reason that is printed, and switches none off."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import lint
from lint.frame import FRAME
from netdsl.cli.work import judge
from netdsl.findings import Finding, Severity
from netdsl.network import Network
from render.build import drawing_set
from render.drawing import Drawing
from render.sheet import Label

#: earth-missing, an error
FAULT = "device -T1 drive at=+MCP\n"
#: a warning of its rule
TOO_LONG = """\
device -T1 drive at=+MCP max-cable-length=10m
device -M1 motor at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
cable -W1 4G2.5 screened length=20m {
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
Connect = Callable[..., Network]


def told(connect: Connect, text: str) -> dict[str, Finding]:
    return {finding.rule: finding for finding in lint.check(connect(text, FRAME))}


def test_a_warning_may_be_an_error_without_a_word(connect: Connect) -> None:
    assert told(connect, TOO_LONG)["motor-cable-long"].severity is Severity.WARNING
    findings = told(connect, TOO_LONG + "severity motor-cable-long error\n")
    assert findings["motor-cable-long"].severity is Severity.ERROR
    assert "severity-unmatched" not in findings


def test_less_bad_than_usual_needs_a_reason(connect: Connect) -> None:
    findings = told(connect, FAULT + "severity earth-missing note\n")
    assert findings["earth-missing"].severity is Severity.ERROR
    assert findings["severity-unmatched"].severity is Severity.ERROR
    assert "without a reason" in findings["severity-unmatched"].message
    empty = told(connect, FAULT + 'severity earth-missing note because " "\n')
    assert empty["earth-missing"].severity is Severity.ERROR


def test_less_bad_with_a_reason(connect: Connect) -> None:
    findings = told(connect, FAULT + 'severity earth-missing note because "on the bench"\n')
    assert findings["earth-missing"].severity is Severity.NOTE
    assert "severity-unmatched" not in findings


def test_a_rule_that_is_none_is_reported(connect: Connect) -> None:
    for name, remedy in (("earth-mising", "did you mean `earth-missing`?"), ("syntax", "see `netdsl explain`")):
        found = told(connect, FAULT + f"severity {name} error\n")["severity-unmatched"]
        assert found.severity is Severity.WARNING
        assert found.remedy.startswith(remedy)


def test_slips(tmp_path: Path) -> None:
    plant = tmp_path / "plant.netdsl"
    for line, rule in (
        ("severity earth-missing bad\n", "unknown-name"),
        ('severity earth-missing error\nseverity earth-missing note because "x"\n', "duplicate-name"),
        ("severity earth-missing\n", "syntax"),
    ):
        plant.write_text(FRAME + line, "utf-8")
        assert rule in {finding.rule for finding in judge(plant).findings}, line


def test_what_is_made_less_stands_on_the_cover(connect: Connect) -> None:
    network = connect(FAULT + 'severity earth-missing note because "on the bench"\nseverity motor-cable-long error\n', FRAME)
    verdict = lint.verdict(network)
    cover = drawing_set(Drawing(network, verdict.findings, None, verdict.extent))[0]
    said = " ".join(part.text for part in cover.primitives if isinstance(part, Label))
    assert "findings of earth-missing are taken as notes: on the bench" in said
    assert "motor-cable-long" not in said
