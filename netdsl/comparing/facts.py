"""A network as facts: each thing with what is true of it, schemes and defaults resolved, independent of how the text is laid
out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from msgspec import Struct

from netdsl.comparing.devices import device_facts
from netdsl.comparing.values import fields_of, said
from netdsl.findings import Span
from netdsl.model.plant import Cable, CoreType, End, Plant, ScreenTermination
from netdsl.network.types import Network, Run


class Thing(NamedTuple):
    """Something of a plant: `kind` ("device", "conductor", "exception" ...), `id` its designation, or its ends, or what it is
    about; `function` in which it is written, "" for the common part; `facts` by name.

    `span`: where it is written; `use`: the line in the scheme, where a `use` made it; `origins`: facts that another line gave, as
    a `defaults`, with that line.
    """

    kind: str
    id: str
    function: str
    facts: Mapping[str, str]
    span: Span | None
    use: Span | None = None
    origins: Mapping[str, Span] = {}


class Fact(NamedTuple):
    """One thing that is true: of `subject`, which is a `kind`, `name` is `value`. Ordered as listed."""

    kind: str
    subject: str
    name: str
    value: str


def listed(network: Network) -> tuple[Fact, ...]:
    """Every fact, sorted. Two texts that say the same in another layout, order or wording give the same."""
    return tuple(
        sorted(Fact(thing.kind, thing.id, name, value) for thing in things_of(network) for name, value in thing.facts.items())
    )


def things_of(network: Network) -> tuple[Thing, ...]:
    """Everything in the plant, sorted by kind and designation, each once."""
    together: dict[tuple[str, str], list[Thing]] = {}
    for thing in _things(network):
        together.setdefault(thing[:2], []).append(thing)
    found = []
    for alike in together.values():
        alike.sort(key=lambda thing: sorted(thing.facts.items()))
        found += [alike[0], *(each._replace(id=f"{each.id} ({n})") for n, each in enumerate(alike[1:], start=2))]
    return tuple(sorted(found, key=lambda thing: thing[:2]))


def _things(network: Network) -> Iterator[Thing]:
    plant = network.plant
    known: dict[int, str] = {}
    for device in plant.devices.values():
        set_at = {f"setting {name}": span for name, span in device.settings_at.items()}
        if device.category == "strip":
            set_at |= {f"terminal {name}": terminal.span for name, terminal in device.terminals.items()}
        yield Thing("device", device.id, device.function, device_facts(device, known), device.span, device.use, set_at)
    for run in network.runs.values():
        ends = " -- ".join(sorted(map(_point, run.conductor.ends)))
        identity = run.id if run.conductor.cable else ends
        conductor = run.conductor
        yield Thing("conductor", identity, conductor.function, _run(run, ends), conductor.span, conductor.use, run.origin)
    for cable in plant.cables.values():
        yield Thing("cable", cable.id, cable.function, _cable(cable), cable.span, cable.use)
    yield from _rest(plant)


def _point(end: End) -> str:
    return f"{end.id}/out" if end.side == "out" else end.id


def _run(run: Run, ends: str) -> dict[str, str]:
    conductor = run.conductor
    facts = {
        "ends": ends,
        "cable": conductor.cable or "",
        "core": conductor.core,
        "section": f"{said(run.section_mm2)} mm²" if run.section_mm2 else "",
        "colour": run.colour or "",
        "length": f"{said(run.length_m)} m" if run.length_m is not None else "",
        "way": ", ".join(run.routes),
        "mark": run.mark,
        "twin ferrule at": said(tuple(sorted(conductor.twin_at))),
        "text": conductor.text,
        **{name: said(value) for name, value in conductor.attributes.items() if name != "section"},
    }
    return _said(facts)


def _core(core: CoreType) -> tuple[str | float, ...]:
    """Name, colour and section of a core of a construction, and its pair."""
    colour = core.colour if core.colour != core.name else ""
    return core.name, colour, core.section_mm2 or "", f"pair {core.pair}" if core.pair else ""


def _cable(cable: Cable) -> dict[str, str]:
    screens = {f"screen {screen.pair or 'outer'}": ", ".join(sorted(map(_screened, screen.ends))) for screen in cable.screens}
    facts = {
        "title": cable.title,
        "construction": cable.construction,
        "cores": ", ".join(" ".join(filter(None, map(said, _core(core)))) for core in cable.cores),
        "screen": cable.screen,
        "way": ", ".join(cable.routes),
        "length": f"{said(cable.length_m)} m" if cable.length_m is not None else "",
        "method": cable.method,
        "spare cores": cable.spare,
        "parallel": said(cable.parallel) if cable.parallel > 1 else "",
        **{name: text or "not terminated" for name, text in screens.items()},
        **{name: said(value) for name, value in cable.attributes.items()},
    }
    return _said(facts)


def _screened(end: ScreenTermination) -> str:
    return f"{screen_end(end)} {screen_made(end)}"


def screen_end(end: ScreenTermination) -> str:
    """Where an end of a screen is: the terminal, or the device alone."""
    return f"{end.device}:{end.terminal}".removesuffix(":")


def screen_made(end: ScreenTermination) -> str:
    """How it is made there, with lengths: `clamp`, `open`."""
    more = said(tuple(f"{name} {text}" for name, text in fields_of(end, frozenset({"device", "terminal", "how"}))))
    return " ".join(filter(None, (end.how, more.replace(", ", " "))))


def _rest(plant: Plant) -> Iterator[Thing]:
    """What is neither device nor conductor nor cable."""
    for place in plant.places.values():
        yield _plain("place", place.id, place, "id", "enclosure")
    for function in plant.functions.values():
        yield _plain("function", function.id, function, "id")
    for route in plant.routes.values():
        yield _plain("route", route.id, route, "id")
    for relation in plant.relations:
        yield _plain("routes", " and ".join(sorted(relation.routes)), relation, "routes")
    for pair in plant.interlocks:
        yield _plain("interlock", " and ".join(sorted(pair.devices)), pair, "devices")
    for potential in plant.potentials:
        facts = {"of": _point(potential.end), "mark": potential.mark or "", "parallel": said(potential.parallel)}
        yield Thing("potential", potential.name, "", _said(facts), potential.span)
    for point in plant.reference_points:
        yield Thing("earthing", _point(point.of), "", {"at": _point(point.at)}, point.span)
    for coupling in plant.couplings:
        yield Thing("coupling", " and ".join(sorted(coupling.halves)), "", {"halves": said(coupling.halves)}, coupling.span)
    for exception in plant.exceptions:
        yield _plain("exception", f"{exception.rule} {exception.subject}", exception, "rule", "subject")
    for severity in plant.severities:
        yield _plain("severity", severity.rule, severity, "rule")
    for separation in plant.separations:
        yield _plain("separation", " and ".join(sorted(separation.classes)), separation, "classes")
    for least in plant.least_sections:
        yield _plain("least section", least.kind, least, "kind")
    for word, shade in plant.shades.items():
        yield Thing("shade", word, "", {"colour": said(shade)}, None)
    for note in plant.notes:
        yield Thing("note", f"{note.kind} {note.subject} {said(note.text)}", "", {"stated": "yes"}, note.span, note.use)
    project = plant.project
    facts = {"title": project.title, **project.attributes}
    facts |= {f"revision {each.index}": said((each.date, each.text)) for each in project.revisions}
    yield Thing("project", "project", "", _said(facts), project.span)
    for name, choice in project.choices.items():
        yield Thing("choice", name, "", {"value": choice.word or said(choice.values)}, choice.span)


def _plain(kind: str, identity: str, of: Struct, *but: str) -> Thing:
    """A Struct with all of its fields but those named, which make its `identity`."""
    facts = dict(fields_of(of, frozenset(but)))
    span = getattr(of, "span", None)
    function = identity if kind == "function" else ""
    return Thing(kind, identity, function, facts or {"kind": kind}, span)


def _said(facts: Mapping[str, str]) -> dict[str, str]:
    """Those that say something, in one line each."""
    return {name: " ".join(text.split()) for name, text in facts.items() if text}
