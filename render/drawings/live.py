"""Which circuits stay live with the main isolator off: those taken before it, and those fed from outside equipment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from netdsl.model.plant import Device, Role
from netdsl.network.types import Net, Network

#: poles that are earthed or the common of their source: no danger of their own
_QUIET = frozenset({"PE", "PEN", "N", "0V", "-", "FE"})
_FEEDS = frozenset({Role.LINE_IN, Role.SUPPLY_IN})
_UNEARTHED = frozenset({Role.SUPPLY_COMMON, Role.NEUTRAL, Role.EARTH, Role.EARTH_THROUGH, Role.FUNCTIONAL_EARTH})


@dataclass(frozen=True, slots=True)
class LiveCircuits:
    """`isolators`: ids of the main isolators, in order of the power tree. `nets`: ids of the nets live with them off."""

    isolators: tuple[str, ...]
    nets: frozenset[str]


def live_circuits(network: Network) -> LiveCircuits:
    """The circuits live with the main isolators off. Without an isolator there is nothing to switch off: none is named.

    A main isolator is the first isolator that a supply reaches in an enclosure, or a breaker that it reaches through nothing
    but terminals; one beside a motor is none. What a source inside makes of a live feed is live too.
    """
    isolators = _main_isolators(network)
    if not isolators:
        return LiveCircuits((), frozenset())
    live: set[str] = set()
    queue = list(_fed_from_outside(network))
    while queue:
        net = queue.pop()
        if net.id in live:
            continue
        live.add(net.id)
        queue += _beyond(network, net, frozenset(isolators), live)
    return LiveCircuits(isolators, frozenset(live))


def _main_isolators(network: Network) -> tuple[str, ...]:
    """First isolators on the way from each supply."""
    graph = network.power.graph
    devices = network.plant.devices
    found: list[str] = []
    seen: set[str] = set()
    queue = [name for name in network.power.order if name in devices and devices[name].category == "supply"]
    while queue:
        name = queue.pop(0)
        if name in seen or name not in graph:
            continue
        seen.add(name)
        if name in devices and _switches_all(network, devices[name]):
            found.append(name)
        else:
            queue += sorted(graph.successors(name))
    return tuple(name for name in network.power.order if name in found)


def _switches_all(network: Network, device: Device) -> bool:
    if not _enclosed(network, device):
        return False
    if device.kind == "isolator":
        return True
    before = network.plant.devices
    feeders = [before[name].category for name in network.power.graph.predecessors(device.id) if name in before]
    return device.kind == "breaker" and all(category in ("supply", "strip") for category in feeders)


def _enclosed(network: Network, device: Device) -> bool:
    place = network.plant.places.get(device.place)
    return place is not None and bool(place.enclosure)


def _fed_from_outside(network: Network) -> Iterable[Net]:
    """Nets at live terminals of supplies, and nets that power from outside equipment may reach."""
    devices = network.plant.devices
    for device in devices.values():
        if device.category == "supply":
            for name in device.terminals:
                net = network.net(f"{device.id}:{name}")
                if net is not None and name not in _QUIET:
                    yield net
    for net in network.nets.values():
        for potential in net.possible:
            source = devices.get(potential.device)
            if source is not None and source.category == "outside" and _dangerous(potential.pole, potential.kind):
                yield net


def _dangerous(pole: str, kind: str) -> bool:
    return kind in ("ac", "dc", "pwm") and pole not in _QUIET


def _beyond(network: Network, net: Net, isolators: frozenset[str], live: set[str]) -> list[Net]:
    """Nets one device further: through any pole or contact but an isolator's, and out of sources that `net` feeds."""
    found = []
    for node in net.nodes:
        device, terminal = _device_of(network, node)
        if device is None or device.id in isolators:
            continue
        for path in device.paths:
            if terminal in (path.a, path.b):
                found.append(network.net(f"{device.id}:{path.b if path.a == terminal else path.a}"))
        own = device.terminals.get(terminal)
        if own is not None and own.split:  # a fuse or knife in a terminal is closed in service
            found += [network.net(f"{device.id}:{terminal}/{side}") for side in ("in", "out")]
        if own is not None and own.role in _FEEDS:
            found += [network.net(f"{device.id}:{pole}") for pole in _outputs(device)]
    return [net for net in found if net is not None and net.id not in live]


def _outputs(device: Device) -> list[str]:
    """Live poles of the sources inside `device`, and the outputs of a drive."""
    poles = [pole for source in device.sources if source.voltage_kind != "signal" for pole in source.poles]
    poles += [name for name, terminal in device.terminals.items() if terminal.role is Role.MOTOR_OUT]
    return [pole for pole in poles if pole in device.terminals and device.terminals[pole].role not in _UNEARTHED]


def _device_of(network: Network, node: str) -> tuple[Device | None, str]:
    name, _, terminal = node.partition(":")
    return network.plant.devices.get(name), terminal.removesuffix("/in").removesuffix("/out")
