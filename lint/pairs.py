"""Which cores of a cable are a pair, and by which of them analogue signals and serial lines go and come back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.analogue import Signal, Signals, is_loop_fed
from lint.facts import Facts
from netdsl.kept import cached_property
from netdsl.model.kinds import Kind
from netdsl.model.plant import Cable, Conductor, Plant, Role, Terminal
from netdsl.network.search import walk

#: what makes no signal by itself: its current is small and steady, and three or four cores lead to it
_PASSIVE = (Kind.POTENTIOMETER, Kind.SENSOR)


class Laid(NamedTuple):
    """A signal in a cable: the cores on its live side, and those that may lead it back, None where against what it is given is
    not stated."""

    cable: Cable
    signal: Signal
    live: tuple[str, ...]
    back: tuple[str, ...] | None


class Going(NamedTuple):
    """A core that has to be twisted with another. `what` it has, in words; what the `other` is; `mates`: the cores of the cable
    of which one is to be in its pair, none where that is not known."""

    core: str
    what: str
    other: str
    mates: tuple[str, ...]
    analogue: bool


class Pairs:
    """The analogue signals and the serial lines of a plant as they lie in its cables; of potentiometers and sensors only that
    they do."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._signals = facts.of(Signals)
        found = {signal.output: signal for signal in reversed(self._signals.all)}
        #: one for each output, with the first of its inputs
        self._all = tuple(reversed(found.values()))
        self.signals = tuple(signal for signal in self._all if signal.source.kind not in _PASSIVE)

    def laid(self, cable: Cable) -> tuple[Laid, ...]:
        """The signals that a cable leads, in order of the text."""
        return self._laid.get(cable.id, ())

    @cached_property
    def _laid(self) -> dict[str, tuple[Laid, ...]]:
        back = {signal.output: self._returns(signal) for signal in self.signals}
        found: dict[str, tuple[Laid, ...]] = {}
        order = {output: number for number, output in enumerate(back)}
        for cable in self._facts.plant.cables.values():
            cores = self.cores(cable)
            here = {signal.output: signal for _, net in cores for signal in self._live.get(net, ())}
            for output in sorted(here.keys() & back.keys(), key=order.__getitem__):
                signal, nets = here[output], back[output]
                live = tuple(core for core, net in cores if signal in self._live.get(net, ()))
                mates = None if nets is None else self._at(signal, cable) or tuple(core for core, net in cores if net in nets)
                found[cable.id] = (*found.get(cable.id, ()), Laid(cable, signal, live, mates))
        return found

    def _at(self, signal: Signal, cable: Cable) -> tuple[str, ...]:
        """The cores of a cable that end where a signal comes back: of several on one net its own, not the return of a supply."""
        ends = self._facts.network.at_terminal.get(self.common(signal) or "", ())
        return tuple(self._facts.plant.conductors[name].core for name in ends if name in cable.conductors)

    @cached_property
    def _live(self) -> dict[str, list[Signal]]:
        """The signals on each net, potentiometers and sensors included."""
        found: dict[str, list[Signal]] = {}
        for signal in self._all:
            for net in sorted(self.closed(signal.output)):
                found.setdefault(net, []).append(signal)
        return found

    def going(self, cable: Cable) -> tuple[Going, ...]:
        """The cores of a cable with a signal or a data line, in order of the text."""
        return self._going.get(cable.id, ())

    def passive(self, cable: Cable) -> list[str]:
        """Potentiometers and sensors whose signal a cable leads."""
        here = (signal for _, net in self.cores(cable) for signal in self._live.get(net, ()))
        return list(dict.fromkeys(signal.source.id for signal in here if signal.source.kind in _PASSIVE))

    def unknown(self, cable: Cable) -> Iterator[tuple[str, str]]:
        """Cores of a cable in pairs of which it is not known with what they belong, and the terminal that says so little."""
        yield from ((each.live[0], each.signal.output) for each in self.laid(cable) if each.back is None)
        number = pairs_of(cable)
        bare = [(core, node) for core, net in self.cores(cable) if core in number and (node := self._unnamed.get(net))]
        if len({number[core] for core, _ in bare}) > 1:
            yield bare[0]

    @cached_property
    def _going(self) -> dict[str, tuple[Going, ...]]:
        """Signals first, then data lines, for each cable."""
        found: dict[str, list[Going]] = {}
        for laid in (each for several in self._laid.values() for each in several):
            words = f"the signal of `{laid.signal.output}`"
            mates = laid.back or ()
            found.setdefault(laid.cable.id, []).extend(Going(core, words, "its return", mates, True) for core in laid.live)
        for cable in self._facts.plant.cables.values():
            cores = self.cores(cable)
            for core, net in cores:
                node = self._unnamed.get(net) or self._data.get(net, ("", frozenset()))[0]
                if node:
                    others = self._data.get(net, ("", frozenset[str]()))[1]
                    mates = tuple(other for other, far in cores if far in others)
                    going = Going(core, f"the data line of `{node}`", "the other data line", mates, False)
                    found.setdefault(cable.id, []).append(going)
        return {name: tuple(going) for name, going in found.items()}

    @cached_property
    def _data(self) -> dict[str, tuple[str, frozenset[str]]]:
        """For each net of a data core a terminal of it, and the nets of the other data core of its line."""
        first: dict[str, str] = {}
        others: dict[str, set[str]] = {}
        for device in self._facts.plant.devices.values():
            by_line = {line_of(t): f"{device.id}:{t.name}" for t in device.terminals.values() if t.role is Role.BUS}
            for line, other in (("a", "b"), ("b", "a")):
                for net in self.closed(by_line[line]) if {line, other} <= by_line.keys() else ():
                    first.setdefault(net, by_line[line])
                    others.setdefault(net, set()).update(self.closed(by_line[other]))
        return {net: (node, frozenset(others[net] - {net})) for net, node in first.items()}

    @cached_property
    def _unnamed(self) -> dict[str, str]:
        """For each net on which only bus terminals lie that do not say which conductor of the line they take, one of them."""
        found: dict[str, str] = {}
        named: set[str] = set()
        for device in self._facts.plant.devices.values():
            bus = [terminal for terminal in device.terminals.values() if terminal.role is Role.BUS]
            for terminal in bus if len(bus) > 1 else ():
                node = f"{device.id}:{terminal.name}"
                for net in self.closed(node):
                    found.setdefault(net, node)
                    if any(map(line_of, bus)):
                        named.add(net)
        return {net: node for net, node in found.items() if net not in named}

    def cores(self, cable: Cable) -> tuple[tuple[str, str], ...]:
        """The connected cores of a cable with their nets."""
        runs = (self._facts.network.runs.get(name) for name in cable.conductors)
        return tuple((run.conductor.core, run.net) for run in runs if run is not None)

    def closed(self, node: str) -> frozenset[str]:
        """The nets that ways closed in service join to a terminal, as far as no mains and no output of a drive comes there."""
        start = self._facts.network.net_of.get(node)
        beyond = self._facts.certain_neighbours
        starts = (start,) if start is not None and not self._is_power(start) else ()
        return frozenset(walk(starts, lambda net: (far for far in beyond.get(net, ()) if not self._is_power(far))))

    def _is_power(self, net: str) -> bool:
        return any(potential.kind in ("ac", "pwm") for potential in self._facts.network.nets[net].possible)

    def common(self, signal: Signal) -> str | None:
        """The terminal to which a signal comes back: the common of its output, of a loop-fed transmitter its plus."""
        source = signal.source
        if is_loop_fed(source):
            return next(f"{source.id}:{t.name}" for t in source.terminals.values() if t.role is Role.SUPPLY_IN)
        return f"{source.id}:{signal.out.common}" if signal.out.common is not None else None

    def _returns(self, signal: Signal) -> frozenset[str] | None:
        common = self.common(signal)
        return self.closed(common) if common is not None else None

    def is_only_way(self, conductor: str, signal: Signal) -> bool:
        """Whether a signal comes back in service, and no longer does without a conductor."""
        common, end = self.common(signal), self._signals.end_of(signal)
        if common is None or end is None:
            return False
        beyond = self._facts.neighbours

        def reaches(without: str) -> bool:
            return end in walk((common,), lambda node: (far for far, by in beyond.get(node, ()) if by != without))

        return reaches("") and not reaches(conductor)


