"""Rings of conductors: how what flows to a point of one shares between its ways, by their impedances (Kirchhoff's laws)."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import copysign
from typing import TYPE_CHECKING, NamedTuple

from netdsl.calc.basis import Settings
from netdsl.calc.loads.trees import Joints, Loads

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: from one point to the next
Edge = tuple[str, str]
#: taken for what has no impedance, ohm
_NEARLY_NOTHING = 1e-9
_NO_SHARE = 1e-9


class Ring(NamedTuple):
    """Points between which several ways lead. `entry`: where current comes in; `shares`: by edge, in both directions, of what
    leaves the ring at a point the share that flows along it, negative where it flows the other way."""

    entry: str
    points: frozenset[str]
    shares: Mapping[Edge, Mapping[str, float]]

    def along(self, behind: Mapping[str, Loads]) -> dict[Edge, Loads]:
        """Loads by edge whose currents flow in its direction, from `behind`: those that leave the ring at each point. Those that
        flow the other way may be off: they take nothing away, as they do in `net`."""
        return {edge: self._of(edge, behind, _NO_SHARE) for edge in self.shares}

    def net(self, behind: Mapping[str, Loads], edge: Edge) -> Loads:
        """Loads in one direction of an edge, less those whose currents flow the other way."""
        return self._of(edge, behind, -1.0)

    def _of(self, edge: Edge, behind: Mapping[str, Loads], least: float) -> Loads:
        found: dict[str, float] = {}
        for point, share in self.shares[edge].items():
            for name, own in behind.get(point, {}).items() if share > least else ():
                found[name] = min(found.get(name, 0.0) + own * share, 1.0)
        return found


def rings(
    joints: Joints,
    order: Sequence[str],
    starts: Sequence[str],
    ohms: Callable[[tuple[str, ...]], complex | None],
    settings: Settings,
) -> tuple[Ring, ...]:
    """The rings of a net. `order`: its points, each behind that from which it was found; `starts`: those from which it is fed;
    `ohms`: impedance of conductors in parallel, None where it is not known: then each way counts with all that flows."""
    edges = sum(len(joints.near.get(point, ())) for point in order) // 2
    if edges <= len(order) - len(starts):
        return ()  # a forest
    import networkx as nx  # few plants have a ring

    graph = nx.Graph((one, other) for one in order for other in joints.near.get(one, {}))
    graph.add_edges_from((starts[0], other) for other in starts[1:])  # inside of what feeds the net: one point
    place = {point: number for number, point in enumerate(order)}
    found = []
    for block in sorted(sorted(block, key=place.__getitem__) for block in nx.biconnected_components(graph) if len(block) > 2):
        entry, *others = block
        edges_of = tuple((one, other) for one, other in graph.subgraph(block).edges)
        known = {
            edge: ohms(joints.near[edge[0]][edge[1]]) if edge[1] in joints.near.get(edge[0], {}) else 0j for edge in edges_of
        }
        whole = {edge: z for edge, z in known.items() if z is not None}
        if len(whole) == len(known):
            shares = _shared(entry, others, whole)
            back = {edge[::-1]: {point: -share for point, share in own.items()} for edge, own in shares.items()}
        else:
            shares = {edge: dict.fromkeys(others, 1.0) for edge in known}
            back = {edge[::-1]: own for edge, own in shares.items()}
        found.append(Ring(entry, frozenset(others), shares | back))
    if found:
        words = "rings of conductors are closed, and what flows shares between both ways by their impedances"
        settings.assume("rings", words, "Kirchhoff's laws on the conductors as laid", "verified")
    return tuple(found)


def across(ring: Ring, point: str, ohms: Mapping[Edge, complex]) -> complex:
    """Impedance of one pole from the entry of a ring to a point of it, both ways together, ohm; `ohms`: those of its edges, one
    direction each."""
    others = sorted(ring.points)
    number = others.index(point)
    return complex(_drops(ring.entry, others, ohms)[number, number])


def _shared(entry: str, others: Sequence[str], ohms: Mapping[Edge, complex]) -> dict[Edge, dict[str, float]]:
    """By edge, of a current that enters a ring at its entry and leaves it at a point, the share that flows along the edge; its
    angle, of ways that differ in that of their impedances, is left out."""
    drops, row = _drops(entry, others, ohms), {point: number for number, point in enumerate(others)}
    found: dict[Edge, dict[str, float]] = {}
    for (one, other), z in ohms.items():
        flows = {
            point: complex(
                ((drops[row[other], n] if other != entry else 0) - (drops[row[one], n] if one != entry else 0))
                / (z or _NEARLY_NOTHING)
            )
            for point, n in row.items()
        }
        found[one, other] = {point: copysign(abs(flow), flow.real) for point, flow in flows.items()}
    return found


def _drops(entry: str, others: Sequence[str], ohms: Mapping[Edge, complex]) -> NDArray[np.complex128]:
    """Drop from the entry of a ring to each of its other points (rows) while 1 A leaves it at each (columns), V."""
    import numpy as np

    row = {point: number for number, point in enumerate(others)}
    matrix: NDArray[np.complex128] = np.zeros((len(others), len(others)), dtype=np.complex128)
    for edge, z in ohms.items():
        y, inside = 1 / (z or _NEARLY_NOTHING), [row[point] for point in edge if point != entry]
        for number in inside:
            matrix[number, number] += y
        if len(inside) == 2:
            matrix[inside[0], inside[1]] -= y
            matrix[inside[1], inside[0]] -= y
    return np.linalg.inv(matrix).astype(np.complex128)
