"""Plant into Network: the parts of this room in the order in which each needs the ones before."""

from __future__ import annotations

from netdsl.collector import collector_paused
from netdsl.findings import Finding
from netdsl.model.plant import Plant
from netdsl.network.cables import cable_uses
from netdsl.network.classes import Classes, classify
from netdsl.network.contents import route_contents
from netdsl.network.earth import earth_graph
from netdsl.network.nets import Joined, join_nets
from netdsl.network.potentials import Spread, spread_potentials
from netdsl.network.power import power_tree
from netdsl.network.runs import net_marks, resolve_runs
from netdsl.network.types import Net, Network


def build_network(plant: Plant) -> tuple[Network, tuple[Finding, ...]]:
    """What the conductors of `plant` make of it, and what is wrong with names of potentials.

    The time grows with the number of terminals and conductors. Nothing in the result depends on the hash seed.
    """
    with collector_paused():
        return _built(plant)


def _built(plant: Plant) -> tuple[Network, tuple[Finding, ...]]:
    joined = join_nets(plant)
    spread = spread_potentials(plant, joined)
    classes = classify(plant, joined, spread)
    marks, findings = net_marks(plant, joined, spread)
    numbered = _nets(joined, spread, classes, marks)
    nets = {net.id: net for net in numbered.values()}
    runs = resolve_runs(plant, joined, classes, numbered)
    power = power_tree(plant, joined, spread)
    network = Network(
        plant,
        nets,
        {name: numbered[net].id for name, net in zip(joined.nodes.names, joined.net_of_node, strict=True)},
        runs,
        cable_uses(plant, runs, nets, power),
        _at_terminal(plant),
        earth_graph(plant, joined),
        power,
        route_contents(plant, runs),
    )
    return network, findings


def _nets(joined: Joined, spread: Spread, classes: Classes, marks: dict[int, str]) -> dict[int, Net]:
    """Nets by number. A net is called after the source in it, else after the first of its nodes by name: it keeps its name
    when something else is added."""
    conductors: dict[int, list[str]] = {}
    for conductor, net in joined.net_of_conductor.items():
        conductors.setdefault(net, []).append(conductor)
    found = {}
    names, index = joined.nodes.names, joined.nodes.index
    channels = {device.id for device in joined.nodes.plant.devices.values() if device.host}
    for number, members in enumerate(joined.members):
        nodes = tuple(sorted([names[node] for node in members]))
        certain, possible = spread.certain[number], spread.possible[number]
        own = [p.id for p in certain if joined.net_of_node[index[p.id]] == number]
        # conductors land on the terminals of a housing, not on those of its channels
        landed = [node for node in nodes if node.partition(":")[0] not in channels] if channels else nodes
        found[number] = Net(
            (own or landed or nodes)[0],
            nodes,
            tuple(conductors.get(number, ())),
            certain,
            possible,
            classes.nets[number],
            max([potential.voltage or 0.0 for potential in possible], default=0.0),
            marks.get(number, ""),
        )
    return found


def _at_terminal(plant: Plant) -> dict[str, tuple[str, ...]]:
    """Conductors at each terminal on which one lands, in order of text."""
    found: dict[str, list[str]] = {}
    for conductor in plant.conductors.values():
        one, other = conductor.ends[0].id, conductor.ends[1].id
        for end in (one,) if one == other else (one, other):
            found.setdefault(end, []).append(conductor.id)
    return {terminal: tuple(conductors) for terminal, conductors in found.items()}
