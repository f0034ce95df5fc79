"""Cores that are called as before and lie between other terminals: on a drawing their texts only change places."""

from __future__ import annotations

from netdsl.comparing.names import Names
from netdsl.model.plant import Conductor, Plant


def rewired(was: Plant, now: Plant, names: Names) -> frozenset[str]:
    """The cores of cables, `=RP1-W1 BN`, that land elsewhere than before, by their names of both states."""
    found: set[str] = set()
    for old in was.conductors.values():
        new = now.conductors.get(names.of(old.id))
        if new is not None and new.cable is not None and {names.of(end.id) for end in old.ends} != _ends(new):
            found |= {old.id, new.id}
    return frozenset(found)


def _ends(conductor: Conductor) -> set[str]:
    return {end.id for end in conductor.ends}
