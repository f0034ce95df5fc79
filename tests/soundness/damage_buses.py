"""Damage to the ways of serial lines: a branch, data lines exchanged."""

from __future__ import annotations

from collections.abc import Iterator

from lint.pairs import line_of
from netdsl.model.plant import Cable, Conductor
from tests.soundness.bases import Base, Damage, said
from tests.soundness.damage_facts import cores, damages, made


def data(base: Base, cable: Cable) -> dict[str, Conductor]:
    """The cores of a serial line between two stations, by what they carry."""
    found = {}
    for core in cores(base, cable):
        lines = {line_of(base.plant.devices[end.device].terminals[end.terminal]) for end in core.ends}
        if len(lines) == 1:
            found[lines.pop()] = core
    return found


@damages("bus-polarity")
def exchanged(base: Base) -> Iterator[Damage]:
    """The two data lines exchanged at the far end of a cable."""
    for cable in base.cables:
        held = data(base, cable)
        if {"a", "b"} <= held.keys():
            one, other = held["a"], held["b"]
            edits = (base.moved(one, 1, said(other.ends[1])), base.moved(other, 1, said(one.ends[1])))
            yield from made(f"{cable.id} turned round", (one.ends[0].device, one.ends[1].device), *edits)


@damages("bus-line-open")
def one_core_away(base: Base) -> Iterator[Damage]:
    """One data line of a cable between two stations taken away."""
    for cable in base.cables:
        held = data(base, cable)
        if {"a", "b"} <= held.keys():
            yield from made(f"{held['b'].id} away", {end.device for end in held["b"].ends}, base.remove(held["b"]))


@damages("bus-star")
def branched(base: Base) -> Iterator[Damage]:
    """A piece of a line that led on from a station taken from the one before, from which it then branches."""
    ends = {
        cable.id: (held["a"].ends[0].device, held["a"].ends[1].device)
        for cable in base.plant.cables.values()
        if "a" in (held := data_of_all(base, cable))
    }
    for cable in base.cables:
        here = ends.get(cable.id, ("", ""))[0]
        before = next((pair[0] for name, pair in ends.items() if name != cable.id and pair[1] == here), "")
        if not before or not any(before == pair[1] for pair in ends.values()):
            continue
        terminals = {line_of(t): f"{before}:{t.name}" for t in base.plant.devices[before].terminals.values() if line_of(t)}
        edits = [base.moved(core, 0, terminals[line]) for line, core in data(base, cable).items() if line in terminals]
        yield from made(f"{cable.id} from {before}", (before,), *edits)


def data_of_all(base: Base, cable: Cable) -> dict[str, Conductor]:
    """As `data`, also of cables that a scheme wrote."""
    found = {}
    for name in cable.conductors:
        core = base.plant.conductors[name]
        lines = {line_of(base.plant.devices[end.device].terminals[end.terminal]) for end in core.ends}
        if len(lines) == 1:
            found[lines.pop()] = core
    return found
