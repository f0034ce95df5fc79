"""Potentials that must not meet: which they are, and by which conductor they do."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from lint.facts import Facts
from netdsl.findings import Span
from netdsl.model.plant import Conductor, Role
from netdsl.network.queries import node_name
from netdsl.network.search import between, trace_by, walk
from netdsl.network.types import Net, Potential

_ZERO_VOLT = frozenset({"0V", "-"})


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


class Meeting(Struct, frozen=True):
    """Potentials that meet, the net in which they do, the conductor that joins them, all nets they reach, the place."""

    clash: list[Potential]
    net: Net
    culprit: Conductor | None
    nets: list[Net]
    span: Span


def meetings(facts: Facts) -> Iterator[Meeting]:
    """Where potentials that must not meet do, once for all nets that hold the same ones."""
    clusters: dict[frozenset[str], list[Net]] = {}
    for net in facts.network.nets.values():
        clash = clash_of(facts, net) if len(net.certain) > 1 else []
        if clash:
            clusters.setdefault(frozenset(potential.id for potential in clash), []).append(net)
    for nets in clusters.values():
        met = _meeting(facts, nets)
        if met is not None:
            yield met


def _meeting(facts: Facts, nets: list[Net]) -> Meeting | None:
    clash = clash_of(facts, nets[0])
    known = way(facts, clash[0], clash[1])
    culprit = _culprit(facts, clash[0], clash[1], known)
    known = known or [facts.plant.conductors[name] for name in nets[0].conductors if name in facts.plant.conductors]
    culprit = culprit or (known[-1] if known else None)
    nodes = [node_name(facts.plant, culprit, end) for end in culprit.ends] if culprit is not None else []
    net = next((net for net in nets if net.id in {facts.network.net_of.get(node) for node in nodes}), nets[0])
    span = culprit.span if culprit is not None else facts.span_of(net.nodes[0].rpartition(":")[0])
    return Meeting(clash, net, culprit, nets, span) if span is not None else None


def _culprit(facts: Facts, a: Potential, b: Potential, known: list[Conductor]) -> Conductor | None:
    """Of the conductors on the way between two potentials the one without which most terminals that are named after a pole get
    it; of several such the one between the largest pieces, each of which is a circuit of its own, then the one declared last."""
    best = {conductor.id: _fitting(facts, a, b, conductor.id) for conductor in known}
    names = [name for name in facts.plant.conductors if name in best and best[name] == max(best.values())]
    return facts.plant.conductors[names[-1]] if names else None


def _fitting(facts: Facts, a: Potential, b: Potential, without: str) -> tuple[int, int]:
    """How many terminals named after the pole of one potential only that one reaches, less those that only the other does and
    those by which one alone would come into a device backwards; and to how many terminals the one comes that reaches fewer."""
    beside = facts.neighbours

    def reached(start: str) -> list[str]:
        return list(walk((start,), lambda node: (other for other, name in beside.get(node, ()) if name != without)))

    ours, theirs = reached(a.id), reached(b.id)
    score = 0
    for potential, own, others in ((a, ours, set(theirs)), (b, theirs, set(ours))):
        alone, missed = [node for node in own if node not in others], others.difference(own)
        score += sum(_name(node) == potential.pole for node in alone) - sum(_name(node) == potential.pole for node in missed)
        score -= _backwards(facts, potential, alone)
    return score, min(len(ours), len(theirs))


def _backwards(facts: Facts, potential: Potential, nodes: list[str]) -> int:
    """At how many devices a potential comes to an output before it comes to an input, its own source left out."""
    first: dict[str, Role] = {}
    for node in nodes:
        device = facts.device(node.rpartition(":")[0])
        terminal = device.terminals.get(_name(node)) if device is not None and device.id != potential.device else None
        if device is not None and terminal is not None and terminal.role in (Role.LINE_IN, Role.LOAD_OUT):
            first.setdefault(device.id, terminal.role)
    return sum(role is Role.LOAD_OUT for role in first.values())


def _name(node: str) -> str:
    """The terminal of a node without the side of a strip's."""
    return node.rpartition(":")[2].partition("/")[0]
