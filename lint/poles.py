"""Which poles of which sources come to the two ends of what takes current, and whether they belong together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lint.facts import Facts
from lint.voltages import ZERO
from netdsl.kept import cached_property
from netdsl.model.kinds import TAPPED, Category, Kind
from netdsl.model.plant import Conductor, Device, Role
from netdsl.network.search import walk
from netdsl.network.types import Net, Potential

#: what may lead a net back to a source in a way the plant does not show
_UNSEEN = frozenset({Role.DIGITAL_OUT, Role.DIGITAL_COMMON, Role.SUPPLY_COMMON, Role.SUPPLY_OUT, Role.SAFETY_OUT, Role.CONTACT})
_LIVE = frozenset({"ac", "dc"})
_INPUTS = frozenset({Role.DIGITAL_IN, Role.SAFETY_IN})


class Taker(NamedTuple):
    """What takes current between terminals `a` and `b` of a device. `kind`: `coil` or `load`, `input` and its common, `supply`
    for what is fed as a whole between two line terminals, or a line terminal and the neutral."""

    device: Device
    a: str
    b: str
    kind: str

    @property
    def ends(self) -> tuple[str, str]:
        """Ids of its terminals."""
        return f"{self.device.id}:{self.a}", f"{self.device.id}:{self.b}"


class Poles:
    """The potentials at terminals, sources whose commons are wired together taken as one."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._network = facts.network

    @cached_property
    def takers(self) -> tuple[Taker, ...]:
        """All that takes current between two terminals; equipment beyond the scope, which may be joined inside, left out."""
        devices = (device for device in self._facts.plant.devices.values() if device.category == Category.DEVICE)
        return tuple(taker for device in devices for taker in _takers(device))

    def takers_of(self, device: str) -> tuple[Taker, ...]:
        """Those of one device."""
        return self._takers_of.get(device, ())

    @cached_property
    def _takers_of(self) -> dict[str, tuple[Taker, ...]]:
        found: dict[str, tuple[Taker, ...]] = {}
        for taker in self.takers:
            found[taker.device.id] = (*found.get(taker.device.id, ()), taker)
        return found

    def net(self, node: str) -> Net | None:
        """The net of a terminal."""
        return self._network.net(node)

    def at(self, node: str) -> tuple[Potential, ...]:
        """The potentials that come to a terminal in some state."""
        net = self._network.net(node)
        return net.possible if net is not None else ()

    def are_opposite(self, one: Potential, other: Potential) -> bool:
        """Whether current flows between two potentials by a load: they are poles of one source, and not the same."""
        same = self._group(one) == self._group(other)
        return same and one.id != other.id and (one.pole != other.pole) and not (one.pole in ZERO and other.pole in ZERO)

    def is_fed(self, a: str, b: str) -> bool:
        """Whether some state brings opposite poles of one source to two terminals."""
        return any(self.are_opposite(one, other) for one in self.at(a) for other in self.at(b))

    def are_one(self, a: str, b: str) -> bool:
        """Whether two terminals are one net, or only ever get the same pole of one source."""
        if self._network.net_of.get(a) == self._network.net_of.get(b):
            return True
        found = {(self._group(p), p.pole in ZERO or p.pole) for node in (a, b) for p in self.at(node)}
        return bool(self.at(a) and self.at(b)) and len(found) == 1

    def is_live(self, node: str) -> bool:
        """Whether a pole with a voltage comes to a terminal."""
        return any(potential.kind in _LIVE and potential.voltage for potential in self.at(node))

    def leads_on(self, node: str) -> bool:
        """Whether something at the nets of a terminal may bring a potential in a way that the plant does not show."""
        net = self._network.net(node)
        return net is not None and any(
            is_unseen(self._facts, other) for name in self.closed(net.id) for other in self._network.nets[name].nodes
        )

    def may_differ(self, node: str) -> bool:
        """Whether a terminal may get what the plant does not show: no source holds its net, and something behind its contacts
        leads on unseen."""
        net = self._network.net(node)
        return net is not None and not net.certain and any(self.is_hidden(other) for other in self.around(node))

    def around(self, node: str) -> Iterator[str]:
        """All terminals that some state joins to one, as far as sources hold their nets."""
        nets = self._network.nets
        start = self._network.net_of.get(node)
        starts = (start,) if start is not None else ()
        for name in walk(starts, lambda at: () if nets[at].certain else self.beyond(at, "")):
            yield from nets[name].nodes

    def unheld(self, nodes: Iterable[str]) -> Iterator[str]:
        """All terminals that some state joins to one of several, on nets alone that no source holds."""
        nets, net_of = self._network.nets, self._network.net_of
        starts = [net_of[node] for node in nodes if node in net_of and not nets[net_of[node]].certain]
        for name in walk(starts, lambda at: (other for other in self.beyond(at, "") if not nets[other].certain)):
            yield from nets[name].nodes

    def leads_nowhere(self, node: str) -> bool:
        """Whether a terminal leads to contacts and poles alone, or to what brings nothing: windings, loads whose other end has
        the return and no source."""
        for other in self.around(node):
            name, _, terminal = other.partition(":")
            device = self._facts.plant.devices.get(name)
            if other == node or other in self._returning or (device is not None and device.kind == Kind.MOTOR):
                continue
            if device is not None and device.category == Category.STRIP and self.is_taken(device, terminal):
                continue
            if device is None or device.category in TAPPED or not any(terminal in (p.a, p.b) for p in device.paths):
                return False
            if is_unseen(self._facts, other) and device.terminals[terminal].role is not Role.CONTACT:
                return False
        return True

    def is_taken(self, strip: Device, terminal: str) -> bool:
        """Whether a terminal of a strip has what it is there for on both sides, a wire and a core: no other is to come."""
        names = self._network.at_terminal.get(f"{strip.id}:{terminal}", ())
        sides = {self._facts.plant.conductors[name].cable is None for name in names}
        return len(sides) == 2 and not any(terminal in bridge for bridge in strip.bridges)

    @cached_property
    def _returning(self) -> frozenset[str]:
        """Ends of coils and other loads that no source comes to, where the return alone comes to the other end."""
        found = set()
        for taker in self.takers:
            for here, there in (taker.ends, taker.ends[::-1]):
                if taker.kind in ("coil", "load") and not self.at(here) and self.at(there) and not self.is_live(there):
                    found.add(here)
        return frozenset(found)

    def is_hidden(self, node: str) -> bool:
        """As `is_unseen`, contacts that the part states left out: what they bring is among the potentials."""
        name, _, terminal = node.partition(":")
        device = self._facts.plant.devices.get(name)
        stated = device is not None and any(terminal in (path.a, path.b) for path in device.paths)
        return not stated and is_unseen(self._facts, node)

    def beyond(self, net: str, without: str) -> Iterator[str]:
        """Nets next to a net over poles, contacts and split terminals, open or closed, but those of one device."""
        return (other for other, device in self._contacts.get(net, ()) if device != without)

    @cached_property
    def _contacts(self) -> dict[str, list[tuple[str, str]]]:
        """Nets next to each net over poles, contacts and split terminals, open or closed, with the device between."""
        found: dict[str, list[tuple[str, str]]] = {}
        net_of = self._network.net_of
        for device in self._facts.plant.devices.values():
            pairs = [(f"{device.id}:{path.a}", f"{device.id}:{path.b}") for path in device.paths]
            pairs += [(f"{device.id}:{t.name}/in", f"{device.id}:{t.name}/out") for t in device.terminals.values() if t.split]
            for a, b in pairs:
                if a in net_of and b in net_of:
                    found.setdefault(net_of[a], []).append((net_of[b], device.id))
                    found.setdefault(net_of[b], []).append((net_of[a], device.id))
        return found

    def closed(self, net: str) -> tuple[str, ...]:
        """Nets without a potential that closed poles and split terminals join to a net, itself included, sorted."""
        nets, beyond = self._network.nets, self._facts.certain_neighbours
        return tuple(sorted(walk((net,), lambda at: (other for other in beyond.get(at, ()) if not nets[other].possible))))

    def conductor(self, node: str) -> Conductor | None:
        """The conductor that lands at a terminal, the last in the text."""
        names = self._network.at_terminal.get(node, ())
        return self._facts.plant.conductors[names[-1]] if names else None

    def has_room(self, taker: Taker) -> bool:
        """Whether another load at one of a taker's terminals is wired: the taker is a spare part of its device."""
        return any(
            {taker.a, taker.b} & {other.a, other.b} and all(end in self._facts.landed for end in other.ends)
            for other in _takers(taker.device)
            if (other.a, other.b) != (taker.a, taker.b)
        )

    def _group(self, potential: Potential) -> str:
        return self._merged.get(potential.group, potential.group)

    @cached_property
    def _merged(self) -> dict[str, str]:
        """For each source the first of those whose commons its own is wired to."""
        joined: dict[str, set[str]] = {}
        for net in self._network.nets.values():
            groups = {potential.group for potential in net.certain if potential.kind != "earth" and potential.pole in ZERO}
            if len(groups) > 1:
                for group in groups:
                    joined.setdefault(group, set()).update(groups)
        return {group: min(walk((group,), lambda at: sorted(joined.get(at, ())))) for group in joined}


def is_unseen(facts: Facts, node: str) -> bool:
    """Whether what has a terminal may lead on in a way that the plant does not show."""
    name, _, terminal = node.partition(":")
    device = facts.plant.devices.get(name)
    if device is None:
        return False
    made = device.terminals.get(terminal.split("/")[0])
    return device.category == Category.OUTSIDE or device.kind == Kind.CONTROLLER or (made is not None and made.role in _UNSEEN)


def _takers(device: Device) -> Iterator[Taker]:
    for consumer in device.consumers:
        yield Taker(device, consumer.a, consumer.b, consumer.kind)
    passes = {name for path in device.paths for name in (path.a, path.b)}
    lines = [name for name, t in device.terminals.items() if t.role is Role.LINE_IN and name not in passes]
    neutral = [name for name, t in device.terminals.items() if t.role is Role.NEUTRAL and name not in passes]
    if not device.consumers and (len(lines), len(neutral)) in ((1, 1), (2, 0)):
        yield Taker(device, lines[0], (neutral or lines)[-1], "supply")
    for terminal in device.terminals.values():
        if terminal.role in _INPUTS and terminal.common is not None and device.kind != Kind.SAFETY_RELAY:
            yield Taker(device, terminal.name, terminal.common, "input")
