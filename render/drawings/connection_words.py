"""What a connection drawing says of a drive's terminals, settings and notes, before anything has a place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from netdsl.model.kinds import TAPPED
from netdsl.model.plant import CableScreen, Device, Plant, Role, ScreenTermination, Terminal
from netdsl.network.types import Network, Potential
from netdsl.quantities import number_text
from render.drawing import Drawing
from render.drawings.connection_trace import Step, Tracer, feeding
from render.words.cables import how_text
from render.words.names import Names
from render.words.purposes import governing, purpose
from render.words.terminals import section_text

#: groups of terminals in the order in which they are drawn, with the roles that belong to them
GROUPS: Mapping[str, tuple[Role, ...]] = {
    "Supply": (Role.LINE_IN, Role.NEUTRAL),
    "Motor": (Role.MOTOR_OUT, Role.WINDING, Role.LOAD_OUT),
    "Thermistor": (Role.THERMISTOR,),
    "Earth": (Role.EARTH, Role.EARTH_THROUGH, Role.FUNCTIONAL_EARTH),
    "Screens": (Role.SCREEN,),
    "Digital": (Role.SUPPLY_IN, Role.SUPPLY_OUT, Role.SUPPLY_COMMON, Role.DIGITAL_IN, Role.DIGITAL_OUT, Role.DIGITAL_COMMON),
    "Analogue": (Role.REFERENCE_OUT, Role.ANALOGUE_IN, Role.ANALOGUE_OUT, Role.ANALOGUE_COMMON),
    "Relays": (Role.CONTACT, Role.COIL),
    "Bus": (Role.BUS,),
    "Safety": (Role.SAFETY_IN, Role.SAFETY_OUT),
    "Encoder": (Role.ENCODER,),
    "Other": (Role.LOAD, Role.PLAIN),
}
_GROUP_OF = {role: name for name, roles in GROUPS.items() for role in roles}
_COMMONS = frozenset({Role.SUPPLY_COMMON, Role.DIGITAL_COMMON, Role.ANALOGUE_COMMON})


class Tail(Struct, frozen=True):
    """A screen at a terminal of the drive: its cable, how it ends here, where and how at the far end (`far_id` may be "")."""

    cable: str
    here: str
    far: str
    far_how: str
    far_id: str


class Point(Struct, frozen=True):
    """A terminal of the drive: what it is for, the settings that govern it, where it leads. `more`: ways left out.
    `used`: whether anything lands on it."""

    id: str
    number: str
    purpose: str
    settings: tuple[str, ...]
    ways: tuple[Step, ...]
    tails: tuple[Tail, ...]
    more: int
    used: bool


def groups_of(drawing: Drawing, device: Device, names: Names) -> tuple[tuple[str, tuple[Point, ...]], ...]:
    """All terminals of a drive by group, with where they lead."""
    tracer = Tracer(drawing.network)
    found: dict[str, list[Point]] = {name: [] for name in GROUPS}
    for terminal in device.terminals.values():
        found[_group(device, terminal)].append(_point(drawing, tracer, device, terminal, names))
    return tuple((name, tuple(points)) for name, points in found.items() if points)


def _group(device: Device, terminal: Terminal) -> str:
    """A common belongs to those that are measured against it, where they are all of one group."""
    if terminal.role in _COMMONS:
        own = {_GROUP_OF[other.role] for other in device.terminals.values() if other.common == terminal.name}
        if len(own) == 1:
            return own.pop()
    return _GROUP_OF[terminal.role]


def _point(drawing: Drawing, tracer: Tracer, device: Device, terminal: Terminal, names: Names) -> Point:
    ways, more = tracer.ways(device.id, terminal.name)
    tails = tuple(_tails(drawing.plant, device, terminal, names))
    key = f"{device.id}:{terminal.name}"
    used = key in drawing.used or bool(tails)  # a screen may name the device alone: it lands on the first terminal for screens
    return Point(key, terminal.name, purpose(device, terminal), governing(device, terminal), ways, tails, more, used)


def _tails(plant: Plant, device: Device, terminal: Terminal, names: Names) -> Iterable[Tail]:
    """The screens that end on a terminal; those that name the device alone end on its first terminal for screens."""
    if terminal.role is not Role.SCREEN:
        return
    first = next(one.name for one in device.terminals.values() if one.role is Role.SCREEN)
    for cable in plant.cables.values():
        for screen in cable.screens:
            for index, end in enumerate(screen.ends):
                if end.device == device.id and (end.terminal or first) == terminal.name:
                    yield _tail(cable.id, screen, index, names)


def _tail(cable: str, screen: CableScreen, index: int, names: Names) -> Tail:
    here = screen.ends[index]
    far = screen.ends[1 - index] if len(screen.ends) > 1 else None
    pair = f", pair {screen.pair}" if screen.pair else ""
    if far is None:
        return Tail(cable, f"screen{pair}, {how_text(here)}", "", "not stated", "")
    return Tail(cable, f"screen{pair}, {how_text(here)}", _at(far, names), how_text(far), _id(far))


def _at(end: ScreenTermination, names: Names) -> str:
    return names.end(end.device, end.terminal) if end.terminal else names.of(end.device)


def _id(end: ScreenTermination) -> str:
    return f"{end.device}:{end.terminal}" if end.terminal else end.device


def step_words(network: Network, step: Step, names: Names) -> tuple[str, str]:
    """What stands over the line of a step: its cable and core, and what kind of conductor it is."""
    if step.kind == "joined":
        return "", "bridge" if network.plant.devices[step.device].category == "strip" else "link"
    if step.kind == "contact" or step.of not in network.runs:
        return "", ""
    run = network.runs[step.of]
    conductor = run.conductor
    if conductor.cable:
        return f"{names.of(conductor.cable)} {conductor.core}", ""
    return "", ", ".join(text for text in (" ".join((section_text(run), run.colour or "")).strip(), run.mark) if text)


def leads_to(network: Network, steps: Sequence[Step], drive: Device, later: str = "") -> str:
    """What the devices of one row are, in words: titles, positions in which contacts close, places, the potential at the end.

    Of other drives on the way nothing is said, nor of the device `later`, which a row further on speaks of.
    """
    said: dict[str, list[str]] = {}
    for step in steps:
        device = network.plant.devices.get(step.device)
        if step.device in (later, drive.id) or (step.ways and device is not None and device.kind == "drive"):
            continue
        words = said.setdefault(step.device, [])
        if step.path is not None:
            words += [word for word in _contact(step) if word not in words]
    texts = [text for device, words in said.items() if (text := device_words(network, device, words, drive))]
    return "; ".join([*texts, *(_potential(network, steps[-1]) or _row_text(network, steps[-1]))])


def _contact(step: Step) -> tuple[str, ...]:
    path = step.path
    if path is None or path.kind not in ("make", "break"):
        return ()
    if path.positions:
        return tuple(f"closed in {position}" for position in path.positions)
    by = "when energised" if path.by == "coil" else f"by {path.by}" if path.by else ""
    late = " ".join(mark for mark in ("early", "late", "delayed") if mark in path.marks)
    return (" ".join(word for word in ("opens" if path.kind == "break" else "closes", late, by) if word),)


def device_words(network: Network, identity: str, words: Sequence[str], drive: Device) -> str:
    """A device in words: its title, its place where it is not the drive's, then `words`; nothing for a strip beside the drive."""
    device = network.plant.devices.get(identity)
    if device is None:
        held = network.plant.places.get(identity)
        return held.title if held is not None else ""
    if device.category == "strip" and device.place == drive.place:
        return ""
    where = f"at {device.place}" if device.place and device.place != drive.place else ""
    head = " ".join(part for part in (_name(network, device, drive), where) if part)
    return ", ".join(part for part in (head, *words) if part)


