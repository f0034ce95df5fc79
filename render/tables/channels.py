"""Inputs and outputs with their addresses, and the settings of devices."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.network.queries import devices_on
from netdsl.network.types import Network
from netdsl.quantities import shown
from render.drawing import Drawing
from render.tables.listing import function_heading, listing, side_by_side
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.purposes import as_wired, purpose
from render.words.terminals import WINDING_LINKS

_CHANNELS = (
    Column("address", most=30.0, least=14.0),
    Column("tag", most=30.0, least=14.0),
    Column("terminal", most=44.0, least=22.0),
    Column("done", ticks=True),
    Column("kind", most=36.0, least=20.0),
    Column("function", most=60.0, least=24.0, whole=32.0),
    Column("text", most=80.0, least=20.0),
    Column("leads to", most=70.0, least=30.0),
    Column("sheet", most=30.0, least=14.0, below=True),
)
_TRIED = "Boxes of inputs and outputs: wired, tried."
_SETTINGS = (
    Column("device", most=40.0, least=18.0),
    Column("done", ticks=True),
    Column("part", most=50.0, least=22.0),
    Column("to be set", most=120.0, least=40.0),
    Column("as supplied, to be checked", most=140.0, least=40.0),
)
_SET = (
    "Boxes of settings: set, checked. What the text does not state is to be found: settings of protection follow the calculation."
)
_WORDS = {
    Role.DIGITAL_IN: "digital input",
    Role.DIGITAL_OUT: "digital output",
    Role.ANALOGUE_IN: "analogue input",
    Role.ANALOGUE_OUT: "analogue output",
    Role.SAFETY_IN: "safety input",
    Role.SAFETY_OUT: "safety output",
}
_STATIONS = frozenset({Kind.DRIVE, Kind.SOFT_STARTER, Kind.CONTROLLER, Kind.SAFETY_RELAY, Kind.OUTSIDE})
#: what a signal only passes on its way
_PASSED = frozenset({Kind.STRIP, Kind.PLUG, Kind.TERMINAL_BOX})
_SWITCHES = frozenset({Kind.SWITCH, Kind.LEVEL_SWITCH, Kind.SENSOR})
#: quantities at which a switch is set to close or open
_SET_AT = frozenset({"pressure", "flow", "temperature", "humidity"})
#: values set on the device that are ratings where no `set` gave them
_RATED = ("tripping-current", "address", "termination", "input-logic")


@listing("io", "inputs and outputs of drives, controllers and cards with address, tag, text and where they lead")
def channels(drawing: Drawing) -> Table:
    """A row per input, output or contact of an output that is wired or has a channel, device by device."""
    entries: list[Entry] = []
    for device in drawing.plant.devices.values():
        rows = [row for terminal in device.terminals.values() for row in _rows(drawing, device, terminal)]
        if rows:
            entries += (
                Entry((), device.id, f"{device.id} {device.title or (device.part.title if device.part else '')}".strip()),
                *rows,
            )
    title = drawing.plant.project.title
    return Table(
        "io",
        "IL",
        "Inputs and outputs",
        "Inputs and outputs",
        title,
        _CHANNELS,
        tuple(entries),
        (_TRIED,),
        counted=True,
        by="device",
    )


@listing("settings", "what is to be set on devices, and what they are supplied with")
def settings(drawing: Drawing) -> Table:
    """A row per device that has a setting or links, function by function."""
    plant = drawing.plant
    entries: list[Entry] = []
    by_function: dict[str, list[Entry]] = {}
    for device in plant.devices.values():
        by_function.setdefault(device.function, []).extend(_setting(drawing, device))
    for function in ("", *plant.functions):
        rows = by_function.get(function)
        if rows:
            entries += (replace(function_heading(plant, function), whole=True), *rows)
    title = plant.project.title
    return Table(
        "settings",
        "SL",
        "Settings",
        "Settings",
        title,
        _SETTINGS,
        tuple(entries),
        (_SET,),
        blocks=side_by_side(drawing),
        counted=True,
        by="function",
    )


def _rows(drawing: Drawing, device: Device, terminal: Terminal) -> Iterator[Entry]:
    """A terminal as an input or output; else the contacts that end at it: relay outputs."""
    if _shown(drawing, device, terminal):
        yield _channel(drawing, device, terminal)
        return
    for one, other, word in _contacts(device) if device.kind in _STATIONS else ():
        ends = [device.terminals[name] for name in (one, other)]
        used = all(f"{device.id}:{end.name}" in drawing.used and not _shown(drawing, device, end) for end in ends)
        if other == terminal.name and used:
            yield _contact(drawing, device, (ends[0], terminal), word)


def _contacts(device: Device) -> Iterator[tuple[str, str, str]]:
    """The terminals of each contact and what it is called; of equipment beyond the scope those of that role in pairs, as they are
    written."""
    words = {"make": "safety output" if device.kind == Kind.SAFETY_RELAY else "relay output", "break": "relay output"}
    yield from ((path.a, path.b, words[path.kind]) for path in device.paths if path.kind in words)
    if device.category == Category.OUTSIDE:
        held = {name for path in device.paths for name in (path.a, path.b)}
        loose = [each.name for each in device.terminals.values() if each.role is Role.CONTACT and each.name not in held]
        yield from ((one, other, "contact") for one, other in zip(loose[::2], loose[1::2], strict=False))


def _contact(drawing: Drawing, device: Device, ends: tuple[Terminal, Terminal], word: str) -> Entry:
    """A contact, which leads to what is at that end of it to which nothing else brings a voltage."""
    common, terminal = ends
    identity = f"{device.id}:{terminal.name}"
    sheet, key = drawing.of(Shown).place(identity)
    network = drawing.network
    nets = {end.name: network.nets[network.net_of[f"{device.id}:{end.name}"]] for end in (terminal, common)}
    led = min((terminal, common), key=lambda end: bool(nets[end.name].certain))
    cells = (
        Cell(""),
        Cell(""),
        Cell(f"{device.id}:{common.name}-{terminal.name}", identity, key),
        Cell(),
        Cell(word),
        Cell(""),
        Cell(purpose(device, as_wired(terminal, drawing.asked.get(identity, ()))) if terminal.text else ""),
        Cell(", ".join(_ends(network, device, led)), identity),
        Cell(sheet, identity, key),
    )
    return Entry(cells, identity)


def _shown(drawing: Drawing, device: Device, terminal: Terminal) -> bool:
    if terminal.attributes.text("address") or terminal.attributes.text("tag"):
        return True
    wired = f"{device.id}:{terminal.name}" in drawing.used
    return wired and terminal.role in _WORDS and device.kind in _STATIONS


def _channel(drawing: Drawing, device: Device, terminal: Terminal) -> Entry:
    identity = f"{device.id}:{terminal.name}"
    sheet, key = drawing.of(Shown).place(identity)
    address, tag = terminal.attributes.text("address"), terminal.attributes.text("tag")
    wired = as_wired(terminal, drawing.asked.get(identity, ()))
    cells = (
        Cell(address),
        Cell(tag),
        Cell(identity, identity, key),
        Cell(),
        Cell(_WORDS.get(terminal.role, terminal.role.value.replace("-", " "))),
        Cell(" or ".join(function.replace("-", " ") for function in wired.functions)),
        Cell(terminal.text.removeprefix(" ".join(filter(None, (tag, address)))).strip()),
        Cell(", ".join(_ends(drawing.network, device, terminal)), identity),
        Cell(sheet, identity, key),
    )
    return Entry(cells, identity)


def _ends(network: Network, device: Device, terminal: Terminal) -> Iterator[str]:
    """Terminals of other devices that the signal is joined to, what it only passes left out."""
    net = network.net_of.get(f"{device.id}:{terminal.name}")
    for other, name in devices_on(network, net) if net is not None else ():
        if other.id != device.id and other.kind not in _PASSED:
            yield f"{other.id}:{name}"


def _setting(drawing: Drawing, device: Device) -> Iterator[Entry]:
    if device.category == Category.STRIP:
        return
    made = [f"{_name(name)} {shown(device.settings.shown(name))}" for name in device.settings if name in device.settings_set]
    made += [
        f"{_name(name)} {device.ratings.shown(name)}"
        for name in _RATED
        if name not in device.settings and device.ratings.get(name)
    ]
    if device.connection:
        links = ", ".join("–".join(link) for link in WINDING_LINKS.get(device.connection, ()))
        made.append(f"windings in {device.connection}" + (f": links {links}" if links else ""))
    if device.kind == Kind.TIMER:
        made.append(_delay(device))
    made += _not_stated(drawing, device)
    left = [f"{_name(name)} {shown(device.settings.shown(name))}" for name in device.settings if name not in device.settings_set]
    if made or left:
        part = device.part.name if device.part and device.category != Category.OUTSIDE else device.title
        cells = (Cell(device.id, device.id), Cell(), Cell(part), Cell("; ".join(made)), Cell("; ".join(left)))
        yield Entry(cells, device.id)


def _delay(device: Device) -> str:
    """The time of a timing relay; of one that states none, or the range of its part alone, that it is to be found."""
    stated = device.ratings.shown("delay")
    if stated and ".." not in stated:
        return f"delay {stated}"
    return _missing("delay", stated)


def _not_stated(drawing: Drawing, device: Device) -> Iterator[str]:
    """What is to be set and has no value, neither in the text nor as supplied: a current, an address on a bus, the point at which
    a thermostat, a monitoring relay or the limiter of a heating element switches."""
    kinds = dict(device.part.settings) if device.part is not None else {}
    on_bus = any(each.role is Role.BUS and f"{device.id}:{name}" in drawing.used for name, each in device.terminals.items())
    for name, kind in kinds.items():
        known = name in device.settings or device.ratings.get(name) is not None
        if kind.range is not None and not known and (name != "address" or on_bus):
            yield _missing(_name(name), kind.range.shown)
    quantity = device.stated("quantity")
    if quantity and (device.kind in (Kind.THERMOSTAT, Kind.RELAY) or (device.kind in _SWITCHES and quantity in _SET_AT)):
        yield _missing(f"{quantity} at which it switches", "")
    if any(path.by == "limiter" for path in device.paths):
        yield _missing("temperature at which the limiter opens", "")


def _missing(what: str, possible: str) -> str:
    return f"{what} not stated{f', {possible} possible' if possible else ''}"


def _name(setting: str) -> str:
    return setting.replace("-", " ")
