"""Feeders that lead to one load by several ways stand together: drive and bypass, star and delta, two pumps on one drive."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice, permutations, product

from msgspec.structs import replace

from netdsl.sums import sum_of
from render.drawings.feeder_steps import Branch

Bundle = tuple[Branch, ...]
_TRIED = 2000  # orders tried of one bundle: more than six columns of a sheet have


def bundles(branches: Sequence[Branch], widest: int) -> list[Bundle]:
    """`branches` with those together that join one another, each where its first stands, no bundle of more than `widest` columns;
    within a bundle in the order in which least lines cross."""
    owner = {step.device: index for index, branch in enumerate(branches) for step in branch.every()}
    head = list(range(len(branches)))

    def root(index: int) -> int:
        while head[index] != index:
            index = head[index]
        return index

    for index, branch in enumerate(branches):
        for step in branch.every():
            for join in step.joins:
                if join.device in owner:
                    first, second = sorted((root(index), root(owner[join.device])))
                    head[second] = first
    together: dict[int, list[Branch]] = {}
    for index, branch in enumerate(branches):
        together.setdefault(root(index), []).append(branch)
    made: list[Bundle] = []
    for found in together.values():
        if sum_of(branch.width for branch in found) > widest:
            made += [(branch,) for branch in found]
        else:
            made.append(_ordered(found))
    return made


def drawn_joins(found: Sequence[Bundle]) -> frozenset[tuple[str, str]]:
    """The second ways that lead to a device of the same bundle, from the last device of a chain: they are drawn as lines."""
    kept = []
    for bundle in found:
        own = {step.device for branch in bundle for step in branch.every()}
        for last in _ends(bundle):
            step = last.steps[-1]
            if len(step.joins) == 1 and step.joins[0].device in own and step.joins[0].device not in _before(bundle, step.device):
                kept.append((step.device, step.joins[0].device))
    return frozenset(kept)


def _before(bundle: Bundle, device: str) -> set[str]:
    """Devices on the way to `device`: a ring cannot be led back up."""
    for branch in bundle:
        stack: list[tuple[Branch, tuple[str, ...]]] = [(branch, ())]
        while stack:
            here, above = stack.pop()
            own = tuple(step.device for step in here.steps)
            if device in own:
                return {*above, *own[: own.index(device)]}
            stack += [(child, (*above, *own)) for child in here.children]
    return set()


def _ends(branches: Sequence[Branch]) -> Iterator[Branch]:
    for branch in branches:
        if branch.children:
            yield from _ends(branch.children)
        elif not branch.cut:
            yield branch


def _ordered(found: list[Branch]) -> Bundle:
    if not any(step.joins for branch in found for step in branch.every()):
        return tuple(found)
    return min(islice(_orders(found), _TRIED), key=_crossings)  # of several as good the first, nearest to the text


def _orders(found: Sequence[Branch]) -> Iterator[Bundle]:
    """Every order of `found` and of what each parts into, that of the text first."""
    for chosen in product(*(tuple(islice(_variants(branch), 24)) for branch in found)):
        yield from permutations(chosen)


def _variants(branch: Branch) -> Iterator[Branch]:
    if not branch.children or branch.fold:
        yield branch
        return
    for children in _orders(branch.children):
        yield replace(branch, children=children)


def _crossings(order: Bundle) -> tuple[int, int]:
    """How many columns with a load joining lines cross, and how far those lines lead."""
    lanes: list[Branch] = []
    at: dict[str, int] = {}

    def number(branch: Branch) -> None:
        at.update({step.device: len(lanes) for step in branch.steps})
        if branch.fold or not branch.children:
            lanes.append(branch)
        for child in branch.children:
            number(child)

    for branch in order:
        number(branch)
    crossed = span = 0
    for lane, branch in enumerate(lanes):
        for join in branch.steps[-1].joins:
            if join.device in at:
                low, high = sorted((lane, at[join.device]))
                span += high - low
                crossed += sum(not lanes[between].steps[-1].joins for between in range(low + 1, high))
    return crossed, span
