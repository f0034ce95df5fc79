"""Everything that is known about one thing of a plant, as one object of plain values: what `netdsl show` prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from netdsl.calc.sheet import results_at, title, verdict
from netdsl.cli.work import Judged
from netdsl.findings import Finding, Span
from netdsl.model.plant import Cable, Device, FunctionScope, Place, RouteWay
from netdsl.network.queries import contents_of, downstream, held_in, upstream
from netdsl.network.terminal_rows import contact_rows, terminal_rows
from netdsl.network.types import Network
from netdsl.network.unused import spare_cores
from render.sheet import Sheet

Facts = dict[str, Any]


def known_things(network: Network) -> tuple[str, ...]:
    """Every designation that can be shown but those of terminals."""
    plant = network.plant
    return (*plant.devices, *plant.cables, *plant.places, *plant.functions, *plant.routes)


def about(judged: Judged, network: Network, name: str, sheets: Iterable[Sheet]) -> Facts | None:
    """What is known about `name`, a device, strip, cable, place, function, route or terminal; None where there is none."""
    plant = network.plant
    name = name.removesuffix("/in").removesuffix("/out")
    owner, colon, terminal = name.partition(":")
    facts: Facts
    if colon:
        device = plant.devices.get(owner)
        rows = [row for row in terminal_rows(network, device) if row["terminal"] == terminal] if device else []
        if device is None or not rows:
            return None
        facts = {
            "designation": name,
            "what": "terminal",
            "of": owner,
            "title": device.title,
            "place": device.place,
            "terminals": rows,
        }
        spans = list(_spans_at(network, name))
    elif name in plant.devices:
        facts, spans = _device(network, plant.devices[name]), list(_device_spans(network, plant.devices[name]))
    elif name in plant.cables:
        facts, spans = _cable(network, plant.cables[name]), [plant.cables[name].span]
    elif name in plant.places:
        facts, spans = _place(network, plant.places[name]), [plant.places[name].span]
    elif name in plant.functions:
        facts, spans = _function(network, plant.functions[name]), [plant.functions[name].span]
    elif name in plant.routes:
        relations = [each.span for each in plant.relations if name in {way.partition("/")[0] for way in each.routes}]
        facts, spans = _route(network, plant.routes[name]), [plant.routes[name].span, *relations]
    else:
        return None
    facts["findings"] = [_finding(finding) for finding in judged.findings if _concerns(finding, name)]
    facts["results"] = _results(judged, name)
    facts["sheets"] = [{"key": sheet.key, "title": sheet.title} for sheet in sheets if _is_on(sheet, name)]
    facts["lines"] = sorted({place_of(span): _line(span) for span in spans}.items(), key=lambda line: _order(line[0]))
    facts["lines"] = [{"place": place, "text": text} for place, text in facts["lines"]]
    return facts


def place_of(span: Span) -> str:
    """File and line of a span, as `plant.netdsl:12`."""
    return f"{span.source.path}:{span.begin[0]}"


def _order(place: str) -> tuple[str, int]:
    file, _, line = place.rpartition(":")
    return file, int(line)


def _line(span: Span) -> str:
    return " ".join(span.source.line(span.begin[0]).split())


# --- each kind of thing -------------------------------------------------------------------------------------------
def _device(network: Network, device: Device) -> Facts:
    plant, part = network.plant, device.part
    ids = {name for names in _landing(network, device.id) for name in names}
    cables = [name for name, cable in plant.cables.items() if ids & set(cable.conductors) or _screened(cable, device.id)]
    return {
        "designation": device.id,
        "what": device.category if device.category == device.kind else f"{device.category}, {device.kind}",
        "title": device.title,
        "part": part.name if part else "",
        "function": device.function,
        "place": device.place,
        "operated_at": device.operated_at,
        "fitted": [each.part.name for each in device.accessories],
        "connection": device.connection,
        "ratings": {name: device.ratings.text(name) for name in device.ratings},
        "settings": {
            name: device.settings.text(name) + ("" if name in device.settings_set else " (by default)")
            for name in device.settings
        },
        "terminals": _terminals(network, device),
        "pieces": [{"kind": piece.kind, "behind": piece.behind, "text": piece.text} for piece in device.pieces],
        "holds": [_named(each) for each in held_in(plant, device.id)],
        "contacts": contact_rows(network, device),
        "cables": [{"designation": name, "title": plant.cables[name].title} for name in cables],
        "fed_by": list(upstream(network, device.id)),
        "feeds": list(downstream(network, device.id)),
        "remarks": [{"kind": note.kind, "text": note.text} for note in plant.notes if note.subject == device.id],
    }


def _terminals(network: Network, device: Device) -> list[Facts]:
    """Rows of the terminals; of a channel those of its housing on which its conductors land."""
    host = network.plant.devices.get(device.host, device)
    return [row for row in terminal_rows(network, host) if row["terminal"] in device.terminals]


def _landing(network: Network, device: str) -> Iterator[tuple[str, ...]]:
    yield from (names for node, names in network.at_terminal.items() if node.rpartition(":")[0] == device)


def _screened(cable: Cable, device: str) -> bool:
    return any(end.device == device for screen in cable.screens for end in screen.ends)


def _cable(network: Network, cable: Cable) -> Facts:
    use, plant = network.cables.get(cable.id), network.plant
    cores = []
    for name in cable.conductors:
        conductor, run = plant.conductors[name], network.runs.get(name)
        ends = " to ".join(end.id for end in conductor.ends)
        klass = run.klass.value if run else ""
        cores.append(
            {"core": conductor.core, "ends": ends, "net": run.net if run else "", "class": klass, "text": conductor.text}
        )
    screens = [
        {"pair": screen.pair, "ends": [f"{_at(end.device, end.terminal)} {end.how}" for end in screen.ends]}
        for screen in cable.screens
    ]
    return {
        "designation": cable.id,
        "what": "cable",
        "title": cable.title,
        "function": cable.function,
        "construction": cable.construction + (f" {cable.screen} screen" if cable.screen else ""),
        "length": f"{cable.length_m:g} m" if cable.length_m is not None else "",
        "routes": list(cable.routes),
        "entries": list(filter(None, cable.attributes.text("entry").split(","))),
        "method": cable.method,
        "parallel": cable.parallel,
        "class": use.klass.value if use else "",
        "drive": (use.drive or "") if use else "",
        "load": (use.load or "") if use else "",
        "attributes": {name: cable.attributes.text(name) for name in cable.attributes},
        "cores": cores,
        "spare": list(spare_cores(cable, plant)),
        "screens": screens,
    }


def _at(device: str, terminal: str) -> str:
    return f"{device}:{terminal}" if terminal else device


def _place(network: Network, place: Place) -> Facts:
    plant = network.plant
    return {
        "designation": place.id,
        "what": f"place, {place.kind}",
        "title": place.title,
        "inside": place.parent or "",
        "enclosure": place.enclosure if place.enclosure != place.id else "",
        "attributes": {name: place.attributes.text(name) for name in place.attributes},
        "places": [each.id for each in plant.places.values() if each.parent == place.id],
        "devices": [_named(device) for device in plant.devices.values() if place.id in (device.place, device.operated_at)],
        "routes": [route.id for route in plant.routes.values() if route.place == place.id],
    }


def _named(device: Device) -> dict[str, str]:
    return {"designation": device.id, "title": device.title, "part": device.part.name if device.part else device.kind}


def _function(network: Network, function: FunctionScope) -> Facts:
    plant = network.plant
    cables = [cable for cable in plant.cables.values() if cable.function == function.id]
    return {
        "designation": function.id,
        "what": "function",
        "title": function.title,
        "inside": function.parent or "",
        "place": function.place or "",
        "functions": [each.id for each in plant.functions.values() if each.parent == function.id],
        "devices": [_named(device) for device in plant.devices.values() if device.function == function.id],
        "cables": [{"designation": cable.id, "title": cable.title} for cable in cables],
    }


def _route(network: Network, route: RouteWay) -> Facts:
    plant = network.plant
    relations = []
    for each in plant.relations:
        for own, other in (each.routes, each.routes[::-1]):
            if own.partition("/")[0] == route.id:
                says = {"spacing": each.spacing_m, "parallel": each.parallel_m, "crossing": each.crossing_deg}
                units = {"spacing": "m", "parallel": "m", "crossing": "°"}
                shown = {name: f"{value:g} {units[name]}" for name, value in says.items() if value is not None}
                relations.append({"own": own, "other": other, **shown})
    contents = [
        {"compartment": each.compartment or route.id, "cables": list(each.cables), "wires": len(each.runs)}
        for each in contents_of(network, route.id)
    ]
    return {
        "designation": route.id,
        "what": f"route, {route.kind}",
        "title": route.title,
        "place": route.place,
        "length": f"{route.length_m:g} m" if route.length_m is not None else "",
        "attributes": {name: route.attributes.text(name) for name in route.attributes},
        "contents": contents,
        "relations": relations,
    }


# --- what all have ------------------------------------------------------------------------------------------------
def _spans_at(network: Network, terminal: str) -> Iterator[Span]:
    plant = network.plant
    for name in network.at_terminal.get(terminal, ()):
        yield plant.conductors[name].use or plant.conductors[name].span
    owner, _, name = terminal.partition(":")
    for cable in plant.cables.values():
        yield from (
            each.span for screen in cable.screens for each in screen.ends if (each.device, each.terminal) == (owner, name)
        )


def _device_spans(network: Network, device: Device) -> Iterator[Span]:
    """Where the text speaks of a device: declared, set, fitted and remarked on, and with its conductors and screens."""
    plant = network.plant
    yield device.use or device.span
    yield from device.settings_at.values()
    yield from (each.span for each in device.accessories)
    if device.connected is not None:
        yield device.connected_use or device.connected
    for name in device.terminals:
        yield from _spans_at(network, f"{device.id}:{name}")
    yield from (note.use or note.span for note in plant.notes if note.subject == device.id)
    yield from (each.span for each in plant.exceptions if each.subject.partition(":")[0] == device.id)


def _concerns(finding: Finding, name: str) -> bool:
    return any(subject == name or subject.partition(":")[0] == name for subject in finding.subjects)


def _finding(finding: Finding) -> Facts:
    return {
        "rule": finding.rule,
        "severity": "allowed" if finding.allowed is not None else finding.severity.value,
        "message": finding.message,
        "remedy": finding.remedy,
        "place": place_of(finding.span),
    }


def _results(judged: Judged, name: str) -> list[Facts]:
    if judged.calculation is None:
        return []
    return [
        {
            "key": result.key,
            "title": f"{title(result.question)} of {result.subject}",
            "value": result.shown,
            "verdict": verdict(result).lstrip(", "),
        }
        for result in results_at(judged.calculation, name)
    ]


def _is_on(sheet: Sheet, name: str) -> bool:
    return sheet.part_of == name or any(piece.of == name or piece.of.startswith(f"{name}:") for piece in sheet.primitives)
