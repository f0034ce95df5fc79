"""Nodes that are one point where currents are shared out, though no conductor lies between them."""

from __future__ import annotations

from netdsl.model.plant import Plant


def merged(plant: Plant, point_of: dict[str, str]) -> None:
    """Make one point of the nodes that bridges and links inside a device join, and the contacts of coupled halves."""
    devices: dict[str, list[str]] = {}
    for node in point_of:
        devices.setdefault(node.rpartition(":")[0], []).append(node)
    for device, nodes in devices.items():
        made = plant.devices.get(device) if len(nodes) > 1 else None
        if made is None:
            continue
        groups = list(made.bridges)
        groups += [(path.a, path.b) for path in made.paths if path.kind == "link"]
        groups += [tuple(made.terminals)] if made.kind == "earth-bar" else []
        for group in groups:
            inside = [node for node in nodes if node.rpartition(":")[2].split("/")[0] in group]
            for node in inside[1:]:
                old, new = point_of[node], point_of[inside[0]]
                for other in nodes:
                    if point_of[other] == old:
                        point_of[other] = new
    for coupling in plant.couplings:
        here, beyond = (devices.get(half, []) for half in coupling.halves)
        there = {node.partition(":")[2]: node for node in beyond}
        for node in here:
            mate = there.get(node.partition(":")[2])
            if mate is not None:
                old, new = point_of[mate], point_of[node]
                point_of.update((each, new) for each in (*here, *beyond) if point_of[each] == old)
