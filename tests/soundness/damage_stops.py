"""Damage to what stops: buttons, emergency stops, trips, safety relays and the contactors that they drop."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.model.plant import Device, Path
from netdsl.network.queries import downstream
from tests.soundness.bases import Base, Damage
from tests.soundness.changes import at, bridged, coil_ends, contacts, joined, led, other_end, same_net, setting, without
from tests.soundness.damage_facts import changed, damages

_STOPS = ("emergency-stop", "rope-pull-switch", "safety-switch")


def _all(base: Base, *kinds: str) -> list[Device]:
    return [device for device in base.plant.devices.values() if device.kind in kinds]


def _stopping(base: Base) -> Iterator[tuple[Device, Path]]:
    """Buttons with a break contact behind which a contact holds a contactor, with that contact's ends."""
    for device in _all(base, "push-button"):
        for path in contacts(base, device, "break"):
            yield device, path


def _holding(base: Base, stop: Device, path: Path) -> Iterator[tuple[Device, str]]:
    """Contactors that hold themselves behind a stop: the terminal of the contact that the stop feeds."""
    for device in _all(base, "contactor", "relay"):
        ends = coil_ends(base, device)
        for contact in contacts(base, device, "make"):
            for near, far in ((contact.a, contact.b), (contact.b, contact.a)):
                fed = any(same_net(base, f"{device.id}:{near}", f"{stop.id}:{name}") for name in (path.a, path.b))
                if ends and fed and same_net(base, f"{device.id}:{far}", ends[0]):
                    yield device, f"{device.id}:{near}"


@damages("stop-circuit")
def hold_past_stop(base: Base) -> Iterator[Damage]:
    """The contact that holds a contactor fed from ahead of the stop; a stop that closes where it is to open."""
    for stop, path in _stopping(base):
        for contactor, node in _holding(base, stop, path):
            held = at(base, node)
            behind = path.b if same_net(base, node, f"{stop.id}:{path.b}") else path.a
            ahead = f"{stop.id}:{path.a if behind == path.b else path.b}"
            if len(held) == 1:
                plant = led(base, base.plant, held[0], other_end(held[0], node).id, ahead)
                yield from changed(f"{contactor.id} holds itself past {stop.id}", (stop.id,), plant)
            paths = tuple(replace(each, kind="make") if each == path else each for each in stop.paths)
            turned = replace(stop, paths=paths)
            plant = replace(base.plant, devices={**base.plant.devices, stop.id: turned})
            yield from changed(f"{stop.id} closes", (stop.id,), plant)


@damages("stop-circuit")
def trip_past(base: Base) -> Iterator[Damage]:
    """The tripping contact of an overload relay that tells of its trip bridged."""
    for device in _all(base, "overload"):
        for path in contacts(base, device, "break") if any(contacts(base, device, "make")) else ():
            yield from changed(f"{device.id}:{path.a} bridged", (device.id,), bridged(base, base.plant, device, path))


@damages("motor-unprotected")
def trip_unheard(base: Base) -> Iterator[Damage]:
    """The one wired contact of an overload relay bridged."""
    for device in _all(base, "overload"):
        wired = [path for path in device.paths if path.kind != "pole" and at(base, f"{device.id}:{path.a}")]
        behind = [name for name in downstream(base.network, device.id) if base.plant.devices[name].kind == "motor"]
        for path in contacts(base, device, "break") if len(wired) == 1 else ():
            plant = bridged(base, base.plant, device, path)
            yield from changed(f"{device.id}:{path.a} bridged", behind, plant)


def _in_channels(base: Base) -> Iterator[tuple[Device, Device, Path]]:
    """Safety relays with the stops of the plant and their contacts."""
    for relay in _all(base, "safety-relay"):
        for stop in _all(base, *_STOPS):
            for path in contacts(base, stop, "break"):
                yield relay, stop, path


