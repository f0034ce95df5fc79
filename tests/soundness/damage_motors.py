"""Damage to drives, motors, their protection and their contactors."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.network.queries import upstream
from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage, Edit
from tests.soundness.changes import rated
from tests.soundness.damage_facts import (
    BREAKERS,
    changed,
    damages,
    loads_of,
    made,
    of_kind,
)


@damages("winding-connection")
def other_links(base: Base) -> Iterator[Damage]:
    """Star for delta and delta for star."""
    for motor in loads_of(base):
        if motor.connection not in ("star", "delta") or motor.ratings.get("winding") is None:
            continue
        for file in {motor.whole.source.path}:
            text = motor.whole.source.text
            _ = file
            scope = text
            pattern = re.compile(rf"connect +{re.escape(motor.product)} +{motor.connection}\b")
            start = text.rfind("\nfunction ", 0, motor.whole.start)
            end = text.find("\nfunction ", motor.whole.start)
            last = len(text) if end < 0 else end
            # as a rule it stands below the motor; functions within one another name their motors alike
            match = pattern.search(scope, motor.whole.start, last) or pattern.search(scope, max(start, 0), last)
            if match and base.own(motor.whole):
                swapped = "star" if motor.connection == "delta" else "delta"
                yield from made(
                    f"{motor.id} in {swapped}",
                    (motor.id,),
                    Edit(motor.whole.source.path, match.end() - len(motor.connection), match.end(), swapped),
                )


@damages("drive-undersized")
def small_drive(base: Base) -> Iterator[Damage]:
    """A drive of a tenth of its motor's current."""
    for device in of_kind(base, "drive"):
        if any(device.id in upstream(base.network, motor.id) for motor in loads_of(base)):
            yield from made(f"{device.id} of 0.2 A", (device.id,), base.valued(device, current="0.2A"))


@damages("drive-protection")
def large_guard(base: Base) -> Iterator[Damage]:
    """A breaker ahead of a drive rated above what the drive allows."""
    for device in of_kind(base, "drive"):
        if device.ratings.get("max-upstream") is None:
            continue
        guard = next(
            (base.plant.devices[name] for name in upstream(base.network, device.id) if base.plant.devices[name].kind in BREAKERS),
            None,
        )
        if guard is not None and guard in base.devices:
            yield from made(f"{guard.id} of 500 A", (device.id, guard.id), base.valued(guard, current="500A"))


@damages("motor-unprotected")
def guard_gone(base: Base) -> Iterator[Damage]:
    """A motor breaker replaced by a breaker, an overload relay's contact left out."""
    for motor in loads_of(base):
        power = motor.ratings.get("power")
        if (
            power is None
            or getattr(power, "value", 0) <= 500
            or any("TP" in t and base.network.at_terminal.get(f"{motor.id}:{t}") for t in motor.terminals)
        ):
            continue
        ahead = [base.plant.devices[name] for name in upstream(base.network, motor.id)]
        if any(device.kind == "drive" for device in ahead):
            continue
        guards = [device for device in ahead if device.kind in ("motor-breaker", "overload")]
        if len(guards) == 1 and guards[0].kind == "motor-breaker" and guards[0] in base.devices and guards[0].part is not None:
            guard = guards[0]
            name = guards[0].part.name
            edits: list[Edit | None] = [base.replaced(guard.whole, rf"\b{re.escape(name)}\b", "mcb-3p-d current=16A")]
            setting = re.compile(rf"\n *set +{re.escape(guard.product)} +tripping-current=\S+")
            text = guard.whole.source.text
            start = max(text.rfind("\nfunction ", 0, guard.whole.start), 0)
            match = setting.search(text, start)
            contacts = [
                c for c in base.conductors for e in c.ends if e.device == guard.id and e.terminal in ("13", "14", "21", "22")
            ]
            if match and not contacts:
                edits.append(Edit(guard.whole.source.path, match.start(), match.end(), ""))
                yield from made(f"{guard.id} is a breaker", (motor.id,), *edits)
        if len(guards) == 1 and guards[0].kind == "overload":
            contact = [
                c
                for c in base.conductors
                if any(e.device == guards[0].id and e.terminal in ("95", "96", "97", "98") for e in c.ends) and not c.cable
            ]
            statements = {c.span.start: c for c in contact}
            if contact and all(len(base.beside(c)) >= 1 for c in contact) and guards[0] in base.devices:
                edits = [base.remove_all(c) for c in statements.values()]
                yield from made(f"contacts of {guards[0].id} left out", (motor.id,), *edits)


