"""Every designation of a plant with the lines of text that made it: what a click or a search leads to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from netdsl.findings import Source, Span
from netdsl.model.plant import Cable, Conductor, Device
from netdsl.network.types import Network


class Lines(Struct, frozen=True, array_like=True):
    """Lines of a text that belong together. `file`: number of the text; `line`, `column`: where it begins, from 1; `last`: its
    last line; `words`: what it says there, "" for the thing itself."""

    file: int
    line: int
    column: int
    last: int
    words: str = ""


class Thing(Struct, frozen=True, omit_defaults=True):
    """What a designation means. `kind`: in words; `title`: as the text gives it; `lines`: where the text makes it, then what it
    says besides; `near`: designations of what is connected to it; `marks`: by what a sheet shows it, where not by itself;
    `sheets`: numbers of those that show it, the one that others refer to first."""

    kind: str
    title: str = ""
    lines: tuple[Lines, ...] = ()
    near: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    sheets: tuple[int, ...] = ()


class Texts:
    """The texts that things and findings lie in, each with a number."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}
        self.sources: list[Source] = []

    def at(self, span: Span, whole: Span | None = None, words: str = "") -> Lines:
        """The lines of `span`, to the end of `whole` where there is one."""
        path = span.source.path
        if path not in self._numbers:
            self._numbers[path] = len(self.sources)
            self.sources.append(span.source)
        end = whole if whole is not None and whole.source is span.source else span
        # a text that is no more has no lines: its first then
        line, column = span.begin
        return Lines(self._numbers[path], line, column, max(line, end.finish[0]), words)


def things_of(network: Network, texts: Texts) -> dict[str, Thing]:
    """All designations: devices, strips, supplies, cables, places, functions, routes, then terminals and conductors."""
    plant = network.plant
    said = _said(network)
    things: dict[str, Thing] = {}
    for name, device in plant.devices.items():
        lines = [*_made(texts, device), *_by_line(texts.at(span, None, words) for span, words in said.get(name, ()))]
        things[name] = Thing(_kind(device), device.title, tuple(lines), tuple(f"{name}:{each}" for each in device.terminals))
    for name, cable in plant.cables.items():
        near = tuple(cable.conductors)
        things[name] = Thing(f"cable {cable.construction}", cable.title, (*_made(texts, cable),), near)
    for name, place in plant.places.items():
        things.setdefault(name, Thing(place.kind, place.title, (texts.at(place.span),)))
    for name, function in plant.functions.items():
        things.setdefault(name, Thing("function", function.title, (texts.at(function.span),)))
    for name, route in plant.routes.items():
        things.setdefault(name, Thing(route.kind, route.title, (texts.at(route.span),)))
    for name, thing in _terminals(network, things, texts):
        things.setdefault(name, thing)
    for name, conductor in plant.conductors.items():
        kind = "core" if conductor.cable else "wire"
        marks = (conductor.ends[0].id, conductor.ends[1].id)
        near = (*marks, *((conductor.cable,) if conductor.cable else ()))
        things.setdefault(name, Thing(kind, conductor.text, (*_made(texts, conductor),), near, marks))
    return things


def name_among(known: Mapping[str, Thing], of: str) -> str:
    """The designation that the name of something drawn belongs to, as `-F1` of `-F1 poles`, a terminal's or a device's; "" where
    there is none."""
    name = of
    while name:
        if name in known:
            return name
        name = name.rpartition(" ")[0]
    owner = of.partition(":")[0]
    return owner if owner in known else ""


def _by_line(lines: Iterable[Lines]) -> Iterator[Lines]:
    """One for each line of a text."""
    return iter({(each.file, each.line, each.words): each for each in lines}.values())


def _kind(device: Device) -> str:
    return device.kind if device.kind == device.category else f"{device.category}, {device.kind}"


def _made(texts: Texts, thing: Device | Cable | Conductor) -> Iterator[Lines]:
    """The statement that made a thing; where a `use` did, that line, then the one in the scheme."""
    whole = None if isinstance(thing, Conductor) or thing.use else thing.whole
    yield texts.at(thing.span, whole)
    if thing.use is not None:
        yield texts.at(thing.use, None, "in the scheme")


def _terminals(network: Network, things: Mapping[str, Thing], texts: Texts) -> Iterator[tuple[str, Thing]]:
    """Terminals with what lands on them. Those of a part have the lines of their device: that is what the plant says."""
    for owner, device in network.plant.devices.items():
        for terminal in device.terminals.values():
            name = f"{owner}:{terminal.name}"
            lines = (texts.at(terminal.span),) if device.part is None else things[owner].lines[:1]
            yield name, Thing("terminal", terminal.text, lines, (owner, *network.at_terminal.get(name, ())), (owner,))
    for owner, place in network.plant.places.items():
        name = f"{owner}:PE"
        if name in network.at_terminal:
            yield name, Thing("terminal", "", (texts.at(place.span),), (owner, *network.at_terminal[name]), (owner,))


def _said(network: Network) -> dict[str, list[tuple[Span, str]]]:
    """What statements of their own say about devices."""
    plant = network.plant
    said: dict[str, list[tuple[Span, str]]] = {}
    for name, device in plant.devices.items():
        found = [(span, "settings") for span in device.settings_at.values()]
        found += [(each.span, "fitted") for each in device.accessories]
        found += [(device.connected, "connection")] if device.connected is not None else []
        if found:
            said[name] = list(dict.fromkeys(found))
    for note in plant.notes:
        said.setdefault(note.subject, []).append((note.span, note.kind))
    for exception in plant.exceptions:
        said.setdefault(exception.subject.partition(":")[0], []).append((exception.span, "exception"))
    return said
