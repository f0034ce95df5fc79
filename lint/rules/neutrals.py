"""Neutral conductors against the phases whose current they bring back."""

from __future__ import annotations

from collections.abc import Iterator
from operator import mul

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from netdsl.calc.leads import Missing
from netdsl.calc.returns import Way
from netdsl.findings import Severity

#: section, mm², up to which a neutral is as large as its phases, and which it has beside larger ones, by metal
REDUCED_FROM = {"Cu": 16.0, "Al": 25.0}


@rule("neutral-undersized", Severity.ERROR, source="IEC 60364-5-52, 524.2; IEC 60364-4-43, 431.2", silences=("clamp-range",))
def neutral_undersized(facts: Facts, this: Rule) -> Iterator[Report]:
    """A neutral is thinner than the phases whose current it brings back.

    Reports:
      A neutral conductor, in a cable or laid apart from its phases, whose section is below that of the thinnest phases beside it
      (between the devices through which both go), up to 16 mm² of copper (25 mm² of aluminium); below that section beside larger
      phases.
    Silent:
      Direct current; a PEN conductor up to where it is divided, which `earth-undersized` judges; neutrals of loads or of phases that are
      not known.
    Why:
      What protects the phases lets as much flow through the neutral, and triple harmonics of drives and lamps add up in it.
    Failing:
      device -F5 mcb-1p at=+MCP current=16A
      device -XS1 socket at=+HALL
      wire -WB1:L1 to -F5:1 4mm2
      cable -W5 2x2.5 length=10m method=C {
        BN -F5:2 to -XS1:L
      }
      cable -W6 2x1.5 length=10m method=C {
        BN -WB1:N to -XS1:N
      }
      cable -W7 1G2.5 length=10m method=C {
        GNYE -XE1:4 to -XS1:PE
      }
    Passing:
      device -F5 mcb-1p at=+MCP current=16A
      device -XS1 socket at=+HALL
      wire -WB1:L1 to -F5:1 4mm2
      cable -W5 3G2.5 length=10m method=C {
        BN -F5:2 to -XS1:L
        BU -WB1:N to -XS1:N
        GNYE -XE1:4 to -XS1:PE
      }
    Remedy:
      Give the neutral the section of its phases.
    """
    for conductor, (pieces, phases) in _returning(facts).items():
        run = facts.network.runs[conductor]
        lead = facts.calculation.circuit.leads.of(conductor)
        if isinstance(lead, Missing) or run.section_mm2 is None or facts.protective(run.conductor):
            continue
        section, needed = _section(facts, pieces), min(phases, REDUCED_FROM.get(lead.material, phases))
        if section >= needed - 1e-9:
            continue
        made = run.conductor
        thing = f"neutral core of cable `{made.cable}`" if made.cable else f"neutral from `{made.ends[0].id}` to `{made.ends[1].id}`"
        yield this.report(
            f"{thing} has {section:g} mm², its phases have {phases:g} mm²: at least {needed:g} mm² is required",
            f"use {needed:g} mm² or more", made.span, (made.cable or conductor, *(end.device for end in made.ends)),
            about=tuple(filter(None, (made.cable, conductor))),
        )  # fmt: skip


def _returning(facts: Facts) -> dict[str, tuple[tuple[str, ...], float]]:
    """Conductors by which alternating current comes back to a source, with those in parallel and the section of its phases, mm²:
    of several loads that of the largest."""
    loads, nets, runs = facts.calculation.loads, facts.network.nets, facts.network.runs
    found: dict[str, tuple[tuple[str, ...], float]] = {}
    for device in loads.wiring.stages:
        way = loads.returns.way(device) if device in facts.plant.devices and loads.is_load(device) else None
        for piece, phases in zip(way or (), _phases(facts, device, way or ()), strict=True):
            for name in piece:
                if any(potential.pole in ("N", "PEN") for potential in nets[runs[name].net].certain):
                    found[name] = (piece, max(phases, found[name][1] if name in found else 0.0))
    return found


def _phases(facts: Facts, load: str, way: Way) -> Iterator[float]:
    """Section of the thinnest phases beside each piece of the way back of a load, mm²: between the devices that lie on both ways.
    0 where there are none, or one is not known."""
    devices = [load]
    for piece in way:
        ends = [end.device for end in facts.plant.conductors[piece[0]].ends]
        devices.append(ends[1] if ends[0] == devices[-1] else ends[0])
    paths = [path for path in facts.calculation.circuit.paths(load) if path.origin == devices[-1]]
    for number in range(len(way)):
        sections = []
        for path in paths:
            place = {device: at for at, device in enumerate(path.devices)}
            behind = next(place[device] for device in reversed(devices[: number + 1]) if device in place)
            before = next(place[device] for device in devices[number + 1 :] if device in place)
            sections += [_section(facts, pole) for step in path.steps[before:behind] for pole in step.poles]
        yield min(sections, default=0.0)


def _section(facts: Facts, pieces: tuple[str, ...]) -> float:
    """Section of conductors in parallel, mm²; 0 where one is not known."""
    sections = [facts.network.runs[name].section_mm2 for name in pieces]
    known = [section for section in sections if section is not None]
    pieces_each = [facts.pieces(facts.plant.conductors[name]) for name in pieces]
    return sum(map(mul, known, pieces_each)) if len(known) == len(sections) else 0.0
