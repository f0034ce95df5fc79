"""What every cable does: its class, the drive whose output it carries, the motor it serves."""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import TopologicalSorter

from netdsl.model.kinds import Kind
from netdsl.model.plant import Cable, Plant
from netdsl.network.classes import most_demanding
from netdsl.network.types import CableUse, ConductorClass, Net, PowerTree, Run


def cable_uses(plant: Plant, runs: Mapping[str, Run], nets: Mapping[str, Net], power: PowerTree) -> dict[str, CableUse]:
    """The use of each cable, in order of text."""
    if not plant.cables:
        return {}
    loads = _loads_behind(plant, power)
    fed: dict[str, list[str]] = {}
    for _, target, cables in sorted(power.graph.edges(data="cables")):
        for cable in cables:
            fed.setdefault(cable, []).append(target)
    uses = {}
    for cable in plant.cables.values():
        cores = [runs[core] for core in cable.conductors if core in runs]
        classes = frozenset(run.klass for run in cores)
        behind = {load for target in fed.get(cable.id, ()) for load in loads.get(target, ())}
        motor = next(iter(behind)) if len(behind) == 1 else ""
        drives = {p.device for run in cores for p in nets[run.net].possible if p.kind == "pwm"}
        uses[cable.id] = CableUse(
            cable,
            most_demanding([run.klass for run in cores]),
            classes,
            min(drives, default=None) if ConductorClass.MOTOR in classes else None,
            motor if motor and plant.devices[motor].kind == Kind.MOTOR else None,
            _devices(cable, cores),
            max((nets[run.net].voltage for run in cores), default=0.0),
        )
    return uses


def _devices(cable: Cable, cores: list[Run]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Devices at the first and the second side, in order of first mention; by the screens where no core is connected."""
    if cores:
        first, second = ([run.conductor.ends[side].device for run in cores] for side in (0, 1))
        return tuple(dict.fromkeys(first)), tuple(dict.fromkeys(second))
    ends = [screen.ends for screen in cable.screens]
    sides = [[pair[side].device for pair in ends if len(pair) > side] for side in (0, 1)]
    return tuple(dict.fromkeys(sides[0])), tuple(dict.fromkeys(sides[1]))


def _loads_behind(plant: Plant, power: PowerTree) -> dict[str, frozenset[str]]:
    """Loads that each device feeds, two at most: more say no more than "several". A drive is a load, what is behind it not."""
    fed = power.graph.succ
    found: dict[str, frozenset[str]] = {}
    for device in TopologicalSorter(fed).static_order():
        targets = tuple(fed[device])
        behind: set[str] = set()
        for target in targets:
            behind |= {target} if plant.devices[target].kind == Kind.DRIVE else found.get(target, {target})
        found[device] = frozenset(sorted(behind)[:2]) if targets else frozenset({device})
    drives = (device for device in found if plant.devices[device].kind == Kind.DRIVE)
    return {**found, **{drive: frozenset({drive}) for drive in drives}}
