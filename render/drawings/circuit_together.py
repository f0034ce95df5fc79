"""Which circuits are understood together: those through the contacts and the coil of one relay, the channels of one safety relay.

Drives and controllers stand beside nearly every circuit of their function, and tell nothing apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.model.kinds import Kind
from netdsl.model.plant import Plant
from render.drawings.circuit_layout import Layout

_KINDS = ("contact", "load", "through", "pin")
_WIDE = (Kind.DRIVE, Kind.CONTROLLER, Kind.OUTSIDE)


class Together:
    """What the circuits of a plant have to do with each other."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self._devices: dict[int, tuple[Layout, dict[str, None]]] = {}

    def devices(self, layout: Layout) -> dict[str, None]:
        """The devices that tie a circuit to others, in order."""
        known = self._devices.get(id(layout))
        if known is None:
            known = self._devices[id(layout)] = layout, self._tying(layout)
        return known[1]

    def _tying(self, layout: Layout) -> dict[str, None]:
        held = [part.device for part in layout.circuit.parts.values() if part.kind in _KINDS]
        return {name: None for name in held if (device := self.plant.devices.get(name)) and device.kind not in _WIDE}

    def sorted(self, circuits: Sequence[tuple[Layout, bool]]) -> list[tuple[Layout, bool]]:
        """`circuits` with each behind the first to which it is tied."""
        import networkx as nx

        graph: nx.Graph = nx.Graph()
        for number, (layout, _) in enumerate(circuits):
            graph.add_edges_from((number, device) for device in self.devices(layout))
            graph.add_node(number)
        order = [number for found in nx.connected_components(graph) for number in sorted(n for n in found if isinstance(n, int))]
        return [circuits[number] for number in order]

    def spread(self, sheets: Iterable[Sequence[Layout]]) -> int:
        """On how many sheets beyond the first of each the devices stand."""
        held = [set().union(*map(self.devices, sheet)) for sheet in sheets]
        return sum(map(len, held)) - len(set().union(*held))
