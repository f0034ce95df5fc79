"""Main isolators, what begins ahead of them, and what stays live with them off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice

from msgspec import Struct

from netdsl.model.kinds import PASSED, Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.queries import devices_on
from netdsl.network.search import walk
from netdsl.network.types import Network, Potential

#: what an isolator beside a motor leads to, and a main isolator more than that
_ENDS = PASSED | {Kind.MOTOR, Kind.STRIP, Kind.HEATER}
#: poles that are earthed or the common of their source: no danger of their own
_QUIET = frozenset({"PE", "PEN", "N", "0V", "-", "FE"})
_FEEDS = frozenset({Role.LINE_IN, Role.SUPPLY_IN})
_UNEARTHED = frozenset({Role.SUPPLY_COMMON, Role.NEUTRAL, Role.EARTH, Role.EARTH_THROUGH, Role.FUNCTIONAL_EARTH})


class LiveCircuits(Struct, frozen=True):
    """`isolators`: ids of the devices that disconnect the supplies, in order of the power tree. `nets`: ids of the nets that stay
    live with them off."""

    isolators: tuple[str, ...]
    nets: frozenset[str]


class Ahead(Struct, frozen=True):
    """What lies between a supply and its main isolators. `devices`: the supply and what leads to the isolators; `nets`: those of
    them with a phase of the supply."""

    devices: frozenset[str]
    nets: frozenset[str]


def main_isolators(network: Network, supply: str) -> tuple[str, ...]:
    """The first isolators behind a supply that lead to more than the motor beside them, nearest first.

    None where more devices of the supply lie beside them than behind: then they are the isolators of a few feeders.
    """
    graph, devices = network.power.graph, network.plant.devices
    if supply not in graph:
        return ()

    def isolates(name: str) -> bool:
        return devices[name].kind == Kind.ISOLATOR and any(devices[fed].kind not in _ENDS for fed in _behind(graph.succ, name))

    def beyond(name: str) -> list[str]:
        ends = name != supply and (isolates(name) or devices[name].category == Category.SUPPLY)
        return [] if ends else sorted(graph.successors(name))

    found = [name for name in walk((supply,), beyond) if name != supply and isolates(name)]
    behind = set(walk(found, graph.succ.__getitem__))
    leading = {name for main in found for name in _behind(graph.pred, main)}
    beside = set(_behind(graph.succ, supply)) - behind - leading
    return tuple(found) if len(behind) > len(beside) else ()


def disconnectors(network: Network, supply: str) -> tuple[str, ...]:
    """What disconnects a supply: its main isolators, else isolators and breakers that it reaches through nothing but terminals.

    A breaker may be the supply disconnecting device (IEC 60204-1, 5.3.2), yet beside a main isolator it is that of a feeder.
    """
    return main_isolators(network, supply) or _first_switches(network, supply)


def _behind(joined: Mapping[str, Iterable[str]], name: str) -> Iterator[str]:
    """What is reached from `name`, itself apart, nearest first."""
    return islice(walk((name,), joined.__getitem__), 1, None)


def _first_switches(network: Network, supply: str) -> tuple[str, ...]:
    """Isolators and breakers in an enclosure with nothing but strips between them and the supply."""
    graph, devices, places = network.power.graph, network.plant.devices, network.plant.places
    if supply not in graph:
        return ()

    def disconnects(name: str) -> bool:
        place = places.get(devices[name].place)
        return devices[name].kind in (Kind.ISOLATOR, Kind.BREAKER) and place is not None and bool(place.enclosure)

    def beyond(name: str) -> list[str]:
        return sorted(graph.successors(name)) if devices[name].category in (Category.SUPPLY, Category.STRIP) else []

    return tuple(name for name in walk((supply,), beyond) if disconnects(name))


def ahead_of_isolators(network: Network, supply: str) -> Ahead:
    """What lies between a supply and its main isolators."""
    mains = main_isolators(network, supply)
    net_of = network.net_of
    pred = network.power.graph.pred
    leading = {supply, *(name for main in mains for name in _behind(pred, main))}

    def beyond(net: str) -> Iterator[str]:
        for device, terminal in devices_on(network, net):
            if device.id in leading and device.id not in mains:
                yield from (net_of[f"{device.id}:{other}"] for other in _carried(device, terminal))

    nets = walk([net_of[f"{supply}:{name}"] for name in network.plant.devices[supply].terminals], beyond)
    return Ahead(frozenset(leading), frozenset(net for net in nets if has_phase(network.nets[net].possible, supply)))


def has_phase(potentials: Iterable[Potential], supply: str) -> bool:
    """Whether a live pole of a supply is among potentials."""
    return any(p.device == supply and p.kind != "earth" and p.pole not in ("N", "PE", "PEN", "0V") for p in potentials)


def live_circuits(network: Network) -> LiveCircuits:
    """The circuits live with the supplies disconnected: those taken ahead, and those fed from outside equipment.

    Where nothing disconnects a supply there is nothing to switch off: none is named. What a source inside makes of a live feed
    is live too.
    """
    supplies = [device.id for device in network.plant.devices.values() if device.category == Category.SUPPLY]
    found = {name for supply in supplies for name in disconnectors(network, supply)}
    isolators = tuple(name for name in network.power.order if name in found)
    if not isolators:
        return LiveCircuits((), frozenset())
    return LiveCircuits(isolators, frozenset(walk(_fed_from_outside(network), lambda net: _beyond(network, net, found))))


def _fed_from_outside(network: Network) -> Iterator[str]:
    """Nets at live terminals of supplies, and nets that power from outside equipment may reach."""
    devices = network.plant.devices
    for device in devices.values():
        if device.category == Category.SUPPLY:
            nets = (network.net(f"{device.id}:{name}") for name in device.terminals if name not in _QUIET)
            yield from (net.id for net in nets if net is not None)
    for net in network.nets.values():
        if any(_dangerous(p) and p.device in devices and devices[p.device].category == Category.OUTSIDE for p in net.possible):
            yield net.id


def _dangerous(potential: Potential) -> bool:
    return potential.kind in ("ac", "dc", "pwm") and potential.pole not in _QUIET


def _beyond(network: Network, net: str, isolators: set[str]) -> Iterator[str]:
    """Nets one device further: through any pole or contact but an isolator's, and out of sources that `net` feeds."""
    for device, name in devices_on(network, net):
        if device.id in isolators:
            continue
        terminal = name.removesuffix("/in").removesuffix("/out")
        ends = [path.b if path.a == terminal else path.a for path in device.paths if terminal in (path.a, path.b)]
        own = device.terminals.get(terminal)
        if own is not None and own.split:  # a fuse or knife in a terminal is closed in service
            ends += [f"{terminal}/in", f"{terminal}/out"]
        if own is not None and own.role in _FEEDS:
            ends += _outputs(device)
        nets = (network.net(f"{device.id}:{end}") for end in ends)
        yield from (found.id for found in nets if found is not None)


def _outputs(device: Device) -> list[str]:
    """Live poles of the sources inside `device`, and the outputs of a drive."""
    poles = [pole for source in device.sources if source.voltage_kind != "signal" for pole in source.poles]
    poles += [name for name, terminal in device.terminals.items() if terminal.role is Role.MOTOR_OUT]
    return [pole for pole in poles if pole in device.terminals and device.terminals[pole].role not in _UNEARTHED]


def _carried(device: Device, terminal: str) -> list[str]:
    """Terminals or sides of a device that are live where `terminal` is."""
    if terminal.endswith(("/in", "/out")):
        return [f"{terminal.rpartition('/')[0]}/{side}" for side in ("in", "out")]
    ways = [path for path in device.paths if path.kind in ("pole", "link") and terminal in (path.a, path.b)]
    return [end for path in ways for end in (path.a, path.b)]
