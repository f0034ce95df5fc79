"""Damage to what consumers, signals and serial lines need: both poles, all phases, references, addresses, colours."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.model.plant import Conductor, Role
from netdsl.network.queries import downstream
from netdsl.network.types import ConductorClass
from netdsl.network.unused import required_terminals
from tests.soundness.bases import Base, Damage, Edit, said
from tests.soundness.changes import led
from tests.soundness.damage_facts import BREAKERS, changed, damages, made, of_kind

LAMPS = ("lamp", "buzzer", "meter")


def at(base: Base, node: str) -> list[Conductor]:
    """Conductors at a terminal, where all of them stand in the plant's own text."""
    own = {conductor.id: conductor for conductor in base.conductors}
    names = base.network.at_terminal.get(node, ())
    return [own[name] for name in names] if all(name in own for name in names) else []


def index(conductor: Conductor, node: str) -> int:
    """Which end of a conductor lands at a terminal."""
    return 0 if conductor.ends[0].id == node else 1


@damages("load-open")
def load_left(base: Base) -> Iterator[Damage]:
    """The one conductor at one end of a lamp or a sounder taken away."""
    for device in of_kind(base, *LAMPS):
        for consumer in device.consumers:
            node = f"{device.id}:{consumer.b}"
            held = at(base, node)
            if len(held) == 1 and consumer.b not in required_terminals(device) and len(device.consumers) == 1:
                yield from made(f"{node} open", (device.id,), base.remove(held[0]))


@damages("load-shorted")
def load_joined(base: Base) -> Iterator[Damage]:
    """The second end of a lamp or a sounder led to where its first one is."""
    for device in of_kind(base, *LAMPS):
        for consumer in device.consumers if len(device.consumers) == 1 else ():
            first, second = (at(base, f"{device.id}:{name}") for name in (consumer.a, consumer.b))
            if len(first) == len(second) == 1:
                far = first[0].ends[1 - index(first[0], f"{device.id}:{consumer.a}")]
                end = 1 - index(second[0], f"{device.id}:{consumer.b}")
                yield from made(f"both ends of {device.id} at {far.id}", (device.id,), base.moved(second[0], end, said(far)))


@damages("polarity-mismatch")
def turned_round(base: Base) -> Iterator[Damage]:
    """The two conductors of a transmitter's supply exchanged."""
    for device in of_kind(base, "transmitter"):
        ends = [f"{device.id}:{name}" for name in ("+", "-")]
        held = [at(base, node) for node in ends]
        if all(len(found) == 1 for found in held) and held[0][0].cable and held[1][0].cable:
            edits = [base.moved(held[n][0], index(held[n][0], ends[n]), ends[1 - n]) for n in (0, 1)]
            yield from made(f"{device.id} turned round", (device.id,), *edits)


@damages("phase-missing")
def phase_twice(base: Base) -> Iterator[Damage]:
    """The second phase of a feeder taken from the first bar."""
    bars = {device.id for device in base.plant.devices.values() if device.kind == "busbar"}
    for conductor in base.conductors:
        for number, end in enumerate(conductor.ends):
            fed = conductor.ends[1 - number].device
            takers = [name for name in downstream(base.network, fed) if base.plant.devices[name].kind in ("drive", "motor")]
            breaker = fed in base.plant.devices and base.plant.devices[fed].kind in BREAKERS
            three = breaker and len([path for path in base.plant.devices[fed].paths if path.kind == "pole"]) == 3
            if end.device in bars and end.terminal == "L2" and takers and three:
                yield from made(f"{fed} gets L1 twice", takers, base.moved(conductor, number, f"{end.device}:L1"))


@damages("wire-doubled")
def wire_again(base: Base) -> Iterator[Damage]:
    """A wire written a second time."""
    for conductor in base.conductors:
        run = base.network.runs[conductor.id]
        size = run.section_mm2 or 1
        if conductor.cable is None and run.klass is not ConductorClass.EARTH and size < 35:
            one, other = conductor.ends
            colour = run.colour or "BK"
            line = f"wire {said(one)} to {said(other)} {size:g}mm2 {colour} length=1m"
            yield from made(f"{conductor.id} again", (one.id, other.id), base.added(line))


@damages("colour-reserved")
def neutral_black(base: Base) -> Iterator[Damage]:
    """A neutral in black."""
    for conductor in base.conductors:
        net = base.network.nets[base.network.runs[conductor.id].net]
        poles = {potential.pole for potential in net.certain if base.plant.devices[potential.device].category == "supply"}
        if conductor.cable is None and poles == {"N"} and len(net.certain) == 1:
            yield from made(f"{conductor.id} in black", (conductor.id,), base.coloured(conductor, "BK"))


