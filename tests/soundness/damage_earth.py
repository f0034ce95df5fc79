"""Damage to protective conductors."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from netdsl.model.plant import Role
from netdsl.network.queries import upstream
from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage
from tests.soundness.damage_facts import (
    bar_of,
    cores,
    damages,
    device_of,
    is_reference,
    klass_of,
    made,
    more_ways,
    protective,
)


@damages("earth-missing")
def earth_open(base: Base) -> Iterator[Damage]:
    """A protective conductor taken away, where no second one leads to what it earths."""
    graph = base.network.earth.graph
    import networkx as nx

    bridges = {frozenset(edge) for edge in nx.bridges(graph)} if graph.number_of_edges() else set()
    for conductor in base.conductors:
        one, two = (base.network.earth.node_of.get(end.device) for end in conductor.ends)
        if not protective(base, conductor) or one is None or two is None or frozenset((one, two)) not in bridges:
            continue
        if len(graph.edges[one, two]["conductors"]) > 1:
            continue
        cut = graph.copy()
        cut.remove_edge(one, two)
        lost = [name for name in cut if base.network.earth.root is None or not nx.has_path(cut, name, base.network.earth.root)]
        # what hangs together without the rest is one finding, on whichever side of the break the bar stands
        members = {member for name in (*lost, one, two) for member in cut.nodes[name]["node"].members}
        if any(cut.nodes[name]["node"].needs_earth or cut.nodes[name]["node"].kind == "supply" for name in lost):
            yield from made(f"without {conductor.id}", members, base.remove(conductor))


@damages("earth-in-series")
def earth_chained(base: Base) -> Iterator[Damage]:
    """A device's own conductor led to another device's earth terminal in place of the bar."""
    bar = bar_of(base)
    found = [
        (conductor, end, device)
        for conductor in base.conductors
        for end in (0, 1)
        if bar is not None
        and protective(base, conductor)
        and conductor.ends[1 - end].device == bar.id
        and (device := device_of(base, end, conductor)) is not None
        and device.kind in ("drive", "supply-24v", "motor", "fan", "heater", "transformer", "socket")
    ]
    for number, (conductor, end, device) in enumerate(found):
        other = next(
            (
                each
                for _, _, each in found[number + 1 :] + found[:number]
                if each.id != device.id and each.id not in upstream(base.network, device.id)
            ),
            None,
        )
        if other is None:
            continue
        terminal = next((t.name for t in other.terminals.values() if t.role is Role.EARTH), None)
        if terminal:
            yield from made(
                f"{device.id} earthed by {other.id}", (device.id,), base.moved(conductor, 1 - end, f"{other.id}:{terminal}")
            )


@damages("earth-loop")
def earth_ring(base: Base) -> Iterator[Damage]:
    """A conductor between the frames of two motors, or two drives, each earthed by its own."""
    for kind in ("motor", "drive"):
        several = [device for device in base.plant.devices.values() if device.kind == kind and "PE2" in device.terminals]
        for one, two in itertools.pairwise(several):
            if one.place == two.place or kind == "motor":
                name = "-W999"
                line = f"cable {name} 1G16 length=5m {{\n  GNYE {one.id}:PE2 to {two.id}:PE2\n}}"
                yield from made(f"{one.id} and {two.id} joined", (one.id, two.id), base.added(line))


@damages("earth-clamp-shared")
def earth_together(base: Base) -> Iterator[Damage]:
    """A protective conductor moved to a way of the bar that another one holds."""
    bar = bar_of(base)
    if bar is None:
        return
    found = [(c, end) for c in base.conductors for end in (0, 1) if c.ends[end].device == bar.id and protective(base, c)]
    for (conductor, end), (other, other_end) in itertools.pairwise(found):
        taken = other.ends[other_end].id
        yield from made(f"{conductor.id} at {taken}", (taken,), base.moved(conductor, end, taken))


@damages("earth-colour")
def earth_dyed(base: Base) -> Iterator[Damage]:
    """A protective wire in black, a control wire in green-yellow."""
    for conductor in base.conductors:
        if conductor.cable:
            continue
        if protective(base, conductor):
            yield from made(
                f"{conductor.id} black", (conductor.id, *(e.id for e in conductor.ends)), base.coloured(conductor, "BK")
            )
        elif base.klass(conductor) in (ConductorClass.CONTROL, ConductorClass.MAINS) and not is_reference(base, conductor):
            yield from made(
                f"{conductor.id} green-yellow", (conductor.id, *(e.id for e in conductor.ends)), base.coloured(conductor, "GNYE")
            )


@damages("earth-undersized")
def earth_thin(base: Base) -> Iterator[Damage]:
    """A protective wire of 0.5 mm2, whatever it earths; a feed's or motor's protective core far too thin."""
    for conductor in base.conductors:
        if not protective(base, conductor):
            continue
        if not conductor.cable:
            yield from made(f"{conductor.id} of 0.5 mm2", (conductor.id,), base.thinner(conductor, 0.5))
            continue
        cable = base.plant.cables[conductor.cable]
        match = re.fullmatch(r"(\d)G([\d.]+)", cable.construction)
        if match and match[1] in "45" and float(match[2]) >= 2.5:
            count = int(match[1]) - 1
            edit = base.replaced(cable.whole, rf"\b{re.escape(cable.construction)}\b", f"{count}x{match[2]}+1G0.5")
            yield from made(f"{cable.id} with 0.5 mm2", (cable.id, conductor.id), edit)


@damages("earth-not-at-drive")
def earth_elsewhere(base: Base) -> Iterator[Damage]:
    """The protective core of a drive's motor cable ends at the bar."""
    free = more_ways(base)
    for cable in base.cables:
        if klass_of(base, cable) is not ConductorClass.MOTOR or free is None:
            continue
        for conductor in cores(base, cable):
            for end in (0, 1):
                device = device_of(base, end, conductor)
                if protective(base, conductor) and device is not None and device.kind == "drive":
                    use = base.network.cables[cable.id]
                    yield from made(
                        f"{cable.id} earthed at the bar",
                        (cable.id, conductor.id, use.drive or "", use.load or ""),
                        base.moved(conductor, end, free[0][0]),
                        free[1],
                    )