def pairs_of(cable: Cable) -> dict[str, int]:
    """The number of its pair for each core of a cable that lies in one. A cable of two cores is a pair."""
    if len(cable.cores) == 2 and not any(core.earth for core in cable.cores):
        return {core.name: core.pair or 1 for core in cable.cores}
    return {core.name: core.pair for core in cable.cores if core.pair}


def are_twisted_apart(plant: Plant, one: Conductor, other: Conductor) -> bool:
    """Whether two cores lie in pairs of their own, in each with another core that is connected."""
    pairs = []
    for conductor in (one, other):
        cable = plant.cables.get(conductor.cable or "")
        number = pairs_of(cable) if cable is not None else {}
        beside = [core for core, pair in number.items() if pair == number.get(conductor.core) and core != conductor.core]
        if cable is None or not any(f"{cable.id} {core}" in cable.conductors for core in beside):
            return False
        pairs.append((cable.id, number[conductor.core]))
    return pairs[0] != pairs[1]


def line_of(terminal: Terminal) -> str:
    """Which conductor of a serial line a terminal takes: `a`, `b`, `common`, "" where it does not say so."""
    return str(terminal.attributes.get("line", "")).lower() if terminal.role is Role.BUS else ""


def carrying(facts: Facts) -> Iterator[str]:
    """Cables with an analogue signal."""
    return (cable.id for cable in facts.plant.cables.values() if facts.of(Pairs).laid(cable))


def with_signals(facts: Facts) -> Iterator[str]:
    """Cables with an analogue signal or a data line of a serial line."""
    return (cable.id for cable in facts.plant.cables.values() if facts.of(Pairs).going(cable) or facts.of(Pairs).passive(cable))


def with_pairs(facts: Facts) -> Iterator[str]:
    """Those of them whose cores are pairs."""
    return (name for name in with_signals(facts) if pairs_of(facts.plant.cables[name]))
