"""What could not be judged is told, rule by rule, and never stands among what was."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import lint
from lint.frame import FRAME
from lint.verdict import Coverage, Verdict
from netdsl.cli import main
from netdsl.network import Network

PLAIN = """\
part box-of-another "Device of which nothing is stated" {
  kind = relay   symbol = box   letter = K   class = II
  terminal :1 plain 0.5..2.5mm2
}
device -K7 box-of-another at=+MCP
wire -WB1:L1 to -K7:1 1.5mm2 BK
"""


def verdict_of(network: Network) -> tuple[Verdict, dict[str, Coverage]]:
    verdict = lint.verdict(network)
    return verdict, {each.rule: each for each in verdict.coverage()}


def test_a_part_that_states_nothing_is_not_judged(connect: Callable[[str], Network]) -> None:
    verdict, coverage = verdict_of(connect(FRAME + PLAIN))
    assert [(each.rule, each.subject) for each in verdict.not_judged if each.subject == "-K7"] == [("", "-K7")]
    assert "-K7" in verdict.left
    assert "-K7" not in coverage["voltage-mismatch"].judged
    assert "-K7" in {each.subject for each in coverage["voltage-mismatch"].not_judged}


def test_what_a_finding_is_about_is_not_counted_as_judged_without_one(connect: Callable[[str], Network]) -> None:
    _, coverage = verdict_of(connect(FRAME + "device -T1 drive at=+MCP\n"))
    assert coverage["earth-missing"].reported == ("-T1",)
    assert "-T1" not in coverage["earth-missing"].judged


def test_nothing_is_told_twice_over_a_rule(connect: Callable[[str], Network]) -> None:
    verdict, coverage = verdict_of(connect(FRAME + PLAIN))
    assert set(coverage) == {rule.name for rule in verdict.applied}
    for each in coverage.values():
        told = [*each.judged, *each.reported]
        assert len(told) == len(set(told))
        assert not {one.subject for one in (*each.not_judged, *each.spared)} & set(each.judged)


def test_the_command_prints_rule_by_rule(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant = tmp_path / "plant.netdsl"
    plant.write_text(FRAME + PLAIN, "utf-8")
    with pytest.raises(SystemExit):
        main(["check", str(plant), "--coverage"])
    out = capsys.readouterr().out
    assert "  not judged: -K7: its part states no ratings" in out
    assert "could not be judged in some respect" in out.splitlines()[-1]
    with pytest.raises(SystemExit):
        main(["check", str(plant), "--format", "json"])
    report = json.loads(capsys.readouterr().out)
    assert {"rule": "", "subject": "-K7"}.items() <= report["not_judged"][0].items()
