"""Damage to how circuits run: apart from each other, loose, with a capacitor, to earth, under marks that others have."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from msgspec.structs import replace

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Conductor, Plant, Ratings, RouteWay
from netdsl.network.queries import downstream
from tests.soundness.bases import Base, Damage
from tests.soundness.changes import at, coil_ends, contacts, is_control, joined, other_end, same_net, without
from tests.soundness.damage_facts import bar_of, certain, changed, damages


def with_conductors(plant: Plant, *changes: Conductor) -> Plant:
    """With these conductors in place of those of the same ids, out of the cables that they are in no more."""
    moved = {conductor.id: conductor for conductor in changes}
    cables = {
        name: replace(cable, conductors=tuple(c for c in cable.conductors if c not in moved or moved[c].cable == name))
        for name, cable in plant.cables.items()
    }
    for conductor in changes:
        if conductor.cable and conductor.id not in cables[conductor.cable].conductors:
            cable = cables[conductor.cable]
            cables[cable.id] = replace(cable, conductors=(*cable.conductors, conductor.id))
    return replace(plant, conductors={**plant.conductors, **moved}, cables=cables)


def loads(base: Base) -> Iterator[tuple[str, list[Conductor]]]:
    """Motors outside enclosures, with the cores of one cable at their first three ends."""
    for device in base.plant.devices.values():
        found = [c for end in ("U1", "V1", "W1") for c in at(base, f"{device.id}:{end}")] if device.kind == "motor" else []
        if len(found) == 3 and len({c.cable for c in found}) == 1 and found[0].cable:
            yield device.id, found


@damages("circuit-split")
def phase_in_another_cable(base: Base) -> Iterator[Damage]:
    """A phase of a motor in the cable of another load."""
    all_loads = list(loads(base))
    for device, cores in all_loads:
        other = next((found[0].cable for name, found in all_loads if name != device and found[0].cable != cores[0].cable), None)
        if other is not None:
            plant = with_conductors(base.plant, replace(cores[0], cable=other))
            yield from changed(f"{cores[0].id} in {other}", (device,), plant)


@damages("steel-between-phases")
def phase_in_a_steel_conduit(base: Base) -> Iterator[Damage]:
    """A phase of a motor as a wire in a conduit of steel of its own."""
    for device, cores in loads(base):
        conduit = RouteWay("STEEL", "", "conduit", "", 10.0, False, Ratings(material="steel"), cores[0].span)
        alone = replace(cores[0], cable=None, core="", section_mm2=2.5, routes=(conduit.id,))
        plant = with_conductors(base.plant, alone)
        yield from changed(f"{cores[0].id} in steel", (device,), replace(plant, routes={**plant.routes, conduit.id: conduit}))


@damages("leaves-unprotected")
def without_a_sheath(base: Base) -> Iterator[Damage]:
    """The cores of a motor cable as loose wires along no way."""
    for device, cores in loads(base):
        places = {base.plant.devices[end.device].place for c in cores for end in c.ends if end.device in base.plant.devices}
        enclosures = {place.enclosure for name in places if (place := base.plant.places.get(name))}
        if len(enclosures) > 1:
            loose = [replace(core, cable=None, core="", section_mm2=2.5, routes=()) for core in cores]
            yield from changed(
                f"{cores[0].cable} without a sheath", [device, *(c.id for c in cores)], with_conductors(base.plant, *loose)
            )


@damages("output-loaded")
def capacitor_at_the_output(base: Base) -> Iterator[Damage]:
    """What a drive feeds becomes a capacitor."""
    for device in base.plant.devices.values():
        poles = {p.device for t in device.terminals for p in certain(base, f"{device.id}:{t}") if p.kind == "pwm"}
        if device.kind == "motor" and poles:
            made = replace(device, kind=Kind.CAPACITOR)
            yield from changed(
                f"{device.id} is a capacitor", (device.id,), replace(base.plant, devices={**base.plant.devices, device.id: made})
            )


@damages("neutral-earth-joined")
def neutral_to_earth(base: Base) -> Iterator[Damage]:
    """A wire from the neutral of the busbar to the earth bar."""
    bar = bar_of(base)
    for device in base.plant.devices.values():
        node = f"{device.id}:N"
        poles = {p.pole for p in certain(base, node)} if "N" in device.terminals and device.kind == "busbar" else set()
        if bar is not None and poles == {"N"}:
            way = next((f"{bar.id}:{t}" for t in bar.terminals if at(base, f"{bar.id}:{t}")), None)
            if way is not None:
                yield from changed(f"{node} to {way}", (device.id, bar.id), joined(base, base.plant, node, way))


@damages("mark-duplicate")
def one_mark_twice(base: Base) -> Iterator[Damage]:
    """One mark for two control wires of different potentials in one enclosure."""
    wires = [c for c in base.plant.conductors.values() if c.cable is None and is_control(base, c)]
    for one, other in pairwise(wires):
        nets = {base.network.runs[c.id].net for c in (one, other)}
        inside = {
            base.plant.devices[end.device].place for c in (one, other) for end in c.ends if end.device in base.plant.devices
        }
        if len(nets) == 2 and len(inside) == 1 and base.plant.project.attributes.get("marks") != "potential":
            plant = with_conductors(base.plant, replace(one, mark="ZZ9"), replace(other, mark="ZZ9"))
            yield from changed(f"{one.id} and {other.id} marked alike", (one.id, other.id), plant)
            return


@damages("contact-bridged")
def wire_past_a_pole(base: Base) -> Iterator[Damage]:
    """A wire from one terminal of a pole to the other."""
    for device in base.plant.devices.values():
        if device.kind in ("contactor", "isolator", "breaker", "motor-breaker"):
            for path in device.paths:
                ends = (f"{device.id}:{path.a}", f"{device.id}:{path.b}")
                if path.kind == "pole" and all(at(base, end) for end in ends):
                    yield from changed(f"{ends[0]} to {ends[1]}", (device.id,), joined(base, base.plant, *ends))
                    break


@damages("contact-half-wired")
def contact_left(base: Base) -> Iterator[Damage]:
    """The one conductor at one side of a button's or contactor's contact taken away."""
    for device in base.plant.devices.values():
        for path in contacts(base, device, "make", "break") if device.kind in (Kind.PUSH_BUTTON, Kind.CONTACTOR) else ():
            for node in (f"{device.id}:{path.a}", f"{device.id}:{path.b}"):
                held = at(base, node)
                if len(held) == 1:
                    yield from changed(f"{node} open", (device.id,), without(base.plant, held[0].id))


@damages("contact-without-effect")
def coil_on_the_wrong_side(base: Base) -> Iterator[Damage]:
    """A coil that stands at one start button, led to the side of the button at which the voltage comes in."""
    for contactor in base.plant.devices.values():
        ends = coil_ends(base, contactor) if contactor.kind in (Kind.CONTACTOR, Kind.RELAY) else None
        held = at(base, ends[0]) if ends is not None else []
        for button in base.plant.devices.values() if ends is not None and len(held) == 1 else ():
            for path in contacts(base, button, "make") if button.kind == Kind.PUSH_BUTTON else ():
                a, b = f"{button.id}:{path.a}", f"{button.id}:{path.b}"
                if ends is not None and same_net(base, ends[0], b):
                    yield from changed(
                        f"{contactor.id} on {a}", (button.id,), joined(base, without(base.plant, held[0].id), ends[0], a)
                    )


@damages("never-fed")
def supply_taken_away(base: Base) -> Iterator[Damage]:
    """All conductors at the line side of a motor's breaker taken away."""
    for device in base.plant.devices.values():
        lines = [f"{device.id}:{path.a}" for path in device.paths if path.kind == "pole"]
        motors = [name for name in downstream(base.network, device.id) if base.plant.devices[name].kind == "motor"]
        names = [conductor.id for node in lines for conductor in at(base, node)]
        if device.kind == "motor-breaker" and len(lines) == 3 and len(names) == 3 and len(motors) == 1:
            yield from changed(f"nothing feeds {device.id}", motors, without(base.plant, *names))


