"""How far the ends of the parts of a circuit lie from where current comes.

Nodes are ranked by how far they lie from what gives: a supply, a live rail, an output; behind the loads, by how far from the
rail to which current returns.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from heapq import heappop, heappush

from msgspec import Struct, field

from render.drawings.circuit_groups import Link
from render.drawings.circuit_parts import Part, Way

RETURN = 100_000  # ranks behind the loads
STRAY = 50_000  # ranks of what lies between no sources
_PASS = 100  # ranks from one end of a contact to the other: of two ways that with fewer contacts, however it is wired


class End(Struct, frozen=True):
    """Where a link ends: the part, which of its ways, above or below."""

    part: str
    way: int
    top: bool


class Net(Struct, frozen=True):
    """What rows ask about potentials. `live`: of nodes, 2 where they carry voltage for certain, 1 in some state, 0 never, -1 for
    those of a return; `gives`: nodes of terminals from which current comes; `takes`: of those into which a signal goes."""

    live: Mapping[str, int]
    gives: frozenset[str]
    takes: frozenset[str]


class Circuit(Struct):
    """Connected parts. `ends`: those of each link; `flipped`: parts that stand upside down; `row`: of each part; `load_row`."""

    parts: dict[str, Part]
    links: list[Link]
    ends: dict[str, tuple[End, End]] = field(default_factory=dict)
    flipped: set[str] = field(default_factory=set)
    above: set[str] = field(default_factory=set)  # parts with one end that stand above it
    row: dict[str, int] = field(default_factory=dict)
    load_row: int = 0
    rank: dict[str, int] = field(default_factory=dict)
    used: set[tuple[str, int, bool]] = field(default_factory=set)  # ends at which a line is
    degree: Counter[str] = field(default_factory=Counter)  # lines at each part

    def top(self, part: Part, number: int) -> str:
        """The node above of a way, "" for none."""
        return part.ways[number].b if self._turned(part, part.ways[number]) else part.ways[number].a

    def bottom(self, part: Part, number: int) -> str:
        """The node below of a way, "" for none."""
        return part.ways[number].a if self._turned(part, part.ways[number]) else part.ways[number].b

    def _turned(self, part: Part, way: Way) -> bool:
        return part.key in self.flipped and bool(way.a)  # what has an end below alone, an earth, keeps it there


def joint(part: Part, node: str) -> str:
    """What is ranked: a node, but each tap of a rail and each reference for itself."""
    return part.key if part.kind in ("rail", "refer") else node


class Ranks:
    """Ranks the ends of one circuit."""

    def __init__(self, circuit: Circuit, net: Net) -> None:
        self.circuit = circuit
        self.net = net
        self.near: dict[str, list[str]] = {}
        self.passes: set[tuple[str, str]] = set()
        for link in circuit.links:
            one, other = (joint(circuit.parts[key], node) for key, node in link.ends)
            self._join(one, other)
        for part in circuit.parts.values():
            for way in part.ways:
                for node in (way.a, way.b):
                    if node:
                        self.near.setdefault(joint(part, node), [])
                if part.kind != "load" and way.a and way.b and way.a != way.b:
                    if part.kind != "terminal":
                        self.passes.update(((way.a, way.b), (way.b, way.a)))
                    self.near[way.a].append(way.b)
                    if not is_directed(part):
                        self.near[way.b].append(way.a)
        self.rank: dict[str, int] = {}

    def _join(self, one: str, other: str) -> None:
        self.near.setdefault(one, []).append(other)
        self.near.setdefault(other, []).append(one)

    def ranks(self) -> dict[str, int]:
        """The rank of every joint; what gives is above what stands on it."""
        parts = list(self.circuit.parts.values())
        rails = [part for part in parts if part.kind == "rail"]
        live = [[part for part in rails if self.net.live.get(part.ways[0].a, 0) == level] for level in (2, 1, 0, -1)]
        pins = [part for part in parts if part.kind == "pin"]
        gives = [part for part in pins if part.ways[0].a in self.net.gives]
        refers = [part for part in parts if part.kind == "refer"]
        back = [part for part in refers if self._returns(part)]
        made = self._made(parts)
        live[0] = [part for part in live[0] if part.key not in made]
        led = {key for link in self.circuit.links for key in self._led(link)}
        onward = [part for part in refers if part not in back and part.key not in led]
        sources = [part for part in parts if part.kind == "source"]
        signals = [part for part in sources if part.is_signal]  # what comes back to them is no source of others
        for found in ([part for part in sources if part not in signals], live[0], gives, signals, onward, live[1]):
            self._start(found, 0, 1)
        for found in ([*live[3], *back], live[2], pins):
            self._start(found, RETURN, -1)
        for part in parts:
            for way in part.ways:
                for node in (joint(part, own) for own in (way.a, way.b) if own):
                    self._spread([(STRAY, True, 0, node, "")], 1)
        return self.rank

    def _made(self, parts: Iterable[Part]) -> set[str]:
        """The taps at which this circuit makes a potential, behind a supply, an output or a fuse: they stand below that."""
        near: dict[str, list[str]] = {}
        waiting: list[str] = []
        for link in self.circuit.links:
            one, other = (joint(self.circuit.parts[key], node) for key, node in link.ends)
            near.setdefault(one, []).append(other)
            near.setdefault(other, []).append(one)
        for part in parts:
            for way in part.ways:
                gives = [node for node in (way.a, way.b) if node in self.net.gives]
                if part.kind == "through" and is_directed(part) and way.a and way.b:
                    waiting.append(way.b)
                elif part.kind == "pin":
                    waiting += gives
                # what a contactor joins to a potential does not make it: the mains round a drive come to the same motor
                elif part.kind == "poles" and way.path is not None and way.path.certain and len(gives) == 1:
                    waiting += gives
                    near.setdefault(way.a if way.b in gives else way.b, []).append(gives[0])
        found = set(waiting)
        while waiting:
            for other in near.get(waiting.pop(), ()):
                if other not in found:
                    found.add(other)
                    waiting.append(other)
        return found

    def _led(self, link: Link) -> Iterable[str]:
        """The reference to which a drive or a supply gives current, whatever else may feed what it stands for."""
        for (key, node), (far, _) in (link.ends, link.ends[::-1]):
            part = self.circuit.parts[key]
            if is_directed(part) and self.circuit.parts[far].kind == "refer" and any(way.b == node for way in part.ways):
                yield far

    def _returns(self, part: Part) -> bool:
        """Whether a reference stands for what lies behind the loads."""
        return self.net.live.get(part.ways[0].a, 0) == -1

    def _start(self, parts: Iterable[Part], rank: int, step: int) -> None:
        """Rank what `parts` reach; those from which current comes stand above. A reference that others reach first does not."""
        waiting: list[tuple[int, bool, int, str, str]] = []
        for part in parts:
            for node in part.nodes:
                heappush(waiting, (rank * step, True, len(waiting), joint(part, node), part.key))
        self._spread(waiting, step)

    def _spread(self, waiting: list[tuple[int, bool, int, str, str]], step: int) -> None:
        """Rank what has no rank yet, the nearest first: of as near ones those that are reached before those that start."""
        count = len(waiting)
        while waiting:
            rank, starts, _, here, key = heappop(waiting)
            if here in self.rank:
                continue
            self.rank[here] = rank * step
            if starts and step > 0 and key:
                self.circuit.above.add(key)
            for other in self.near[here]:
                if other not in self.rank:
                    count += 1
                    cost = _PASS if (here, other) in self.passes else 1
                    heappush(waiting, (rank + cost, False, count, other, ""))


def is_directed(part: Part) -> bool:
    """Whether current passes a block one way only."""
    return part.is_shared or (part.kind == "through" and sum(bool(way.a and way.b) for way in part.ways) > 1)
