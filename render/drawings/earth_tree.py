"""The protective conductors of a plant as a tree: from the main earth bar to every part, each with what joins it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.plant import End
from netdsl.network.types import EarthNode, Network
from netdsl.quantities import number_text


class Twig(Struct, frozen=True):
    """A node of the tree, `depth` steps from its bar. `name`: its designation; `words`: the conductor to the node
    above, and what is one with it; `above`: index of that one, -1 of a root. `apart`: nothing joins it to the main bar."""

    id: str
    depth: int
    name: str
    words: str
    above: int
    apart: bool = False


def earth_tree(network: Network) -> list[Twig]:
    """All nodes, each before what hangs on it, in order of the text; the main bar's tree first."""
    return _Grower(network).twigs


class _Grower:
    def __init__(self, network: Network) -> None:
        self.network = network
        self.graph = network.earth.graph
        self.rank = {name: number for number, name in enumerate(self.graph.nodes)}
        self.twigs: list[Twig] = []
        self.seen: set[str] = set()
        for root in self._roots():
            if root not in self.seen:
                self._grow(root)

    def _roots(self) -> Iterator[str]:
        """The main bar, bars of other supplies, then what must be earthed and is not."""
        earth = self.network.earth
        if earth.root is not None:
            yield earth.root
        yield from (bar for bar in earth.bars.values() if bar in self.graph)
        yield from (name for name in self.graph.nodes if self._node(name).needs_earth and self.graph.degree(name))
        yield from (name for name in self.graph.nodes if self._node(name).needs_earth)

    def _node(self, name: str) -> EarthNode:
        found: EarthNode = self.graph.nodes[name]["node"]
        return found

    def _grow(self, root: str) -> None:
        """Add the tree of a root by the fewest conductors to each node; what closes a ring is said at the later of its ends."""
        import networkx as nx

        apart = bool(self.twigs) and root not in self.network.earth.bars.values()
        parent = {name: above for above, name in nx.bfs_edges(self.graph, root, sort_neighbors=self._sorted)}
        below: dict[str, list[str]] = {}
        for name, above in parent.items():
            below.setdefault(above, []).append(name)
        stack = [(root, 0, -1)]
        while stack:
            name, depth, above = stack.pop()
            self.seen.add(name)
            over = parent.get(name)
            words = [self._joined(over, name)] if over is not None else []
            words += [self._members(name), *self._rings(name, over, parent)]
            self.twigs.append(
                Twig(name, depth, self._name(name), "; ".join(word for word in words if word), above, apart and depth == 0)
            )
            index = len(self.twigs) - 1
            stack += [(child, depth + 1, index) for child in reversed(self._sorted(below.get(name, [])))]

    def _sorted(self, names: list[str]) -> list[str]:
        return sorted(names, key=self.rank.__getitem__)

    def _name(self, name: str) -> str:
        """The designation of a node: of a strip that of the terminal, of what is one with others that of the bar."""
        members = self._node(name).members
        devices = self.network.plant.devices
        return next((one for one in members if one in devices and devices[one].kind == "earth-bar"), name)

    def _members(self, name: str) -> str:
        """What is one with a node by its mounting."""
        node = self._node(name)
        shown = self._name(name)
        others = [one for one in node.members if one not in (shown, shown.partition(":")[0])]
        return f"one with it by mounting: {', '.join(others)}" if others else ""

    def _joined(self, above: str, name: str) -> str:
        """The conductors of an edge: `4 mm² GNYE :3 to :PE, core of =RP1-W1, 28 m`."""
        edge = self.graph.edges[above, name]
        said = [self._conductor(wire, name) for wire in edge.get("conductors", ())]
        if edge.get("mounting"):
            said.append("by its mounting")
        return " and ".join(said)

    def _conductor(self, wire: str, name: str) -> str:
        run = self.network.runs[wire]
        near, far = run.conductor.ends
        members = {name, *self._node(name).members}
        if near.device in members and far.device not in members:
            near, far = far, near
        section = f"{number_text(run.section_mm2)} mm²" if run.section_mm2 is not None else "section not stated"
        words = f"{section} {run.colour or ''}".strip() + f" {self._end(near)} to {self._end(far)}"
        cable = self.network.plant.cables.get(run.conductor.cable or "")
        if cable is not None:
            words += f", {run.conductor.core} of {cable.id}"
        length = cable.length_m if cable is not None else run.length_m
        return words + (f", {number_text(length)} m" if length is not None else "")

    def _end(self, end: End) -> str:
        return f":{end.terminal}" if end.device in self.network.plant.devices else end.id

    def _rings(self, name: str, above: str | None, parent: dict[str, str]) -> Iterator[str]:
        """Further conductors to nodes that stand before it."""
        for other in self._sorted(list(self.graph.neighbors(name))):
            if other != above and parent.get(other) != name and other in self.seen and other != name:
                yield f"also to {self._name(other)}: {self._joined(other, name)}"
