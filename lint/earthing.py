"""The protective-earth graph as the earth rules look at it: what is cut off, what dominates what, rings."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile

from msgspec import Struct

from lint.facts import Facts
from netdsl.kept import cached_property
from netdsl.model.kinds import Category, Kind
from netdsl.network.search import trace, walk, way_to
from netdsl.network.types import EarthNode

PARTS = frozenset({"device", "place", "through", "bar"})
_RANK = {"cabinet": 0, "desk": 0, "box": 0, "panel": 0, "plate": 1, "door": 1}


class Ring(Struct, frozen=True):
    """A ring of the earth graph: ids of its nodes in order, and the conductors of the edge that closes it."""

    nodes: tuple[str, ...]
    closing: tuple[str, ...]


class Earthing:
    """Questions about one earth graph. Order follows the declaration of nodes, never a hash."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.graph = facts.network.earth.graph
        self.root = facts.network.earth.root
        self.nodes: dict[str, EarthNode] = dict(self.graph.nodes(data="node"))
        self.rank = {name: number for number, name in enumerate(self.nodes)}

    def name(self, node: str) -> str:
        """The designation a node is called by: its first member; of a strip the terminal."""
        entry = self.nodes[node]
        return entry.members[0] if entry.members and entry.kind != "strip" else node

    def neighbours(self, node: str) -> list[str]:
        """Neighbours in order of declaration."""
        return sorted(self.graph.adj[node], key=self.rank.__getitem__)

    def needs(self, node: str) -> bool:
        """Whether a node must reach the main bar."""
        return self.nodes[node].needs_earth

    # --- reach ----------------------------------------------------------------------------------------------------
    def component(self, start: str, seen: set[str]) -> list[str]:
        """All nodes joined to `start`, in order of declaration; enters them in `seen`."""
        found = list(walk((start,), lambda node: (other for other in self.graph.adj[node] if other not in seen)))
        seen.update(found)
        return sorted(found, key=self.rank.__getitem__)

    def cut_off(self) -> Iterator[list[str]]:
        """Groups of joined nodes that reach no main bar and hold at least one that must."""
        yield from (group for group in self._groups if not any(node in self.roots for node in group))

    @cached_property
    def _groups(self) -> list[list[str]]:
        """Groups of joined nodes apart from the root's that hold at least one that must be earthed."""
        seen: set[str] = set()
        if self.root is not None:
            self.component(self.root, seen)
        groups = [self.component(node, seen) for node in self.nodes if node not in seen]
        return [group for group in groups if any(map(self.needs, group))]

    @cached_property
    def roots(self) -> tuple[str, ...]:
        """The nodes of main bars: the root, and that of each supply which earths an installation apart from it."""
        if self.root is None:
            return ()
        main = set(self.component(self.root, set()))
        bars = tuple(self.facts.network.earth.bars.values())
        apart = (next((bar for bar in bars if bar in group), None) for group in self._groups if self._apart(group, main))
        return (self.root, *(bar for bar in apart if bar is not None))

    def _apart(self, group: list[str], main: set[str]) -> bool:
        """Whether a group is an installation of its own: a supply of its own feeds all of it and nothing else, in enclosures of
        its own."""
        plant, feeders = self.facts.plant, self.facts.feeders
        members = {member for node in group for member in self.nodes[node].members}
        supplies = {name for name in members if name in plant.devices and plant.devices[name].category == Category.SUPPLY}
        enclosures = {self.facts.enclosure_of(name) for name in members} - {""}
        others = {member for node in main for member in self.nodes[node].members}
        if not supplies or enclosures & {self.facts.enclosure_of(name) for name in others}:
            return False
        fed = {device for name in supplies for device in self.facts.fed(name)}
        sources = {name for member in members for name in feeders(member) if plant.devices[name].category == Category.SUPPLY}
        return sources <= supplies and not fed & others

    def root_of(self, node: str) -> str:
        """The main bar to which a node is earthed, that of the plant where it is to none."""
        while node in self.dominator:
            node = self.dominator[node]
        return node if node in self.roots else self.root or ""

    def bar_of(self, thing: str) -> str | None:
        """The main bar that a device or place is joined to; None where it is to none."""
        node = self.facts.network.earth.node_of.get(thing)
        if node is None:
            return None
        root = self.root_of(node)
        return root if node == root or node in self.dominator else None

    def head(self, group: list[str]) -> str:
        """The node of a group nearest the cause: not fed by another of the group, nor earthed by what is; bar, enclosure, door,
        then device."""
        needing = [node for node in group if self.needs(node)]
        members = {member for node in needing for member in self.nodes[node].members}
        fed = {node for node in needing if self._fed_from(node, members)}
        unfed = [node for node in needing if node not in fed and not self._hangs_on(node, fed)]
        return min(unfed or needing, key=lambda node: (self._kind_rank(node), self.rank[node]))

    def _hangs_on(self, node: str, fed: set[str]) -> bool:
        """Whether a frame or enclosure is joined to nothing but devices of `fed`: the break lies before these."""
        return self.nodes[node].kind == "place" and bool(self.graph.adj[node]) and fed.issuperset(self.graph.adj[node])

    def strips_at(self, node: str) -> list[str]:
        """Earth terminals of strips to which a conductor leads from `node`, and from which none leads on to another part."""
        strips = [other for other in self.neighbours(node) if self.nodes[other].kind == "strip"]
        return [self.name(strip) for strip in strips if not any(map(self.needs, self.component(strip, {node})))]

    def _fed_from(self, node: str, members: set[str]) -> bool:
        own = set(self.nodes[node].members)
        return any(self.facts.feeders(member) & (members - own) for member in own)

    def _kind_rank(self, node: str) -> int:
        devices = self.facts.plant.devices
        if any(
            member in devices and devices[member].kind in {Kind.SUPPLY, Kind.EARTH_BAR} for member in self.nodes[node].members
        ):
            return -1
        places = [self.facts.plant.places[m] for m in self.nodes[node].members if m in self.facts.plant.places]
        return min((_RANK.get(place.kind, 1) for place in places), default=2)

    # --- series ---------------------------------------------------------------------------------------------------
    @cached_property
    def dominator(self) -> dict[str, str]:
        """Immediate dominator of each node that reaches a main bar, the bars left out."""
        import networkx as nx

        directed = self.graph.to_directed(as_view=True) if self.roots else None
        found = {node: above for root in self.roots for node, above in nx.immediate_dominators(directed, root).items()}
        return {node: above for node, above in found.items() if node not in self.roots}

    def in_series(self) -> Iterator[tuple[str, str]]:
        """(node, device node every path from it to the root passes first), for parts; those behind a strip each."""
        above = self.dominator
        for node in self.nodes:
            if node not in above or self.nodes[node].kind not in PARTS or not self.needs(node):
                continue
            step = above[node]
            while step in above and not self._speaks(step):  # past strips and studs, which only hand earth on
                step = above[step]
            if step not in self.roots and self.nodes[step].kind == "device":
                yield node, step

    def _speaks(self, node: str) -> bool:
        """Whether a node in the way is another device, or a part of which the rule speaks in its own right."""
        kind = self.nodes[node].kind
        return kind == "device" or (kind in PARTS and self.needs(node))

    def own_cable(self, node: str, device: str) -> bool:
        """Whether the earth of `node` comes from `device` in a cable by which `device` feeds it (a box: feeds through it), or
        by itself on the way of its single cores."""
        cables = frozenset[str]().union(*(self.facts.feeding_cables(member) for member in self.nodes[device].members))
        members = self.nodes[node].members
        way = [node]
        if self.nodes[node].kind == "place" or any(self.facts.feeders(member) & {device} for member in members):
            while way[-1] != device and way[-1] in self.dominator:
                way.append(self.dominator[way[-1]])
            way = [step for step in way if step != device]
        edges = [self.graph.edges[step, other] for step in way for other in self.graph.adj[step] if not self._below(other, step)]
        conductors = self.facts.plant.conductors
        names = [name for edge in edges for name in edge["conductors"] if name in conductors]
        return any(conductors[name].cable in cables or self.facts.beside_single_cores(name, cables) for name in names)

    def _below(self, node: str, other: str) -> bool:
        """Whether every path from `node` to the root passes `other`: what joins them leads no earth up to `other`."""
        while node != other and node in self.dominator:
            node = self.dominator[node]
        return node == other

    # --- rings ----------------------------------------------------------------------------------------------------
    def rings(self) -> Iterator[Ring]:
        """One short ring for each edge beyond a breadth-first tree, searched from the root on."""
        parent: dict[str, str | None] = {}
        order = [*self.roots, *self.nodes]
        for start in order:
            if start in parent:
                continue
            parent |= trace((start,), self.neighbours)
        for a, b, conductors in self.graph.edges(data="conductors"):
            if a != b and parent[a] != b and parent[b] != a:  # an edge beyond the tree closes a ring
                first, second = sorted((a, b), key=self.rank.__getitem__)
                yield Ring(_ring(first, second, parent), tuple(conductors or ()))


def _ring(a: str, b: str, parent: dict[str, str | None]) -> tuple[str, ...]:
    """The ring that the edge a-b closes: from where their ways to the root meet, down to a, over to b and back."""
    left, right = way_to(a, parent), way_to(b, parent)
    common = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(left, right, strict=False)))
    return (*left[common - 1 :], *reversed(right[common:]))
