"""The power tree: how power flows from the supplies through switching and protective devices to the loads."""

from __future__ import annotations

from collections import deque

from msgspec import Struct, field

from netdsl.model.kinds import INNER_SUPPLIES, PASSED, TAPPED, Category, Kind
from netdsl.model.plant import Device, Plant, Role
from netdsl.network.nets import Joined, mated
from netdsl.network.nodes import is_drive, with_role
from netdsl.network.potentials import Spread
from netdsl.network.search import walk
from netdsl.network.types import PowerTree

#: consumers that belong to control circuits, not to the power path
_SIGNALLING = frozenset({Kind.LAMP, Kind.BUZZER, Kind.METER, Kind.VALVE, Kind.RELAY})
_IN = frozenset({Role.LINE_IN, Role.WINDING})
_LEAVES = INNER_SUPPLIES | {Kind.MOTOR}


class _Feed(Struct):
    """What leads from one device to the next."""

    conductors: dict[str, None] = field(default_factory=dict)
    nets: set[int] = field(default_factory=set)
    neutral: bool = False


class _Walk(Struct):
    """State of the walk: feeds between devices, nodes still to leave as (node, device that feeds it, conductor it came by).

    No walk of `netdsl.network.search`: where it goes on depends on the conductor it came by, and some arrivals wait until all
    else is done.
    """

    plant: Plant
    joined: Joined
    at: dict[int, list[tuple[str, int]]]
    inner: dict[int, list[int]]
    housed: dict[str, list[Device]] = field(default_factory=dict)
    feeds: dict[str, dict[str, _Feed]] = field(default_factory=dict)
    reached: set[str] = field(default_factory=set)
    seen: set[tuple[int, str]] = field(default_factory=set)
    passed: set[tuple[int, str]] = field(default_factory=set)
    queue: deque[tuple[int, str, str]] = field(default_factory=deque)
    #: arrivals at load terminals, kept back: most are outputs joined side by side, which feed nothing into each other
    backward: deque[tuple[int, str, str]] = field(default_factory=deque)

    def start(self, node: int, device: str) -> None:
        """Let power begin at `node` of `device`."""
        self.reached.add(device)
        self.feeds.setdefault(device, {})
        self._push(node, device, "")

    def run(self) -> None:
        """Walk until nothing new is reached; a device fed from its load side only is entered there last."""
        while self.queue or self.backward:
            if self.queue:
                node, feeder, came = self.queue.popleft()
                for conductor, other in self.at.get(node, ()):
                    if conductor != came:
                        self._arrive(other, feeder, conductor)
            else:
                node, feeder, conductor = self.backward.popleft()
                if not self.reached & {device.id for device in self._entered(node)}:
                    self._enter(node, feeder, conductor)

    def _push(self, node: int, feeder: str, came: str) -> None:
        if (node, feeder) not in self.seen:
            self.seen.add((node, feeder))
            self.queue.append((node, feeder, came))

    def _arrive(self, node: int, feeder: str, conductor: str) -> None:
        """A conductor from `feeder` lands at `node`."""
        device = self.joined.nodes.device(node)
        terminal = self.joined.nodes.terminals[node]
        if device is None or terminal is None or device.category == Category.SUPPLY or device.id == feeder:
            return
        if terminal.role == Role.LOAD_OUT:
            self._push(node, feeder, conductor)  # it only passes here, as from one of two parallel contactors
            self.backward.append((node, feeder, conductor))
        elif _takes_power(device, terminal.role):
            self._enter(node, feeder, conductor)

    def _enter(self, node: int, feeder: str, conductor: str) -> None:
        for device in self._entered(node):
            self._go_through(device, node, feeder, conductor)

    def _entered(self, node: int) -> tuple[Device, ...]:
        """The device that power enters at a node; of a housing its channels there that are wired on."""
        owner = self.plant.devices[self.joined.nodes.owners[node]]
        terminal = self.joined.nodes.terminals[node]
        if owner.kind != Kind.HOUSING or terminal is None:
            return (owner,)
        return tuple(each for each in self.housed[owner.id] if terminal.name in each.terminals and self._wired(each))

    def _wired(self, channel: Device) -> bool:
        of_terminal = self.joined.nodes.of_terminal
        return all(of_terminal(channel.host, name) in self.at for name in channel.terminals)

    def _go_through(self, device: Device, node: int, feeder: str, conductor: str) -> None:
        if not self._note(feeder, device.id, conductor):
            return
        # what hangs on a terminal of a breaker is fed by what feeds the breaker; on a strip, by the strip
        carrier = device.category in TAPPED or device.kind in PASSED
        self._push(node, device.id if carrier else feeder, conductor)
        if device.kind in _LEAVES:
            return
        if device.host:
            self._leave(device, node)
            return
        ways = self.inner.get(node, [])
        if (id(ways), device.id) not in self.passed:  # what is bridged has one list: entered again it leads nowhere new
            self.passed.add((id(ways), device.id))
            for inner in ways:
                if inner != node:
                    self._push(inner, device.id, "")

    def _leave(self, channel: Device, node: int) -> None:
        """Out of a channel by its other terminal, on which conductors land as one of the housing."""
        for name in channel.terminals:
            other = self.joined.nodes.of_terminal(channel.host, name)
            if other is not None and other != node:
                self._push(other, channel.id, "")

    def _note(self, feeder: str, device: str, conductor: str) -> bool:
        """Add a conductor to the feed from `feeder` to `device`; False where `device` feeds `feeder` already."""
        feeds = self.feeds[feeder]
        if device not in feeds:
            if device in self.reached and self._reaches(device, feeder):  # a ring of strips: the way found first feeds
                return False
            feeds[device] = _Feed()
        self.reached.add(device)
        self.feeds.setdefault(device, {})
        feeds[device].conductors[conductor] = None
        feeds[device].nets.add(self.joined.net_of_conductor[conductor])
        return True

    def _reaches(self, start: str, goal: str) -> bool:
        return goal in walk((start,), lambda device: self.feeds.get(device, ()))


