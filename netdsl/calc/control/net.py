"""Control circuits as nets and the ways between them: closed poles, contacts, outputs; which source reaches a net.

A way leads from a consumer through contacts to the first net that its source holds for certain, and from there over closed
poles to the source itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from netdsl.calc.control.source_poles import Source, sources
from netdsl.kept import alike, kept
from netdsl.model.plant import Path, Plant, Role
from netdsl.network.search import trace_by, walk
from netdsl.network.types import Net, Network, Potential

#: poles that a current returns to
RETURN_POLES = frozenset({"N", "0V"})
#: ways followed from one consumer to its source, and nets looked at on the way: a circuit of more parallel ways is cut off
MAX_WAYS = 24
MAX_VISITS = 1500


class Edge(Struct, eq=False):
    """A way through a device between two nets. `path`: None for the sides of a split terminal and for an output of
    electronics (`output` then), which is fed from the device's own supply terminal."""

    device: str
    a: str
    b: str
    path: Path | None
    output: bool = False


class Hop(Struct, frozen=True):
    """An edge as it is passed: in at node `near`, out at node `far`."""

    edge: Edge
    near: str
    far: str


#: from the consumer's net to the net that the source holds
Way = tuple[Hop, ...]


class _Search(Struct):
    goal: set[str]
    barred: set[str]
    found: list[Way] = field(default_factory=list)
    visits: int = 0


class ControlNet:
    """Nets, ways and sources of the control circuits; everything is worked out once."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.plant: Plant = network.plant
        self.sources = tuple(sources(self.plant))
        self.live: dict[str, dict[str, frozenset[str]]] = {}
        self.zero: dict[str, frozenset[str]] = {}
        self._held: set[str] = set()
        self._holding: dict[tuple[str, bool], set[str]] = {}
        self._edges: dict[str, list[Hop]] = {}
        for net in network.nets.values():
            if net.possible:
                self._take(net)
        for edge in self._all_edges():
            self._enter(edge)
        self._outputs()

    def node(self, device: str, terminal: str) -> str | None:
        """The node of a device's terminal, of a split one its inner side."""
        name, known = f"{device}:{terminal}", self.network.net_of
        if name in known:
            return name
        return next((side for side in (f"{name}/in", f"{name}.1") if side in known), None)

    def ways(self, node: str, group: str, returning: bool) -> tuple[Way, ...]:
        """Ways from a node to the nets that a source holds, no net twice: to its live poles, or to its return."""
        return self._ways(self.network.net_of[node], group, returning)

    @kept
    def _ways(self, net: str, group: str, returning: bool) -> tuple[Way, ...]:
        goal = self._holding.get((group, returning), set())
        search = _Search(goal, self._held)
        if net in goal:
            search.found.append(())
        elif net not in self._held:
            self._follow(net, [], {net}, search)
        return tuple(search.found)

    @kept
    def feed(self, source: Source, returning: bool) -> dict[str, Hop]:
        """From each net that a source holds one step nearer to it, over closed poles; the nets of its own poles are not in it."""
        starts = [self.network.net_of[pole] for pole in ((source.common,) if returning else source.poles)]
        holding = self._holding.get((source.group, returning), set())

        def beyond(net: str) -> Iterator[tuple[str, Hop]]:
            for hop in self._edges.get(net, ()):
                other = self.network.net_of[hop.far]
                closed = hop.edge.path is None or hop.edge.path.certain
                if closed and not hop.edge.output and other in holding:
                    yield other, hop

        found = trace_by(tuple(dict.fromkeys(starts)), beyond)
        return {net: Hop(step[1].edge, step[1].far, step[1].near) for net, step in found.items() if step is not None}

    def _follow(self, net: str, hops: list[Hop], seen: set[str], search: _Search) -> None:
        for hop in self._edges.get(net, ()):
            if len(search.found) >= MAX_WAYS or search.visits >= MAX_VISITS:
                return
            other = self.network.net_of[hop.far]
            search.visits += 1
            if other in search.goal:
                search.found.append((*hops, hop))
            elif other not in seen and other not in search.barred:
                seen.add(other)
                hops.append(hop)
                self._follow(other, hops, seen, search)
                hops.pop()
                seen.discard(other)

    def _take(self, net: Net) -> None:
        live, zero = self._reaching(net.possible)
        if live:
            self.live[net.id] = live
        if zero:
            self.zero[net.id] = zero
        if net.certain:
            self._held.add(net.id)
            for potential in net.certain:
                if potential.kind in ("ac", "dc"):
                    self._holding.setdefault((potential.group, potential.pole in RETURN_POLES), set()).add(net.id)

    @alike(lambda _, potentials: tuple(map(id, potentials)))
    def _reaching(self, potentials: tuple[Potential, ...]) -> tuple[dict[str, frozenset[str]], frozenset[str]]:
        """By group the live poles among potentials; and the groups of the returns. Nets that the same ones reach share both."""
        power = [potential for potential in potentials if potential.kind in ("ac", "dc")]
        live: dict[str, set[str]] = {}
        for potential in power:
            if potential.pole not in RETURN_POLES:
                live.setdefault(potential.group, set()).add(potential.id)
        zero = frozenset(potential.group for potential in power if potential.pole in RETURN_POLES)
        return {group: frozenset(ids) for group, ids in live.items()}, zero

    def _all_edges(self) -> Iterator[Edge]:
        for device in self.plant.devices.values():
            for path in device.paths:
                if path.kind != "link":
                    a, b = self.node(device.id, path.a), self.node(device.id, path.b)
                    if a is not None and b is not None:
                        yield Edge(device.id, a, b, path)
            if device.category == "strip":
                for name, terminal in device.terminals.items():
                    if terminal.split:
                        yield Edge(device.id, f"{device.id}:{name}/in", f"{device.id}:{name}/out", None)

    def _enter(self, edge: Edge) -> None:
        one, other = self.network.net_of[edge.a], self.network.net_of[edge.b]
        if one != other:
            self._edges.setdefault(one, []).append(Hop(edge, edge.a, edge.b))
            self._edges.setdefault(other, []).append(Hop(edge, edge.b, edge.a))

    def _outputs(self) -> None:
        """Outputs of electronics bring the voltage that their device is supplied with; follow it through contacts."""
        for device in self.plant.devices.values():
            supply = next((self.node(device.id, name) for name, t in device.terminals.items() if t.role is Role.SUPPLY_IN), None)
            if supply is None or self.network.net_of[supply] not in self.live:
                continue
            for name, terminal in device.terminals.items():
                node = self.node(device.id, name) if terminal.role is Role.DIGITAL_OUT else None
                if node is not None and self.network.net_of[node] not in self._held:
                    self._enter(Edge(device.id, node, supply, None, output=True))
                    self._bring(self.network.net_of[node], self.live[self.network.net_of[supply]])

    def _bring(self, start: str, groups: dict[str, frozenset[str]]) -> None:
        def beyond(net: str) -> Iterator[str]:
            others = (self.network.net_of[hop.far] for hop in self._edges.get(net, ()) if not hop.edge.output)
            return (other for other in others if other not in self._held)

        for net in walk((start,), beyond):
            self.live[net] = self.live.get(net, {}) | groups
