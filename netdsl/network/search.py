"""Searches over what is joined: the one walk that rules, calculations and drawings make over nets, terminals and devices.

networkx is asked for what it knows beyond a walk (dominators, bridges, orders of a graph). A walk is made here because most of
what is walked is no graph yet: nets beyond a net are found by looking at the devices on it, and a graph made for one walk takes
longer than the walk.

All of them go breadth first, so that what is nearest comes first and ways are shortest ones. `deep`: what was found last is
followed to its end first.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import TypeVar

_T = TypeVar("_T", bound=Hashable)
_By = TypeVar("_By")


def walk(starts: Iterable[_T], beyond: Callable[[_T], Iterable[_T]], *, deep: bool = False) -> Iterator[_T]:
    """What is reached, each once: the starts, what is next to them, and so on; no further than it is asked for."""
    queue = deque(dict.fromkeys(starts))
    seen = set(queue)
    while queue:
        here = queue.pop() if deep else queue.popleft()
        yield here
        for other in beyond(here):
            if other not in seen:
                seen.add(other)
                queue.append(other)


def trace(starts: Iterable[_T], beyond: Callable[[_T], Iterable[_T]], *, deep: bool = False) -> dict[_T, _T | None]:
    """All that is reached from `starts`, in order of finding, each with that from which it was found; the starts with None."""
    came: dict[_T, _T | None] = dict.fromkeys(starts)
    queue = deque(came)
    while queue:
        here = queue.pop() if deep else queue.popleft()
        for other in beyond(here):
            if other not in came:
                came[other] = here
                queue.append(other)
    return came


def trace_by(starts: Iterable[_T], beyond: Callable[[_T], Iterable[tuple[_T, _By]]]) -> dict[_T, tuple[_T, _By] | None]:
    """The same with what lies between: `beyond` gives (other, by), and each is kept with (found from, by)."""
    came: dict[_T, tuple[_T, _By] | None] = dict.fromkeys(starts)
    queue = deque(came)
    while queue:
        here = queue.popleft()
        for other, by in beyond(here):
            if other not in came:
                came[other] = (here, by)
                queue.append(other)
    return came


def way_to(goal: _T, came: Mapping[_T, _T | None]) -> list[_T]:
    """The way by which a `trace` reached `goal`, from a start on; empty where it did not."""
    way: list[_T] = []
    here: _T | None = goal if goal in came else None
    while here is not None:
        way.append(here)
        here = came[here]
    return way[::-1]


def between(goal: _T, came: Mapping[_T, tuple[_T, _By] | None]) -> list[_By]:
    """What lies on the way by which a `trace_by` reached `goal`, from a start on; empty at a start and where it did not."""
    found: list[_By] = []
    step = came.get(goal)
    while step is not None:
        found.append(step[1])
        step = came[step[0]]
    return found[::-1]
