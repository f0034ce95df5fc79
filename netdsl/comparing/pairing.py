"""Which of some old things is which of some new ones, by what they have in common."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping

from netdsl.sums import sum_of

Features = Counter[Hashable]
#: a feature that so many have tells none of them from another
_COMMON = 200


def paired(old: Mapping[str, Features], new: Mapping[str, Features], least: float) -> dict[str, str]:
    """Old things to new ones, each at most once, the most alike first, down to a likeness of `least`: what both have, as a share
    of what either has, 0 to 1. The same with old and new exchanged: among equals decides how far apart they stand in the order of
    names."""
    ranks = {name: rank for rank, name in enumerate(sorted(old))}, {name: rank for rank, name in enumerate(sorted(new))}
    having: dict[Hashable, list[str]] = {}
    for name, features in new.items():
        for feature in features:
            having.setdefault(feature, []).append(name)
    found = []
    for name, features in old.items():
        near = {other for feature in features if len(having.get(feature, ())) <= _COMMON for other in having.get(feature, ())}
        for other in near:
            likeness = round(_likeness(features, new[other]), 9)
            if likeness >= least:
                places = ranks[0][name], ranks[1][other]
                found.append((-likeness, sum_of(places), abs(places[0] - places[1]), name, other))
    result: dict[str, str] = {}
    taken: set[str] = set()
    for *_, name, other in sorted(found):
        if name not in result and other not in taken:
            result[name] = other
            taken.add(other)
    return result


def _likeness(one: Features, other: Features) -> float:
    both = sum_of((one & other).values())
    either = sum_of((one | other).values())
    return both / either if either else 0.0
