"""`check --format sarif` and `--format junit`: what other programs take findings from."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from netdsl.cli import main
from netdsl.cli.report_exchange import fingerprint, sarif_report
from netdsl.cli.work import judge
from tests.readings import EXAMPLES

FAULT = EXAMPLES / "faults" / "clamp-range" / "plant.netdsl"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    with pytest.raises(SystemExit) as left:
        main(["check", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code, capsys.readouterr().out


def test_sarif_says_each_finding_with_rule_place_and_remedy(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(EXAMPLES)
    code, out = run(capsys, "faults/clamp-range", "--format", "sarif", "--fail-on", "note")
    report = json.loads(out)
    (finding,) = judge(FAULT).findings
    assert code == 1 and report["version"] == "2.1.0"
    (one,) = report["runs"]
    (result,) = one["results"]
    assert (result["ruleId"], result["level"]) == ("clamp-range", finding.severity.value)
    assert result["message"]["text"] == f"{finding.message}\nRemedy: {finding.remedy}"
    (location,) = result["locations"]
    place = location["physicalLocation"]
    assert place["artifactLocation"] == {"uri": "faults/clamp-range/plant.netdsl"}
    assert (place["region"]["startLine"], place["region"]["startColumn"]) == finding.span.begin
    assert (place["region"]["endLine"], place["region"]["endColumn"]) == finding.span.finish
    assert [each["fullyQualifiedName"] for each in location["logicalLocations"]] == list(finding.subjects)
    rules = {rule["id"]: rule for rule in one["tool"]["driver"]["rules"]}
    assert len(rules) > 100 and rules["clamp-range"]["shortDescription"]["text"].endswith(".")
    assert one["columnKind"] == "unicodeCodePoints" and "suppressions" not in result


def test_a_fingerprint_stays_where_lines_move() -> None:
    text = FAULT.read_text("utf-8")
    (before,) = judge(FAULT).findings
    (after,) = judge(FAULT, None, {FAULT.name: text.replace("\n", "\n# moved\n", 3)}).findings
    assert before.span.begin != after.span.begin and fingerprint(before) == fingerprint(after)


def excepted() -> dict[str, str]:
    """The fault plant with an exception to its finding."""
    (finding,) = judge(FAULT).findings
    return {FAULT.name: FAULT.read_text("utf-8") + f'allow {finding.rule} on {finding.subjects[0]} because "a < b & tried"\n'}


def test_an_exception_is_a_suppression_with_its_reason() -> None:
    report = sarif_report(judge(FAULT, None, excepted()), FAULT.parent)
    (result,) = report["runs"][0]["results"]
    assert result["suppressions"] == [{"kind": "inSource", "justification": "a < b & tried"}]


def test_junit_has_a_case_for_each_rule_and_fails_those_with_findings(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out = run(capsys, str(FAULT), "--format", "junit", "--fail-on", "note")
    suite = ElementTree.fromstring(out)
    (finding,) = judge(FAULT).findings
    cases = suite.findall("testcase")
    assert code == 1 and suite.get("tests") == str(len(cases)) and suite.get("failures") == "1"
    (failed,) = [case for case in cases if case.find("failure") is not None]
    failure = failed.find("failure")
    assert failed.get("name") == "clamp-range" and failure is not None and failure.get("message") == finding.message
    assert "plant.netdsl:" in (failure.text or "")
    (tmp_path / "plant.netdsl").write_text(excepted()[FAULT.name], encoding="utf-8")
    code, out = run(capsys, str(tmp_path), "--format", "junit")
    suite = ElementTree.fromstring(out)
    assert code == 0 and suite.get("failures") == "0"
    assert "(allowed: a < b & tried)" in (suite.findtext("testcase[@name='clamp-range']/system-out") or "")


def test_what_is_written_as_sarif_keeps_the_published_schema(capsys: pytest.CaptureFixture[str]) -> None:
    from jsonschema import Draft4Validator

    schema = json.loads((Path(__file__).parent / "sarif-2.1.0-rtm.5.json").read_text("utf-8"))
    validator = Draft4Validator(schema)
    faults = EXAMPLES / "faults"
    for plant in (faults / "clamp-range", faults / "screen-missing"):
        code, out = run(capsys, str(plant), "--format", "sarif", "--fail-on", "note")
        assert code == 1
        assert [each.message for each in validator.iter_errors(json.loads(out))] == []
    validator.validate(sarif_report(judge(FAULT, None, excepted()), FAULT.parent))
    with pytest.raises(SystemExit):
        main(["compare", str(faults / "clamp-range"), str(faults / "screen-missing"), "--format", "sarif"])
    compared = json.loads(capsys.readouterr().out)
    assert len(compared["runs"][0]["results"]) > 10
    assert [each.message for each in validator.iter_errors(compared)] == []
    compared["runs"][0]["results"][0]["level"] = "loud"
    assert len(list(validator.iter_errors(compared))) == 1
