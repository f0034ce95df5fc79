"""Every rule documents itself; its examples give what it says; the page is fresh."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import lint
from lint import explanation
from lint.document import PAGE
from lint.examples import passing_example
from lint.registry import Rule
from lint.rules import rules
from netdsl.findings import Finding
from netdsl.model import read_plant
from tests.cases import each_of

Found = Callable[[str], tuple[Finding, ...]]
WIRING = [entry for entry in rules().values() if entry.check is not None]
READING = [entry for entry in rules().values() if entry.check is None and "Failing" in explanation.sections(entry)]


@each_of("entry", WIRING)
def test_the_failing_example_gives_exactly_its_finding(entry: Rule, found_by_all: Found) -> None:
    findings = found_by_all(explanation.sections(entry)["Failing"] + "\n")
    assert [finding.rule for finding in findings] == [entry.name], findings
    (finding,) = findings
    assert finding.severity is entry.severity
    assert finding.source == entry.source
    # its message is one line that stands alone
    assert "\n" not in finding.message
    assert not finding.message.endswith(".")
    assert finding.message[0] in "`" or finding.message[0].islower() or finding.message[0].isdigit()
    assert finding.remedy
    assert finding.subjects


@each_of("entry", WIRING)
def test_the_passing_example_gives_none(entry: Rule, found_by_all: Found) -> None:
    assert found_by_all(explanation.sections(entry)["Passing"] + "\n") == ()


@each_of("entry", READING)
def test_the_failing_example_of_a_reading_rule_gives_its_finding(entry: Rule, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    first = "" if entry.name == "version-unsupported" else "netdsl 1\n"
    file.write_text(first + explanation.sections(entry)["Failing"] + "\n", encoding="utf-8")
    _, findings = read_plant(file)
    assert [finding.rule for finding in findings] == [entry.name], findings


@each_of("entry", rules().values())
def test_every_rule_says_what_why_and_what_to_do(entry: Rule) -> None:
    said = explanation.sections(entry)
    assert {"Reports", "Why", "Remedy"} <= set(said)
    assert set(said) <= {"", *explanation.HEADINGS}
    assert said[""].endswith(".")
    assert entry.source
    text = lint.explain(entry.name)
    assert text.startswith(f"{entry.name} ({entry.severity.value})")
    assert entry.source in text


def test_the_page_of_rules_is_what_the_rules_say() -> None:
    assert PAGE.read_text("utf-8") == explanation.page()


def test_the_figures_name_their_source_and_confidence() -> None:
    import tomllib
    from importlib import resources

    data = tomllib.loads(resources.files("netdsl.standards").joinpath("separation.toml").read_text("utf-8"))
    for pair in data["pair"]:
        assert pair["source"]
        assert pair["confidence"] in {"verified", "memory", "common practice"}


def test_explaining_an_unknown_rule_names_the_nearest() -> None:
    assert "earth-missing" in lint.explain("earth-mising")


def test_explaining_without_a_name_lists_every_rule() -> None:
    listed = lint.explain().splitlines()
    assert [line.split()[0] for line in listed] == list(rules())


FAILING = "device -T1 drive\n  part x\nwire a\nwire b"


@each_of(
    ("passing", "whole"),
    [
        ("device -T2 drive\n- wire a", "device -T2 drive\n- wire a"),  # written out: not every line is a change
        ("- wire a\n+ wire c", "device -T1 drive\n  part x\nwire c\nwire b"),
        ("-   part x\n- wire b\n+ wire c\n+ wire d", "device -T1 drive\nwire a\nwire c\nwire d"),
        ("+ wire c\n+ wire d\n- wire a\n+ wire e", "device -T1 drive\n  part x\nwire e\nwire b\nwire c\nwire d"),
    ],
)
def test_a_passing_example_may_be_written_as_what_differs(passing: str, whole: str) -> None:
    assert passing_example(FAILING, passing) == whole


def test_a_line_that_the_failing_example_has_not_cannot_be_taken_out() -> None:
    with pytest.raises(ValueError, match="`wire c` stands 0 times"):
        passing_example(FAILING, "- wire c\n+ wire d")
    with pytest.raises(ValueError, match="`x` stands 2 times"):
        passing_example("x\nx", "- x")
