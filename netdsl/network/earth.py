"""The protective-earth graph: who is earthed through which conductor, rooted at the main bar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from netdsl.model.kinds import TAPPED, Category, Kind
from netdsl.model.plant import Device, Plant, Role
from netdsl.network.classes import EXTRA_LOW
from netdsl.network.nets import Joined
from netdsl.network.nodes import PROTECTIVE_ROLES, Joiner, bonded_plate, is_protective, rail_place, with_role
from netdsl.network.search import walk
from netdsl.network.types import EarthGraph, EarthNode

if TYPE_CHECKING:
    import networkx as nx

_BARS = ("bar", "strip", "place")  # kinds that can be the main bar


def earth_graph(plant: Plant, joined: Joined) -> EarthGraph:
    """The protective-earth graph of a plant.

    Screens, neutral and live conductors are no edges; a conductor is one where both its ends are earth terminals (a PEN
    too). Parallel conductors are one edge. A device `earthed-by-mounting` on metal, and reached by no conductor, is
    joined to its place by an edge with no conductors and the attribute `mounting`; supplies that are `earthed-with` each other
    by one with no conductors.
    """
    import networkx as nx

    nodes, node_of, key_of = _nodes(plant)
    graph = nx.Graph()
    for node in nodes.values():
        graph.add_node(node.id, node=node)
    # by name, not by text: a wire put in another line must not change which ring or bar is told
    for pair, conductors in sorted(_edges(plant, key_of, joined).items()):
        graph.add_edge(*pair, conductors=tuple(conductors), mounting=False)
    _add_common_earths(plant, graph, node_of)
    _add_mountings(plant, graph, node_of)
    nearest = _nearest_bars(plant, graph, node_of)
    return EarthGraph(graph, _root(plant, graph, node_of, nearest), node_of, nearest)


def _nodes(plant: Plant) -> tuple[dict[str, EarthNode], dict[str, str], dict[str, str]]:
    """Nodes by id; node of each device and place; node of each `device:terminal` of the protective earth."""
    groups = _Groups()
    for place in plant.places.values():
        if place.metal:
            groups.add(f"{place.id}:PE", place.id)
    for place in plant.places.values():
        if bonded_plate(plant, place):
            groups.join(f"{place.id}:PE", f"{place.parent}:PE")
    for device in plant.devices.values():
        _add_device(plant, groups, device)
    for coupling in plant.couplings:
        for name in plant.devices[coupling.halves[0]].terminals:
            groups.join_known(*(f"{half}:{name}" for half in coupling.halves))
    nodes: dict[str, EarthNode] = {}
    node_of: dict[str, str] = {}
    key_of: dict[str, str] = {}
    for keys in groups.sets():
        node = _node(plant, groups, keys)
        nodes[node.id] = node
        for key in keys:
            key_of[key] = node.id
            node_of.setdefault(groups.owner[key], node.id)
    return nodes, node_of, key_of


class _Groups:
    """Earth points (`device:terminal`) with their owners, joined as they belong together."""

    def __init__(self) -> None:
        self.owner: dict[str, str] = {}
        self._number: dict[str, int] = {}
        self._joiner = Joiner(0)

    def add(self, key: str, owner: str) -> None:
        if key not in self.owner:
            self.owner[key] = owner
            self._number[key] = self._joiner.add()

    def join(self, one: str, other: str) -> None:
        self._joiner.join(self._number[one], self._number[other])

    def join_known(self, one: str, other: str) -> None:
        """Join two points, where both are of the protective earth."""
        if one in self.owner and other in self.owner:
            self.join(one, other)

    def sets(self) -> list[list[str]]:
        """The sets, in order of their first member."""
        found: dict[int, list[str]] = {}
        for key, number in self._number.items():
            found.setdefault(self._joiner.find(number), []).append(key)
        return [found[root] for root in sorted(found)]


def _add_device(plant: Plant, groups: _Groups, device: Device) -> None:
    """The earth points of a device: one body, except the earth terminals of a strip whose rail is not bonded."""
    keys = [f"{device.id}:{name}" for name in device.terminals if is_protective(device, name)]
    place = rail_place(plant, device)
    if place is not None:
        keys = [f"{place.id}:PE", *(keys or [f"{device.id}:"])]
    elif not keys and _needs_earth(device):
        keys = [f"{device.id}:"]
    for key in keys:
        groups.add(key, place.id if place and key == f"{place.id}:PE" else device.id)
    together = (
        [keys] if place is not None or device.category != Category.STRIP else [_bridged(device, b, keys) for b in device.bridges]
    )
    for group in together:
        for key in group[1:]:
            groups.join(group[0], key)


def _bridged(device: Device, bridge: tuple[str, ...], keys: list[str]) -> list[str]:
    return [key for name in bridge if (key := f"{device.id}:{name}") in keys]


def _node(plant: Plant, groups: _Groups, keys: list[str]) -> EarthNode:
    members = tuple(dict.fromkeys(groups.owner[key] for key in keys))
    first = members[0]
    place = plant.places.get(first)
    if place is not None:
        kind = "bar" if any(member in plant.devices for member in members) else "place"
        return EarthNode(first, kind, members, True, place.span)
    device = plant.devices[first]
    if device.category == Category.STRIP:
        terminal = keys[0].removeprefix(first + ":")
        return EarthNode(keys[0], "strip", members, False, device.terminals[terminal].span)
    return EarthNode(first, _kind(device), members, _needs_earth(device), device.span)


def _kind(device: Device) -> str:
    if device.category == Category.SUPPLY:
        return "supply"
    if device.kind in (Kind.EARTH_BAR, Kind.SCREEN_BAR) or device.category == Category.BUSBAR:
        return "bar"
    roles = {terminal.role for terminal in device.terminals.values()} & PROTECTIVE_ROLES
    return "through" if roles == {Role.EARTH_THROUGH} else "device"


def _needs_earth(device: Device) -> bool:
    """Class I or an earth terminal; not class II or III, a strip, a busbar, nor a supply of extra-low voltage."""
    if device.protection_class in ("II", "III") or device.category in TAPPED:
        return False
    if device.category == Category.SUPPLY:
        kind = "dc" if device.ratings.get("system") == "DC" else "ac"
        volts = device.ratings.upper("voltage")
        return volts is None or volts > EXTRA_LOW[kind]
    return device.protection_class == "I" or bool(with_role(device, (Role.EARTH,)))


def _edges(plant: Plant, key_of: dict[str, str], joined: Joined) -> dict[tuple[str, str], list[str]]:
    """Protective conductors between each two nodes; those that return to their own node are left out."""
    edges: dict[tuple[str, str], list[str]] = {}
    for conductor in plant.conductors.values():
        if conductor.id in joined.protective and conductor.id not in joined.references:
            one, other = sorted(key_of.get(end.id, "") for end in conductor.ends)
            if one and one != other:
                edges.setdefault((one, other), []).append(conductor.id)
    return edges


def _add_common_earths(plant: Plant, graph: nx.Graph, node_of: dict[str, str]) -> None:
    """Join supplies that the site earths in common, by an edge of no conductors of this plant."""
    for device in plant.devices.values():
        other = device.ratings.get("earthed-with") if device.category == Category.SUPPLY else None
        nodes = [node_of.get(device.id), node_of.get(str(other))] if other else []
        if len(nodes) == 2 and None not in nodes and nodes[0] != nodes[1] and not graph.has_edge(*nodes):
            graph.add_edge(*nodes, conductors=(), mounting=False)


def _add_mountings(plant: Plant, graph: nx.Graph, node_of: dict[str, str]) -> None:
    """Join what is earthed by its mounting, unless a conductor leads there already: such a pair is no ring."""
    mounted = [device for device in plant.devices.values() if device.ratings.get("earthed-by-mounting") == "yes"]
    if not mounted:
        return
    order = {node: number for number, node in enumerate(graph)}
    joiner = Joiner(len(order))
    for one, other in graph.edges:
        joiner.join(order[one], order[other])
    for device in mounted:
        node, place = node_of.get(device.id), node_of.get(device.place)
        if node is None or place is None:
            continue
        if joiner.find(order[node]) != joiner.find(order[place]):
            joiner.join(order[node], order[place])
            graph.add_edge(node, place, conductors=(), mounting=True)


def _bars(plant: Plant, node_of: dict[str, str]) -> dict[str, None]:
    """Nodes that hold an earth bar, in order of declaration."""
    return {
        node_of[device.id]: None for device in plant.devices.values() if device.kind == Kind.EARTH_BAR and device.id in node_of
    }


def _nearest_bars(plant: Plant, graph: nx.Graph, node_of: dict[str, str]) -> dict[str, str]:
    """The earth bar nearest to each supply's PE, else the nearest rail, earth terminal or place."""
    bars, found = _bars(plant, node_of), {}
    for device in plant.devices.values():
        if device.category != Category.SUPPLY or device.id not in node_of:
            continue
        reached = list(walk((node_of[device.id],), graph.adj.__getitem__))
        nearest: list[str] = [node for node in reached if node in bars]
        nearest += [node for node in reached if graph.nodes[node]["node"].kind in _BARS]
        if nearest:
            found[device.id] = nearest[0]
    return found


def _root(plant: Plant, graph: nx.Graph, node_of: dict[str, str], nearest: dict[str, str]) -> str | None:
    """The bar nearest the first supply; without a supply the first earth bar, else the first place that carries one."""
    first = next((d.id for d in plant.devices.values() if d.category == Category.SUPPLY and d.id in node_of), None)
    if first in nearest:
        return nearest[first]
    bars = _bars(plant, node_of)
    if bars:
        return next(iter(bars))
    return next((node for node in graph if graph.nodes[node]["node"].kind == "bar"), None)
