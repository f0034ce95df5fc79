"""What is true of a device: its part, where it stands, what it is made for, how it is set, what lies between its terminals."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.comparing.values import fields_of, said
from netdsl.model.device import Device
from netdsl.model.part_type import Terminal

_PLAIN = ("title", "category", "kind", "function", "place", "operated_at", "symbol", "protection_class", "connection", "host")
_ALIKE = frozenset({"name"})


def device_facts(device: Device, known: dict[int, str]) -> dict[str, str]:
    """The facts of a device by name. `known`: texts of the terminals and paths of parts, which many devices share, by their
    `id`; to be kept only while the plant lives."""
    facts = {name.replace("_", "-"): said(getattr(device, name)) for name in _PLAIN}
    facts["part"] = device.part.name if device.part else ""
    for name, value in device.ratings.items():
        facts[f"rating {name}"] = said(value)
    for name, value in device.settings.items():
        facts[f"setting {name}"] = said(value)
    facts["fitted"] = said(tuple(sorted(each.part.name for each in device.accessories)))
    for name, terminal in device.terminals.items():
        facts[f"terminal {name}"] = _kept(terminal, known)
    for kind, text in _inside(device, known):
        number, name = 2, f"{kind} {text}"
        while name in facts:
            name, number = f"{kind} {text} ({number})", number + 1
        facts[name] = "yes"
    if device.category == "strip" or device.kind == "strip":
        facts |= _rail(device)
    return {name: text for name, text in facts.items() if text}


def _inside(device: Device, known: dict[int, str]) -> Iterator[tuple[str, str]]:
    for path in device.paths:
        yield "path", _kept(path, known)
    for source in device.sources:
        yield "source", _kept(source, known)
    for consumer in device.consumers:
        yield "consumer", _kept(consumer, known)
    for row in device.part.selective if device.part else ():
        yield "selective", _kept(row, known)
    for requirement in device.requirements:
        yield "required", _kept(requirement, known)


def _rail(device: Device) -> dict[str, str]:
    """What a strip states besides its terminals: their order, what is bridged, plates, rail."""
    return {
        "order": ", ".join(device.terminals),
        "rail bonded": said(device.rail_bonded),
        "field side": device.field_side,
        **{f"bridge {', '.join(sorted(bridge, key=list(device.terminals).index))}": "yes" for bridge in device.bridges},
        **{f"{piece.kind} behind {piece.behind or 'the beginning'}": piece.text or "yes" for piece in device.pieces},
    }


def _kept(value: Struct, known: dict[int, str]) -> str:
    text = known.get(id(value))
    if text is None:
        but = _ALIKE if isinstance(value, Terminal) else frozenset()
        parts = [f"{name} {each}" for name, each in fields_of(value, but) if each not in ("no", "0")]
        text = known[id(value)] = "; ".join(parts) or "yes"
    return text
