"""Questions that rules and drawings ask of a Network again and again."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.plant import Conductor, Device, End, Place, Plant
from netdsl.network.classes import SIGNAL_CLASSES
from netdsl.network.contents import route_of
from netdsl.network.nets import closed_joins, inner_joins, reference_conductors
from netdsl.network.nodes import bonded_plate, is_drive, is_protective, node_name, nodes_of, protective_end, rail_place
from netdsl.network.runs import inside
from netdsl.network.types import ConductorClass, EarthNode, Net, Network, RouteContent

__all__ = [
    "bonded_plate",
    "circuit_cables",
    "contents_of",
    "device_place",
    "devices_on",
    "downstream",
    "earth_neighbours",
    "earth_node",
    "feeds",
    "held_in",
    "inside",
    "is_drive",
    "is_protective",
    "mate_of",
    "neighbours",
    "net_of_end",
    "node_name",
    "protective_end",
    "rail_place",
    "reference_nets",
    "route_of",
    "upstream",
]


def mate_of(plant: Plant, device: str) -> str:
    """The half of a plug connection that meets the half `device`, "" for what is coupled with nothing."""
    pairs = (coupling.halves for coupling in plant.couplings if device in coupling.halves)
    return next((halves[1] if halves[0] == device else halves[0] for halves in pairs), "")


def held_in(plant: Plant, device: str) -> tuple[Device, ...]:
    """Devices that have their place in another: channels in their housing, cards in a rack; in order of text."""
    return tuple(each for name, each in plant.devices.items() if name.rpartition(".")[0] == device and ":" not in name)


def upstream(network: Network, device: str) -> tuple[str, ...]:
    """Devices that feed `device`, nearest first, ties by name; empty for what is not in the power tree."""
    return _walk(network, device, up=True)


def downstream(network: Network, device: str) -> tuple[str, ...]:
    """Devices that `device` feeds, nearest first, ties by name; empty for what is not in the power tree."""
    return _walk(network, device, up=False)


def _walk(network: Network, device: str, up: bool) -> tuple[str, ...]:
    import networkx as nx

    graph = network.power.graph
    if device not in graph:
        return ()
    layers = nx.bfs_layers(nx.reverse_view(graph) if up else graph, device)
    return tuple(name for layer in layers for name in sorted(layer))[1:]


def feeds(network: Network, a: str, b: str) -> bool:
    """Whether device `a` feeds device `b`, directly or through others (looked up from `b`, where the tree is narrow)."""
    return a in upstream(network, b)


def earth_node(network: Network, owner: str) -> EarthNode | None:
    """The earth node of a device or place (of a strip its first earth terminal's), None where it has none."""
    name = network.earth.node_of.get(owner)
    return None if name is None else network.earth.graph.nodes[name]["node"]


def earth_neighbours(network: Network, owner: str) -> tuple[tuple[EarthNode, tuple[str, ...]], ...]:
    """Earth nodes next to that of `owner` (device, place or node id), by id, with the conductors between.

    No conductors: joined by mounting.
    """
    graph = network.earth.graph
    name = owner if owner in graph else network.earth.node_of.get(owner)
    if name is None:
        return ()
    return tuple((graph.nodes[other]["node"], graph.edges[name, other]["conductors"]) for other in sorted(graph[name]))


def circuit_cables(network: Network, cable: str) -> tuple[str, ...]:
    """All cables of the circuit of `cable`, itself included, in order of text.

    A drive's output and a motor's feed go on through boxes and isolators; a signal goes on where a net of it does. A
    supply that many circuits share joins nothing.
    """
    use = network.cables[cable]
    joined = {cable}
    for net in _own_nets(network, cable):
        joined.update(other for core in net.conductors if (other := network.runs[core].conductor.cable) is not None)
    found = []
    for other, its in network.cables.items():
        # what joins a circuit besides its nets: the drive and the motor of a feed that an isolator or a box interrupts
        same_drive = use.drive is not None and use.drive == its.drive and use.load == its.load
        same_motor = use.load is not None and use.load == its.load and use.klass == its.klass
        if other in joined or same_drive or same_motor:
            found.append(other)
    return tuple(found)


def _own_nets(network: Network, cable: str) -> tuple[Net, ...]:
    """Nets of a cable that belong to its circuit alone: signals, and control wires that no source holds for certain."""
    cores = network.plant.cables[cable].conductors
    nets = [network.nets[network.runs[core].net] for core in cores if core in network.runs]
    return tuple(net for net in nets if net.klass in SIGNAL_CLASSES or (net.klass == ConductorClass.CONTROL and not net.certain))


def net_of_end(network: Network, conductor: Conductor, end: End) -> Net:
    """The net on which `end` of `conductor` lands (the side of a split terminal told apart)."""
    return network.nets[network.net_of[node_name(network.plant, conductor, end)]]


def devices_on(network: Network, net: str) -> Iterator[tuple[Device, str]]:
    """Devices on a net, each with its terminal there, `5/in` or `5/out` for the side of a split one."""
    for node in network.nets[net].nodes:
        owner, _, terminal = node.rpartition(":")
        if owner in network.plant.devices:
            yield network.plant.devices[owner], terminal


def neighbours(plant: Plant) -> dict[str, list[tuple[str, str | None]]]:
    """Nodes next to each node on ways closed in service, with the conductor between; None for what a device joins inside.

    Conductors of a declared reference point are left out.
    """
    nodes = nodes_of(plant)
    found: dict[str, list[tuple[str, str | None]]] = {name: [] for name in nodes.names}
    references = reference_conductors(plant)
    pairs: list[tuple[str, str, str | None]] = []
    for device in plant.devices.values():
        pairs += [(nodes.names[one], nodes.names[other], None) for one, other in inner_joins(nodes, device)]
        pairs += [(nodes.names[one], nodes.names[other], None) for one, other in closed_joins(nodes, device)]
    for conductor in plant.conductors.values():
        if conductor.id not in references:
            pairs.append((*nodes.names_of(conductor), conductor.id))
    for one, other, name in pairs:
        found[one].append((other, name))
        found[other].append((one, name))
    return found


def reference_nets(network: Network) -> tuple[tuple[str, str], ...]:
    """Pairs of nets that an `earthing of` statement declares joined: (of the source's pole, of the earth point)."""
    found = []
    for point in network.plant.reference_points:
        one, other = network.net_of.get(point.of.id), network.net_of.get(point.at.id)
        if one is not None and other is not None:
            found.append((one, other))
    return tuple(found)


def contents_of(network: Network, route: str) -> tuple[RouteContent, ...]:
    """What lies in a route, compartment by compartment."""
    return tuple(content for content in network.contents if content.route == route)


def device_place(network: Network, owner: str) -> Place | None:
    """The place where a device stands, or the place itself."""
    device: Device | None = network.plant.devices.get(owner)
    return network.plant.places.get(device.place if device else owner)