def _takes_power(device: Device, role: Role) -> bool:
    """Whether power may enter a device at a terminal of this role."""
    if role in _IN:
        return True
    if role == Role.PLAIN:
        return device.category in TAPPED or device.kind in PASSED
    if role == Role.CONTACT:
        return device.kind == Kind.THERMOSTAT
    return role == Role.LOAD and device.kind not in _SIGNALLING


def power_tree(plant: Plant, joined: Joined, spread: Spread) -> PowerTree:
    """The power tree of a plant.

    Control circuits stay out: power enters a device at line, winding and load terminals, at strips, bars and boxes, and
    leaves it through its poles, a drive through its motor terminals. A strip that leads to no such device is left out.
    Neutral and 0 V conductors are counted to the feeds beside which they run; protective conductors are not.
    """
    import networkx as nx

    power = _Walk(plant, joined, _conductors_at(plant, joined), _inner_ways(plant, joined))
    for channel in plant.devices.values():
        if channel.host:
            power.housed.setdefault(channel.host, []).append(channel)
    for device, nodes in _origins(plant, joined, spread):
        for node in nodes:
            power.start(node, device)
        if device in power.feeds:
            power.run()
    _prune(plant, power.feeds)
    _add_returns(plant, joined, spread, power.feeds)
    graph = nx.DiGraph()
    graph.add_nodes_from(device for device in plant.devices if device in power.feeds)
    for feeder in plant.devices:
        for fed, feed in power.feeds.get(feeder, {}).items():
            cables = dict.fromkeys(c for i in feed.conductors if (c := plant.conductors[i].cable) is not None)
            poles = len(feed.nets)
            graph.add_edge(
                feeder, fed, conductors=tuple(feed.conductors), cables=tuple(cables), poles=poles, neutral=feed.neutral
            )
    return PowerTree(graph, _order(plant, power.feeds))


def _origins(plant: Plant, joined: Joined, spread: Spread) -> list[tuple[str, list[int]]]:
    """Where power begins: live poles of the supplies, then of what converts it; supplies first."""
    found: dict[str, list[int]] = {}
    supplies = [device.id for device in plant.devices.values() if device.category == Category.SUPPLY]
    converters = [device.id for device in plant.devices.values() if device.kind in INNER_SUPPLIES]
    for device in (*supplies, *converters):
        found[device] = []
    # nets that one source holds share one tuple of potentials
    for potentials in {id(potentials): potentials for potentials in spread.certain}.values():
        for potential in potentials:
            if potential.device in found and potential.kind != "earth" and potential.pole not in ("N", "0V"):
                found[potential.device].append(joined.nodes.index[potential.id])
    return [(device, sorted(set(nodes))) for device, nodes in found.items()]


def _conductors_at(plant: Plant, joined: Joined) -> dict[int, list[tuple[str, int]]]:
    """Conductors at each node, with the node at their other end."""
    at: dict[int, list[tuple[str, int]]] = {}
    for conductor in plant.conductors.values():
        one, other = joined.nodes.ends[conductor.id]
        at.setdefault(one, []).append((conductor.id, other))
        at.setdefault(other, []).append((conductor.id, one))
    return at


