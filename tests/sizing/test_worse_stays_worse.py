"""Making an input worse never turns a limit that is not kept into one that is, but where a longer way or a weaker source lets
less current flow in a fault; those are listed here with what the sheet says. `NETDSL_WORSE=300` tries 300 plants by chance.
"""

from __future__ import annotations

import os
import random
import re
from pathlib import Path

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.sheet import not_judged
from tests.sizing.random_plants import plant
from tests.sizing.test_no_check_no_proposal import network_of

COUNT = int(os.environ.get("NETDSL_WORSE", "4"))
#: what is made worse -> how it is written
WORSE = {
    "longer": re.compile(r"(?<= length=)[\d.]+(?=m)"),
    "hotter": re.compile(r"(?<=ambient=)[\d.]+"),
    "weaker": re.compile(r"(?<=fault-current=)[\d.]+"),
    "larger": re.compile(r"(?<=power=)[\d.]+|(?<=kW current=)[\d.]+"),
}
#: a limit that is kept with the worse input though not with the better: what was made worse, the question -> what the sheet says
BETTER = {
    ("weaker", "breaking-capacity"): "largest prospective current",
    ("longer", "breaking-capacity"): "largest prospective current",
    ("weaker", "fault-withstand"): "largest fault current",
}


def worse(text: str, what: str, chance: random.Random) -> str:
    """A text with one place of a kind made worse, or all of it where it belongs together."""
    factor = chance.choice((1.1, 1.5, 3.0))
    if what == "longer":
        match = chance.choice(list(WORSE[what].finditer(text)))
        return f"{text[: match.start()]}{float(match[0]) * factor:g}{text[match.end() :]}"
    if what == "hotter":
        return WORSE[what].sub(lambda match: f"{float(match[0]) + 10:g}", text)
    if what == "weaker":
        return WORSE[what].sub(lambda match: f"{float(match[0]) / factor:.4g}", text)
    return WORSE[what].sub(lambda match: f"{float(match[0]) * min(factor, 1.5):.4g}", text)


def calculated(text: str, folder: Path) -> Calculation:
    network = network_of(text, folder)
    assert network is not None
    return Calculation(network)


def turned(text: str, what: str, seed: int, folder: Path) -> list[tuple[Result, Result]]:
    """Limits that are not kept, and with a worse input are. One that is not computed any more must be said not to be judged."""
    before = calculated(text, folder).judged
    worsened = calculated(worse(text, what, random.Random(f"worse/{seed}")), folder)
    after = {each.key: each for each in worsened.judged if each.limit is not None}
    failing = [each for each in before if each.limit is not None and not each.holds]
    said = {left.feeder for left in not_judged(worsened)} | {gap.feeder for gap in worsened.missing}
    assert [each.key for each in failing if each.key not in after and each.feeder not in said] == []
    return [(each, after[each.key]) for each in failing if each.key in after and after[each.key].holds]


@pytest.mark.parametrize("seed", range(COUNT))
@pytest.mark.parametrize("what", WORSE)
def test_worse_input_turns_no_failing_verdict_into_a_passing_one(what: str, seed: int, tmp_path: Path) -> None:
    for before, after in turned(plant(seed), what, seed, tmp_path):
        says = BETTER.get((what, before.question))
        assert says is not None, (what, before.key, before.shown, before.limit, after)
        assert any(says in given.words for given in after.givens)
