"""Ways back to a supply over protective conductors, along which their impedance is least."""

from __future__ import annotations

import heapq
from itertools import pairwise

from netdsl.calc.circuit.impedances import CircuitImpedances
from netdsl.calc.circuit.lead import Impedances
from netdsl.calc.circuit.tree import PowerTree
from netdsl.kept import cached_property, kept

#: taken for a conductor of unknown impedance, so that a way leads over it only where there is no other, ohm
_UNKNOWN = 1e6


class EarthPaths:
    """Ways from devices and places to a supply, or to whichever supply is nearest. Each is found once."""

    def __init__(self, tree: PowerTree, impedances: CircuitImpedances) -> None:
        self._tree, self._impedances = tree, impedances
        self._earth = tree.network.earth
        self._totals: dict[str | None, dict[str, Impedances | None]] = {}

    def path(self, thing: str, supply: str = "") -> tuple[tuple[str, ...], ...] | None:
        """Protective conductors from the body of a device (or place) back to `supply`, or to the nearest, edge by edge (parallel
        ones together); None where there is none."""
        nodes = self.nodes(thing, supply)
        if nodes is None:
            return None
        return tuple(tuple(self._earth.graph.edges[one, before]["conductors"]) for one, before in pairwise(nodes))

    def nodes(self, thing: str, supply: str = "") -> tuple[str, ...] | None:
        """The earth nodes on that way, from that of the device (or place) to that of the supply; None where there is none."""
        node, ways = self._earth.node_of.get(thing), self._back(supply)
        if node is None or node not in ways:
            return None
        found = [node]
        while (before := ways[found[-1]][0]) is not None:
            found.append(before)
        return tuple(found)

    def impedance(self, thing: str, supply: str = "", *, note: bool = True) -> Impedances | None:
        """Impedance of that way, ohm; None where there is no way, or the length or section of a conductor on it is missing (the
        gap is noted, if `note`)."""
        node = self._earth.node_of.get(thing)
        if node is None or node not in self._back(supply):
            return None
        total = self._total(node, supply)
        if total is None and note:
            for edge in self.path(thing, supply) or ():
                self._impedances.parallel(edge, thing)
        return total

    def _total(self, node: str, supply: str) -> Impedances | None:
        """Impedance from an earth node to a supply: that of the node before it, and the edge between."""
        ways, known, pending = self._back(supply), self._totals.setdefault(self._start(supply), {}), []
        here = node
        while here not in known and (before := ways[here][0]) is not None:
            pending.append((before, here))
            here = before
        known.setdefault(here, (0j, 0j, 0j))
        for before, here in reversed(pending):
            total = known[before]
            edge = self._impedances.parallel(self._earth.graph.edges[before, here]["conductors"], None)
            known[here] = None if total is None or edge is None else (total[0] + edge[0], total[1] + edge[1], total[2] + edge[2])
        return known[node]

    @cached_property
    def _starts(self) -> tuple[str, ...]:
        """Earth nodes of the supplies; the main terminal where none has one."""
        supplies = [device.id for device in self._tree.plant.devices.values() if device.category == "supply"]
        nodes = sorted({node for name in supplies if (node := self._earth.node_of.get(name)) is not None})
        return tuple(nodes) or ((self._earth.root,) if self._earth.root is not None else ())

    def _start(self, supply: str) -> str | None:
        """Where the ways back to a supply end: its earth node; None for the nearest of all."""
        node = self._earth.node_of.get(supply)
        return node if len(self._starts) > 1 and node in self._starts else None

    def _back(self, supply: str) -> dict[str, tuple[str | None, float]]:
        """From the earth node of a supply on, or of all supplies, by least impedance: the node before each, and the ohms up to
        it."""
        start = self._start(supply)
        return self._spread((start,) if start is not None else self._starts)

    @kept
    def _spread(self, starts: tuple[str, ...]) -> dict[str, tuple[str | None, float]]:
        heap: list[tuple[float, str, str]] = [(0.0, node, "") for node in starts]
        found: dict[str, tuple[str | None, float]] = {}
        while heap:
            ohms, node, before = heapq.heappop(heap)
            if node in found:
                continue
            found[node] = (before or None, ohms)
            for other, data in self._earth.graph[node].items():
                if other not in found:
                    edge = self._impedances.parallel(data["conductors"], None)
                    heapq.heappush(heap, (ohms + (_UNKNOWN if edge is None else abs(edge[1])), other, node))
        return found
