"""Head stations and racks with the cards in them: `-A1.3` is what stands in the third place of `-A1`."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.desk import Desk
from netdsl.model.device import Device
from netdsl.model.here import Here, Scope

SLOTS = "slots"


def settle_cards(desk: Desk) -> None:
    """Let each device in a place of another stand where that one stands, unless it says otherwise, and hold the places to those
    that there are. What is called after a device without `slots` is in no rack."""
    for name, placed in desk.in_slots.items():
        device = desk.devices[name]
        head, _, slot = name.rpartition(".")
        rack = desk.devices.get(head)
        count = rack.ratings.amount(SLOTS) if rack is not None else None
        here = Here(desk, Scope(), device.span)
        if rack is not None and count is not None:
            if not placed:
                desk.devices[name] = device = replace(device, place=rack.place)
            if not (slot.isdecimal() and 1 <= int(slot) <= count):
                message = f"`{name}` stands in no place of `{rack.id}`, which has {count:g}"
                remedy = f"call it after its place, `{rack.product}.1` to `{rack.product}.{count:g}`"
                here.fault("out-of-range", device.span, message, remedy, subjects=(name,))
        if not device.place and not desk.is_broken(device.whole):
            without_place(device, here)


def without_place(device: Device, here: Here) -> None:
    """Note that a device does not say where it stands."""
    message = f"`{device.id}` does not say where it stands"
    here.fault("missing-value", device.span, message, "add `at=+PLACE` to it or to its function", subjects=(device.id,))
