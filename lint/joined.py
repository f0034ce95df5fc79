"""Potentials that must not meet: which they are, by which conductor they do, and whose class they make doubtful."""

from __future__ import annotations

from lint.facts import Facts
from netdsl.model.plant import Conductor
from netdsl.network.search import between, trace_by
from netdsl.network.types import CableUse, Net, Potential

_ZERO_VOLT = frozenset({"0V", "-"})
_LIVE = frozenset({"ac", "dc", "pwm"})


def clash_of(facts: Facts, net: Net) -> list[Potential]:
    """The potentials of a net that must not meet: the first of each kind of pole that stands against another."""
    parallel = net.id in facts.parallel_nets
    clash: dict[str, Potential] = {}
    for number, a in enumerate(net.certain):
        for b in net.certain[number + 1 :]:
            if not _may_meet(a, b, parallel):
                clash.setdefault(a.id, a)
                clash.setdefault(b.id, b)
    return list(clash.values())


def _may_meet(a: Potential, b: Potential, parallel: bool) -> bool:
    poles = {a.pole, b.pole}
    if a.kind == "earth" and b.kind == "earth":  # earthed is earthed, whichever supply brings it
        return True
    if "PEN" in poles and poles <= {"PEN", "N", "PE", "0V"}:
        return True
    if poles <= _ZERO_VOLT:  # sources with one reference, as a rule on purpose; two live poles are none
        return True
    if a.group != b.group and a.pole == b.pole:
        return parallel or (a.pole == "N" and a.kind == b.kind)
    return False


def way(facts: Facts, a: Potential, b: Potential) -> list[Conductor]:
    """The conductors on a shortest way between two potentials that meet, from `a` on."""
    steps = facts.neighbours
    names = between(b.id, trace_by((a.id,), lambda node: steps.get(node, ())))
    return [facts.plant.conductors[name] for name in names if name is not None]


def confused(facts: Facts, net: str) -> bool:
    """Whether live poles of unlike sources are shorted on a net: what it carries is not known until they are parted."""
    found = facts.network.nets[net].certain
    live = {potential.group for potential in found if potential.voltage and potential.kind in _LIVE}
    return len(live) > 1 and len(clash_of(facts, facts.network.nets[net])) > 1


def confused_cable(facts: Facts, use: CableUse) -> bool:
    """Whether a core of a cable is on such a net."""
    return any(confused(facts, facts.network.runs[name].net) for name in use.cable.conductors if name in facts.network.runs)
