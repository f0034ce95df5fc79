"""Damage to what keeps contactors apart, to coils and to what moves in a drive's output."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.plant import Device
from netdsl.network.queries import upstream
from tests.soundness.bases import Base, Damage
from tests.soundness.changes import apart_no_more, at, bridged, coil_ends, contacts, free_contact, joined, led, same_net
from tests.soundness.damage_facts import changed, damages, loads_of


def _all(base: Base, *kinds: str) -> list[Device]:
    return [device for device in base.plant.devices.values() if device.kind in kinds]


def _pairs(base: Base) -> Iterator[tuple[Device, Device]]:
    """Contactors that a mechanical interlock keeps apart."""
    for pair in base.plant.interlocks:
        devices = [base.plant.devices[name] for name in pair.devices]
        if pair.kind == "mechanical" and len(devices) == 2 and all(device.kind == "contactor" for device in devices):
            yield devices[0], devices[1]


def _crossed(base: Base, one: Device, other: Device) -> Iterator[tuple[Device, str]]:
    """The wired break contacts of each that open the other's coil: directly at it."""
    for keeper, kept in ((one, other), (other, one)):
        ends = coil_ends(base, kept)
        for path in contacts(base, keeper, "break"):
            if ends and any(same_net(base, f"{keeper.id}:{name}", ends[0]) for name in (path.a, path.b)):
                yield keeper, path.a


@damages("interlock-missing")
def coil_free(base: Base) -> Iterator[Damage]:
    """A break contact in the other contactor's coil circuit bridged, no electrical interlock claimed."""
    for one, other in _pairs(base):
        for keeper, name in _crossed(base, one, other):
            path = next(each for each in keeper.paths if each.a == name and each.kind == "break")
            plant = bridged(base, base.plant, keeper, path)
            plant = apart_no_more(plant, (one.id, other.id), "electrical")
            yield from changed(f"{keeper.id}:{name} bridged", (one.id, other.id), plant)


@damages("interlock-claimed")
def claimed(base: Base) -> Iterator[Damage]:
    """The same with the electrical interlock claimed."""
    for one, other in _pairs(base):
        if not any(pair.kind == "electrical" and set(pair.devices) == {one.id, other.id} for pair in base.plant.interlocks):
            continue
        for keeper, name in _crossed(base, one, other):
            path = next(each for each in keeper.paths if each.a == name and each.kind == "break")
            plant = bridged(base, base.plant, keeper, path)
            yield from changed(f"{keeper.id}:{name} bridged, interlock claimed", (one.id, other.id), plant)


def _together(base: Base) -> Iterator[Damage]:
    """No mechanical interlock, and the coils of two contactors wired together."""
    for one, other in _pairs(base):
        ends = coil_ends(base, one), coil_ends(base, other)
        if ends[0] and ends[1]:
            plant = apart_no_more(base.plant, (one.id, other.id), "mechanical", "electrical")
            plant = joined(base, plant, ends[0][0], ends[1][0])
            yield from changed(f"coils of {one.id} and {other.id} joined", (one.id, other.id), plant)


def _of_drive(base: Base, damage: Damage) -> bool:
    return any(base.plant.devices[name].kind == "drive" for each in damage.about for name in upstream(base.network, each))


@damages("output-backfed")
def driven_back(base: Base) -> Iterator[Damage]:
    """Both contactors of a motor, from its drive and from the mains, wanted together."""
    for damage in _together(base):
        if _of_drive(base, damage):
            yield damage


@damages("switching-short")
def both_wanted(base: Base) -> Iterator[Damage]:
    """Star and delta, forward and reverse, wanted together; two windings that have no net in common make no short."""
    for damage in _together(base):
        if not _of_drive(base, damage) and _have_a_net_in_common(base, sorted(damage.about)):
            yield damage


def _have_a_net_in_common(base: Base, contactors: list[str]) -> bool:
    """Whether the poles of contactors lead to one winding."""
    loads = [
        {base.network.net_of[f"{name}:{p.b}"] for p in base.plant.devices[name].paths if p.kind == "pole"} for name in contactors
    ]
    return bool(set.intersection(*loads))


