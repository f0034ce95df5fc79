"""Each remedy that the text can carry out is carried out, and cures its finding without another; each other has its reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli.fix import mended
from netdsl.cli.work import PLANT_FILE, judge
from netdsl.findings import Finding
from tests.cases import each_of
from tests.examples.cures import Cure, cures_of, untold
from tests.readings import judged as as_shipped

FAULTS = sorted(file.parent for file in (Path(__file__).parents[2] / "examples" / "faults").glob("*/plant.netdsl"))
CURES = [(folder, cure) for folder in FAULTS for cure in cures_of(folder) if not cure.reason]


def said(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{finding.severity.value} {finding.rule}: {finding.message}" for finding in findings]


def judged(folder: Path, text: str) -> tuple[Finding, ...]:
    """What is found in a plant with this text in place of what its file holds."""
    return judge(folder / PLANT_FILE, instead={PLANT_FILE: text}).findings


@pytest.mark.parametrize("folder", FAULTS, ids=lambda folder: folder.name)
def test_a_fault_has_one_finding_and_each_word_of_its_remedy_is_carried_out_or_has_a_reason(folder: Path) -> None:
    findings = as_shipped(folder / PLANT_FILE).findings
    assert [finding.rule for finding in findings] == [folder.name], said(findings)
    assert findings[0].message and findings[0].remedy
    assert untold(findings[0].remedy, cures_of(folder)) == "", findings[0].remedy
    for cure in cures_of(folder):
        for words in cure.words:
            assert words in findings[0].remedy


@pytest.mark.parametrize(("folder", "cure"), CURES, ids=[f"{folder.name}: {cure.words[0]}" for folder, cure in CURES])
def test_a_remedy_cures_its_finding_without_another(folder: Path, cure: Cure) -> None:
    cured = cure.applied((folder / PLANT_FILE).read_text("utf-8"))
    assert not said(judged(folder, cured))


@each_of("folder", FAULTS)
def test_what_fix_writes_cures_its_finding_without_another(folder: Path) -> None:
    findings = as_shipped(folder / PLANT_FILE).findings
    texts = {source.path: text for source, text in mended(findings).items()}
    if texts:
        assert not said(judge(folder / PLANT_FILE, instead=texts).findings)