@damages("overload-setting")
def wrong_setting(base: Base) -> Iterator[Damage]:
    """A motor that takes twice, and half, of what its overload device is set to."""
    for motor in loads_of(base):
        current = motor.ratings.get("current")
        ahead = [base.plant.devices[name] for name in upstream(base.network, motor.id)]
        guards = [
            d
            for d in ahead
            if d.kind in ("motor-breaker", "overload", "drive")
            and ("tripping-current" in d.settings or "motor-current" in d.settings_set)
        ]
        if current is None or motor not in base.devices or len(guards) != 1 or guards[0].kind == "drive":
            continue
        value = getattr(current, "value", 0)
        for factor in (0.5, 1.5):
            yield from made(
                f"{motor.id} takes {factor} of it", (motor.id, guards[0].id), base.valued(motor, current=f"{value * factor:.3g}A")
            )


@damages("contactor-undersized")
def small_contactor(base: Base) -> Iterator[Damage]:
    """A contactor of 0.1 A in a motor's circuit, in whatever category: ahead of a drive it is held to what it carries."""
    for device in of_kind(base, "contactor"):
        if any(device.id in upstream(base.network, motor.id) for motor in loads_of(base)):
            small = base.valued(device, current="0.1A", thermal_current="0.1A")
            yield from made(f"{device.id} of 0.1 A", (device.id,), small)


@damages("motor-cable-long")
def long_motor_cable(base: Base) -> Iterator[Damage]:
    """A motor cable of 900 m."""
    for cable in base.cables:
        use = base.network.cables[cable.id]
        drive = base.plant.devices.get(use.drive or "")
        if use.klass is ConductorClass.MOTOR and drive is not None and drive.ratings.get("max-cable-length") is not None:
            if any(base.plant.devices[n].ratings.get("filter") == "sine" for n in upstream(base.network, use.load or "")):
                continue
            yield from made(f"{cable.id} of 900 m", (cable.id, use.drive or ""), base.valued(cable, length="900m"))


@damages("reactor-missing")
def stiff_supply(base: Base) -> Iterator[Damage]:
    """A supply of 60 kA ahead of drives without a choke."""
    for supply in of_kind(base, "supply"):
        bare = [
            device.id
            for device in base.plant.devices.values()
            if device.kind == "drive"
            and device.ratings.get("choke") is None
            and not any(base.plant.devices[n].kind == "reactor" for n in upstream(base.network, device.id))
            and supply.id in upstream(base.network, device.id)
        ]
        if bare and supply.ratings.get("fault-current") is not None:
            yield from made(f"{supply.id} of 60 kA", bare, base.valued(supply, fault_current="60kA"))


@damages("motor-data")
def ten_times_the_power(base: Base) -> Iterator[Damage]:
    """A motor that states ten times its power."""
    for motor in base.plant.devices.values():
        power = motor.ratings.quantity("power")
        whole = all(motor.ratings.quantity(name) is not None for name in ("current", "power-factor", "winding"))
        if motor.kind == "motor" and power is not None and power.value >= 250 and whole:
            plant = rated(base.plant, motor, "power", f"{power.value / 100:g}kW")
            yield from changed(f"{motor.id} of {power.value / 100:g} kW", (motor.id,), plant)
