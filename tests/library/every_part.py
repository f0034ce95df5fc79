"""A plant with shipped parts for drawing, each wired at all of its terminals by their roles; nobody would build it so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import count

from netdsl.model.part_type import PartType, Role

#: kinds that are fitted on another device
FITTED = ("aux-contact", "relay-socket", "gland", "interlock")
_BARS = ("earth-bar", "screen-bar")
_EARTHS = (Role.EARTH, Role.EARTH_THROUGH)
_HEAD = """netdsl 1

place +MCP "Panel" kind=cabinet size=1200x2000x400mm
supply -G0 "Mains" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA upstream=fuse-gG-63A
device -XE1 earth-bar at=+MCP ways={ways}
busbar -WB1 "Bars" at=+MCP poles=4 current=100A
wire -G0:L1,L2,L3,N to -WB1:L1,L2,L3,N 16mm2 BK
wire -G0:PE to -XE1:1 16mm2 GNYE
defaults within=+MCP section=2.5mm2 colour=BK length=1m
defaults within=+MCP class=earth section=2.5mm2 colour=GNYE length=1m
"""


def plant_of(parts: Iterable[PartType]) -> str:
    """The text of a plant that holds `parts` in their order, the first as `-D1`."""
    earths = count(2)
    lines = [line for number, part in enumerate(parts, 1) for line in _part(part, f"-D{number}", number, earths)]
    return "\n".join((_HEAD.format(ways=next(earths)), *lines)) + "\n"


def _part(part: PartType, name: str, number: int, earths: Iterator[int]) -> Iterator[str]:
    if part.kind in FITTED:
        yield f"device -B{number} level-switch at=+MCP"
        yield f"fit {part.name} on -B{number}"
        return
    yield f"device {name} {part.name} at=+MCP{' ways=4' if part.kind in _BARS else ''}"
    if part.kind in _BARS:
        yield f"wire {name}:1 to -XE1:{next(earths)} 2.5mm2 GNYE"
    powered, plain = count(), list[str]()
    for terminal in part.terminals.values():
        if terminal.role in _EARTHS:
            yield f"wire {name}:{terminal.name} to -XE1:{next(earths)}"
        elif terminal.role in (Role.LINE_IN, Role.WINDING, Role.LOAD) and (pole := next(powered)) < 3:
            yield f"wire -WB1:L{pole + 1} to {name}:{terminal.name}"
        elif terminal.role is Role.NEUTRAL:
            yield f"wire -WB1:N to {name}:{terminal.name}"
        elif terminal.role is not Role.SCREEN:
            plain.append(terminal.name)
    if plain:
        yield f"strip -X{number} at=+MCP {{\n  :1..{len(plain)} 4mm2\n}}"
    yield from (f"wire {name}:{terminal} to -X{number}:{place}" for place, terminal in enumerate(plain, 1))
