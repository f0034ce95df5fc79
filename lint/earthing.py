"""The protective-earth graph as the earth rules look at it: what is cut off, what dominates what, rings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile

from lint.facts import Facts
from netdsl.model.kinds import Kind
from netdsl.network.search import trace, walk, way_to
from netdsl.network.types import EarthNode

PARTS = frozenset({"device", "place", "through", "bar"})
_RANK = {"cabinet": 0, "box": 0, "panel": 0, "plate": 1, "door": 1}


@dataclass(frozen=True, slots=True)
class Ring:
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
        """Groups of joined nodes that do not reach the root and hold at least one that must."""
        seen: set[str] = set()
        if self.root is not None:
            self.component(self.root, seen)
        for node in self.nodes:
            if node not in seen:
                group = self.component(node, seen)
                if any(map(self.needs, group)):
                    yield group

    def head(self, group: list[str]) -> str:
        """The node of a group nearest the cause: not fed by another of the group; bar, enclosure, door, then device."""
        needing = [node for node in group if self.needs(node)]
        members = {member for node in needing for member in self.nodes[node].members}
        unfed = [node for node in needing if not self._fed_from(node, members)]
        return min(unfed or needing, key=lambda node: (self._kind_rank(node), self.rank[node]))

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
        """Immediate dominator of each node that reaches the root, the root left out."""
        import networkx as nx

        if self.root is None:
            return {}
        found = nx.immediate_dominators(self.graph.to_directed(), self.root)
        return {node: above for node, above in found.items() if node != self.root}

    def in_series(self) -> Iterator[tuple[str, str]]:
        """(node, device node every path from it to the root passes first), for parts; those behind a strip each."""
        above = self.dominator
        for node in self.nodes:
            if node not in above or self.nodes[node].kind not in PARTS or not self.needs(node):
                continue
            step = above[node]
            while step in above and not self._speaks(step):  # past strips and studs, which only hand earth on
                step = above[step]
            if step != self.root and self.nodes[step].kind == "device":
                yield node, step

    def _speaks(self, node: str) -> bool:
        """Whether a node in the way is another device, or a part of which the rule speaks in its own right."""
        kind = self.nodes[node].kind
        return kind == "device" or (kind in PARTS and self.needs(node))

    def own_cable(self, node: str, device: str) -> bool:
        """Whether the earth of `node` comes from `device` in a cable by which `device` feeds it (a box: feeds through it)."""
        cables = frozenset[str]().union(*(self.facts.feeding_cables(member) for member in self.nodes[device].members))
        members = self.nodes[node].members
        way = [node]
        if self.nodes[node].kind == "place" or any(self.facts.feeders(member) & {device} for member in members):
            while way[-1] != device and way[-1] in self.dominator:
                way.append(self.dominator[way[-1]])
            way = [step for step in way if step != device]
        edges = [self.graph.edges[step, other] for step in way for other in self.graph.adj[step] if not self._below(other, step)]
        conductors = self.facts.plant.conductors
        return any(conductors[name].cable in cables for edge in edges for name in edge["conductors"] if name in conductors)

    def _below(self, node: str, other: str) -> bool:
        """Whether every path from `node` to the root passes `other`: what joins them leads no earth up to `other`."""
        while node != other and node in self.dominator:
            node = self.dominator[node]
        return node == other

    # --- rings ----------------------------------------------------------------------------------------------------
    def rings(self) -> Iterator[Ring]:
        """One short ring for each edge beyond a breadth-first tree, searched from the root on."""
        parent: dict[str, str | None] = {}
        order = ([self.root] if self.root is not None else []) + list(self.nodes)
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
