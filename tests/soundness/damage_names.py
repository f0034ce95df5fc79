"""Damage to names, colours and bonds, and drives that their supply starts."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage, Edit, said
from tests.soundness.damage_facts import certain, cores, damages, made, of_kind


@damages("colour-missing")
def undyed(base: Base) -> Iterator[Damage]:
    """A class of wires of which the `defaults` state no colour."""
    text = (base.folder / base.file).read_text("utf-8")
    for found in re.finditer(r"^defaults within=(\S+) class=(mains|control)\b[^\n]*?( colour=\S+)", text, re.MULTILINE):
        bare = [c for c in base.plant.conductors.values() if not c.colour and c.cable is None]
        about = [c.id for c in bare if base.network.runs[c.id].klass.value == found[2]]
        if about:
            yield from made(f"{found[2]} without a colour", (found[1], *about), Edit(base.file, found.start(3), found.end(3), ""))


@damages("found-outside")
def renamed(base: Base) -> Iterator[Damage]:
    """A device of a function renamed in its declaration alone, where the panel has one of the old name."""
    for device in base.devices:
        if not device.function or device.kind not in ("breaker", "contactor", "lamp", "push-button"):
            continue
        wired = [name for name in device.terminals if base.network.at_terminal.get(f"{device.id}:{name}")]
        other = device.product[:2] + "91"
        name = base.replaced(device.whole, rf"{re.escape(device.product)}\b", other)
        settings = re.search(rf"^ *(set|fit|interlock|connect)\b[^\n]*{device.product}\b", device.whole.source.text, re.MULTILINE)
        own = [c for c in base.conductors if device.id in (c.ends[0].device, c.ends[1].device)]
        used = {end.terminal for c in own for end in c.ends if end.device == device.id}
        if device.product in base.plant.devices or settings or not wired or set(wired) != used or device.part is None:
            continue
        twin = f"device {device.product} {device.part.name} at={device.place} current=10A"
        yield from made(f"{device.id} renamed", (f"{device.function}{other}", device.product), name, base.added(twin))


OTHER_EARTH = (
    "place +ZZ kind=cabinet\ndevice -XE99 earth-bar at=+ZZ ways=4\nwire -XE99:2 to +ZZ:PE 6mm2 GNYE\n"
    "supply -G99 system=TN-S voltage=230V phases=1 fault-current=1kA earth-fault-current=1kA\n"
    "cable -W998 3G2.5 length=5m {\n  GNYE -G99:PE to -XE99:1\n}"
)


@damages("screen-both-ends")
def earthed_twice(base: Base) -> Iterator[Damage]:
    """The open end of an analogue screen earthed in an enclosure with an earth of its own."""
    for cable in base.cables:
        if base.network.cables[cable.id].klass is ConductorClass.ANALOGUE:
            edit = base.replaced(cable.whole, r" to \S+ open(?=\s)", " to -XS99:1 clamp")
            bar = base.added(f"{OTHER_EARTH}\ndevice -XS99 screen-bar at=+ZZ ways=2")
            yield from made(f"screen of {cable.id} earthed apart", (cable.id,), edit, bar)


@damages("bonding-missing")
def earthed_apart(base: Base) -> Iterator[Damage]:
    """The bond to equipment elsewhere replaced by an earth of its own there, from another supply."""
    for cable in base.cables:
        earths = cores(base, cable)
        bars = [end.device for core in earths for end in core.ends if base.plant.devices[end.device].kind == "earth-bar"]
        there = [end for core in earths for end in core.ends if base.plant.devices[end.device].category == "outside"]
        if len(earths) != 1 or len(bars) != 1 or len(there) != 1:
            continue
        far, whole = base.plant.devices[there[0].device], cable.whole
        screened = [
            each.id
            for each in base.plant.cables.values()
            for screen in each.screens
            if len(screen.ends) == 2
            and far.id in {end.device for end in screen.ends}
            and "open" not in {e.how for e in screen.ends}
        ]
        line = f"cable -W997 1G16 length=5m {{\n  GNYE -XE99:3 to {there[0].id}\n}}"
        edit = Edit(whole.source.path, whole.start, whole.end, "")
        if screened:
            yield from made(f"{far.id} earthed apart", screened, edit, base.added(f"{OTHER_EARTH}\n{line}"))


#: functions of the inputs that have to be on for a drive to run
_RELEASING = frozenset({"start", "stop", "enable", "safe-torque-off-1", "safe-torque-off-2"})


def _plus_of(base: Base, common: str) -> str:
    """The live pole of the source whose other pole is at a terminal, "" where it is not one source."""
    poles = [pole for pole in certain(base, common) if pole.device and base.plant.devices[pole.device].sources]
    source = base.plant.devices[poles[0].device] if len(poles) == 1 else None
    return f"{source.id}:{source.sources[0].poles[0]}" if source is not None else ""


@damages("line-used-as-start")
def started_by_line(base: Base) -> Iterator[Damage]:
    """A contactor that a selector commands ahead of a drive of which every input that starts or releases it is bridged."""
    for drive in of_kind(base, "drive"):
        lines = [c for c in base.conductors if c.cable is None and f"{drive.id}:L1" in (c.ends[0].id, c.ends[1].id)]
        chain = base.beside(lines[0]) if len(lines) == 1 else []
        inputs = [t for t in drive.terminals.values() if _RELEASING.intersection(t.functions)]
        wired = [t for t in inputs if base.network.at_terminal.get(f"{drive.id}:{t.name}") or "start" in t.functions]
        plus = {t.name: _plus_of(base, f"{drive.id}:{t.common.lstrip(':')}") for t in wired}
        if len(chain) != 3 or not wired or not all(plus.values()):
            continue
        start = next(t for t in wired if "start" in t.functions)
        zero = start.common.lstrip(":")
        span = chain[0].span
        pairs = [sorted(c.ends, key=lambda end: end.device == drive.id) for c in chain]
        text = [
            f"wire {said(one)} to -K999:{a} 4mm2\nwire -K999:{b} to {said(two)} 4mm2"
            for (one, two), (a, b) in zip(pairs, (("1", "2"), ("3", "4"), ("5", "6")), strict=True)
        ]
        more = (
            f"device -K999 contactor-18a at={drive.place}\ndevice -S999 selector-2 at={drive.place}\n"
            f"wire {plus[start.name]} to -S999:13\nwire -S999:14 to -K999:A1\nwire -K999:A2 to {drive.id}:{zero}\n"
        ) + "\n".join(f"wire {live} to {drive.id}:{name}" for name, live in plus.items())
        edit = Edit(span.source.path, span.start, span.end, "\n".join(text))
        yield from made(f"{drive.id} started by its contactor", (drive.id,), edit, base.added(more))
