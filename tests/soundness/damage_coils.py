"""Damage to coils and contacts: what stands on the return, what nothing suppresses, what carries little."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.plant import Device, Role
from tests.soundness.bases import Base, Damage
from tests.soundness.changes import at, coil_ends, contacts, free_contact, joined, led, rated
from tests.soundness.damage_facts import certain, changed, damages

_SMALL = ("drive", "controller", "safety-relay")


def coils(base: Base) -> list[Device]:
    """Relays and contactors whose coil is wired, its common end to an earthed 0 V or a neutral."""
    return [
        device
        for device in base.plant.devices.values()
        if device.kind in ("relay", "contactor") and coil_ends(base, device) and common_end(base, device)
    ]


def common_end(base: Base, device: Device) -> str:
    """The end of a coil that lies at the common of its source for certain, one conductor on it; "" for none."""
    for node in coil_ends(base, device) or ():
        poles = {potential.pole for potential in certain(base, node)}
        if len(at(base, node)) == 1 and poles & {"0V", "N"}:
            return node
    return ""


@damages("coil-return-switched")
def contact_on_the_return(base: Base) -> Iterator[Damage]:
    """A contact of another relay between a coil and the common."""
    if not base.plant.reference_points:
        return
    for device in coils(base):
        node = common_end(base, device)
        if {potential.pole for potential in certain(base, node)} != {"0V"}:
            continue
        for other in base.plant.devices.values():
            if other.kind not in ("relay", "contactor") or other.id == device.id:
                continue
            path = free_contact(base, other, "make")
            # one that opens the live side of the coil too opens both of its poles, which is left alone
            if path is not None and not any(contacts(base, other, "make", "break")):
                plant = led(base, base.plant, at(base, node)[0], node, f"{other.id}:{path.b}")
                plant = joined(base, plant, node, f"{other.id}:{path.a}")
                yield from changed(f"{other.id} behind the coil of {device.id}", (device.id,), plant)
                break


@damages("coil-unsuppressed")
def bare_coil(base: Base) -> Iterator[Damage]:
    """A coil without a suppressor behind a relay of a drive, controller or safety relay."""
    for device in coils(base):
        live = next(node for node in coil_ends(base, device) or () if node != common_end(base, device))
        net = base.network.net(live)
        for node in net.nodes if net else ():
            owner, _, terminal = node.partition(":")
            other = base.plant.devices.get(owner)
            if other is not None and other.kind in _SMALL and any(terminal in (p.a, p.b) for p in other.paths):
                yield from changed(
                    f"{device.id} without a suppressor", (device.id,), rated(base.plant, device, "suppressor", "none")
                )
                break


@damages("contact-underloaded")
def contact_for_power(base: Base) -> Iterator[Damage]:
    """A contact that needs 1 kA, ahead of a coil."""
    for device in coils(base):
        live = next(node for node in coil_ends(base, device) or () if node != common_end(base, device))
        net = base.network.net(live)
        for node in net.nodes if net else ():
            other = base.plant.devices.get(node.partition(":")[0])
            if other is None or other.kind not in ("relay", "contactor", "selector", "push-button") or other.id == device.id:
                continue
            role = other.terminals[node.partition(":")[2]].role
            if role is Role.CONTACT and any(contacts(base, other, "make", "break")):
                yield from changed(f"{other.id} for 1 kA", (other.id,), rated(base.plant, other, "min-current", "1000A"))
                break
