"""The way back: neutral and 0 V conductors from a load to its source."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.flows import Flows
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
        for name in self._plant.devices[device].terminals:
            node = f"{device}:{name}"
            source = self._source(node)
            if source is None or source.rpartition(":")[0] == device:
                continue
            up = self._reached(source)
            net = self._network.net_of.get(node)
            point = self._flows.joints(net).point_of.get(node) if net else None
            if point in up:
                return _pieces(point, up)
        return None

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
