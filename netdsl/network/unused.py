"""Which terminals and cores are in use, and so which are not."""

from __future__ import annotations

from netdsl.model.plant import Cable, Plant
from netdsl.network.types import Network


def terminals_in_use(network: Network) -> frozenset[str]:
    """Ids of the terminals, `-X1:5`, on which a conductor, a bridge or a screen lands."""
    plant = network.plant
    used = {terminal for terminal, conductors in network.at_terminal.items() if conductors}
    for cable in plant.cables.values():
        used |= {f"{end.device}:{end.terminal}" for screen in cable.screens for end in screen.ends if end.terminal}
    for device in plant.devices.values():
        used |= {f"{device.id}:{terminal}" for bridge in device.bridges for terminal in bridge}
    return frozenset(used)


def spare_cores(cable: Cable, plant: Plant) -> tuple[str, ...]:
    """Names of the cores of a cable that are not connected, in order of its construction."""
    used = {plant.conductors[name].core for name in cable.conductors}
    return tuple(core.name for core in cable.cores if core.name not in used)
