"""Findings for other programs: SARIF 2.1.0 for code hosts and editors, JUnit XML for what shows the results of tests."""

from __future__ import annotations

import hashlib
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any
from urllib.parse import quote
from xml.etree import ElementTree

from netdsl import __version__
from netdsl.cli.excerpt import cells
from netdsl.findings import Finding, Severity, Span

if TYPE_CHECKING:
    from lint.registry import Rule
    from netdsl.cli.work import Judged

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def sarif_report(judged: Judged, folder: Path) -> dict[str, Any]:
    """The one object of `check --format sarif`: a run with the rules that were applied and a result for each finding, an excepted
    one suppressed with its reason. Files are named from where the command runs, as `folder` of the plant is."""
    verdict = judged.verdict
    driver = {
        "name": "netdsl",
        "version": __version__,
        "rules": [_rule(rule) for rule in verdict.applied] if verdict else [],
    }
    results = [_result(finding, folder) for finding in judged.findings]
    invocation = {"executionSuccessful": judged.network is not None}
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "invocations": [invocation], "results": results}
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def fingerprint(finding: Finding) -> str:
    """The same for a rule and its subjects whatever figures the message has and wherever the line stands."""
    return hashlib.sha256("\n".join((finding.rule, *finding.subjects)).encode()).hexdigest()[:16]


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.name,
        "shortDescription": {"text": " ".join(rule.text.strip().partition("\n\n")[0].split())},
        "defaultConfiguration": {"level": rule.severity.value},
    }


def _result(finding: Finding, folder: Path) -> dict[str, Any]:
    location = {"physicalLocation": region_of(finding.span, folder)}
    remedy = f"\nRemedy: {finding.remedy}" if finding.remedy else ""
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": finding.severity.value,
        "message": {"text": f"{finding.message}{remedy}"},
        "locations": [location | {"logicalLocations": [{"fullyQualifiedName": each} for each in finding.subjects]}],
        "partialFingerprints": {"ruleAndSubjects/v1": fingerprint(finding)},
    }
    if finding.related:
        result["relatedLocations"] = [
            {"id": number, "message": {"text": each.message}, "physicalLocation": region_of(each.span, folder)}
            for number, each in enumerate(finding.related, start=1)
        ]
    if finding.allowed is not None:
        result["suppressions"] = [{"kind": "inSource", "justification": finding.allowed}]
    return result


def region_of(span: Span, folder: Path) -> dict[str, Any]:
    """A file and characters in it, lines and columns from 1, the end just behind the last."""
    (line, column), (end_line, end_column) = span.begin, span.finish
    region = {"startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column}
    return {"artifactLocation": {"uri": _uri(span.source.path, folder)}, "region": region}


def _uri(path: str, folder: Path) -> str:
    """A file of the plant by its way from where the command runs; one of the shipped library by its own name."""
    own = folder / path
    if not own.is_file():
        return quote(PurePath(path).as_posix())
    try:
        return quote(own.resolve().relative_to(Path.cwd()).as_posix())
    except ValueError:
        return own.resolve().as_uri()


def junit_report(judged: Judged) -> str:
    """The XML of `check --format junit`: a test case for each rule that was applied, failed with each of its findings that is an
    error or a warning; notes and what is excepted stand in its output, and what it could not judge, which is no failure."""
    verdict = judged.verdict
    by_rule: dict[str, list[Finding]] = {rule.name: [] for rule in verdict.applied} if verdict else {}
    for finding in judged.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    left: dict[str, list[str]] = {}
    for each in verdict.not_judged if verdict else ():
        left.setdefault(each.rule, []).append(f"not judged: {each.subject}: {each.reason}")
    suite = ElementTree.Element("testsuite", name="netdsl check", errors="0", skipped="0")
    failed = 0
    for rule, findings in by_rule.items():
        case = ElementTree.SubElement(suite, "testcase", classname="netdsl", name=rule)
        heavy = [each for each in findings if each.allowed is None and each.severity is not Severity.NOTE]
        failed += bool(heavy)
        if heavy:
            failure = ElementTree.SubElement(case, "failure", message=_plain(heavy[0].message), type=heavy[0].severity.value)
            failure.text = "\n".join(_line(each) for each in heavy)
        more = [_line(each) for each in findings if each not in heavy] + [_plain(line) for line in left.get(rule, ())]
        if more:
            ElementTree.SubElement(case, "system-out").text = "\n".join(more)
    suite.set("tests", str(len(by_rule)))
    suite.set("failures", str(failed))
    ElementTree.indent(suite)
    return ElementTree.tostring(suite, encoding="unicode", xml_declaration=False)


def _line(finding: Finding) -> str:
    line, column = finding.span.begin
    word = "allowed" if finding.allowed is not None else finding.severity.value
    why = f" (allowed: {finding.allowed})" if finding.allowed is not None else ""
    return _plain(f"{finding.span.source.path}:{line}:{column}: {word}: {finding.message}{why}")


def _plain(text: str) -> str:
    """`text` without control characters, which XML cannot hold."""
    return cells(text)[0]
