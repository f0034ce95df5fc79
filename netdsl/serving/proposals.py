"""What the parameters of a scheme may stand for in this plant: free terminals, bars, places and ways that fit by their names."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device
from netdsl.network.terminal_rows import terminal_rows
from netdsl.network.types import Network
from netdsl.syntax.tree import Scheme

#: figures to begin with where the plant has none yet: those of one common motor, and others of the series
_FIGURES: Mapping[str, tuple[str, ...]] = {
    "power": ("4kW", "1.5kW", "7.5kW", "11kW"),
    "current": ("8.5A", "3.4A", "15.5A", "22A"),
    "rating": ("10A", "4A", "16A", "25A"),
    "length": ("20m", "10m", "30m"),
}
_MOST = 12


def proposed(network: Network, scheme: Scheme, enclosure: str) -> dict[str, tuple[str, ...]]:
    """By parameter that must be given, what fits, the best first; empty where nothing is known. `enclosure`: the place around."""
    plant = network.plant
    devices = [device for device in plant.devices.values() if not device.function]
    rail, feed, zero = _rail(network, devices)
    bars = [device for device in devices if device.kind == Kind.EARTH_BAR]
    ways = [route for route in plant.routes.values() if route.kind not in ("duct", "hinge")]
    doors = [place.id for place in plant.places.values() if place.kind == "door"]
    found: dict[str, Callable[[], Iterable[str]]] = {
        "bus": lambda: (each.id for each in devices if each.category == Category.BUSBAR),
        "rail": lambda: (rail,) if rail else (),
        "feed": lambda: feed,
        "zero": lambda: zero,
        "bar": lambda: (each.id for each in bars),
        "earth": lambda: _free(network, bars[0]) if bars else (),
        "door": lambda: doors,
        "door-way": lambda: _door_way(network, enclosure, doors),
        "field": lambda: (place.id for place in plant.places.values() if place.kind == "field"),
        "way": lambda: (each.id for each in ways),
        "control-way": lambda: [each.id for each in ways][::-1],
    }
    result = {}
    for param in scheme.params:
        name = param.name.text
        if param.default is None:
            values = found[name]() if name in found else _FIGURES.get(name, ())
            result[name] = tuple(dict.fromkeys(values))[:_MOST]
    return result


def _free(network: Network, device: Device) -> list[str]:
    """Terminals of a device on which nothing lands."""
    return [
        str(row["terminal"])
        for row in terminal_rows(network, device)
        if not row["conductors"] and not row["screens"] and row["role"] != "screen"
    ]


def _rail(network: Network, devices: Iterable[Device]) -> tuple[str, list[str], list[str]]:
    """The strip that distributes a control voltage, with its free terminals of the live pole and of the other."""
    for device in devices:
        if device.category != Category.STRIP or not device.bridges:
            continue
        poles: dict[str, list[str]] = {"+": [], "0V": []}
        for name in _free(network, device):
            net = network.net(f"{device.id}:{name}") or network.net(f"{device.id}:{name}/in")
            for potential in net.certain if net is not None else ():
                if potential.pole in poles:
                    poles[potential.pole].append(name)
        if poles["+"] and poles["0V"]:
            return device.id, poles["+"], poles["0V"]
    return "", [], []


def _door_way(network: Network, enclosure: str, doors: Iterable[str]) -> list[str]:
    """The duct in which control wires lie by default, and the loop over the hinges."""
    plant = network.plant
    ducts = [each.routes for each in plant.defaults if each.klass == "control" and each.routes]
    hinges = [route.id for route in plant.routes.values() if route.kind == "hinge" and route.place in set(doors)]
    own = [route.id for route in plant.routes.values() if route.kind == "duct" and route.place == enclosure]
    first = list(ducts[0]) if ducts else own[-1:]
    return [",".join([*first, *hinges[:1]])] if first or hinges else []