@damages("control-earthing")
def unearthed(base: Base) -> Iterator[Damage]:
    """The conductor that earths a control source taken away."""
    for point in base.plant.reference_points:
        held = [conductor for conductor in at(base, point.at.id) if conductor.cable is None]
        if base.plant.devices[point.of.device].sources and len(held) == 1:
            yield from made(f"{point.of.id} not earthed", (point.of.id, point.of.device), base.remove(held[0]))


@damages("residual-bypassed")
def neutral_past(base: Base) -> Iterator[Damage]:
    """The neutral behind a residual-current device taken from ahead of it."""
    for device in of_kind(base, "residual-device"):
        ahead, behind = (at(base, f"{device.id}:{name}") for name in ("N1", "N2"))
        if len(ahead) == 1 and behind and len(device.paths) == 2:
            far = ahead[0].ends[1 - index(ahead[0], f"{device.id}:N1")]
            plant = base.plant
            for each in behind:
                plant = led(base, plant, each, f"{device.id}:N2", far.id)
            yield from changed(f"neutral past {device.id}", (device.id,), plant)


@damages("signal-mismatch")
def at_a_contact(base: Base) -> Iterator[Damage]:
    """The signal of a transmitter led to a relay contact of the drive instead of its input."""
    for conductor in base.conductors:
        for number, end in enumerate(conductor.ends):
            device, far = base.plant.devices.get(end.device), base.plant.devices.get(conductor.ends[1 - number].device)
            if device is None or far is None or device.kind != "drive" or far.kind != "transmitter":
                continue
            free = [f"{device.id}:{t.name}" for t in device.terminals.values() if t.role is Role.CONTACT]
            free = [node for node in free if not base.network.at_terminal.get(node)]
            if device.terminals[end.terminal].role is Role.ANALOGUE_IN and free:
                yield from made(f"{far.id} at {free[0]}", (free[0], far.id), base.moved(conductor, number, free[0]))


@damages("reference-missing")
def at_another_common(base: Base) -> Iterator[Damage]:
    """The return of a transmitter led to the common of the digital inputs, where that is not the one of the analogue ones."""
    for conductor in base.conductors:
        for number, end in enumerate(conductor.ends):
            device, far = base.plant.devices.get(end.device), base.plant.devices.get(conductor.ends[1 - number].device)
            if device is None or far is None or device.kind != "drive" or far.kind != "transmitter":
                continue
            commons = [t.name for t in device.terminals.values() if t.role is Role.DIGITAL_COMMON]
            apart = [n for n in commons if base.network.net_of[f"{device.id}:{n}"] != base.network.net_of[end.id]]
            if device.terminals[end.terminal].role is Role.ANALOGUE_COMMON and apart:
                to = f"{device.id}:{apart[0]}"
                yield from made(f"return of {far.id} at {to}", (device.id,), base.moved(conductor, number, to))


def _setting(base: Base, name: str, wanted: str) -> Iterator[tuple[str, Edit]]:
    """Devices whose setting stands in the plant's own text, with the edit that makes it another."""
    for device in base.devices:
        span = device.settings_at.get(name)
        edit = base.replaced(span, rf"\b{name} ?= ?\S+", f"{name}={wanted}") if span is not None and base.own(span) else None
        if edit is not None:
            yield device.id, edit


@damages("bus-address-double")
def address_again(base: Base) -> Iterator[Damage]:
    """A station with the address of another on its line."""
    stations = [(name, base.plant.devices[name].settings.text("address")) for name, _ in _setting(base, "address", "")]
    for name, address in stations[:1]:
        for other, edit in _setting(base, "address", address):
            if other != name and base.plant.devices[other].settings.text("address") != address:
                yield from made(f"{other} has the address of {name}", (other, name), edit)


@damages("bus-unterminated")
def unterminated(base: Base) -> Iterator[Damage]:
    """The termination of a station at the end of its line off."""
    for name, edit in _setting(base, "termination", "off"):
        if base.plant.devices[name].settings.text("termination") == "on":
            yield from made(f"termination of {name} off", (name,), edit)


@damages("interlock-claimed")
def not_fitted(base: Base) -> Iterator[Damage]:
    """The part that keeps two contactors apart left out."""
    text = (base.folder / base.file).read_text("utf-8")
    for found in re.finditer(r"^[ \t]*fit mechanical-interlock on (\S+)\n", text, re.MULTILINE):
        pairs = [pair.devices for pair in base.plant.interlocks if any(name.endswith(found[1]) for name in pair.devices)]
        about = [name for pair in pairs for name in pair]
        yield from made(f"no interlock on {found[1]}", about, Edit(base.file, found.start(), found.end(), ""))
