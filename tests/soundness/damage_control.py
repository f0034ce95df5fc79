"""Damage to control circuits, current loops and serial lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from netdsl.model.plant import Cable, Device, Role
from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage
from tests.soundness.damage_facts import (
    certain,
    cores,
    damages,
    klass_of,
    made,
    of_kind,
    possible,
)


@damages("control-drop")
def far_coil(base: Base) -> Iterator[Damage]:
    """A control cable of 3 km to a contact that a coil or lamp hangs behind."""
    for cable in base.cables:
        if klass_of(base, cable) is ConductorClass.CONTROL and cable.length_m and cable.screen == "":
            ends = {end.device for core in cores(base, cable) for end in core.ends}
            if any(
                base.plant.devices[e].kind in ("level-switch", "switch") for e in ends if e in base.plant.devices
            ) and feeds_coil(base, cable):
                yield from made(f"{cable.id} of 3 km", {cable.id, *feeds_coil(base, cable)}, base.valued(cable, length="3000m"))


def feeds_coil(base: Base, cable: Cable) -> set[str]:
    """Coils one conductor behind the contact of a cable."""
    found = set()
    for core in cores(base, cable):
        net = base.network.nets[base.network.runs[core.id].net]
        for node in net.nodes:
            device = base.plant.devices.get(node.partition(":")[0])
            if device is not None and device.kind in ("contactor", "relay") and node.partition(":")[2] in ("A1", "A2"):
                found.add(device.id)
    return found


@damages("loop-burden")
def far_transmitter(base: Base) -> Iterator[Damage]:
    """A loop of 50 km."""
    for cable in base.cables:
        names = {end.device for core in cores(base, cable) for end in core.ends}
        if (
            klass_of(base, cable) is ConductorClass.ANALOGUE
            and cable.length_m
            and any(base.plant.devices[n].kind == "transmitter" for n in names if n in base.plant.devices)
        ):
            yield from made(f"{cable.id} of 50 km", (cable.id, *names), base.valued(cable, length="50000m"))


@damages("bus-too-long")
def far_station(base: Base) -> Iterator[Damage]:
    """A piece of a serial line of 5 km."""
    for cable in base.cables:
        if klass_of(base, cable) is ConductorClass.BUS:
            yield from made(
                f"{cable.id} of 5 km",
                (cable.id, *(end.device for core in cores(base, cable) for end in core.ends)),
                base.valued(cable, length="5000m"),
            )


HEAVY = """
part heavy-lamp "Lamp of 900 W" {
  kind = lamp   symbol = lamp   letter = P   class = II
  terminal :X1 :X2 load 0.5..2.5mm2 clamps=2 voltage=24V
  load :X1 to :X2 voltage=24V power=900W
}
"""


def made_heavy(base: Base, device: Device, about: Iterable[str]) -> Iterator[Damage]:
    """A lamp of 24 V replaced by one of 900 W."""
    if device.part is not None and "X1" in device.terminals and "230" not in device.part.name:
        yield from made(
            f"{device.id} of 900 W",
            about,
            base.replaced(device.whole, rf"(?<=\s){re.escape(device.part.name)}\b", "heavy-lamp"),
            base.added(HEAVY),
        )


@damages("source-overloaded")
def many_lamps(base: Base) -> Iterator[Damage]:
    """A lamp of 900 W at a source of 24 V."""
    for device in of_kind(base, "lamp"):
        sources = {p.device for t in device.terminals for p in possible(base, f"{device.id}:{t}") if p.kind == "dc"}
        if sources:
            yield from made_heavy(base, device, sources)


@damages("contact-overloaded")
def heavy_lamp(base: Base) -> Iterator[Damage]:
    """The same lamp behind a contact."""
    for device in of_kind(base, "lamp"):
        near = set()
        for t in device.terminals:
            net = base.network.net(f"{device.id}:{t}")
            for node in net.nodes if net else ():
                other = base.plant.devices.get(node.partition(":")[0])
                terminal = other.terminals.get(node.partition(":")[2]) if other else None
                if (
                    other is not None
                    and other.id != device.id
                    and terminal is not None
                    and terminal.role is Role.CONTACT
                    and terminal.current is not None
                ):
                    near.add(other.id)
        if len(near) == 1:
            yield from made_heavy(base, device, near)


@damages("supply-cannot-trip")
def slow_breaker(base: Base) -> Iterator[Damage]:
    """A breaker of 24 V of a slow curve and a large rating."""
    for device in of_kind(base, "breaker", "fuse"):
        out = base.network.net(f"{device.id}:2")
        if out is None or len(out.conductors) < 3:
            continue  # nothing hangs behind it
        fed = [p.device for t in device.terminals for p in certain(base, f"{device.id}:{t}") if p.kind == "dc"]
        if any(base.plant.devices[n].kind == "supply-24v" and base.plant.devices[n].ratings.get("peak-current") for n in fed):
            yield from made(f"{device.id} of 10 A, curve D", (device.id,), base.valued(device, current="10A", curve="D"))
