"""The way back: neutral and 0 V conductors from a load to its source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.flows import Flows
from netdsl.calc.loads.rings import Ring
from netdsl.calc.loads.wiring import RETURNS, Wiring
from netdsl.kept import kept
from netdsl.network.search import between, trace_by

#: conductors in parallel, piece after piece from the load to the source
Way = tuple[tuple[str, ...], ...]


class Returns:
    """Ways back of loads, and the loads behind each returning conductor."""

    def __init__(self, circuit: Circuit, wiring: Wiring, flows: Flows) -> None:
        self._circuit, self._wiring, self._flows = circuit, wiring, flows
        self._network, self._plant = circuit.network, circuit.plant

    def way(self, device: str) -> Way | None:
        """Conductors by which the current of a load comes back to its source; None where no return of it is found."""
        found = self._begins(device)
        return None if found is None else _pieces(found[0], self._reached(found[1]))

    def carrying(self, device: str) -> Iterator[tuple[tuple[str, ...], float]]:
        """Conductors in parallel by which the current of a load comes back, each with the share of it: on a ring both ways."""
        found = self._begins(device)
        if found is None:
            return
        point, source = found
        up, ring_of = self._reached(source), self._rings(source)
        while (way := up[point]) is not None:
            if point not in ring_of:
                if way[1]:
                    yield way[1], 1.0
                point = way[0]
                continue
            ring, near = ring_of[point], self._flows.joints(self._network.net_of[point]).near
            place = {each: number for number, each in enumerate(up)}
            for (one, other), shares in ring.shares.items():
                if place[one] < place[other]:
                    yield near[one][other], shares[point]
            point = ring.entry

    def divided(self, devices: Iterable[str]) -> bool:
        """Whether on the way back of any of these loads what flows shares between several conductors."""
        sources = {found[1] for device in devices if (found := self._begins(device)) is not None}
        ways = (way for source in sources for way in self._reached(source).values())
        return any(way is not None and len(way[1]) > 1 for way in ways) or any(self._rings(source) for source in sources)

    def _begins(self, device: str) -> tuple[str, str] | None:
        """The point at which the current of a load leaves it, and the terminal of the source to which it comes back."""
        for name in self._plant.devices[device].terminals:
            node = f"{device}:{name}"
            source = self._source(node)
            if source is None or source.rpartition(":")[0] == device:
                continue
            net = self._network.net_of.get(node)
            point = self._flows.joints(net).point_of.get(node) if net else None
            if point is not None and point in self._reached(source):
                return point, source
        return None

    @kept
    def _rings(self, source: str) -> dict[str, Ring]:
        """Rings that returning conductors make, by the points on them."""
        up = self._reached(source)
        nets: dict[str, list[str]] = {}
        for point in up:
            nets.setdefault(self._network.net_of[point], []).append(point)
        found: dict[str, Ring] = {}
        for net, points in nets.items():
            starts = [point for point in points if (way := up[point]) is None or self._network.net_of[way[0]] != net]
            for ring in self._flows.rings(net, points, starts):
                found.update(dict.fromkeys(ring.points, ring))
        return found

    def _source(self, node: str) -> str | None:
        """The terminal of the source whose neutral or 0 V reaches a node."""
        net = self._network.net(node)
        poles = [p for p in (*net.certain, *net.possible) if p.pole in RETURNS] if net else []
        return poles[0].id if poles else None

    @kept
    def _reached(self, source: str) -> dict[str, tuple[str, tuple[str, ...]] | None]:
        """Points reached from a source's neutral, each with the point before it and the conductors between."""
        first = self._flows.joints(self._network.net_of[source]).point_of[source]
        return trace_by((first,), self._beside)

    def _beside(self, point: str) -> Iterable[tuple[str, tuple[str, ...]]]:
        """Points next to a point, with the conductors between."""
        joints = self._flows.joints(self._network.net_of[point])
        beside: dict[str, tuple[str, ...]] = dict(joints.near.get(point, {}))
        for other in self._across(point):
            beside.setdefault(other, ())
        return beside.items()

    def _across(self, point: str) -> list[str]:
        """Points on the other side of poles and split terminals, in nets that are neutral too."""
        net = self._network.net_of[point]
        joints = self._flows.joints(net)
        found = []
        for node in (node for node, own in joints.point_of.items() if own == point):
            device, _, terminal = node.rpartition(":")
            made = self._plant.devices.get(device)
            if made is None:
                continue
            others = [
                path.b if path.a == terminal else path.a
                for path in made.paths
                if path.kind == "pole" and terminal in (path.a, path.b)
            ]
            nodes = [f"{device}:{other}" for other in others]
            nodes += [f"{node.rpartition('/')[0]}/{side}" for side in ("in", "out")] if node.endswith(("/in", "/out")) else []
            for other in nodes:
                beyond = self._network.net_of.get(other)
                if beyond is not None and beyond != net and self._source(other) is not None:
                    found.append(self._flows.joints(beyond).point_of[other])
        return found


def _pieces(point: str, up: dict[str, tuple[str, tuple[str, ...]] | None]) -> Way:
    return tuple(conductors for conductors in reversed(between(point, up)) if conductors)
