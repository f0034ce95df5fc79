"""Damage to ratings, sections, lengths and what is stated of the supply."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.model.plant import Cable
from netdsl.network.queries import downstream, upstream
from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage, Edit
from tests.soundness.damage_facts import (
    BREAKERS,
    POWER,
    behind_cable,
    behind_drive,
    cores,
    damages,
    device_of,
    klass_of,
    loads_of,
    made,
    of_kind,
    on_mains,
    statement_of,
    transformer_fed,
)


@damages("breaking-capacity")
def weak_breaker(base: Base) -> Iterator[Damage]:
    """A breaker that breaks 0.1 kA."""
    for device in of_kind(base, *BREAKERS):
        if (
            on_mains(base, device)
            and not behind_drive(base, device)
            and not transformer_fed(base, device)
            and upstream(base.network, device.id)
        ):
            yield from made(f"{device.id} breaks 100 A", (device.id,), base.valued(device, breaking="0.1kA"))


@damages("equipment-withstand")
def weak_switch(base: Base) -> Iterator[Damage]:
    """A switch that bears 0.1 kA, behind whatever protects it."""
    for device in of_kind(base, "isolator", "contactor"):
        if (
            on_mains(base, device)
            and not behind_drive(base, device)
            and not transformer_fed(base, device)
            and upstream(base.network, device.id)
        ):
            values = {"conditional_current": "0.1kA", "max_upstream": "9000A", "upstream_kind": "fuse/breaker/motor-breaker"}
            yield from made(f"{device.id} bears 100 A", (device.id,), base.valued(device, **values))


@damages("overload")
def large_rating(base: Base) -> Iterator[Damage]:
    """A breaker of eight times its rating, where nothing behind protects against overload."""
    for device in of_kind(base, "breaker", "fuse"):
        current = device.ratings.get("current")
        if current is None or not on_mains(base, device) or behind_drive(base, device) or transformer_fed(base, device):
            continue
        behind = [base.plant.devices[name] for name in downstream(base.network, device.id)]
        if not behind or any(
            each.kind in ("drive", "overload", "motor-breaker", "supply-24v", "surge-protection") for each in behind
        ):
            continue
        yield from made(
            f"{device.id} of eight times", (device.id,), base.valued(device, current=f"{getattr(current, 'value', 0) * 8:g}A")
        )


@damages("fault-withstand")
def thin_cable(base: Base) -> Iterator[Damage]:
    """A cable of the mains of 0.1 mm2."""
    for cable in base.cables:
        match = re.fullmatch(r"(\d)([Gx])([\d.]+)", cable.construction)
        if match and klass_of(base, cable) is ConductorClass.MAINS and int(match[1]) >= 3 and not transformer_cable(base, cable):
            yield from made(
                f"{cable.id} of 0.1 mm2",
                (cable.id,),
                base.replaced(cable.whole, rf"\b{re.escape(cable.construction)}\b", f"{match[1]}{match[2]}0.1"),
            )


def transformer_cable(base: Base, cable: Cable) -> bool:
    return any(
        transformer_fed(base, base.plant.devices[name])
        for side in base.network.cables[cable.id].devices
        for name in side
        if name in base.plant.devices
    )


@damages("fault-loop")
def long_cable(base: Base) -> Iterator[Damage]:
    """A cable of the mains of 9 km."""
    for cable in long_ones(base):
        ahead = {name for side in base.network.cables[cable.id].devices for end in side for name in upstream(base.network, end)}
        if any(base.plant.devices[name].kind == "residual-device" for name in ahead):
            continue  # which trips whatever the length
        yield from made(f"{cable.id} of 9 km", {cable.id, *behind_cable(base, cable)}, base.valued(cable, length="9000m"))


@damages("voltage-drop")
def small_limit(base: Base) -> Iterator[Damage]:
    """A project that allows next to no drop: every motor behind a cable loses more."""
    project = base.plant.project.span
    if project is None or not base.own(project):
        return
    text = project.source.text
    at = text.find("{", project.start) + 1
    for motor in loads_of(base):
        ahead = [base.plant.devices[name] for name in upstream(base.network, motor.id)]
        if (
            motor in base.devices
            and motor.ratings.get("current") is not None
            and not any(d.kind in ("drive", "transformer") for d in ahead)
        ):
            yield from made(
                f"0.001 % to {motor.id}", (motor.id,), Edit(project.source.path, at, at, "\n  voltage-drop-limit = 0.001%")
            )


def long_ones(base: Base) -> Iterator[Cable]:
    for cable in base.cables:
        use = base.network.cables[cable.id]
        earthed = any(conductor.core == "GNYE" for conductor in cores(base, cable))
        if (
            use.klass is ConductorClass.MAINS
            and cable.length_m
            and earthed
            and len(cores(base, cable)) >= 3
            and not any(
                base.plant.devices[n].category == "supply" for side in use.devices for n in side if n in base.plant.devices
            )
        ):
            yield cable


LOADS_OF_A_PHASE = ("supply-24v", "fan", "heater", "lamp", "transmitter")


@damages("neutral-undersized")
def thin_neutral(base: Base) -> Iterator[Damage]:
    """A neutral of 0.5 mm2 to a load of one phase."""
    for conductor in base.conductors:
        ends = [device_of(base, end, conductor) for end in (0, 1)]
        if conductor.cable or not any(device is not None and device.kind in LOADS_OF_A_PHASE for device in ends):
            continue
        net = base.network.nets[base.network.runs[conductor.id].net]
        neutral = any(p.pole == "N" and base.plant.devices[p.device].category == "supply" for p in net.certain)
        if neutral and not any(p.kind == "earth" for p in net.certain):
            yield from made(
                f"{conductor.id} of 0.5 mm2", (conductor.id, *(e.id for e in conductor.ends)), base.thinner(conductor, 0.5)
            )


@damages("rating-exceeded")
def small_switch(base: Base) -> Iterator[Damage]:
    """A switch, bar or residual-current device of 0.1 A."""
    for device in of_kind(base, "isolator", "residual-device", "busbar", "filter", "reactor"):
        if device.ratings.get("curve") is not None:
            continue  # it trips by overload
        if device.id in base.network.power.graph and any(True for _ in base.network.power.graph.successors(device.id)):
            yield from made(f"{device.id} of 0.1 A", (device.id,), base.valued(device, current="0.1A"))


@damages("arrester-protection")
def small_backup(base: Base) -> Iterator[Damage]:
    """A fuse of 2 A ahead of an arrester."""
    for device in of_kind(base, "surge-protection"):
        if device.ratings.amount("min-upstream") is None:
            continue
        for name in upstream(base.network, device.id):
            ahead = base.plant.devices[name]
            if ahead.kind in ("fuse", "breaker"):
                yield from made(f"{ahead.id} of 2 A", (ahead.id, device.id), base.valued(ahead, current="2A"))


@damages("residual-device")
def blind_device(base: Base) -> Iterator[Damage]:
    """A device of type A ahead of drives."""
    for device in of_kind(base, "residual-device"):
        if (
            any(d.kind == "drive" and device.id in upstream(base.network, d.id) for d in base.plant.devices.values())
            and device.part is not None
        ):
            yield from made(
                f"{device.id} of type A",
                (device.id,),
                base.replaced(device.whole, rf"\b{re.escape(device.part.name)}\b", "rcd-4p-a residual-current=300mA"),
            )


@damages("isolation-missing")
def ahead_of_isolator(base: Base) -> Iterator[Damage]:
    """A circuit begun ahead of the main isolator."""
    isolator = next(
        (
            d
            for d in base.plant.devices.values()
            if d.kind == "isolator"
            and d.id in base.network.power.graph
            and any(base.plant.devices[n].category == "supply" for n in upstream(base.network, d.id))
            and not any(base.plant.devices[n].kind in ("contactor", "drive", *BREAKERS) for n in upstream(base.network, d.id))
        ),
        None,
    )
    if isolator is None or "1" not in isolator.terminals:
        return
    seen: set[int] = set()
    for conductor in base.conductors:
        for end in (0, 1):
            bus = device_of(base, end, conductor)
            if (
                bus is None
                or bus.kind != "busbar"
                or conductor.cable
                or conductor.span.start in seen
                or conductor.ends[end].terminal not in ("L1",)
            ):
                continue
            other = device_of(base, 1 - end, conductor)
            if other is None or other.kind not in BREAKERS or len(base.beside(conductor)) > 1:
                continue
            seen.add(conductor.span.start)
            yield from made(
                f"{other.id} ahead of {isolator.id}",
                (other.id, isolator.id, conductor.id),
                base.moved(conductor, end, f"{isolator.id}:1"),
            )


@damages("protection-missing")
def guard_passed(base: Base) -> Iterator[Damage]:
    """A source that says nothing of what protects it, and a long thin tap."""
    for supply in of_kind(base, "supply"):
        if supply.ratings.get("upstream") is not None or "upstream=" in supply.whole.text:
            yield from made(
                f"{supply.id} without upstream",
                {
                    supply.id,
                    *(
                        c.id
                        for c in base.plant.cables.values()
                        if any(supply.id in side for side in base.network.cables[c.id].devices)
                    ),
                },
                base.valued(supply, upstream=""),
            )


@damages("filter-on-unearthed-supply")
def filter_kept(base: Base) -> Iterator[Damage]:
    """A drive's filter connected on an unearthed supply."""
    if not any(d.category == "supply" and "system=IT" in d.whole.text for d in base.devices):
        return
    for device in of_kind(base, "drive"):
        if device.settings.get("emc-filter") == "disconnected":
            text = device.whole.source.text
            start = max(text.rfind("\nfunction ", 0, device.whole.start), 0)
            match = re.compile(rf"set +{re.escape(device.product)} [^\n]*emc-filter=(disconnected)").search(text, start)
            if match:
                yield from made(
                    f"filter of {device.id} connected",
                    (device.id,),
                    Edit(device.whole.source.path, match.start(1), match.end(1), "connected"),
                )