@damages("safety-single-channel")
def channel_bridged(base: Base) -> Iterator[Damage]:
    """One contact of a stop bridged; the two channels joined behind their stops; both outputs of a relay from one contact."""
    for relay, stop, path in _in_channels(base):
        plant = bridged(base, base.plant, stop, path)
        yield from changed(f"{stop.id}:{path.a} bridged", (stop.id, relay.id), plant)
    for relay in _all(base, "safety-relay"):
        backs = [f"{relay.id}:{name}" for name in ("S12", "S22") if at(base, f"{relay.id}:{name}")]
        if len(backs) == 2:
            yield from changed(f"{' and '.join(backs)} joined", (relay.id,), joined(base, base.plant, backs[0], backs[1]))
        for contact in contacts(base, relay, "make"):
            plant = bridged(base, base.plant, relay, contact)
            yield from changed(f"{relay.id}:{contact.a} bridged", (relay.id, *(d.id for d in _all(base, "drive"))), plant)
        for drive in _all(base, "drive"):
            torque = [
                (name, conductor)
                for name in ("14", "24")
                for conductor in at(base, f"{relay.id}:{name}")
                if (far := other_end(conductor, f"{relay.id}:{name}")).device == drive.id
                and {"safe-torque-off-1", "safe-torque-off-2"}.intersection(drive.terminals[far.terminal].functions)
            ]
            if len(torque) == 2:
                name, conductor = torque[1]
                plant = led(base, base.plant, conductor, f"{relay.id}:{name}", f"{relay.id}:{torque[0][0]}")
                yield from changed(f"both inputs of {drive.id} at one contact of {relay.id}", (drive.id, relay.id), plant)


@damages("feedback-missing")
def unheard(base: Base) -> Iterator[Damage]:
    """The break contact of a contactor in a reset loop bridged, or left out of it."""
    for relay in _all(base, "safety-relay"):
        seen = [f"{relay.id}:S33"]
        for _ in range(8):  # along the loop, contact by contact
            for device in _all(base, "contactor"):
                for path in contacts(base, device, "break"):
                    ends = [f"{device.id}:{path.a}", f"{device.id}:{path.b}"]
                    near = [end for end in ends if any(same_net(base, end, each) for each in seen)]
                    if len(near) == 1:
                        seen += ends
                        plant = bridged(base, base.plant, device, path)
                        yield from changed(f"{ends[0]} bridged", (device.id,), plant)


@damages("restart-unexpected")
def start_kept(base: Base) -> Iterator[Damage]:
    """A drive that starts again by itself, its start button bridged; a contactor's start button bridged behind a stop."""
    if not _all(base, "emergency-stop"):
        return
    for drive in _all(base, "drive"):
        if drive.settings.text("safe-torque-off") != "wired" or not drive.settings.text("restart"):
            continue
        for button in _all(base, "push-button"):
            for path in contacts(base, button, "make"):
                if button.function == drive.function and any(
                    same_net(base, f"{button.id}:{name}", f"{drive.id}:{terminal}")
                    for name in (path.a, path.b)
                    for terminal in drive.terminals
                ):
                    plant = setting(bridged(base, base.plant, button, path), drive, "restart", "automatic")
                    yield from changed(f"{drive.id} restarts, {button.id} bridged", (drive.id,), plant)
    for stop, path in _stopping(base):
        for contactor, _ in _holding(base, stop, path):
            ends = coil_ends(base, contactor)
            for contact in contacts(base, contactor, "make"):
                far = [n for n in (contact.a, contact.b) if ends and same_net(base, f"{contactor.id}:{n}", ends[0])]
                if len(far) == 1:
                    plant = bridged(base, base.plant, contactor, contact)
                    motors = [device.id for device in _all(base, "motor") if device.function == contactor.function]
                    yield from changed(f"{contactor.id} wanted without a start", motors, plant)


@damages("guard-unlocked")
def lock_fed_past(base: Base) -> Iterator[Damage]:
    """The make contact of a timer ahead of the coil that releases a guard exchanged for its break contact."""
    for guard in _all(base, "switch"):
        for timer in _all(base, "timer") if coil_ends(base, guard) else ():
            for make in contacts(base, timer, "make"):
                other = next((path for path in timer.paths if path.kind == "break" and path.a == make.a), None)
                held = at(base, f"{timer.id}:{make.b}")
                if other is not None and len(held) == 1:
                    plant = led(base, base.plant, held[0], f"{timer.id}:{make.b}", f"{timer.id}:{other.b}")
                    yield from changed(f"{timer.id} feeds the lock of {guard.id} while it waits", (guard.id,), plant)


@damages("brake-unprotected")
def thermal_switch_loose(base: Base) -> Iterator[Damage]:
    """What lands on the thermal switch of a brake resistor taken off."""
    for resistor in _all(base, "resistor"):
        for path in contacts(base, resistor, "break"):
            loose = [each.id for name in (path.a, path.b) for each in at(base, f"{resistor.id}:{name}")]
            yield from changed(f"the thermal switch of {resistor.id} is not wired", (resistor.id,), without(base.plant, *loose))
