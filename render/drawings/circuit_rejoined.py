"""Circuits that were parted put together again where a sheet holds them: no conductor goes on at a reference without need."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

from render.drawings.circuit_cuts import AGAIN, Cuts
from render.drawings.circuit_groups import COUNTER, Link
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_ranks import Circuit, End

_COMES, _GOES_ON = " comes", " goes on"


def rejoined(cuts: Cuts, layouts: Sequence[Layout], fitted: Callable[[Circuit], Layout | None]) -> list[Layout]:
    """`layouts` with those put together that were one circuit and fit on a sheet, first those that most lines would join;
    `fitted` measures a circuit, None where it is too large."""
    found = dict(enumerate(layouts))
    at = {number: float(number) for number in found}  # where each stands
    joined = {
        pair: count for pair in combinations(found, 2) if (count := _count(found[pair[0]], found[pair[1]]))
    }  # those not tried
    while joined:
        # of pairs that as many lines would join, the first
        pair = max(joined, key=lambda each: (joined[each], *(-place for place in sorted((at[each[0]], at[each[1]])))))
        del joined[pair]
        one, other = sorted(pair, key=at.__getitem__)
        before = found[one].circuit, found[other].circuit
        together, gone = _together(*before)
        layout = fitted(together)
        if layout is None:
            continue
        _settle(cuts, before, together, gone)
        number = max(at) + 1
        at[number] = at[one]
        del found[one], found[other]
        joined = {each: count for each, count in joined.items() if not {one, other} & {*each}}
        joined.update({(each, number): count for each in found if (count := _count(found[each], layout))})
        found[number] = layout
    return [found[number] for number in sorted(found, key=at.__getitem__)]


def _count(one: Layout, other: Layout) -> int:
    """How many conductors go on from one of two circuits in the other, and terminals are drawn in both."""
    count = 0
    for here, there in ((one.circuit.parts, other.circuit.parts), (other.circuit.parts, one.circuit.parts)):
        names = (key.removesuffix(_GOES_ON) for key in here if key.endswith(_GOES_ON))
        count += len([name for name in names if name + _COMES in there])
    drawn = {key.partition(AGAIN)[0] for key in one.circuit.parts}
    return count + len([key for key in other.circuit.parts if key.partition(AGAIN)[0] in drawn])


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
