"""Neutral conductors against the phases whose current they bring back."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import wires_and_cores
from netdsl.calc.loads import neutrals
from netdsl.findings import Severity


@rule(
    "neutral-undersized",
    Severity.ERROR,
    source="IEC 60364-5-52, 524.2; IEC 60364-4-43, 431.2",
    silences=("clamp-range",),
    judges=wires_and_cores,
)
def neutral_undersized(facts: Facts, this: Rule) -> Iterator[Report]:
    """A neutral is thinner than the phases whose current it brings back.

    Reports:
      A neutral conductor, in a cable or laid apart from its phases, whose section is below that of the thinnest phases beside it
      (between the devices through which both go), up to 16 mm² of copper (25 mm² of aluminium); below that section beside larger
      phases.
    Silent:
      Direct current; a PEN conductor up to where it is divided, which `earth-undersized` judges; neutrals of loads or of phases
      that are not known.
    Why:
      What protects the phases lets as much flow through the neutral, and triple harmonics of drives and lamps add up in it.
    Failing:
      device -F5 mcb-1p at=+MCP current=16A
      device -XS1 socket at=+HALL
      wire -WB1:L1 to -F5:1 4mm2 BK
      route C1 "conduit" at=+HALL kind=conduit
      wire -F5:2 to -XS1:L 2.5mm2 BN length=10m along=C1
      wire -WB1:N to -XS1:N 1.5mm2 BU length=10m along=C1
      wire -XE1:4 to -XS1:PE 2.5mm2 GNYE length=10m along=C1
    Passing:
      - wire -WB1:N to -XS1:N 1.5mm2 BU length=10m along=C1
      + wire -WB1:N to -XS1:N 2.5mm2 BU length=10m along=C1
    Remedy:
      Give the neutral the section of its phases.
    """
    for name, neutral in neutrals(facts.calculation).items():
        if neutral.section_mm2 >= neutral.needed_mm2 - 1e-9:
            continue
        made = facts.plant.conductors[name]
        thing = (
            f"neutral core of cable `{made.cable}`" if made.cable else f"neutral from `{made.ends[0].id}` to `{made.ends[1].id}`"
        )
        yield this.report(
            f"{thing} has {neutral.section_mm2:g} mm², its phases have {neutral.phases_mm2:g} mm²: at least "
            f"{neutral.needed_mm2:g} mm² is required",
            f"use {neutral.needed_mm2:g} mm² or more",
            made.span,
            (made.cable or name, *(end.device for end in made.ends)),
            about=tuple(filter(None, (made.cable, name))),
        )
