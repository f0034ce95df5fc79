"""What was renamed, recognised by what it is and what is connected to it, stands in it or lies in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from netdsl.comparing.names import Names
from netdsl.comparing.pairing import Features, paired
from netdsl.comparing.rails import renumbered
from netdsl.model.plant import Conductor, Device
from netdsl.network.types import Network

#: least likeness of what is taken for the same under another name; functions are compared by what is in them
_FUNCTION, _DEVICE, _CABLE, _PLACE = 0.4, 0.5, 0.4, 0.5


def names_between(old: Network, new: Network) -> Names:
    """What was renamed between two plants. With old and new exchanged, the same the other way round."""
    things = _functions(old, new)
    things |= _places(old, new) | _routes(old, new)
    for _ in range(2):  # what is joined to something renamed is recognised once that is
        things |= _devices(old, new, things)
        things |= _cables(old, new, things)
    names = Names(things)
    terminals: dict[str, Mapping[str, str]] = {}
    for device in old.plant.devices.values():
        after = new.plant.devices.get(names.thing(device.id))
        if after is not None and device.category == after.category == "strip":
            moved = renumbered(old, device, new, after, names)
            if moved:
                terminals[after.id] = moved
    changed = {before: after for before, after in things.items() if before != after}
    return Names(changed, terminals, _lost(old, changed))


def _lost(old: Network, changed: Mapping[str, str]) -> frozenset[str]:
    """Old things whose name now belongs to another that was there before."""
    taken = set(changed.values())
    tables = (old.plant.functions, old.plant.devices, old.plant.cables)
    return frozenset(name for table in tables for name in table if name in taken and name not in changed)


def _functions(old: Network, new: Network) -> dict[str, str]:
    """Renamed functions, with everything in them that kept the rest of its name."""
    before, after = old.plant.functions, new.plant.functions
    # another title may mean that the name went to another function
    other = {name for name in before if name in after and before[name].title != after[name].title}
    gone = {name: _contents(old, name) for name in before if name not in after or name in other}
    come = {name: _contents(new, name) for name in after if name not in before or name in other}
    found = paired(gone, come, _FUNCTION) if gone and come else {}
    things = dict(found)
    for function, now in found.items():
        for table, others in ((old.plant.devices, new.plant.devices), (old.plant.cables, new.plant.cables)):
            for name in table:
                moved = now + name.removeprefix(function)
                if name.startswith(f"{function}-") and moved in others:
                    things[name] = moved
    return things


def _contents(network: Network, function: str) -> Features:
    """What is in a function, and to what outside it that is joined."""
    found: Features = Counter()
    start = f"{function}-"
    for device in network.plant.devices.values():
        if device.id.startswith(start):
            found["device", device.product, device.kind] += 1
    for conductor in network.plant.conductors.values():
        a, b = (end.id for end in conductor.ends)
        for own, other in ((a, b), (b, a)):
            if own.startswith(start) and not other.startswith(start):
                found["joined", own.removeprefix(function), other] += 1
    found["title", network.plant.functions[function].title] += 1
    return found


def _places(old: Network, new: Network) -> dict[str, str]:
    """Renamed places, by what stands in them."""
    before, after = old.plant.places, new.plant.places
    gone, come = [name for name in before if name not in after], [name for name in after if name not in before]
    return paired(_of_places(old, gone), _of_places(new, come), _PLACE) if gone and come else {}


def _of_places(network: Network, names: list[str]) -> dict[str, Features]:
    plant = network.plant
    found: dict[str, Features] = {}
    for name in names:
        place = plant.places[name]
        found[name] = Counter([("kind", place.kind), ("title", place.title)])
    for device in plant.devices.values():
        if device.place in found:
            found[device.place]["stands", device.id] += 1
    for route in plant.routes.values():
        if route.place in found:
            found[route.place]["route", route.id] += 1
    return found


def _routes(old: Network, new: Network) -> dict[str, str]:
    """Renamed routes, by what lies in them."""
    before, after = old.plant.routes, new.plant.routes
    gone, come = [name for name in before if name not in after], [name for name in after if name not in before]
    return paired(_of_routes(old, gone), _of_routes(new, come), _PLACE) if gone and come else {}


def _of_routes(network: Network, names: list[str]) -> dict[str, Features]:
    found: dict[str, Features] = {}
    for name in names:
        route = network.plant.routes[name]
        found[name] = Counter([("kind", route.kind), ("title", route.title), ("length", route.length_m)])
    for content in network.contents:
        if content.route in found:
            found[content.route].update(("lies", name) for name in (*content.runs, *content.cables))
    return found


def _devices(old: Network, new: Network, things: Mapping[str, str]) -> dict[str, str]:
    before, after = old.plant.devices, new.plant.devices
    taken, joints = set(things.values()), (_joints(old), _joints(new))
    doubtful = {
        name
        for name in before
        if name in after and name not in things and name not in taken and _other(before[name], after[name], joints)
    }
    gone = [name for name in before if name not in things and (name not in after or name in taken or name in doubtful)]
    come = [name for name in after if name not in taken and (name not in before or name in things or name in doubtful)]
    known = {name: things.get(name, name) for name in before if name not in gone}
    gone_as = {name: _of_device(before[name], joints[0], known) for name in gone}
    itself = {name: name for name in after if name not in come}
    come_as = {name: _of_device(after[name], joints[1], itself) for name in come}
    return {name: other for name, other in paired(gone_as, come_as, _DEVICE).items() if before[name].kind == after[other].kind}


def _other(before: Device, after: Device, joints: tuple[_Joints, _Joints]) -> bool:
    """Whether two devices of one name are so different that they may be two: another kind, or nothing joined as it was."""
    one, two = joints[0].get(before.id, []), joints[1].get(after.id, [])
    return before.kind != after.kind or (len(one) > 1 and len(two) > 1 and not {*one} & {*two})


_Joints = Mapping[str, list[tuple[str, str, str]]]


def _joints(network: Network) -> dict[str, list[tuple[str, str, str]]]:
    """For each device its terminals with the device and terminal at the other end."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for conductor in network.plant.conductors.values():
        for own, other in (conductor.ends, conductor.ends[::-1]):
            found.setdefault(own.device, []).append((own.terminal, other.device, other.terminal))
    return found


