"""Load of contacts and of semiconductor outputs."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, formula, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.net import Edge
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.sources import summed
from netdsl.model.plant import Device, Terminal


class _Switched(Struct):
    """What one contact carries, by the source that feeds it."""

    edge: Edge
    feeds: dict[str, dict[int, Feed]] = field(default_factory=dict)


class ContactLoads(SheetQuestion):
    """Load of contacts and of semiconductor outputs."""

    place = 1400
    answers = (Answer("contact-load", "Load of a contact", "I"),)

    def apart_from_sections(self) -> bool:
        """What takes current behind a contact alone decides."""
        return True

    def results(self) -> Iterator[Result]:
        """`contact-load` of every contact whose rating is stated."""
        for switched in self._switched().values():
            device = self._calculation.plant.devices[switched.edge.device]
            rated = _rated(device, switched.edge)
            if rated is not None:
                yield from self._load(device, switched, rated)

    def carried(self) -> Iterator[tuple[str, str, float]]:
        """Contacts, not outputs, of which the current is known: device, name `-K1:13-14`, and what they carry with everything
        behind them on, A; of several sources that feed it the largest."""
        for switched in self._switched().values():
            sides = [tuple(feeds.values()) for feeds in switched.feeds.values()]
            if not switched.edge.output and all(feed.amps is not None for feeds in sides for feed in feeds):
                name = f"{switched.edge.a}-{switched.edge.b.partition(':')[2]}"
                yield switched.edge.device, name, max(map(_amps, sides))

    def unrated(self) -> tuple[str, ...]:
        """Devices with a contact or output that switches something and whose rating is not stated, in the order of the text."""
        found = {switched.edge for switched in self._switched().values()}
        devices = self._calculation.plant.devices
        bare = {edge.device for edge in found if _rated(devices[edge.device], edge) is None}
        return tuple(name for name in devices if name in bare)

    def _switched(self) -> dict[Edge, _Switched]:
        """Contacts and outputs, with every consumer that has a way to its source through them."""
        found: dict[Edge, _Switched] = {}
        for number, feed in enumerate(self._calculation.of(ControlCircuits).feeds):
            for way in (*feed.out, *feed.back):
                for hop in way:
                    if hop.edge.output or (hop.edge.path is not None and hop.edge.path.kind in ("make", "break")):
                        switched = found.setdefault(hop.edge, _Switched(hop.edge))
                        switched.feeds.setdefault(feed.source.pole, {})[number] = feed
        return found

    def _load(self, device: Device, switched: _Switched, rated: Given) -> Iterator[Result]:
        """Of a contact that several sources can feed, the source that makes it carry the most."""
        sides = [tuple(feeds.values()) for feeds in switched.feeds.values()]
        for feed in (feed for feeds in sides for feed in feeds if feed.amps is None):
            self._calculation.of(ControlCircuits).note_unknown(feed, "load of contacts")
            return
        feeds = max(sides, key=_amps)
        rated = _for_coils(device, feeds, rated)
        text, givens = summed(feeds, feeds[0].source)
        name = switched.edge.a if switched.edge.output else f"{switched.edge.a}-{switched.edge.b.partition(':')[2]}"
        yield Result.worked(
            "contact-load",
            name,
            self._calculation.of(Circuit).feeder(device.id),
            formula(text),
            "A",
            givens,
            "Kirchhoff's current law",
            Limit(rated.value, Sense.AT_MOST, "rated current of the contact", rated),
            note=_note(device, switched.edge, feeds),
            span=device.span,
        )


def _amps(feeds: tuple[Feed, ...]) -> float:
    return sum(feed.amps or 0.0 for feed in feeds)


def _rated(device: Device, edge: Edge) -> Given | None:
    """The smaller of the currents that the terminals of a contact state; of an output that of its terminal."""
    names = [node.partition(":")[2] for node in ((edge.a,) if edge.output else (edge.a, edge.b))]
    stated = [(t, t.current) for t in (device.terminals.get(name) for name in names) if t is not None and t.current is not None]
    if not stated:
        return None
    terminal, current = min(stated, key=lambda pair: pair[1].value)
    return Given("I_r", current.value, "A", f"rated current of terminal {terminal.name} of {device.id}", terminal.span)


def _for_coils(device: Device, feeds: tuple[Feed, ...], rated: Given) -> Given:
    """What a contact may carry where coils are among what it switches: less, where its device says so."""
    stated = amount(device, "inductive-current")
    if stated is None or stated >= rated.value or not _coils(feeds):
        return rated
    return Given("I_r", stated, "A", f"what contacts of {device.id} bear of coils", device.span)


def _coils(feeds: tuple[Feed, ...]) -> bool:
    return any(feed.sink.kind == "coil" for feed in feeds)


def _note(device: Device, edge: Edge, feeds: tuple[Feed, ...]) -> str:
    """What the comparison does not cover: a rating that is not said to be for coils."""
    if not _coils(feeds) or amount(device, "inductive-current") is not None:
        return "steady current, everything behind the contact on at once"
    kind = _utilisation(device.terminals.get(edge.a.partition(":")[2])) or word(device, "utilisation")
    if kind.startswith(("AC-15", "DC-13", "AC-14", "DC-14")):
        return f"steady current, everything behind the contact on at once; rated for coils, {kind}"
    return (
        "steady current, everything behind the contact on at once; coils among it: hold it against the rating for AC-15 or DC-13"
        " too"
    )


def _utilisation(terminal: Terminal | None) -> str:
    return str(terminal.attributes.get("utilisation", "")) if terminal else ""
