"""By which conductor a device could be earthed that none earths, where all of it is already there: terminal, bar, length."""

from __future__ import annotations

from typing import NamedTuple

from lint.facts import Facts
from netdsl.findings import Edit, Span
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device
from netdsl.network.unused import required_terminals


class EarthWire(NamedTuple):
    """A wire as it would be written, and the edit that writes it behind the line that declares the device."""

    text: str
    edit: Edit


def earth_wire(facts: Facts, name: str, bar_node: tuple[str, ...], section_mm2: float, taken: set[str]) -> EarthWire | None:
    """The wire from a device to the bar among `bar_node`, members of the main bar: None where anything of it would be invented.

    That is: not both in one enclosure; no single earth terminal of the device, or no way of the bar, that is free and takes the
    section; no length that a `defaults` states for it; a device that a `use` made. `taken`: ways of bars that are promised to
    another, to which this one is added.
    """
    device = facts.device(name)
    if device is None or device.category != Category.DEVICE or device.use is not None:
        return None
    bars = [facts.plant.devices[member] for member in bar_node if member in facts.plant.devices]
    bars = [
        bar for bar in bars if bar.kind == Kind.EARTH_BAR and _together(facts, bar, device) and _is_called_so(facts, bar, device)
    ]
    own, way = _own_terminal(facts, device), _way(facts, bars[0], taken) if len(bars) == 1 else None
    if own is None or way is None or not _has_length(facts, device):
        return None
    low, high = zip(own[1], way[1], strict=True)
    section = max(section_mm2, *low)
    if section > min(high):
        return None
    taken.add(way[0])
    ends = [_as_written(device, terminal) for terminal in (own[0], way[0])]
    text = f"wire {ends[0]} to {ends[1]} {section:g}mm2 GNYE"
    return EarthWire(text, _behind(device.whole, text))


def _together(facts: Facts, bar: Device, device: Device) -> bool:
    home = facts.enclosure_of(device.id)
    return bool(home) and facts.enclosure_of(bar.id) == home


def _is_called_so(facts: Facts, bar: Device, device: Device) -> bool:
    """Whether the bar is what its name means where the device is declared: no nearer function has one of that name."""
    same = [each for each in facts.plant.devices.values() if each.product == bar.product and each is not bar]
    return not bar.function and not any(each.function and device.function.startswith(each.function) for each in same)


def _own_terminal(facts: Facts, device: Device) -> tuple[str, tuple[float, float]] | None:
    """The one earth terminal of a device that is meant, with the sections it takes: the one it requires, or its only one."""
    free = [terminal for terminal in facts.earth_terminals(device.id) if terminal not in facts.landed]
    needed = required_terminals(device)
    meant = [terminal for terminal in free if terminal.rpartition(":")[2] in needed] or free
    taken = device.terminals[meant[0].rpartition(":")[2]].clamp.section if len(meant) == 1 else None
    return (meant[0], taken) if taken is not None else None


def _way(facts: Facts, bar: Device, taken: set[str]) -> tuple[str, tuple[float, float]] | None:
    """The first free way of a bar, with the sections it takes."""
    for name, terminal in bar.terminals.items():
        if f"{bar.id}:{name}" not in facts.landed | taken:
            return (f"{bar.id}:{name}", terminal.clamp.section) if terminal.clamp.section is not None else None
    return None


def _has_length(facts: Facts, device: Device) -> bool:
    """Whether a `defaults` gives earth conductors there a length."""
    around = {"", *(place.id for place in facts.around(device.id)), device.function}
    return any(c.length_m is not None and c.klass in ("", "earth") and c.within in around for c in facts.plant.defaults)


def _as_written(device: Device, terminal: str) -> str:
    """A terminal by the name that the function of a device knows it by."""
    function = device.function
    return terminal.removeprefix(function) if function and terminal.startswith(f"{function}-") else terminal


def _behind(whole: Span, text: str) -> Edit:
    source = whole.source.text
    end = source.find("\n", whole.end)
    start = source.rfind("\n", 0, whole.start) + 1
    indent = source[start : whole.start]
    end = len(source) if end < 0 else end
    return Edit(Span(whole.source, end, end), f"\n{indent if not indent.strip() else ''}{text}")
