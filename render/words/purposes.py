"""What a terminal of a device is for, and what a device is set to, in words."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.ends import relay_of
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Plant, Rating, Role, Terminal
from netdsl.quantities import Quantity, shown

#: of a potentiometer, whose ends are alike: which of them is joined to the common is said by what lands there
_TRACK = {Role.ANALOGUE_COMMON: "end of track", Role.ANALOGUE_OUT: "slider"}


class SettingLine(Struct, frozen=True):
    """A setting: name, value, whether a `set` gave it, what it may be."""

    name: str
    value: str
    given: bool
    choice: str


def asked(plant: Plant) -> dict[str, frozenset[str]]:
    """By terminal (`=RP1-T1:DI5`) the functions by which its conductors ask for it, or for another of the same relay."""
    found: dict[str, frozenset[str]] = {}
    for conductor in plant.conductors.values():
        for end in conductor.ends:
            device = plant.devices.get(end.device) if end.use else None
            if device is None:
                continue
            found[end.id] = found.get(end.id, frozenset()) | {end.use}
            if device.terminals[end.terminal].role is Role.CONTACT:
                for other in device.terminals.values():
                    told = {function for function in other.functions if relay_of(function) == relay_of(end.use)}
                    if told:
                        found[f"{device.id}:{other.name}"] = found.get(f"{device.id}:{other.name}", frozenset()) | told
    return found


def as_wired(terminal: Terminal, uses: Collection[str]) -> Terminal:
    """A terminal with those of its functions alone that are asked of it, with all where none is; a contact asked for as one of a
    relay, `relay-1-make`, is called by that and no longer by what the relay does unless it is told otherwise."""
    functions = tuple(function for function in terminal.functions if function in uses)
    if not functions:
        return terminal
    text = terminal.text
    if text and terminal.role is Role.CONTACT and not any(function.startswith(f"{text}-") for function in functions):
        text = relay_of(functions[0]).replace("-", " ")
    return replace(terminal, functions=functions, text=text)


def purpose(device: Device, terminal: Terminal) -> str:
    """`start`, `preset 1 or reset`, `fault, make`, `24 V DC`; "" of a terminal that takes its meaning from what lands on it."""
    if terminal.text:
        return ", ".join(part for part in (terminal.text, _arm(device, terminal)) if part)
    if terminal.role in (Role.SUPPLY_OUT, Role.REFERENCE_OUT, Role.SUPPLY_IN) and terminal.voltage is not None:
        return f"{terminal.voltage.shown} {terminal.voltage_kind.upper()}".strip()
    if device.kind == Kind.POTENTIOMETER and terminal.role in _TRACK:
        return _TRACK[terminal.role]
    said = [function.replace("-", " ") for function in terminal.functions]
    return " or ".join(said) or ("" if terminal.role is Role.PLAIN else terminal.role.value.replace("-", " "))


def _arm(device: Device, terminal: Terminal) -> str:
    """Which arm of a contact a terminal is."""
    kinds = {path.kind for path in device.paths if terminal.name in (path.a, path.b)} & {"make", "break"}
    return "common" if len(kinds) > 1 else kinds.pop() if kinds else ""


def use_words(device: Device, terminal: Terminal) -> str:
    """What a terminal is for with the settings on which that depends, no word of it said twice: `stop`, `enable-input: on`,
    `thermistor 1: off`, `reference current; ai2: 4..20 mA`."""
    use, said = purpose(device, terminal), []
    for line in governing(device, terminal):
        name, _, value = line.partition(": ")
        words = name.replace("-", " ")
        if use and f"{words} ".startswith(f"{use} "):
            use = ""
        elif use.startswith(f"{words} "):
            line, use = f"{use}: {value}", ""
        said.append(line)
    return "; ".join(part for part in (use, *said) if part)


def governing(device: Device, terminal: Terminal) -> tuple[str, ...]:
    """The settings on which a terminal's use depends: `ai2: 4..20 mA`."""
    found = []
    needed = {need.setting for need in device.requirements if terminal.name in need.terminals}
    for name, value in device.settings.items():
        needs = name in needed
        line = name == "termination" and terminal.role is Role.BUS and terminal.attributes.get("line") in ("a", "b")
        if name.casefold() == terminal.name.casefold() or needs or line:
            found.append(f"{name}: {rating_text(value)}")
    return tuple(found)


def rating_text(value: Rating) -> str:
    """A value as printed."""
    return value.shown if isinstance(value, Quantity) else shown(str(value))


def setting_lines(device: Device) -> tuple[SettingLine, ...]:
    """All settings of a device, in the order of its part and accessories."""
    kinds = dict(device.part.settings) if device.part is not None else {}
    for accessory in device.accessories:
        kinds.update(accessory.part.settings)
    lines = []
    for name, kind in kinds.items():
        value = device.settings.get(name)
        choice = kind.range.shown if kind.range is not None else ", ".join(shown(word) for word in kind.words)
        said = rating_text(value) if value is not None else "as delivered"
        lines.append(SettingLine(name, said, name in device.settings_set, choice))
    return tuple(lines)


def note_lines(plant: Plant, device: str) -> tuple[tuple[bool, str], ...]:
    """The notes on a device in order of text, each with whether it is a caution."""
    return tuple((note.kind == "caution", note.text) for note in plant.notes if note.subject == device)
