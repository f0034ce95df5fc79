"""Damage to clamps, terminals, potentials and voltages."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.model.plant import Role
from tests.soundness.bases import Base, Damage
from tests.soundness.damage_facts import (
    certain,
    damages,
    made,
)


@damages("clamp-overfilled")
def clamp_full(base: Base) -> Iterator[Damage]:
    """A wire more in a clamp that is full, from a terminal of its own."""
    for device in base.devices:
        if device.kind in ("busbar", "comb", "distribution-block", "supply", "outside", "strip", "earth-bar") or not device.place:
            continue
        for terminal in device.terminals.values():
            at = f"{device.id}:{terminal.name}"
            held = base.network.at_terminal.get(at, ())
            if (
                terminal.role in (Role.SCREEN, Role.EARTH, Role.EARTH_THROUGH)
                or len(held) < terminal.clamp.conductors
                or not held
                or len(set(held)) != len(held)
            ):
                continue
            size = base.network.runs[held[0]].section_mm2 or 1.5
            lines = f"strip -X999 at={device.place} {{\n  :1 95mm2\n}}\nwire {at} to -X999:1 {size:g}mm2 WH length=0.5m"
            yield from made(f"one wire more at {at}", (at, device.id), base.added(lines))
            break


@damages("clamp-range")
def clamp_wide(base: Base) -> Iterator[Damage]:
    """A wire of 120 mm2 in a clamp for less."""
    for conductor in base.conductors:
        if conductor.cable:
            continue
        about = []
        for end in conductor.ends:
            device = base.plant.devices.get(end.device)
            terminal = device.terminals.get(end.terminal) if device else None
            if (
                device is not None
                and terminal is not None
                and terminal.clamp.section
                and terminal.clamp.section[1] < 120
                and device.category != "supply"
            ):
                about += [end.id, conductor.id, device.id]
        if about:
            yield from made(f"{conductor.id} of 120 mm2", about, base.thinner(conductor, 120))


@damages("terminal-open")
def terminal_left(base: Base) -> Iterator[Damage]:
    """The one conductor of a required terminal taken away."""
    for conductor in base.conductors:
        for end in conductor.ends:
            device = base.plant.devices.get(end.device)
            if device is None or device.category == "supply":
                continue
            wanted = (
                {name for need in device.requirements if not need.setting and len(need.terminals) == 1 for name in need.terminals}
                if hasattr(device, "requirements")
                else set()
            )
            terminal = device.terminals.get(end.terminal)
            if terminal is None or terminal.role.value.startswith("earth") or end.terminal not in wanted:
                continue
            if len(base.network.at_terminal.get(end.id, ())) == 1:
                yield from made(f"{end.id} open", (end.id, device.id), base.remove(conductor))


@damages("return-missing")
def return_open(base: Base) -> Iterator[Damage]:
    """The wire that brings 0 V to a strip, or the neutral to the busbars, taken away."""
    for conductor in base.conductors:
        ends = [base.plant.devices.get(end.device) for end in conductor.ends]
        if conductor.cable or any(device is None for device in ends):
            continue
        kinds = {device.kind for device in ends if device is not None}
        returns = any(
            end.terminal in ("-",) and device is not None and device.kind == "supply-24v"
            for end, device in zip(conductor.ends, ends, strict=True)
        )
        if returns and kinds & {"strip", "distribution-block"}:
            other = next(
                end
                for end, device in zip(conductor.ends, ends, strict=True)
                if device is not None and device.kind != "supply-24v"
            )
            net = base.network.net(other.id)
            others = [name for name in net.conductors if name != conductor.id] if net else []
            if others:
                yield from made(
                    f"without {conductor.id}",
                    {n.partition(":")[0] for n in net.nodes} | set(net.nodes) if net else set(),
                    base.remove(conductor),
                )


@damages("potentials-joined")
def joined(base: Base) -> Iterator[Damage]:
    """A wire between two phases, a phase and neutral, 24 V and 0 V, a phase and earth."""
    poles: dict[str, str] = {}
    for device in base.plant.devices.values():
        if device.kind == "busbar" and any(
            p.device and base.plant.devices[p.device].category == "supply"
            for t in device.terminals
            for p in certain(base, f"{device.id}:{t}")
        ):
            poles |= {name: f"{device.id}:{name}" for name in device.terminals}
            break
    pairs = [(poles[a], poles[b]) for a, b in (("L1", "L2"), ("L2", "L3"), ("L1", "N")) if a in poles and b in poles]
    for device in base.plant.devices.values():
        if device.kind == "supply-24v":
            pairs.append((f"{device.id}:+", f"{device.id}:-"))
            if "L2" in poles:
                pairs.append((f"{device.id}:+", poles["L2"]))
        if device.kind == "drive" and "L1" in poles and "U" in device.terminals:
            pairs.append((f"{device.id}:U", poles["L1"]))
    for one, two in pairs:
        place = base.plant.devices[one.partition(":")[0]].place
        sources = {p.id for end in (one, two) for p in certain(base, end)}
        if sources:
            yield from made(
                f"{one} and {two} joined",
                sources | {one, two},
                base.added(f"wire {one} to {two} 2.5mm2 WH length=0.5m" if place else ""),
            )


@damages("voltage-mismatch")
def other_voltage(base: Base) -> Iterator[Damage]:
    """A lamp or contactor of another voltage; a coil between a phase and neutral."""
    for device in base.devices:
        if device.part is None:
            continue
        name = device.part.name
        other = {
            "lamp": "lamp-230v",
            "lamp-red": "lamp-230v",
            "lamp-yellow": "lamp-230v",
            "lamp-green": "lamp-230v",
            "lamp-230v": "lamp",
            "contactor-9a": "contactor-9a-230v",
            "contactor-12a": "contactor-18a-230v",
            "contactor-18a": "contactor-18a-230v",
            "contactor-9a-230v": "contactor-9a",
            "relay-1co": "relay-1co-230v",
            "relay-interposing": "relay-1co-230v",
        }.get(name)
        wired = [t for t in device.terminals if base.network.at_terminal.get(f"{device.id}:{t}")]
        if other and len(wired) >= 2:
            yield from made(
                f"{device.id} is a {other}", (device.id,), base.replaced(device.whole, rf"\b{re.escape(name)}\b", other)
            )
