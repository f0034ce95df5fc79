"""Whether a touch current has a second way to earth."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Calculation
from netdsl.calc.circuit import Circuit
from netdsl.calc.protection.earth_faults import Edge
from netdsl.model.plant import End
from netdsl.network.search import walk


class EarthWays:
    """Protective conductors beside each other, and ways to the main terminal that do without one."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit = calculation.of(Circuit)
        self._network = calculation.network
        self._plant = calculation.plant

    def doubled(self, edge: Edge) -> bool:
        """Whether the touch current has a second protective conductor on a terminal of its own: beside this one, or from the
        device on another way to the main terminal."""
        ends = [self._plant.conductors[name].ends for name in edge.conductors]
        if all(len({pair[side].id for pair in _aligned(ends)}) > 1 for side in (0, 1)):
            return True
        return all(self._other_way(device, edge) for device in edge.touch)

    def _other_way(self, device: str, edge: Edge) -> bool:
        """Whether a device reaches the main terminal without an edge, over nothing that it feeds itself."""
        earth = self._network.earth
        start = earth.node_of[device]
        fed = {earth.node_of.get(step.fed) for step in self._circuit.out_of.get(device, ())}
        beside = earth.graph.adj

        def beyond(node: str) -> Iterator[str]:
            ways = (other for other, data in beside[node].items() if tuple(data["conductors"]) != edge.conductors)
            return (other for other in ways if other not in fed)

        return any(node == earth.root or node in earth.bars.values() for node in walk((start,), beyond) if node != start)


def _aligned(pairs: list[tuple[End, End]]) -> list[tuple[End, End]]:
    """Ends of conductors that share a device, those at it first."""
    shared = [end.device for end in pairs[0] if all(end.device in (a.device, b.device) for a, b in pairs)]
    first = shared[0] if shared else pairs[0][0].device
    return [pair if pair[0].device == first else (pair[1], pair[0]) for pair in pairs]
