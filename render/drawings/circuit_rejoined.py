"""Circuits that were parted put together again where a sheet holds them: no conductor goes on at a reference without need."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

from render.drawings.circuit_cuts import AGAIN, COUNTER, Cuts
from render.drawings.circuit_groups import Link
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_ranks import Circuit, End

_COMES, _GOES_ON = " comes", " goes on"


def rejoined(cuts: Cuts, layouts: Sequence[Layout], fitted: Callable[[Circuit], Layout | None]) -> list[Layout]:
    """`layouts` with those put together that were one circuit and fit on a sheet, first those that most lines would join;
    `fitted` measures a circuit, None where it is too large."""
    found = list(layouts)
    tried: set[frozenset[int]] = set()
    while True:
        best: tuple[int, Layout, Layout] | None = None
        for one, other in combinations(found, 2):
            count = len(_parted(one.circuit, other.circuit))
            if count > (best[0] if best else 0) and frozenset((id(one.circuit), id(other.circuit))) not in tried:
                best = count, one, other
        if best is None:
            return found
        _, one, other = best
        tried.add(frozenset((id(one.circuit), id(other.circuit))))
        together, gone = _together(one.circuit, other.circuit)
        layout = fitted(together)
        if layout is not None:
            _settle(cuts, (one.circuit, other.circuit), together, gone)
            found[found.index(one)] = layout
            found.remove(other)


def _parted(one: Circuit, other: Circuit) -> list[str]:
    """The conductors that go on from one of two circuits in the other, and the terminals that are drawn in both."""
    found = []
    for here, there in ((one, other), (other, one)):
        names = (key.removesuffix(_GOES_ON) for key in here.parts if key.endswith(_GOES_ON))
        found += [name for name in names if name + _COMES in there.parts]
    drawn = {key.partition(AGAIN)[0] for key in one.parts}
    return found + [key for key in other.parts if key.partition(AGAIN)[0] in drawn]


def _together(one: Circuit, other: Circuit) -> tuple[Circuit, dict[str, str]]:
    """Two circuits as one that stands as they do, and of each part that it does not have what stands in its place, "" for
    nothing."""
    gone: dict[str, str] = {}
    ends = {**one.ends, **other.ends}
    links = {link.key: link for link in (*one.links, *other.links)}
    parts = {**one.parts, **other.parts}
    for name in [key.removesuffix(_GOES_ON) for key in parts if key.endswith(_GOES_ON)]:
        if name + _COMES in parts:
            gone[name + _GOES_ON] = gone[name + _COMES] = ""
            before = links[name]
            links[name] = Link(name, before.kind, (before.ends[0], links.pop(name + COUNTER).ends[0]), before.of)
            ends[name] = ends[name][0], ends.pop(name + COUNTER)[0]
    first: dict[str, str] = {}
    for key in sorted(parts, key=len):
        if (kept := first.setdefault(key.partition(AGAIN)[0], key)) != key:
            gone[key] = kept
    whole = Circuit({key: part for key, part in parts.items() if key not in gone}, [])
    for link in links.values():
        (a, here), (b, there) = link.ends
        whole.links.append(Link(link.key, link.kind, ((gone.get(a, a), here), (gone.get(b, b), there)), link.of))
        near, far = (End(gone.get(end.part, end.part), end.way, end.top) for end in ends[link.key])
        whole.ends[link.key] = near, far
    whole.rank = {**one.rank, **other.rank}
    whole.flipped = (one.flipped | other.flipped) & whole.parts.keys()
    whole.above = {gone.get(key, key) for key in one.above | other.above} & whole.parts.keys()
    return whole, gone


def _settle(cuts: Cuts, parted: Sequence[Circuit], whole: Circuit, gone: Mapping[str, str]) -> None:
    """Let the group hold a circuit in place of those of which it was made."""
    group, pairs = cuts.group, cuts.drawn.pairs
    keys = {link.key for each in parted for link in each.links}
    group.links[:] = [link for link in group.links if link.key not in keys] + whole.links
    for key, kept in gone.items():
        del group.parts[key]
        for other in pairs.pop(key, ()):
            named = [name for name in pairs.get(other, ()) if name != key]
            if kept and other != kept and kept not in named:
                named.append(kept)
                pairs.setdefault(kept, []).append(other)
            if other in pairs:
                pairs[other] = named