def _of_device(device: Device, joints: _Joints, known: Mapping[str, str]) -> Features:
    """What tells a device from others whatever it is called; what is at the other end by name only where that is known."""
    found: Features = Counter()
    for own, other, terminal in joints.get(device.id, ()):
        found["joined", device.kind, own, known.get(other, "?"), terminal] += 1
    found["part", device.part.name if device.part else device.kind, device.place] += 1
    found["title", device.kind, device.title] += 1
    return found


def _cables(old: Network, new: Network, things: Mapping[str, str]) -> dict[str, str]:
    before, after = old.plant.cables, new.plant.cables
    taken = set(things.values())
    gone = {name for name in before if name not in things and (name not in after or name in taken)}
    come = {name for name in after if name not in taken and (name not in before or name in things)}
    return paired(_of_cables(old, gone, things), _of_cables(new, come, {}), _CABLE)


def _of_cables(network: Network, names: set[str], things: Mapping[str, str]) -> dict[str, Features]:
    found: dict[str, Features] = {}
    for name in sorted(names):
        cable = network.plant.cables[name]
        features: Features = Counter([("construction", cable.construction)])
        for identity in cable.conductors:
            conductor = network.plant.conductors[identity]
            features["core", conductor.core, *_ends(conductor, things)] += 2
        found[name] = features
    return found


def _ends(conductor: Conductor, things: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(sorted(f"{things.get(end.device, end.device)}:{end.terminal}" for end in conductor.ends))
