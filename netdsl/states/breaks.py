"""Conductors that break: a circuit in which those of a control circuit can be open, which its contacts alone never make so."""

from __future__ import annotations

from collections.abc import Collection

from msgspec.structs import replace

from netdsl.network import Network
from netdsl.network.nets import inner_joins
from netdsl.network.nodes import Joiner, nodes_of
from netdsl.states.types import Cause, Circuit, Closed, Edge, Movement, Mover, Pole

#: the word of a mover that is on while a conductor, which it has for its device, is broken
BROKEN = "broken"


def conductors_at(circuit: Circuit, points: Collection[int]) -> tuple[str, ...]:
    """The conductors of points, in order of the nets; those of a declared reference point, which join two nets, left out."""
    network = circuit.network
    nets = (net for net in network.nets.values() if circuit.point_of[net.id] in points)
    return tuple(name for net in nets for name in net.conductors if _lies_in(network, name, net.id))


def _lies_in(network: Network, conductor: str, net: str) -> bool:
    return conductor in network.runs and all(network.net_of.get(node) == net for node in network.runs[conductor].nodes)


def with_breaks(circuit: Circuit, points: Collection[int], conductors: Collection[str]) -> Circuit:
    """The circuit in which each of these conductors, all at `points`, can break, by a mover of its own. For proofs: what sources
    inside devices are fed by is left out, so that they give voltage."""
    numbers = _numbers(circuit, points, conductors)

    def at(node: str, point: int) -> int:
        return numbers.get(node, point)

    runs, movements = circuit.network.runs, dict(circuit.movements)
    edges = [edge._replace(a=at(edge.nodes[0], edge.a), b=at(edge.nodes[1], edge.b)) for edge in circuit.edges]
    for name in conductors:
        one, other = runs[name].nodes
        mover = Mover(name, BROKEN)
        movements[mover] = Movement(mover, Cause.FREE, False)
        edges.append(Edge(name, numbers[one], numbers[other], Closed((mover,), on=False), None, (one, other)))
    poles = tuple(pole._replace(point=at(pole.potential.id, pole.point)) for pole in circuit.poles)
    loads = {load: load._replace(a=at(load.nodes[0], load.a), b=at(load.nodes[1], load.b)) for load in circuit.loads}
    releases = {
        mover: tuple(c._replace(feed=at(c.nodes[0], c.feed), back=at(c.nodes[1], c.back)) for c in channels)
        for mover, channels in circuit.releases.items()
    }
    roots: dict[int, tuple[Pole, ...]] = {}
    for pole in poles:
        roots[pole.point] = (*roots.get(pole.point, ()), pole)
    for channel in (channel for channels in releases.values() for channel in channels):
        roots.setdefault(channel.feed, ())
    return replace(
        circuit,
        points=circuit.points + len(set(numbers.values())),
        edges=tuple(edge for edge in edges if edge.a != edge.b),
        poles=poles,
        loads=tuple(loads.values()),
        movements=movements,
        coils={mover: tuple(loads[load] for load in found) for mover, found in circuit.coils.items()},
        releases=releases,
        fed_by={},
        roots=roots,
    )


def _numbers(circuit: Circuit, points: Collection[int], conductors: Collection[str]) -> dict[str, int]:
    """New points of the terminals at `points`: one for those that are joined without these conductors."""
    network = circuit.network
    nodes = nodes_of(network.plant)
    kept, whole = Joiner(len(nodes.names)), Joiner(len(nodes.names))
    here: dict[int, list[int]] = {}
    for net in network.nets.values():
        if circuit.point_of[net.id] in points:
            here.setdefault(circuit.point_of[net.id], []).extend(nodes.index[node] for node in net.nodes)
            for name in net.conductors:
                if _lies_in(network, name, net.id):
                    whole.join(*nodes.ends[name])
                    if name not in conductors:
                        kept.join(*nodes.ends[name])
    owners = dict.fromkeys(nodes.owners[node] for members in here.values() for node in members)
    for device in (network.plant.devices[name] for name in owners if name in network.plant.devices):
        sides = (
            tuple(nodes.index[f"{device.id}:{t.name}/{side}"] for side in ("in", "out"))
            for t in device.terminals.values()
            if t.split
        )
        for one, other in (*inner_joins(nodes, device), *sides):
            kept.join(one, other)
            whole.join(one, other)
    for members in here.values():  # what is one in another way, as bonded plates are
        for node in members[1:]:
            if whole.find(node) != whole.find(members[0]):
                kept.join(node, members[0])
                whole.join(node, members[0])
    found: dict[int, int] = {}
    listed = [node for members in here.values() for node in members]
    return {nodes.names[node]: found.setdefault(kept.find(node), circuit.points + len(found)) for node in listed}
