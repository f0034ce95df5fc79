"""A plant as if potentials that must not meet were not joined: the joint is told once, and all the rest is judged without it."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct
from msgspec.structs import replace

from lint.facts import Facts
from lint.joined import meetings
from netdsl.model.plant import Conductor, Plant
from netdsl.network import build_network

#: joints that are taken apart one after the other; of more nobody could tell which conductor is wrong
_MOST = 6


class Parted(Struct, frozen=True):
    """`facts` without the `conductors` that join potentials; `names`: these and the terminals at which they end, of which nothing
    else is told."""

    facts: Facts
    conductors: tuple[str, ...] = ()
    names: frozenset[str] = frozenset()


def parted(facts: Facts) -> Parted:
    """The facts without joints; the same where none is, or where no conductor makes it."""
    taken: dict[str, Conductor] = {}
    here = facts
    for _ in range(_MOST):
        found = {met.culprit.id: met.culprit for met in meetings(here) if met.culprit is not None}
        if not found:
            break
        taken.update(found)
        here = Facts(build_network(_without(here.plant, found.keys()))[0])
    if not taken:
        return Parted(facts)
    ends = {name for conductor in taken.values() for end in conductor.ends for name in (end.id, f"{end.id}/in", f"{end.id}/out")}
    return Parted(here, tuple(taken), frozenset(taken) | ends)


def _without(plant: Plant, names: Collection[str]) -> Plant:
    """A plant without some conductors."""
    left = {name: conductor for name, conductor in plant.conductors.items() if name not in names}
    cables = {
        name: cable
        if left.keys() >= set(cable.conductors)
        else replace(cable, conductors=tuple(core for core in cable.conductors if core in left))
        for name, cable in plant.cables.items()
    }
    return replace(plant, conductors=left, cables=cables)