@damages("coil-unsteady")
def own_break(base: Base) -> Iterator[Damage]:
    """A coil fed over a free break contact of its own."""
    for device in _all(base, "contactor", "relay"):
        ends, path = coil_ends(base, device), free_contact(base, device, "break")
        if ends is None or path is None:
            continue
        plant = base.plant
        for conductor in at(base, ends[0]):
            plant = led(base, plant, plant.conductors[conductor.id], ends[0], f"{device.id}:{path.a}")
        plant = joined(base, plant, f"{device.id}:{path.b}", ends[0])
        yield from changed(f"{device.id} over its own break contact", (device.id,), plant)


def _released(base: Base, drive: str, node: str) -> bool:
    """Whether a terminal is wired to an input of a drive that starts or releases it."""
    terminals = base.plant.devices[drive].terminals.values()
    return any(
        {"start", "enable"}.intersection(each.functions) and same_net(base, node, f"{drive}:{each.name}") for each in terminals
    )


@damages("output-switched")
def early_past(base: Base) -> Iterator[Damage]:
    """The contact of a contactor or isolator in a drive's output that releases the drive bridged."""
    for motor in loads_of(base):
        ways = upstream(base.network, motor.id)
        drives = [name for name in ways if base.plant.devices[name].kind == "drive"]
        for name in ways:
            device = base.plant.devices[name]
            if not drives or device.kind not in ("contactor", "isolator") or drives[0] not in upstream(base.network, name):
                continue
            for path in contacts(base, device, "make"):
                if not any(_released(base, drives[0], f"{name}:{end}") for end in (path.a, path.b)):
                    continue
                yield from changed(f"{name}:{path.a} bridged", (name, *drives), bridged(base, base.plant, device, path))


@damages("phase-order")
def two_exchanged(base: Base) -> Iterator[Damage]:
    """Two phases exchanged at a motor on the mains, if nothing reverses it."""
    for motor in loads_of(base):
        held = [at(base, f"{motor.id}:{name}") for name in ("U1", "V1")]
        reversing = any(name in upstream(base.network, motor.id) for pair in _pairs(base) for name in (pair[0].id, pair[1].id))
        mains = not reversing and all(base.plant.devices[name].kind != "drive" for name in upstream(base.network, motor.id))
        if not mains or any(len(each) != 1 for each in held):
            continue
        one, other = held[0][0], held[1][0]
        plant = led(base, base.plant, one, f"{motor.id}:U1", f"{motor.id}:V1")
        plant = led(base, plant, other, f"{motor.id}:V1", f"{motor.id}:U1")
        yield from changed(f"two phases of {motor.id} exchanged", (motor.id,), plant)


@damages("phase-order")
def not_reversed(base: Base) -> Iterator[Damage]:
    """The phases behind a reversing contactor in the order of the other contactor."""
    for one, other in _pairs(base):
        poles = [[path for path in device.paths if path.kind == "pole"] for device in (one, other)]
        if len(poles[0]) != 3 or len(poles[1]) != 3:
            continue
        ends = [[f"{d.id}:{path.b}" for path in p] for d, p in zip((one, other), poles, strict=True)]
        crossed = [(a, b) for i, a in enumerate(ends[0]) for j, b in enumerate(ends[1]) if i != j and same_net(base, a, b)]
        fed = all(same_net(base, f"{one.id}:{a.a}", f"{other.id}:{b.a}") for a, b in zip(*poles, strict=True))
        if len(crossed) != 2 or not fed:
            continue
        wires = [
            next(c for c in at(base, b) if any(same_net(base, c.ends[k].id, a) for k in (0, 1)) and c.cable is None)
            for a, b in crossed
        ]
        plant = base.plant
        for wire, (_, mine), (_, his) in zip(wires, crossed, reversed(crossed), strict=True):
            plant = led(base, plant, wire, mine, his)
        yield from changed(f"{other.id} does not reverse", (one.id, other.id), plant)
