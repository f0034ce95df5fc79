"""The last part of the search: what was raised on the way is tried smaller."""

from __future__ import annotations

from collections.abc import Mapping

from netdsl.calc.circuit import Circuit
from netdsl.sizing.clamps import smallest_taken
from netdsl.sizing.items import Item
from netdsl.sizing.search import Search, clamped, reason_of
from netdsl.sizing.ways import is_along, way

#: items that are tried smaller in the end; each step costs a whole calculation
MAX_TRIES = 30
#: times that what was raised for a fault is tried smaller together: one by one would take a whole calculation for each conductor
MAX_TOGETHER = 4


def reduce(search: Search, owners: Mapping[str, Item]) -> None:
    """Try what was raised smaller: other conductors may have grown since, and with them a fault current that clears sooner.

    What was raised for a whole way is tried one by one, the thickest first; what was raised for a fault, together.
    """
    failing = {result.key for result in search.failing}
    helpless = search.helpless()
    search.along -= helpless
    search.bearing -= helpless
    raised = [item for item in search.sizes if item in search.along]  # in the order of the text: that of a set is chance
    for item in sorted(raised, key=lambda item: -search.sizes[item])[:MAX_TRIES]:
        _reduce_one(search, item, failing)
    for _ in range(MAX_TOGETHER):
        if not _reduce_together(search, owners, failing):
            break
    search.judge()


def _smaller(search: Search, item: Item) -> float | None:
    """The next smaller size of an item that its clamps take."""
    clamp = smallest_taken(search.network, item)
    least = clamp.least if clamp is not None else 0.0
    return max((size for size in item.series if least - 1e-9 <= size < search.sizes[item] - 1e-9), default=None)


def _reduce_one(search: Search, item: Item, failing: set[str]) -> None:
    """Make an item as small as it can be without anything failing that is not in `failing`, and keep what stops it."""
    while (smaller := _smaller(search, item)) is not None:
        kept = search.sizes[item]
        search.sizes[item] = smaller
        search.judge()
        stopping = next((result for result in search.failing if result.key not in failing), None)
        if stopping is not None:
            search.sizes[item] = kept
            search.reasons[item] = reason_of(stopping, smaller, item)
            return
    _at_the_end(search, item)


def _reduce_together(search: Search, owners: Mapping[str, Item], failing: set[str]) -> bool:
    """Make all that was raised for a fault one step smaller, take back what then fails, and keep what stops it. False where
    nothing stays smaller."""
    tried = {item: size for item in search.sizes if item in search.bearing and (size := _smaller(search, item)) is not None}
    if not tried:
        return False
    kept = dict(search.sizes)
    search.sizes.update(tried)
    circuit = search.judge().of(Circuit)
    for result in search.failing:
        names = (result.subject, *(way(result, circuit) if is_along(result) else result.conductors))
        for item in {owners[name]: None for name in names if result.key not in failing and name in owners}:
            if item in tried and search.sizes[item] != kept[item]:
                search.sizes[item] = kept[item]
                search.reasons[item] = reason_of(result, tried[item], item)
    search.judge()
    if any(result.key not in failing for result in search.failing):
        search.sizes.update(kept)
        return False
    changed = [item for item in tried if search.sizes[item] != kept[item]]
    search.bearing -= {item for item in tried if item not in changed}
    for item in changed:
        if _smaller(search, item) is None:
            _at_the_end(search, item)
    return bool(changed)


def _at_the_end(search: Search, item: Item) -> None:
    """Say of an item that is as small as it can be what its clamps ask for, if anything."""
    search.bearing.discard(item)
    clamp = smallest_taken(search.network, item)
    if clamp is not None and search.sizes[item] > item.series[0]:
        search.reasons[item] = clamped(clamp)
    else:
        search.reasons.pop(item, None)
