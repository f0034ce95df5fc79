"""Changes to a plant after it is read, where what is damaged is wired by a scheme and has no text of its own to change."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.model.plant import Conductor, Device, End, InterlockPair, Path, Plant, Role
from netdsl.model.ratings import Ratings
from netdsl.network.types import ConductorClass
from netdsl.quantities import parse_quantity
from tests.soundness.bases import Base

_CONTROL = (ConductorClass.CONTROL, ConductorClass.SAFETY)


def at(base: Base, node: str) -> list[Conductor]:
    """The conductors at a terminal."""
    return [base.plant.conductors[name] for name in base.network.at_terminal.get(node, ())]


def other_end(conductor: Conductor, node: str) -> End:
    """The end of a conductor that is not at a terminal."""
    return conductor.ends[1 if conductor.ends[0].id == node else 0]


def end_at(base: Base, node: str) -> End:
    """An end at a terminal, as of a conductor that lands there."""
    device, _, terminal = node.rpartition(":")
    return End(device, terminal, base.plant.devices[device].span)


def same_net(base: Base, one: str, other: str) -> bool:
    """Whether two wired terminals are on one net."""
    net = base.network.net_of.get(one)
    return net is not None and net == base.network.net_of.get(other)


# --- contacts -------------------------------------------------------------------------------------------------------------
def contacts(base: Base, device: Device, *kinds: str) -> Iterator[Path]:
    """Contacts of a device (`make`, `break`, `pole`) of which both sides are wired, and to different nets."""
    for path in device.paths:
        ends = (f"{device.id}:{path.a}", f"{device.id}:{path.b}")
        if path.kind in kinds and all(base.network.at_terminal.get(end) for end in ends) and not same_net(base, *ends):
            yield path


def free_contact(base: Base, device: Device, kind: str) -> Path | None:
    """A contact of a device that nothing is wired to."""
    for path in device.paths:
        used = [name for name in (path.a, path.b) if base.network.at_terminal.get(f"{device.id}:{name}")]
        if path.kind == kind and not used and "delayed" not in path.marks:
            return path
    return None


def coil_ends(base: Base, device: Device) -> tuple[str, str] | None:
    """The terminals of a contactor's or relay's coil where both are wired: the one that is switched, the common one."""
    coils = [name for name, terminal in device.terminals.items() if terminal.role is Role.COIL]
    nodes = [f"{device.id}:{name}" for name in coils]
    return (nodes[0], nodes[1]) if len(nodes) == 2 and all(at(base, node) for node in nodes) else None


def is_control(base: Base, conductor: Conductor) -> bool:
    return base.network.runs[conductor.id].klass in _CONTROL


# --- changed plants -------------------------------------------------------------------------------------------------------
def without(plant: Plant, *names: str) -> Plant:
    """Without these conductors."""
    kept = {name: conductor for name, conductor in plant.conductors.items() if name not in names}
    cables = {
        name: replace(cable, conductors=tuple(core for core in cable.conductors if core not in names))
        for name, cable in plant.cables.items()
    }
    return replace(plant, conductors=kept, cables=cables)


def joined(base: Base, plant: Plant, one: str, other: str) -> Plant:
    """With a wire more between two terminals, as those that are there."""
    like = next(conductor for node in (one, other) for conductor in at(base, node))
    ends = (end_at(base, one), end_at(base, other))
    name = f"{one} -- {other}"
    wire = replace(like, id=name, ends=ends, cable=None, core="", section_mm2=0.75, colour="DBU", chain="", length_m=1.0)
    return replace(plant, conductors={**plant.conductors, name: wire})


def led(base: Base, plant: Plant, conductor: Conductor, node: str, to: str) -> Plant:
    """With the end of a conductor at `node` led to another terminal."""
    new = end_at(base, to)
    ends = (new, conductor.ends[1]) if conductor.ends[0].id == node else (conductor.ends[0], new)
    changed = {name: replace(each, ends=ends) if name == conductor.id else each for name, each in plant.conductors.items()}
    return replace(plant, conductors=changed)


def bridged(base: Base, plant: Plant, device: Device, path: Path) -> Plant:
    """With a wire past a contact."""
    return joined(base, plant, f"{device.id}:{path.a}", f"{device.id}:{path.b}")


def apart_no_more(plant: Plant, devices: tuple[str, ...], *kinds: str) -> Plant:
    """Without the statements that keep these devices apart, of these kinds."""

    def goes(pair: InterlockPair) -> bool:
        return pair.kind in kinds and set(pair.devices) == set(devices)

    return replace(plant, interlocks=tuple(pair for pair in plant.interlocks if not goes(pair)))


def rated(plant: Plant, device: Device, name: str, text: str) -> Plant:
    """With another rating of a device."""
    ratings = Ratings({**device.ratings, name: parse_quantity(text) or text})
    return replace(plant, devices={**plant.devices, device.id: replace(device, ratings=ratings)})


def setting(plant: Plant, device: Device, name: str, value: str) -> Plant:
    """With a word set on a device."""
    settings = Ratings({**device.settings, name: value})
    changed = replace(device, settings=settings, settings_set=device.settings_set | {name})
    return replace(plant, devices={**plant.devices, device.id: changed})
