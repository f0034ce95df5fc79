"""Which of some old things is which of some new ones, by what they have in common."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence

from netdsl.sums import sum_of

Features = Counter[Hashable]
#: a feature that so many have tells none of them from another
_COMMON = 200
#: less than the least that rounding of a likeness makes up for
_NEXT_TO_NOTHING = 1e-6


def paired(old: Mapping[str, Features], new: Mapping[str, Features], least: float) -> dict[str, str]:
    """Old things to new ones, each at most once, the most alike first, down to a likeness of `least`: what both have, as a share
    of what either has, 0 to 1. The same with old and new exchanged: among equals decides how far apart they stand in the order of
    names."""
    ranks = {name: rank for rank, name in enumerate(sorted(old))}, {name: rank for rank, name in enumerate(sorted(new))}
    having: dict[Hashable, list[str]] = {}
    for name, features in new.items():
        for feature in features:
            having.setdefault(feature, []).append(name)
    sizes = {name: features.total() for name, features in new.items()}
    smallest = min(sizes.values(), default=0)
    found = []
    for name, features in old.items():
        size = features.total()
        telling = _telling(features, having, least * (size + smallest) / (1 + least))
        for other in {other for feature in telling for other in having[feature]}:
            likeness = round(_likeness(features, new[other], size + sizes[other]), 9)
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


def _telling(features: Features, having: Mapping[Hashable, Sequence[str]], enough: float) -> Iterator[Hashable]:
    """Features by which all are found that have `enough` of `features`: the rest, and those that too many have, come to less."""
    found = {feature: len(having[feature]) <= _COMMON for feature in features if feature in having}
    rest = enough - _NEXT_TO_NOTHING - sum_of(features[feature] for feature, telling in found.items() if not telling)
    for feature in sorted((feature for feature, telling in found.items() if telling), key=features.__getitem__):
        rest -= features[feature]
        if rest <= 0:
            yield feature


def _likeness(one: Features, other: Features, all_of_both: int) -> float:
    both = sum_of([min(count, other[feature]) for feature, count in one.items() if feature in other])
    either = all_of_both - both
    return both / either if either else 0.0
