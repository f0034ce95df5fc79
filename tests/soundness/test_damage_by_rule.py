"""Systematic damage to sound plants is reported by the rule it is made for, about what was damaged.

One place for each rule by default; `NETDSL_DAMAGE=all pytest -n auto tests/soundness` damages all places of all examples and of
some plants wired by chance. `python -m tests.soundness.recall --missed` prints the table and what was missed.
"""

from __future__ import annotations

import os

import pytest

from lint.rules import rules
from tests.soundness.bases import Base, by_chance, examples
from tests.soundness.reasons import LESS_THAN_ALL, NOTHING_TO_DAMAGE
from tests.soundness.recall import CHANCE, RULES, attempts

ALL = os.environ.get("NETDSL_DAMAGE", "") == "all"
#: small ones first: a sample takes the first place it finds
ORDER = (
    "sound-586",
    "direct-on-line",
    "sound-73",
    "sound-154",
    "sound-636",
    "sound-331",
    "sound-542",
    "sound-468",
    "hatchery",
    "mains-bypass",
    "serial-bus",
    "emergency-stop",
    "alternating-pumps",
    "gate-lock",
    "brake-motor-drive",
)


@pytest.fixture(scope="module")
def bases(tmp_path_factory: pytest.TempPathFactory) -> list[Base]:
    """Plants to damage, each read once."""
    known = {base.name: base for base in (*examples(), *by_chance(CHANCE, tmp_path_factory.mktemp("sound")))}
    return list(known.values()) if ALL else [known[name] for name in ORDER]


@pytest.mark.parametrize("rule", RULES)
def test_damage_is_reported(rule: str, bases: list[Base]) -> None:
    done, missed = 0, []
    for base in bases:
        for what, found, findings in attempts(base, rule, 10**6 if ALL else 1):
            done += 1
            if not found:
                missed.append(f"{base.name}: {what}, found {[finding.rule for finding in findings]}")
        # of a rule that misses some, a sample looks for one that it does not
        if not ALL and (done > len(missed) or (done and rule not in LESS_THAN_ALL)):
            break
    assert done, f"nothing to damage for {rule}"
    allowed = LESS_THAN_ALL.get(rule, (0.0, ""))[0] if ALL else float(rule in LESS_THAN_ALL and done > len(missed))
    assert len(missed) <= allowed * done, "\n".join(missed)


def test_every_rule_has_damage_or_a_reason_why_not() -> None:
    assert not set(rules()) - set(RULES) - set(NOTHING_TO_DAMAGE)


def test_damage_is_made_for_rules_that_exist() -> None:
    assert set(RULES) | set(NOTHING_TO_DAMAGE) | set(LESS_THAN_ALL) <= set(rules())
    assert not set(RULES) & set(NOTHING_TO_DAMAGE)
