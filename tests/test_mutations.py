"""Random damage to the text of the examples: findings and calculated numbers, never an exception, never a long run.

A sample by default; `NETDSL_MUTATIONS=10000 pytest -n auto tests/test_mutations.py` does the whole number,
`NETDSL_SEED=7` another set. A failure names the number that repeats it.
"""

from __future__ import annotations

import os
import random
import shutil
from math import isfinite, isnan
from pathlib import Path

import pytest

import lint
from netdsl.calc import Calculation, calculate
from netdsl.cli.report import json_report, text_report
from netdsl.cli.work import Judged
from netdsl.findings import Finding
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.syntax import decode, format_text, parse
from tests.fuzz.damage import DAMAGE
from tests.fuzz.held import LIMIT_S, TooLong, within

EXAMPLES = Path(__file__).parent.parent / "examples"
HATCHERY = Path("hatchery")
#: every so many mutations damage the hatchery, a plant of several files; the others a small example, where they meet each kind of
#: statement sooner and take a fifth of the time
WHOLE_EVERY = 9
SEED = os.environ.get("NETDSL_SEED", "1")
NUMBER = int(os.environ.get("NETDSL_MUTATIONS", "40"))
BATCHES = 20
#: every so many mutations the drawings are made as well, which takes longest; of a small example first
DRAWN_EVERY = 40

SMALL = sorted(path.parent.relative_to(EXAMPLES) for path in EXAMPLES.glob("*/plant.netdsl") if path.parent.name != HATCHERY.name)
FILES = {
    example: sorted(path.relative_to(EXAMPLES) for path in (EXAMPLES / example).rglob("*.netdsl"))
    for example in (HATCHERY, *SMALL)
}


def calculates(calculation: Calculation) -> None:
    """Compute everything and print every number of it."""
    for result in calculation.results:
        texts = (result.formula_text, result.inserted, result.shown, *(given.shown for given in result.givens))
        assert not any("nan" in text.split() for text in texts), result.key
        assert result.value >= 0 or result.unit == "°C" or result.question == "enclosure.shed", f"{result.key}: {result.value}"
        assert isfinite(result.value), f"{result.key}: {result.value}"
        assert result.holds in (True, False)
        assert result.margin_percent is None or not isnan(result.margin_percent), result.key
    assert all(gap.things and gap.absent and gap.remedy for gap in calculation.missing)
    assert all(assumption.words for assumption in calculation.assumptions)


def survives(folder: Path, file: Path, data: bytes, drawn: bool) -> None:
    """Decode, read, connect, check, calculate and report the damaged plant; format it where it still can be; draw it if
    `drawn`."""
    source, faults = decode(data, file.as_posix())
    tree, syntax = parse(source)
    assert tree.source is source
    if not faults and not syntax:
        assert format_text(source) is not None
    plant, reading = read_plant(folder / "plant.netdsl")
    findings = [*faults, *syntax, *reading]
    if plant is not None:
        network, joining = build_network(plant)
        calculation = calculate(network)
        verdict = lint.verdict(network, calculation=calculation)
        findings += [*joining, *verdict.findings]
        assert all(each.reason and "\n" not in each.reason for each in verdict.not_judged)
        calculates(calculation)
        if drawn:
            from render.build import drawing_set
            from render.drawing import Drawing

            assert drawing_set(Drawing(network, findings))
    assert all(isinstance(finding, Finding) for finding in findings)
    assert [finding.message for finding in findings if finding.rule == "internal-error"] == []
    assert json_report(Judged(None, None, tuple(findings), False))["tool"] == "netdsl"
    assert all("\x1b" not in line for line in text_report(findings, colour=False))


@pytest.fixture(scope="module")
def copies(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the texts of all examples."""
    folder = tmp_path_factory.mktemp("examples")
    for file in (file for files in FILES.values() for file in files):
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(EXAMPLES / file, folder / file)
    return folder


def chosen(number: int, chance: random.Random) -> tuple[Path, Path]:
    """The example that a mutation damages, and the file in it: one of three times as much text three times as often."""
    example = HATCHERY if number % WHOLE_EVERY == 0 else chance.choice(SMALL)
    sizes = [(EXAMPLES / each).stat().st_size for each in FILES[example]]
    return example, chance.choices(FILES[example], weights=sizes)[0]


@pytest.mark.parametrize("batch", range(BATCHES))
def test_damage_gives_findings(batch: int, copies: Path) -> None:
    for number in range(batch, NUMBER, BATCHES):
        chance = random.Random(f"{SEED}/{number}")
        example, file = chosen(number, chance)
        whole = (EXAMPLES / file).read_bytes()
        data = chance.choice(DAMAGE)(whole, chance)
        (copies / file).write_bytes(data)
        try:
            with within(LIMIT_S):
                survives(copies / example, file, data, number % DRAWN_EVERY == 1)
        except (Exception, TooLong) as error:
            raise AssertionError(f"mutation {number} of seed {SEED} in {file}: {type(error).__name__}: {error}") from error
        finally:
            (copies / file).write_bytes(whole)