@damages("data-missing")
def length_unsaid(base: Base) -> Iterator[Damage]:
    """A power cable without its length."""
    for cable in base.cables:
        if (
            klass_of(base, cable) in POWER
            and cable.length_m
            and " length=" in cable.whole.text.split("\n")[0]
            and len(cores(base, cable)) > 1
        ):
            yield from made(f"length of {cable.id} unsaid", (cable.id, *behind_cable(base, cable)), base.valued(cable, length=""))


@damages("clearance-short")
def beside_the_plate(base: Base) -> Iterator[Damage]:
    """A device put beside its plate."""
    for device in base.plant.devices.values():
        place = base.plant.places.get(device.place)
        if place is not None and place.attributes.quantity("size") and device.ratings.quantity("body") and device.use is None:
            yield from made(f"{device.id} beside its place", (device.id,), base.valued(device, position="9000x50mm"))


@damages("enclosure-hot")
def hot_room(base: Base) -> Iterator[Damage]:
    """A room as hot as the inside may be."""
    for place in base.plant.places.values():
        if base.own(place.span) and "ambient=" in statement_of(place.span).text and "size=" in statement_of(place.span).text:
            yield from made(
                f"{place.id} at 60 °C",
                (place.id,),
                base.replaced(statement_of(place.span), r"ambient=\S+", "ambient=60degC"),
            )