def _name(network: Network, device: Device, drive: Device) -> str:
    """The title of a device; of one that has only its part's, the first words of that and its function where it is another."""
    part = device.part.title if device.part is not None else ""
    if device.title and device.title != part:
        return device.title
    function = network.plant.functions.get(device.function)
    other = function.title if function is not None and device.function != drive.function else ""
    if device.kind == "drive" and other:
        return other
    return ", ".join(text for text in (part.partition(",")[0], other) if text)


def _potential(network: Network, step: Step) -> tuple[str, ...]:
    """The potential at which a way ends, by its mark or its voltage, where it ends on a strip or busbar."""
    device = network.plant.devices.get(step.device)
    net = network.net(step.id) or network.net(f"{step.id}/in")
    if step.ways or device is None or net is None or device.category not in TAPPED:
        return ()
    if net.mark:
        return (f"potential {net.mark}",)
    held = [one for one in net.certain if one.id in feeding(net)]
    return (_pole(held[0]),) if held and device.category == "strip" else ()


def _row_text(network: Network, step: Step) -> tuple[str, ...]:
    """What is written on the strip terminal at which a way ends that holds no potential of its own."""
    device = network.plant.devices.get(step.device)
    if step.ways or device is None or device.category != "strip":
        return ()
    terminal = device.terminals.get(step.id.rpartition(":")[2].partition("/")[0])
    return (terminal.text,) if terminal is not None and terminal.text else ()


def _pole(potential: Potential) -> str:
    """`L1`, `24 V DC`, `0 V`."""
    if potential.kind != "dc":
        return potential.pole
    if potential.pole in ("0V", "-"):
        return "0 V"
    return f"{number_text(potential.voltage)} V DC" if potential.voltage is not None else potential.pole