def _inner_ways(plant: Plant, joined: Joined) -> dict[int, list[int]]:
    """From each node the nodes that power reaches inside the device: poles, links, bridges, a drive's output."""
    ways: dict[int, list[int]] = {}
    nodes = joined.nodes
    for device in plant.devices.values():
        all_paths = device.kind == Kind.THERMOSTAT
        pairs = [(path.a, path.b) for path in device.paths if all_paths or path.kind in ("pole", "link")]
        pairs += [(bridge[0], name) for bridge in device.bridges for name in bridge[1:]]
        if is_drive(device):
            outputs = with_role(device, (Role.MOTOR_OUT, Role.LOAD_OUT))
            pairs += [(name, output) for name in with_role(device, (Role.LINE_IN,)) for output in outputs]
        found = [(nodes.of_terminal(device.id, a), nodes.of_terminal(device.id, b)) for a, b in pairs]
        for name, terminal in device.terminals.items():
            if terminal.split:
                found.append((nodes.index[f"{device.id}:{name}/in"], nodes.index[f"{device.id}:{name}/out"]))
        for one, other in found:
            if one is not None and other is not None:
                ways.setdefault(one, []).append(other)
                ways.setdefault(other, []).append(one)
    for device in plant.devices.values():
        for here, there in mated(nodes, device):
            ways.setdefault(here, []).append(there)
            ways.setdefault(there, []).append(here)
    return _closed_over(plant, joined, ways)


def _closed_over(plant: Plant, joined: Joined, ways: dict[int, list[int]]) -> dict[int, list[int]]:
    """`ways` of strips followed to their end (a bridge, then a fuse, then another bridge): what is joined shares one list of all
    of it, for of thousands of bridged terminals each would have thousands."""
    done: set[int] = set()
    strips = {device.id for device in plant.devices.values() if device.category == Category.STRIP}
    for start in [node for node in ways if joined.nodes.owners[node] in strips]:
        if start not in done:
            whole = sorted(walk((start,), ways.__getitem__))
            done.update(whole)
            ways.update(dict.fromkeys(whole, whole))
    return ways


def _prune(plant: Plant, feeds: dict[str, dict[str, _Feed]]) -> None:
    """Take out strips, boxes and plugs that feed nothing, from the loads back."""
    feeders: dict[str, list[str]] = {}
    for feeder, fed in feeds.items():
        for device in fed:
            feeders.setdefault(device, []).append(feeder)
    idle = [device for device, fed in feeds.items() if not fed]
    while idle:
        device = idle.pop()
        made = plant.devices[device]
        if made.category == Category.STRIP or made.kind in PASSED:
            del feeds[device]
            for feeder in feeders.get(device, ()):
                del feeds[feeder][device]
                if not feeds[feeder]:
                    idle.append(feeder)


def _add_returns(plant: Plant, joined: Joined, spread: Spread, feeds: dict[str, dict[str, _Feed]]) -> None:
    """Count neutral and 0 V conductors to the feed of the same source beside which they run.

    A neutral that comes from elsewhere than the phases (from the bar, the phase from a breaker) is no conductor of the
    feed, but the feed has a neutral.
    """
    into: dict[str, list[_Feed]] = {}
    for targets in feeds.values():
        for fed, feed in targets.items():
            into.setdefault(fed, []).append(feed)
    for conductor in plant.conductors.values():
        if conductor.id in joined.protective or conductor.id in joined.references:
            continue
        returns = [p for p in spread.certain[joined.net_of_conductor[conductor.id]] if p.pole in ("N", "0V", "PEN")]
        if not returns:
            continue
        groups = {potential.group for potential in returns}
        one, other = conductor.ends[0].device, conductor.ends[1].device
        both_ways = (feeds.get(a, {}).get(b) for a, b in ((one, other), (other, one)))
        beside = [feed for feed in both_ways if feed is not None and _shares_source(spread, feed, groups)]
        for feed in beside:
            feed.conductors.setdefault(conductor.id)
        lone = [d for d in (one, other) if d in plant.devices and plant.devices[d].category not in TAPPED]
        for feed in beside or [feed for device in lone for feed in into.get(device, ())]:
            neutral = any(potential.pole != "0V" for potential in returns)
            feed.neutral = feed.neutral or (neutral and _shares_source(spread, feed, groups))


def _shares_source(spread: Spread, feed: _Feed, groups: set[str]) -> bool:
    return any(potential.group in groups for net in feed.nets for potential in spread.possible[net])


def _order(plant: Plant, feeds: dict[str, dict[str, _Feed]]) -> tuple[str, ...]:
    """Devices breadth first from what nothing feeds, neighbours in order of declaration."""
    rank = {device: number for number, device in enumerate(plant.devices)}
    fed = {device for targets in feeds.values() for device in targets}
    first = [device for device in sorted(feeds, key=rank.__getitem__) if device not in fed]
    return tuple(walk(first, lambda device: sorted(feeds[device], key=rank.__getitem__)))
