"""Neutral conductors, and the phases beside them whose section they need."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from netdsl.calc.basis import Calculation
from netdsl.calc.circuit import Circuit, Missing
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.calc.loads.returns import Way
from netdsl.network.queries import protective_end
from netdsl.sums import sum_of

#: section, mm², up to which a neutral is as large as its phases, and which it has beside larger ones, by metal (IEC 60364-5-52,
#: 524.2)
REDUCED_FROM = {"Cu": 16.0, "Al": 25.0}


class Neutral(NamedTuple):
    """A neutral: the conductors in parallel, their section together, that of the phases beside them, and the section that it
    needs, mm²."""

    pieces: tuple[str, ...]
    section_mm2: float
    phases_mm2: float
    needed_mm2: float


def neutrals(calculation: Calculation) -> dict[str, Neutral]:
    """Conductors by which alternating current comes back to a source, a PEN conductor only behind the point where it is divided.
    What is not known of section or load is left out."""
    plant, runs, leads = calculation.plant, calculation.network.runs, calculation.of(Circuit).leads
    found: dict[str, Neutral] = {}
    for name, (pieces, phases) in _returning(calculation).items():
        lead, section = leads.of(name), _section(calculation, pieces)
        if isinstance(lead, Missing) or not section or all(protective_end(plant, end) for end in runs[name].conductor.ends):
            continue
        found[name] = Neutral(pieces, section, phases, min(phases, REDUCED_FROM.get(lead.material, phases)))
    return found


def _returning(calculation: Calculation) -> dict[str, tuple[tuple[str, ...], float]]:
    """Returning conductors with those in parallel and the section of the phases, mm²: of several loads that of the largest."""
    loads, nets, runs = calculation.of(LoadCurrents), calculation.network.nets, calculation.network.runs
    found: dict[str, tuple[tuple[str, ...], float]] = {}
    for device in loads.wiring.stages:
        way = loads.returns.way(device) if device in calculation.plant.devices and loads.is_load(device) else None
        for piece, phases in zip(way or (), _phases(calculation, device, way or ()), strict=True):
            for name in piece:
                if any(potential.pole in ("N", "PEN") for potential in nets[runs[name].net].certain):
                    found[name] = (piece, max(phases, found[name][1] if name in found else 0.0))
    return found


def _phases(calculation: Calculation, load: str, way: Way) -> Iterator[float]:
    """Section of the thinnest phases beside each piece of the way back of a load, mm²: between the devices that lie on both ways.
    0 where there are none, or one is not known."""
    devices = [load]
    for piece in way:
        ends = [end.device for end in calculation.plant.conductors[piece[0]].ends]
        devices.append(ends[1] if ends[0] == devices[-1] else ends[0])
    paths = [path for path in calculation.of(Circuit).paths(load) if path.origin == devices[-1]]
    for number in range(len(way)):
        sections = []
        for path in paths:
            place = {device: at for at, device in enumerate(path.devices)}
            behind = next(place[device] for device in reversed(devices[: number + 1]) if device in place)
            before = next(place[device] for device in devices[number + 1 :] if device in place)
            sections += [_section(calculation, pole) for step in path.steps[before:behind] for pole in step.poles]
        yield min(sections, default=0.0)


def _section(calculation: Calculation, pieces: tuple[str, ...]) -> float:
    """Section of conductors in parallel, mm²; 0 where one is not known."""
    runs, leads = calculation.network.runs, calculation.of(Circuit).leads
    sections = [(runs[name].section_mm2 or 0.0) * leads.parallel(runs[name].conductor) for name in pieces]
    return sum_of(sections) if all(sections) else 0.0
