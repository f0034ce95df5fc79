"""The text of a site: places, ducts and trays, and how these ways run to each other."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from netdsl.starting.io_list import Signal
from netdsl.starting.motor_list import Motor
from netdsl.starting.panel_texts import cabinet_size
from netdsl.starting.panels import Panel


class Inside(Struct, frozen=True):
    """A panel with the number of its power ducts, its ducts of drives' outputs, the conduits of its brake resistors,
    its inputs and outputs."""

    panel: Panel
    ducts: int
    outputs: tuple[str, ...]
    resistors: tuple[str, ...] = ()
    signals: tuple[Signal, ...] = ()


def site_text(insides: Sequence[Inside]) -> str:
    """Places and routes of panels and of their motors. Distances are assumed."""
    motors = [motor for inside in insides for motor in inside.panel.motors]
    signals = [signal for inside in insides for signal in inside.signals]
    there: list[Motor | Signal] = [*motors, *signals]
    places = {each.place: each.place_title for each in there}
    lines = [
        "# Where things stand, what cables and wires lie in, and how these ways run to each other. Distances are assumed.",
        "",
        "netdsl 1",
        "",
        *(inside.panel.renamed(line) for inside in insides for line in _stands(inside.panel)),
        'place +CTRL "Control room" kind=field',
        *(f'place +{name} "{title}" kind=field' for name, title in places.items()),
        "",
    ]
    for inside in insides:
        power = [f"DUCT1{number}" for number in range(inside.ducts + 1)]
        lines += [inside.panel.renamed("\n".join([*_ducts(power, inside.outputs), "", *_room(inside.resistors)]))]
    for name in places:
        longest = max(each.length_m for each in there if each.place == name)
        lines += _trays(name, longest, any(motor.place == name for motor in motors))
    return "\n".join(lines) + "\n"


_ROOM = (
    'route TRAY0 "incoming" at=+ROOM kind=perforated-tray length=20m',
    'route TRAY1 "control" at=+ROOM kind=perforated-tray length=20m',
    "layout TRAY0 TRAY1 spacing=500mm parallel=20m",
    'route RISER1 "from the control room" at=+CTRL kind=perforated-tray length=40m',
)


def _room(resistors: tuple[str, ...]) -> tuple[str, ...]:
    """Ways in the room of a panel."""
    return (*_ROOM, *(f'route {name} "brake resistor" at=+ROOM kind=conduit material=steel length=3m' for name in resistors))


def _stands(panel: Panel) -> tuple[str, ...]:
    """A panel, its door, its room."""
    return (
        f'place +MCP "{panel.title}" kind=cabinet size={cabinet_size(panel.motors)} mounting=against-wall ambient=25degC',
        'place +MCP.D "Panel door" kind=door',
        'place +ROOM "Room of the panel" kind=field',
    )


def _ducts(power: list[str], outputs: tuple[str, ...]) -> list[str]:
    """Ducts of the panel: power apart from control, both apart from signals."""
    loaded = ["DUCT0", *power]
    others = [*loaded, "DUCT2", "DUCT3"]
    return [
        'route DUCT0 "infeed, up to the busbars" at=+MCP kind=duct',
        'route DUCT10 "24 V supply, fans, earth" at=+MCP kind=duct',
        *(f'route {name} "power" at=+MCP kind=duct' for name in power[1:]),
        'route DUCT2 "control" at=+MCP kind=duct',
        'route DUCT3 "signals" at=+MCP kind=duct',
        *(f'route {name} "output of a drive" at=+MCP kind=duct' for name in outputs),
        'route HINGE1 "hinge loop" at=+MCP.D kind=hinge',
        f"layout {_level(loaded)} DUCT2 crossing=90deg",
        f"layout {_level(loaded)} DUCT3 spacing=200mm parallel=1.6m",
        *([f"layout {_level(outputs)} {_level(others)} spacing=300mm parallel=1.6m"] if outputs else []),
        "layout DUCT2 DUCT3 spacing=100mm parallel=1.6m",
    ]


def _trays(place: str, longest: float, motors: bool) -> list[str]:
    """Trays to a place, m long, the further apart the longer they run side by side; without motors that of signals alone."""
    if not motors:
        route = f'route {place}-CONTROL "control and signals" at=+{place} kind=perforated-tray length={longest:g}m divider=yes'
        return ["", route]
    factor = max(1.0, longest / 30)
    kinds = (
        ("DRIVES", "motor cables of drives", ""),
        ("MAINS", "motors on the mains", ""),
        ("CONTROL", "control and signals", " divider=yes"),
    )
    return [
        "",
        *(
            f'route {place}-{kind} "{text}" at=+{place} kind=perforated-tray length={longest:g}m{more}'
            for kind, text, more in kinds
        ),
        f"layout {' '.join(f'{place}-{kind}' for kind, *_ in kinds)} spacing={_apart(300, factor)},{_apart(500, factor)} "
        f"parallel={longest:g}m",
    ]


def _apart(mm: int, factor: float) -> str:
    """A distance in steps of 50 mm."""
    return f"{-(-int(mm * factor) // 50) * 50}mm"


def _level(names: Sequence[str]) -> str:
    """Routes of one level as a layout names them: those whose numbers follow each other as a range."""
    ranges: list[list[str]] = []
    for name in names:
        stem, number = name[: len(name.rstrip("0123456789"))], int(name[len(name.rstrip("0123456789")) :])
        if ranges and ranges[-1][-1] == f"{stem}{number - 1}":
            ranges[-1].append(name)
        else:
            ranges.append([name])
    return ",".join(",".join(each) if len(each) < 3 else f"{each[0]}..{each[-1]}" for each in ranges)
