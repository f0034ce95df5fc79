"""Which phases come to what takes three of them, and over which contactors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lint.facts import Facts
from lint.poles import Poles
from netdsl.kept import cached_property
from netdsl.model.kinds import TAPPED, Category, Kind
from netdsl.model.plant import Device, Path, Role
from netdsl.network.search import between, trace_by, walk
from netdsl.network.types import Potential

#: contactors that lie one after the other on a way; more are no motor circuit
_MOST = 4
#: names of the first ends of a motor's windings, and of a winding's two ends
_FIRST = (("U1", "V1", "W1"), ("U", "V", "W"))
#: beginnings of windings for one speed each (IEC 60034-8)
_SPEEDS = (("1U", "1V", "1W"), ("2U", "2V", "2W"))
_WINDINGS = (("U1", "U2"), ("V1", "V2"), ("W1", "W2"))


class Arrival(NamedTuple):
    """A pole that comes to a terminal while the contactors `over` are closed."""

    pole: Potential
    over: frozenset[str]


class Phases:
    """Ways of phases over poles, those of star contactors left out: behind them lie other windings, no source."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._network = facts.network
        self._known: dict[str, tuple[Arrival, ...]] = {}

    @cached_property
    def takers(self) -> tuple[tuple[Device, tuple[str, str, str]], ...]:
        """Devices that take three phases, with the ids of the three terminals, all of which are wired."""
        found = []
        for device in self._facts.plant.devices.values():
            for names in _threes(device) if device.category == Category.DEVICE else ():
                if all(f"{device.id}:{name}" in self._facts.landed for name in names):
                    found.append((device, (f"{device.id}:{names[0]}", f"{device.id}:{names[1]}", f"{device.id}:{names[2]}")))
        return tuple(found)

    def at(self, node: str) -> tuple[Arrival, ...]:
        """What comes to a terminal, a neutral too, nearest first."""
        if node not in self._known:
            self._known[node] = tuple(self._found(node))
        return self._known[node]

    def mappings(self, nodes: Iterable[str]) -> dict[frozenset[str], tuple[tuple[Potential, ...], ...]]:
        """For each set of contactors that bring a pole to one of several terminals, the poles that it brings to each."""
        listed = [self.at(node) for node in nodes]
        sets = dict.fromkeys(arrival.over for found in listed for arrival in found)
        return {over: tuple(tuple(a.pole for a in found if a.over == over) for found in listed) for over in sets}

    def is_missing(self, node: str) -> bool:
        """Whether no phase comes to a terminal in any state, and all that is joined to it is seen."""
        return not self.at(node) and all(self._is_seen(other, node) for other in self._facts.of(Poles).around(node))

    def windings(self, motor: Device) -> tuple[tuple[str, str], ...]:
        """Both ends of each winding of a motor whose six ends are wired."""
        ends = [(f"{motor.id}:{a}", f"{motor.id}:{b}") for a, b in _WINDINGS]
        return tuple(ends) if all(node in self._facts.landed for pair in ends for node in pair) else ()

    def around(self, nodes: Iterable[str]) -> frozenset[str]:
        """Nets of terminals and those joined to them in service."""
        nets = (self._network.net_of[node] for node in nodes if node in self._network.net_of)
        return frozenset(walk(nets, lambda net: self._facts.certain_neighbours.get(net, ())))

    def poles_of(self, contactor: Device) -> tuple[tuple[str, str], ...]:
        """Nets at both sides of each pole of a contactor."""
        net_of = self._network.net_of
        pairs = [(net_of.get(f"{contactor.id}:{p.a}"), net_of.get(f"{contactor.id}:{p.b}")) for p in _poles(contactor)]
        return tuple((a, b) for a, b in pairs if a is not None and b is not None)

    def parting(self, one: str, other: str) -> str | None:
        """Of the first conductors by which the ways of one phase to two terminals part, the one further on in the text."""
        starts = [next((arrival.pole.id for arrival in self.at(node)), "") for node in (one, other)]
        steps = self._facts.neighbours
        came = trace_by(tuple(starts[:1]), lambda node: steps.get(node, ()))
        ways = [[name for name in between(node, came) if name is not None] for node in (one, other)]
        step = next((n for n, (a, b) in enumerate(zip(*ways, strict=False)) if a != b), min(map(len, ways)))
        spans = self._facts.plant.conductors
        apart = [way[step] for way in ways if len(way) > step]
        return max(apart, key=lambda name: (spans[name].span.source.path, spans[name].span.start), default=None)

    def _found(self, node: str) -> Iterator[Arrival]:
        net = self._network.net_of.get(node)
        start: tuple[tuple[str, frozenset[str]], ...] = ((net, frozenset()),) if net is not None else ()
        for here, over in walk(start, self._beyond):
            for pole in self._sources(here):
                yield Arrival(pole, over)

    def _sources(self, net: str) -> tuple[Potential, ...]:
        return tuple(p for p in self._network.nets[net].certain if p.kind in ("ac", "pwm"))

    def _beyond(self, at: tuple[str, frozenset[str]]) -> Iterator[tuple[str, frozenset[str]]]:
        net, over = at
        if self._sources(net):
            return
        yield from ((other, over) for other in self._facts.certain_neighbours.get(net, ()))
        for device, other in self._switched.get(net, ()):
            if len(over | {device}) <= _MOST:
                yield other, over | {device}

    @cached_property
    def _switched(self) -> dict[str, list[tuple[str, str]]]:
        """Nets next to each net over poles that a coil moves, with their device."""
        found: dict[str, list[tuple[str, str]]] = {}
        for device in self._facts.plant.devices.values():
            if device.category != Category.DEVICE or self._is_star(device):
                continue
            for path in _poles(device):
                nets = [self._network.net_of.get(f"{device.id}:{name}") for name in (path.a, path.b)]
                if not path.certain and nets[0] is not None and nets[1] is not None:
                    found.setdefault(nets[0], []).append((device.id, nets[1]))
                    found.setdefault(nets[1], []).append((device.id, nets[0]))
        return found

    def _is_star(self, device: Device) -> bool:
        """Whether poles of a contactor are wired together on a side that no source holds."""
        sides = zip(*self.poles_of(device), strict=True) if device.kind == Kind.CONTACTOR else ()
        return any(len(set(side)) < len(side) and not any(self._sources(net) for net in side) for side in map(tuple, sides))

    def _is_seen(self, node: str, own: str) -> bool:
        """Whether a terminal brings no phase: of a strip, of a device with a way through it, of what takes phases."""
        name, _, terminal = node.partition(":")
        device = self._facts.plant.devices.get(name)
        if device is None or device.category == Category.OUTSIDE:
            return False
        made = device.terminals.get(terminal)
        takes = made is not None and made.role in (Role.LINE_IN, Role.WINDING)
        through = any(terminal in (path.a, path.b) for path in device.paths)
        return node == own or through or takes or device.category in TAPPED


def _poles(device: Device) -> list[Path]:
    return [path for path in device.paths if path.kind == "pole"]


def _threes(device: Device) -> tuple[tuple[str, str, str], ...]:
    """Names of the terminals at which a device takes three phases; of a motor for two speeds those of either winding."""
    if device.kind == Kind.MOTOR:
        known = [names for names in (*_FIRST, *_SPEEDS) if all(name in device.terminals for name in names)]
        return tuple(known[:1] if known and known[0] in _FIRST else known)
    passes = {name for path in device.paths for name in (path.a, path.b)}
    lines = [name for name, t in device.terminals.items() if t.role is Role.LINE_IN and name not in passes]
    return ((lines[0], lines[1], lines[2]),) if len(lines) == 3 else ()
