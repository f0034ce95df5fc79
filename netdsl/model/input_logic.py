"""Digital inputs as source or sink, where a jumper or a setting of the device says which."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.desk import Desk
from netdsl.model.device import Device
from netdsl.model.part_type import Role, Terminal

#: the setting, and the word by which inputs are on when they are joined to 0 V, against 24 V inside
SETTING, SINK = "input-logic", "sink"


def turn_inputs(desk: Desk) -> None:
    """Measure the digital inputs of devices that are set to `sink` against the 24 V beside their common, in place of that common:
    current flows out of them to 0 V."""
    for device in list(desk.devices.values()):
        if device.word(SETTING) == SINK:
            turned = {name: _turned(terminal, device) for name, terminal in device.terminals.items()}
            desk.devices[device.id] = replace(device, terminals=turned)


def _turned(terminal: Terminal, device: Device) -> Terminal:
    if terminal.role is not Role.DIGITAL_IN or terminal.common is None:
        return terminal
    feeds = (each.name for each in device.terminals.values() if each.role is Role.SUPPLY_OUT and each.common == terminal.common)
    feed = next(feeds, None)
    return terminal if feed is None else replace(terminal, common=feed)
