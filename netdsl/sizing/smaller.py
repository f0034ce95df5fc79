"""What the next smaller section fails: of each section that a check of a whole way, or of a fault, decided it is tried, with all
else as proposed. While the search went on other conductors were thinner, and such a check may have failed for their sake."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.calc.basis import Result
from netdsl.sizing.clamps import smallest_taken
from netdsl.sizing.items import Item
from netdsl.sizing.search import BEARING, Search, clamped, reason_of

#: calculations that are made for it; sections that no check of one circuit joins are tried in one
MAX_TOGETHER = 16


def tell_smaller(search: Search, poles: Iterable[Item]) -> None:
    """Try the next smaller size of what was last raised for a whole way or for a fault: where a check fails with it, that is the
    reason; where none does, it is taken. `poles`: items that stay of one section with others."""
    known = frozenset(result.key for result in search.failing)
    bound, settled = frozenset(poles), set[Item]()
    for _ in range(MAX_TOGETHER):
        waiting = [item for item in search.sizes if item in search.along | search.bearing and item not in settled]
        settled.update(item for item in waiting if _next(search, item) is None)
        tried = _apart(search, [item for item in waiting if item not in settled])
        if not tried:
            break
        _try(search, tried, known, bound, settled)
    if settled:
        search.judge()


def _try(search: Search, tried: dict[Item, float], known: frozenset[str], bound: frozenset[Item], settled: set[Item]) -> None:
    """Make some items smaller, and those larger again with which a check fails that is not among the `known`."""
    before = {item: search.sizes[item] for item in tried}
    search.sizes.update(tried)
    search.judge()
    stopped: dict[Item, Result] = {}
    unclear = False
    for result in (each for each in search.failing if each.key not in known):
        reach = _reach(search, result)
        found = [item for item in tried if not reach.isdisjoint(item.conductors)]
        stopped.update({item: result for item in found if item not in stopped})
        unclear = unclear or not found
    for item, size in tried.items():
        if item in stopped:
            search.reasons[item] = reason_of(stopped[item], size, item)
        if item in stopped or unclear or item in bound:
            search.sizes[item] = before[item]
            settled.add(item)
    if settled.issuperset(tried):
        return
    search.judge()
    if any(result.key not in known for result in search.failing):
        search.sizes.update(before)
        settled.update(tried)
    for item in tried:
        if item not in settled:
            _told_smaller(search, item, settled)


def _told_smaller(search: Search, item: Item, settled: set[Item]) -> None:
    """Say of an item that became smaller what keeps it from becoming smaller still, as far as that is known."""
    clamp = smallest_taken(search.network, item)
    if _next(search, item) is None:
        settled.add(item)
        if clamp is not None and search.sizes[item] > item.series[0]:
            search.reasons[item] = clamped(clamp)
        else:
            search.reasons.pop(item, None)


def _next(search: Search, item: Item) -> float | None:
    """The next smaller size of an item that its clamps take."""
    clamp = smallest_taken(search.network, item)
    least = clamp.least if clamp is not None else 0.0
    return max((size for size in item.series if least - 1e-9 <= size < search.sizes[item] - 1e-9), default=None)


def _reach(search: Search, result: Result) -> frozenset[str]:
    """What a result depends on: what it is about, and of a fault the way to it."""
    found = search.bears_on(result)
    if search.circuit is None or not result.question.startswith(BEARING):
        return found
    steps = [search.circuit.step_of[name] for name in result.conductors if name in search.circuit.step_of]
    ways = [path for step in steps for path in (*search.circuit.paths(step.feeder), *search.circuit.paths(step.fed))]
    return found.union(name for path in ways for step in path.steps for name in (*step.conductors, *step.neutral))


def _apart(search: Search, waiting: Iterable[Item]) -> dict[Item, float]:
    """The next smaller sizes of as many items as no result joins two by two."""
    found: dict[Item, float] = {}
    owners = {name: item for item in waiting for name in item.conductors}
    joined: dict[Item, set[Item]] = {}
    for result in search.limited:  # as the last judged: what joins two depends on no size
        items = {owners[name] for name in _reach(search, result) if name in owners}
        for item in items:
            joined.setdefault(item, set()).update(items)
    for item in dict.fromkeys(owners.values()):
        size = _next(search, item)
        if size is not None and not joined.get(item, set()) & found.keys():
            found[item] = size
    return found
