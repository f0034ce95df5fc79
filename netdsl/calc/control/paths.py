"""Control circuits followed from what takes current back to its source, with the conductors on the way."""

from __future__ import annotations

from msgspec import Struct

from netdsl.calc.basis import Calculation, Gap, Question, of_connections
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.leads import ControlLeads
from netdsl.calc.control.net import ControlNet, Way
from netdsl.calc.control.sinks import Sink, sinks
from netdsl.calc.control.source_poles import Source
from netdsl.kept import kept


class Feed(Struct, eq=False):
    """A sink as fed from one source. `enters`: the node at which its current comes in, `leaves` where it goes out; `out`:
    the ways through contacts on the live side, `back` those on the return side; `amps`: its current, None if unknown."""

    source: Source
    sink: Sink
    enters: str
    leaves: str | None
    out: tuple[Way, ...]
    back: tuple[Way, ...]
    amps: float | None


class Line(Struct, frozen=True):
    """A way with its conductors: `conductors` from the sink to the source, `ohms` of them, None where one is unknown;
    `devices`: protective and other devices between nets that the source holds, the nearest to the sink first; `before`: how many
    of the conductors lie between the sink and each of these."""

    conductors: tuple[str, ...]
    ohms: float | None
    devices: tuple[str, ...]
    before: tuple[int, ...] = ()


class ControlCircuits(Question):
    """Every sink with each source that can feed it. Shared by the questions about control circuits."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self.leads = ControlLeads(calculation)

    @of_connections
    def net(self) -> ControlNet:
        """The nets and sources of the control circuits."""
        return ControlNet(self._calculation.network)

    @of_connections
    def feeds(self) -> tuple[Feed, ...]:
        """All pairs of source and sink, in order of the sinks."""
        by_pole = {pole: source for source in self.net.sources for pole in source.poles}
        found = []
        for sink in sinks(self.net, self._calculation.settings):
            for source in self._sources(sink, by_pole):
                feed = self._feed(sink, source.group, source)
                if feed is not None:
                    found.append(feed)
        return tuple(found)

    @of_connections
    def by_source(self) -> dict[str, tuple[Feed, ...]]:
        """Feeds by the first pole of their source."""
        found: dict[str, list[Feed]] = {}
        for feed in self.feeds:
            found.setdefault(feed.source.pole, []).append(feed)
        return {pole: tuple(feeds) for pole, feeds in found.items()}

    def note_unknown(self, feed: Feed, absent: str) -> None:
        """Note a sink of which no current is known."""
        device = self._calculation.plant.devices[feed.sink.device]
        gap = Gap(
            self._calculation.of(Circuit).feeder(device.id),
            "power",
            (device.id,),
            (absent,),
            device.span,
            "state the power and voltage of its coil or load, or its `current=`",
        )
        self._calculation.gaps.note(gap)

    @kept
    def line(self, feed: Feed, returning: bool) -> Line | None:
        """The way of most resistance from a sink to its source's pole, or to its return, which may be another pole; None where
        none can be followed."""
        node = feed.leaves if returning else feed.enters
        to_common = returning and self.comes_back(feed)
        lines = [self._line(feed.source, node, way, to_common) for way in (feed.back if returning else feed.out) if node]
        known = [line for line in lines if line is not None]
        if len(known) == 1:
            return known[0]
        return max(known, key=lambda line: float("inf") if line.ohms is None else line.ohms, default=None)

    def comes_back(self, feed: Feed) -> bool:
        """Whether a sink's current comes back by the return of its source: not between two of its live poles."""
        net = self.net.network.net_of[feed.leaves] if feed.leaves else ""
        return feed.source.group in self.net.zero.get(net, ())

    def _sources(self, sink: Sink, by_pole: dict[str, Source]) -> tuple[Source, ...]:
        nets = [self.net.network.net_of[node] for node in (sink.a, sink.b) if node]
        poles = sorted(pole for net in nets for poles in self.net.live.get(net, {}).values() for pole in poles)
        return tuple({by_pole[pole].pole: by_pole[pole] for pole in poles if pole in by_pole}.values())

    def _feed(self, sink: Sink, group: str, source: Source) -> Feed | None:
        for enters, leaves in ((sink.a, sink.b), (sink.b, sink.a)):
            if enters is None or not self._is_live(enters, group):
                continue
            amps = sink.amps(source.volts)
            out = self.net.ways(enters, group, False)
            if leaves is None:
                return Feed(source, sink, enters, None, out, (), amps) if sink.b is None else None
            if group in self.net.zero.get(self.net.network.net_of[leaves], ()):
                return Feed(source, sink, enters, leaves, out, self.net.ways(leaves, group, True), amps)
            if self._other_phase(enters, leaves, group):
                return Feed(source, sink, enters, leaves, out, self.net.ways(leaves, group, False), amps)
        return None

    def _is_live(self, node: str, group: str) -> bool:
        return group in self.net.live.get(self.net.network.net_of[node], ())

    def _other_phase(self, one: str, other: str, group: str) -> bool:
        """Whether two nodes lie at different live poles of one source."""
        poles = [self.net.live.get(self.net.network.net_of[node], {}).get(group, frozenset()) for node in (one, other)]
        return bool(poles[0] and poles[1]) and poles[0] != poles[1]

    def _line(self, source: Source, node: str, way: Way, returning: bool) -> Line | None:
        net_of, between = self.net.network.net_of, self.leads.between
        conductors: list[str] = []
        for hop in way:
            piece = between(net_of[node], node, hop.near)
            if piece is None:
                return None
            conductors += piece
            node = hop.far
        steps = self.net.feed(source, returning)
        devices, before = list[str](), list[int]()
        ends = {net_of[pole]: pole for pole in reversed((source.common,) if returning else source.poles)}
        net = net_of[node]
        while net not in ends:
            step = steps.get(net)
            piece = between(net, node, step.near) if step else None
            if step is None or piece is None:
                return None
            conductors += piece
            devices.append(step.edge.device)
            before.append(len(conductors))
            node = step.far
            net = net_of[node]
        last = between(net, node, ends[net])
        if last is None:
            return None
        found = (*conductors, *last)
        return Line(found, self.leads.total(found), tuple(devices), tuple(before))