@damages("strip-end-open")
def left_on_a_strip(base: Base) -> Iterator[Damage]:
    """The wire inside taken from a terminal at which a core from a contact outside ends."""
    for strip in base.plant.devices.values():
        for name in strip.terminals if strip.category == Category.STRIP else ():
            held = at(base, f"{strip.id}:{name}")
            inside, cores = ([c for c in held if (c.cable is not None) is core] for core in (False, True))
            if len(inside) == len(cores) == 1 and not any(name in bridge for bridge in strip.bridges):
                far = other_end(cores[0], f"{strip.id}:{name}")
                device = base.plant.devices.get(far.device)
                paths = contacts(base, device, "make", "break") if device is not None and device.kind == "level-switch" else ()
                if any(far.terminal in (path.a, path.b) for path in paths):
                    yield from changed(f"{inside[0].id} away", (strip.id, far.device), without(base.plant, inside[0].id))


@damages("pole-open")
def pole_left(base: Base) -> Iterator[Damage]:
    """The one conductor at one side of a pole of a contactor taken away, where another pole of it stays whole."""
    for device in base.plant.devices.values():
        lines = list(contacts(base, device, "pole")) if device.kind == Kind.CONTACTOR else []
        for path in lines[:1] if len(lines) > 1 else ():
            node = f"{device.id}:{path.b}"
            held = at(base, node)
            if len(held) == 1:
                yield from changed(f"{node} open", (device.id,), without(base.plant, held[0].id))
