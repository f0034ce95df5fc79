"""Searches over what is joined: the one walk that rules, calculations and drawings make over nets, terminals and devices.

networkx is asked for what it knows beyond a walk (dominators, bridges, orders of a graph). A walk is made here because most of
what is walked is no graph yet: nets beyond a net are found by looking at the devices on it, and a graph made for one walk takes
longer than the walk.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import TypeVar

_T = TypeVar("_T", bound=Hashable)


def trace(starts: Iterable[_T], beyond: Callable[[_T], Iterable[_T]], *, deep: bool = False) -> dict[_T, _T | None]:
    """All that is reached from `starts`, each with that from which it was reached first; the starts with None.

    The nearest come first, so that a `way_to` them is a shortest one; `deep`: what was found last is followed to its end first.
    """
    came: dict[_T, _T | None] = dict.fromkeys(starts)
    queue = deque(came)
    while queue:
        here = queue.pop() if deep else queue.popleft()
        for other in beyond(here):
            if other not in came:
                came[other] = here
                queue.append(other)
    return came


def walk(starts: Iterable[_T], beyond: Callable[[_T], Iterable[_T]]) -> Iterator[_T]:
    """What is reached, one by one, for who stops at what was looked for: the starts, what is next to them, and so on outwards."""
    queue = deque(dict.fromkeys(starts))
    seen = set(queue)
    while queue:
        here = queue.popleft()
        yield here
        for other in beyond(here):
            if other not in seen:
                seen.add(other)
                queue.append(other)


def way_to(goal: _T, came: Mapping[_T, _T | None]) -> list[_T]:
    """The way by which a `trace` reached `goal`, from a start on; empty where it did not."""
    way: list[_T] = []
    here: _T | None = goal if goal in came else None
    while here is not None:
        way.append(here)
        here = came[here]
    return way[::-1]
