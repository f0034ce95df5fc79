"""Things are paired as if each was held against every other."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from netdsl.comparing import pairing
from netdsl.comparing.pairing import Features, paired


def things(chance: random.Random) -> dict[str, Features]:
    """Some things with features that a few of them share."""
    return {
        f"n{number}": Counter({chance.randrange(8): chance.randrange(1, 9) for _ in range(chance.randrange(6))})
        for number in range(chance.randrange(9))
    }


def plainly(old: dict[str, Features], new: dict[str, Features], least: float) -> dict[str, str]:
    """Each held against every other with which it has something in common that is not common to many."""
    found = []
    for (rank, one), (place, other) in ((a, b) for a in enumerate(sorted(old)) for b in enumerate(sorted(new))):
        both, either = (old[one] & new[other]).total(), (old[one] | new[other]).total()
        told = [key for key in old[one] if key in new[other] and sum(key in each for each in new.values()) <= pairing._COMMON]
        if told and both / either >= least:
            found.append((-round(both / either, 9), rank + place, abs(rank - place), one, other))
    result: dict[str, str] = {}
    for *_, one, other in sorted(found):
        if one not in result and other not in result.values():
            result[one] = other
    return result


def test_things_are_paired_as_if_each_was_held_against_every_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pairing, "_COMMON", 3)
    chance = random.Random(1)
    pairs = 0
    for _ in range(100):
        old, new, least = things(chance), things(chance), chance.choice((0.2, 0.3, 0.5))
        found = paired(old, new, least)
        assert found == plainly(old, new, least)
        pairs += len(found)
    assert pairs > 50
