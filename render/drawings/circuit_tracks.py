"""How the lines between two rows of a circuit run: each on a level of its own, so that no two cover each other.

A line leaves its end upright, runs level on its track and ends upright. Lines that share an end may share a track where they
only touch there. Tracks of what comes from above lie above those of what comes from below in the same column.
"""

from __future__ import annotations

from bisect import bisect, insort
from collections.abc import Sequence
from itertools import chain, takewhile

from msgspec import Struct

#: an end in a channel: column, whether it comes from above, and what tells it from others there
Port = tuple[int, bool, str]


class Run(Struct, frozen=True):
    """A level piece of link `key` in a channel between two ports."""

    key: str
    one: Port
    other: Port

    @property
    def low(self) -> int:
        """Its left column."""
        return min(self.one[0], self.other[0])

    @property
    def high(self) -> int:
        """Its right column."""
        return max(self.one[0], self.other[0])


def tracks(runs: Sequence[Run]) -> dict[str, int]:
    """The track of each run of a channel, 0 the highest. Where two ports stand above each other, joined or not, what is joined
    to the upper one lies above what is joined to the lower."""
    by_column: dict[int, tuple[list[int], list[int]]] = {}
    for number, run in enumerate(runs):
        for port in (run.one, run.other):
            by_column.setdefault(port[0], ([], []))[not port[1]].append(number)
    after: list[set[int]] = [set() for _ in runs]
    for uppers, lowers in by_column.values():
        for lower in lowers:
            after[lower].update(upper for upper in uppers if upper != lower)
    found: dict[int, int] = {}
    taken: list[_Track] = []
    for number in _ordered(runs, after):
        run = runs[number]
        first = max((found[other] + 1 for other in after[number] if other in found), default=0)
        track = first
        while track < len(taken) and not taken[track].has_room(run):
            track += 1
        while track >= len(taken):
            taken.append(_Track())
        taken[track].take(run)
        found[number] = track
    return {runs[number].key: track for number, track in found.items()}


def _ordered(runs: Sequence[Run], after: Sequence[set[int]]) -> list[int]:
    """Runs, each behind those that must lie above it; a circle of these is cut where it closes."""
    order: list[int] = []
    state: dict[int, bool] = {}  # False while on the way
    first = sorted(range(len(runs)), key=lambda number: (runs[number].high - runs[number].low, runs[number].low, number))
    for start in first:
        waiting = [(start, False)]
        while waiting:
            number, done = waiting.pop()
            if done:
                state[number] = True
                order.append(number)
            elif number not in state:
                state[number] = False
                waiting.append((number, True))
                waiting += [(other, False) for other in sorted(after[number]) if other not in state]
    return order


class _Track:
    """The runs of a track, from the left: any two are apart or touch, so that those which another may meet follow one another."""

    def __init__(self) -> None:
        self._runs: list[Run] = []

    def take(self, run: Run) -> None:
        """Add a run that it has room for."""
        insort(self._runs, run, key=_where)

    def has_room(self, run: Run) -> bool:
        """Whether `run` is apart from all others or touches them at a port that both have."""
        at = bisect(self._runs, _where(run), key=_where)
        before = takewhile(lambda other: other.high >= run.low, (self._runs[n] for n in range(at - 1, -1, -1)))
        behind = takewhile(lambda other: other.low <= run.high, (self._runs[n] for n in range(at, len(self._runs))))
        return all(_beside(run, other) for other in chain(before, behind))


def _where(run: Run) -> tuple[int, int]:
    return run.low, run.high


def _beside(one: Run, other: Run) -> bool:
    """Whether two runs may share a track: apart, or touching at a port that both have."""
    if one.high < other.low or other.high < one.low:
        return True
    shared = {one.one, one.other} & {other.one, other.other}
    if one.high == other.low:
        return any(port[0] == one.high for port in shared)
    if other.high == one.low:
        return any(port[0] == other.high for port in shared)
    return False
