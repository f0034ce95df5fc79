"""What the clamps at both ends of a conductor take."""

from __future__ import annotations

from msgspec import Struct

from netdsl.network.types import Network
from netdsl.sizing.items import Item


class ClampLimit(Struct, frozen=True):
    """The clamp that sets the smallest section: `terminal`, and `least` in mm2."""

    terminal: str
    least: float


def smallest_taken(network: Network, item: Item) -> ClampLimit | None:
    """The clamp with the largest lower end of its range among those of an item's conductors; None where none states one."""
    found: ClampLimit | None = None
    for name in item.conductors:
        for end in network.plant.conductors[name].ends:
            device = network.plant.devices.get(end.device)
            terminal = device.terminals.get(end.terminal) if device else None
            if terminal is None or terminal.clamp.section is None:
                continue
            least = terminal.clamp.section[0]
            if found is None or least > found.least:
                found = ClampLimit(end.id, least)
    return found


def largest_taken(network: Network, item: Item) -> ClampLimit | None:
    """The clamp with the smallest upper end of its range among those of an item's conductors; None where none states one."""
    found: ClampLimit | None = None
    for name in item.conductors:
        for end in network.plant.conductors[name].ends:
            device = network.plant.devices.get(end.device)
            terminal = device.terminals.get(end.terminal) if device else None
            if terminal is not None and terminal.clamp.section is not None:
                most = terminal.clamp.section[1]
                if found is None or most < found.least:
                    found = ClampLimit(end.id, most)
    return found
