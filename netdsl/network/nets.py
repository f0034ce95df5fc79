"""Nodes into nets: what conductors, strip bridges, links, earthed bodies and bonded rails join."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Plant, Role
from netdsl.network.nodes import (
    PROTECTIVE_ROLES,
    Joiner,
    Nodes,
    bonded_plate,
    is_protective,
    nodes_of,
    protective_end,
    rail_place,
    with_role,
)


class Joined(Struct, frozen=True):
    """Nets by number, in order of declaration of their first node.

    `members`: nodes of each net; `net_of_node`: net of each node; `net_of_conductor`: by conductor id; `closed`: pairs of
    nets that certain paths join; `switched`: those that the control may join; `references`: ids of conductors that make
    a declared earthing of a source: they do not join the two nets, or every earth wire would carry that source; `protective`:
    those of which both ends land on the protective earth.
    """

    nodes: Nodes
    members: tuple[tuple[int, ...], ...]
    net_of_node: tuple[int, ...]
    net_of_conductor: dict[str, int]
    closed: tuple[tuple[int, int], ...]
    switched: tuple[tuple[int, int], ...]
    references: frozenset[str]
    protective: frozenset[str]


def join_nets(plant: Plant) -> Joined:
    """The nets of the plant and the paths between them."""
    nodes = nodes_of(plant)
    joiner = Joiner(len(nodes.names))
    references = reference_conductors(plant)
    for conductor in plant.conductors.values():
        if conductor.id not in references:
            joiner.join(*nodes.ends[conductor.id])
    for device in plant.devices.values():
        for one, other in inner_joins(nodes, device):
            joiner.join(one, other)
    for place in plant.places.values():
        if bonded_plate(plant, place):
            joiner.join(nodes.index[f"{place.id}:PE"], nodes.index[f"{place.parent}:PE"])
    return _numbered(plant, nodes, joiner, references)


def reference_conductors(plant: Plant) -> frozenset[str]:
    """Conductors that land at a declared reference point and come from no other earth terminal."""
    points = {point.at.id for point in plant.reference_points}
    if not points:
        return frozenset()
    found = set()
    for conductor in plant.conductors.values():
        for end, other in (conductor.ends, conductor.ends[::-1]):
            if end.id in points and not protective_end(plant, other):
                found.add(conductor.id)
    return frozenset(found)


def inner_joins(nodes: Nodes, device: Device) -> Iterator[tuple[int, int]]:
    """Pairs of nodes that a device joins for good: bridges, links, the earthed body, the bonded rail."""
    groups: list[list[int | None]] = [[nodes.of_terminal(device.id, name) for name in bridge] for bridge in device.bridges]
    for path in device.paths:
        if path.kind == "link":
            groups.append([nodes.of_terminal(device.id, path.a), nodes.of_terminal(device.id, path.b)])
    place = rail_place(nodes.plant, device)
    if place is not None:
        ways = [name for name, t in device.terminals.items() if is_protective(device, name) or t.role == Role.SCREEN]
        groups.append([nodes.index[f"{place.id}:PE"], *(nodes.of_terminal(device.id, name) for name in ways)])
    elif device.category != Category.STRIP:
        groups.append([nodes.of_terminal(device.id, name) for name in with_role(device, PROTECTIVE_ROLES)])
    for group in groups:
        known = [node for node in group if node is not None]
        yield from ((known[0], node) for node in known[1:])
    yield from mated(nodes, device)
    yield from of_host(nodes, device)


def mated(nodes: Nodes, device: Device) -> Iterator[tuple[int, int]]:
    """Pairs of nodes that meet where a device is the half of a plug connection that is named first."""
    if device.kind == Kind.PLUG:
        for coupling in nodes.plant.couplings:
            if coupling.halves[0] == device.id:
                for name in device.terminals:
                    here, there = (nodes.of_terminal(half, name) for half in coupling.halves)
                    if here is not None and there is not None:
                        yield here, there


def of_host(nodes: Nodes, device: Device) -> Iterator[tuple[int, int]]:
    """Pairs of nodes of a channel and of the housing it is in: on the terminals of that one conductors land."""
    for name in device.terminals if device.host else ():
        here, there = nodes.of_terminal(device.id, name), nodes.of_terminal(device.host, name)
        if here is not None and there is not None:
            yield here, there


def _numbered(plant: Plant, nodes: Nodes, joiner: Joiner, references: frozenset[str]) -> Joined:
    numbers: dict[int, int] = {}
    members: list[list[int]] = []
    net_of_node = []
    for node in range(len(nodes.names)):
        number = numbers.setdefault(joiner.find(node), len(members))
        if number == len(members):
            members.append([])
        members[number].append(node)
        net_of_node.append(number)
    points = {point.at.id for point in plant.reference_points}
    net_of_conductor = {}
    for conductor in plant.conductors.values():
        # a reference conductor is counted to the source that it earths
        end = 1 if conductor.id in references and conductor.ends[0].id in points else 0
        net_of_conductor[conductor.id] = net_of_node[nodes.ends[conductor.id][end]]
    closed, switched = _paths(plant, nodes, net_of_node)
    protective = frozenset(
        conductor.id
        for conductor in plant.conductors.values()
        if protective_end(plant, conductor.ends[0]) and protective_end(plant, conductor.ends[1])
    )
    return Joined(
        nodes, tuple(map(tuple, members)), tuple(net_of_node), net_of_conductor, closed, switched, references, protective
    )


def _paths(plant: Plant, nodes: Nodes, net_of_node: list[int]) -> tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]:
    """Pairs of nets joined by certain paths (split strip terminals too), and by switched ones."""
    closed: list[tuple[int, int]] = []
    switched: list[tuple[int, int]] = []
    for device in plant.devices.values():
        closed += [(net_of_node[one], net_of_node[other]) for one, other in closed_joins(nodes, device)]
        switched += [(net_of_node[one], net_of_node[other]) for one, other in _path_ends(nodes, device, certain=False)]
    return tuple(closed), tuple(switched)


def closed_joins(nodes: Nodes, device: Device) -> Iterator[tuple[int, int]]:
    """Pairs of nodes that a device joins in service: split strip terminals, closed poles."""
    for terminal in device.terminals.values():
        if terminal.split:
            one, other = (nodes.index[f"{device.id}:{terminal.name}/{side}"] for side in ("in", "out"))
            yield one, other
    yield from _path_ends(nodes, device, certain=True)


def _path_ends(nodes: Nodes, device: Device, *, certain: bool) -> Iterator[tuple[int, int]]:
    for path in device.paths:
        if path.kind != "link" and path.certain == certain:
            one, other = nodes.of_terminal(device.id, path.a), nodes.of_terminal(device.id, path.b)
            if one is not None and other is not None:
                yield one, other
