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
from netdsl.cli.work import judge
from netdsl.network import Network

FAULTS = Path(__file__).parents[2] / "examples" / "faults"
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


def test_a_part_that_states_nothing_is_not_judged(connect: Callable[..., Network]) -> None:
    verdict, coverage = verdict_of(connect(PLAIN, FRAME))
    assert [(each.rule, each.subject) for each in verdict.not_judged if each.subject == "-K7"] == [("", "-K7")]
    assert "-K7" in verdict.left
    assert "-K7" not in coverage["voltage-mismatch"].judged
    assert "-K7" in {each.subject for each in coverage["voltage-mismatch"].not_judged}


def test_what_a_finding_is_about_is_not_counted_as_judged_without_one(connect: Callable[..., Network]) -> None:
    _, coverage = verdict_of(connect("device -T1 drive at=+MCP\n", FRAME))
    assert coverage["earth-missing"].reported == ("-T1",)
    assert "-T1" not in coverage["earth-missing"].judged


def test_nothing_is_told_twice_over_a_rule(connect: Callable[..., Network]) -> None:
    verdict, coverage = verdict_of(connect(PLAIN, FRAME))
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


NARROW = """\
part charger "24 V supply" {{
  kind = supply-24v   letter = T   class = II   voltage = 230V   input-current = 1A
  terminal :L line-in
  terminal :N neutral
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=5A
}}
device -T1 charger at=+MCP {inrush}
device -F1 mcb-1p at=+MCP current=6A
wire -WB1:L1 to -F1:1 2.5mm2 BK
wire -F1:2 to -T1:L 2.5mm2 BK
wire -WB1:N to -T1:N 2.5mm2 BU
"""


@pytest.mark.parametrize(("inrush", "told"), [("", True), ("inrush-current=40A", False)])
def test_a_narrow_margin_is_told_where_nobody_stated_what_it_rests_on(
    inrush: str, told: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A usual peak of 40 A against 42.4 A; it is no finding either way."""
    plant = tmp_path / "plant.netdsl"
    plant.write_text(FRAME + NARROW.format(inrush=inrush), "utf-8")
    with pytest.raises(SystemExit):
        main(["check", str(plant), "--coverage"])
    out = capsys.readouterr().out
    line = "  Inrush of what is switched on of -F1: margin 6 %, resting on what is assumed: largest peak of the current"
    assert (line in out) is told
    assert ": warning start-trips" not in out


MOTOR = """\
device -F0 mcb-3p at=+MCP current=10A
device -Q1 motor-breaker at=+MCP current=10A
device -M1 motor at=+HALL
wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
wire -F0:2,4,6 to -Q1:1,3,5 4mm2 BK
cable -W1 4G2.5 length=5m method=C {
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""


def test_a_motor_without_a_plate_is_not_judged(connect: Callable[..., Network]) -> None:
    _, coverage = verdict_of(connect(MOTOR, FRAME))
    unprotected = coverage["motor-unprotected"]
    assert [(each.subject, each.reason) for each in unprotected.not_judged] == [("-M1", "its power is not stated")]
    assert "-M1" not in unprotected.judged
    assert {each.subject for each in coverage["overload-setting"].not_judged} == {"-Q1"}


def test_a_small_motor_is_left_alone_by_an_exemption(connect: Callable[..., Network]) -> None:
    text = MOTOR.replace("motor at=+HALL", "motor at=+HALL power=0.37kW current=1.2A").replace("motor-breaker", "mcb-3p")
    _, coverage = verdict_of(connect(text, FRAME))
    unprotected = coverage["motor-unprotected"]
    assert [(each.subject, each.reason) for each in unprotected.spared] == [("-M1", "it takes no more than 0.5 kW")]
    assert unprotected.judged == unprotected.not_judged == ()


def test_clamps_of_which_nothing_is_stated_are_told_once_a_device(connect: Callable[..., Network]) -> None:
    text = PLAIN.replace(":1 plain 0.5..2.5mm2", ":1 :2 plain") + "wire -WB1:L2 to -K7:2 1.5mm2 BK\n"
    _, coverage = verdict_of(connect(text, FRAME))
    assert "which sections `:1`, `:2` take is not stated" in [each.reason for each in coverage["clamp-range"].not_judged]


def test_what_no_table_covers_is_not_called_unstated(tmp_path: Path) -> None:
    text = (FAULTS / "enclosure-hot" / "plant.netdsl").read_text("utf-8")
    plant = tmp_path / "plant.netdsl"
    plant.write_text(text.replace("ambient=35degC", "ambient=35degC inside-limit=70degC"), "utf-8")
    judged = judge(plant)
    (first, *_) = (finding.message for finding in judged.findings if finding.rule == "data-missing")
    assert first.startswith("no table covers the ambient of `-Q0:2 -- -WB1:L1` in the circuit of `-Q0`")
    assert judged.verdict is not None
    told = [each.reason for each in judged.verdict.not_judged if not each.rule]
    assert any(reason.startswith("no table covers the ambient of") for reason in told), told
