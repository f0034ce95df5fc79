"""Which terminals and cores are in use and which must be, and so which are not."""

from __future__ import annotations

from netdsl.model.plant import Cable, Device, Plant, Requirement
from netdsl.network.types import Network

#: the value of a setting that says so
JUMPERED = "jumpered"


def terminals_in_use(network: Network) -> frozenset[str]:
    """Ids of the terminals, `-X1:5`, on which a conductor, a bridge or a screen lands."""
    plant = network.plant
    used = {terminal for terminal, conductors in network.at_terminal.items() if conductors}
    for cable in plant.cables.values():
        used |= {f"{end.device}:{end.terminal}" for screen in cable.screens for end in screen.ends if end.terminal}
    for device in plant.devices.values():
        used |= {f"{device.id}:{terminal}" for bridge in device.bridges for terminal in bridge}
    return frozenset(used)


def in_force(device: Device, requirement: Requirement) -> bool:
    """Whether a device is set so that `requirement` holds."""
    if requirement.setting is None:
        return True
    return requirement.setting in device.settings and device.settings.text(requirement.setting) == requirement.value


def required_terminals(device: Device) -> frozenset[str]:
    """Names of the terminals of a device that must be connected; of an alternative none is one."""
    needed = (each for each in device.requirements if not each.alternative and in_force(device, each))
    return frozenset(name for each in needed for name in each.terminals)


def jumpered_terminals(device: Device) -> frozenset[str]:
    """Names of the terminals that a jumper holds: a setting that would want them wired is `jumpered`."""
    held = (each for each in device.requirements if each.setting is not None and not in_force(device, each))
    return frozenset(
        name
        for each in held
        if each.setting in device.settings and device.settings.text(each.setting or "") == JUMPERED
        for name in each.terminals
    )


def spare_cores(cable: Cable, plant: Plant) -> tuple[str, ...]:
    """Names of the cores of a cable that are not connected, in order of its construction."""
    used = {plant.conductors[name].core for name in cable.conductors}
    return tuple(core.name for core in cable.cores if core.name not in used)
