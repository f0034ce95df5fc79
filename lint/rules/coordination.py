"""Short circuits against what is no conductor, and protective devices against each other."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import results_of
from lint.wording import kiloamperes
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination import EquipmentWithstands, Selectivities, TerminalWithstands
from netdsl.findings import Related, Severity


@rule(
    "equipment-withstand",
    Severity.ERROR,
    source="IEC 60947-1 4.3.6; IEC 61439-1 9.3",
    judges=results_of(EquipmentWithstands, TerminalWithstands),
)
def equipment_withstand(facts: Facts, this: Rule) -> Iterator[Said]:
    """A short circuit may be more than a switch, contactor, relay, busbar, terminal or assembly bears.

    Reports:
      A thing whose conditional rating is below the largest fault current at it, or holds only with a smaller device ahead than
      the nearest is; one that states what it bears for a second, or as a peak, where the device ahead lets more through; a
      terminal of a strip where it is more than 120 A for each mm² of the largest section it takes.
    Silent:
      What lies behind a drive; bars in an enclosure and enclosures that state nothing, where no more than 10 kA can flow or no
      peak above 17 kA is let through; a switch-disconnector that states nothing, up to twelve times its rated current. What
      states nothing else is not judged, nor a switch beyond that, nor where the fault current is not known.
    Why:
      The contacts of a switch lift and weld, bars bend out of their supports, and the arc that follows is in the enclosure with
      whoever stands before it.
    Failing:
      device -Q9 switch-disconnector at=+MCP current=63A conditional-current=2kA
      wire -WB1:L1,L2,L3 to -Q9:1,3,5 16mm2 BK
    Passing:
      - device -Q9 switch-disconnector at=+MCP current=63A conditional-current=2kA
      + device -Q9 switch-disconnector at=+MCP current=63A conditional-current=10kA
    Remedy:
      Choose a thing that bears more, or protect it by the device that its maker names. Where it bears more than is stated, state
      that.
    """
    for question in (EquipmentWithstands, TerminalWithstands):
        for result in facts.calculation.results_of(question):
            if not result.holds and result.limit is not None:
                yield _unborne(facts, this, result)
    for thing, why in facts.calculation.of(EquipmentWithstands).not_judged():
        yield this.not_judged(thing, why)


def _unborne(facts: Facts, this: Rule, result: Result) -> Report:
    name, limit = result.subject, result.limit or 0.0
    found, most = kiloamperes(result.value), f"{limit / 1000:g} kA"
    kind = result.question.partition(".")[2]
    if kind == "protection":
        message = f"`{name}` has its conditional rating with {limit:g} A ahead at most, but {result.note} ({result.value:g} A)"
        remedy = f"put a device of {limit:g} A or less ahead of it, or choose one that allows {result.value:g} A"
    elif kind == "conditional":
        message = f"`{name}` has a conditional rating of {most}, but a fault at it draws up to {found}"
        remedy = f"choose one with {found} or more, or lower the current at its place"
    elif kind == "peak":
        message = f"`{name}` bears a peak of {most}, but a fault at it reaches up to {found}"
        remedy = f"choose one that bears {found} or more, or state the `cut-off-current=` of a device ahead that limits the peak"
    else:
        message = f"`{name}` bears {most} for a second, but a fault at it is as much as {found} for that time, {result.note}"
        remedy = f"choose one that bears {found} or more, or put a device ahead that lets less through"
    path = facts.calculation.of(Circuit).path(name) if name in facts.plant.devices else None
    source = facts.device(path.origin) if path else None
    span = result.span
    assert span is not None
    related = [Related("feeds the fault", source.span)] if source else ()
    return this.report(message, remedy, span, (name,), about=(name,), related=related)


@rule("selectivity-missing", Severity.WARNING, source="IEC 60364-5-53 536.4", judges=results_of(Selectivities))
def selectivity_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """Two protective devices, one behind the other, do not discriminate as the project wants.

    Reports:
      Where the project states `selectivity=total`: a device that alone operates only up to less than the largest fault current
      behind it, or not even at overload. Where it states `selectivity=partial`: one ahead of which an overload may trip first.
      The same of two residual-current devices of which the one ahead is delayed and has not three times the rated residual
      current.
    Silent:
      Projects that do not state it. Pairs of which too little is known are not judged.
    Why:
      A fault in one circuit then takes the supply of all others with it, and whoever looks for it begins at the wrong place.
    Failing:
      project "Plant" {
        selectivity = total
      }
      device -F1 fuse-10x38-gg at=+MCP current=32A
      wire -WB1:L1,L2,L3 to -F1:1,3,5 6mm2 BK
      device -F2 fuse-10x38-gg at=+MCP current=25A
      wire -F1:2,4,6 to -F2:1,3,5 6mm2 BK
    Passing:
      - device -F2 fuse-10x38-gg at=+MCP current=25A
      + device -F2 fuse-10x38-gg at=+MCP current=16A
    Remedy:
      Choose a smaller device behind or a larger one ahead, or a pair for which the maker states the selectivity: as
      `selectivity-limit=` of the device behind, or as `selective` in the part of either.
    """
    for result in facts.calculation.results_of(Selectivities):
        if result.holds or result.limit is None:
            continue
        device, where = facts.plant.devices[result.subject], result.note.partition(":")[0]
        if result.unit:
            message = f"`{device.id}` {where} is selective up to {result.shown}, wanted is up to {figure_text(result.limit)} A"
            remedy = "choose a device that lets less through, or a larger one ahead, or state the maker's `selectivity-limit=`"
        else:
            message = f"`{device.id}` {where}: the residual current of that is {result.shown} times its own, wanted are 3"
            remedy = "choose one ahead with a higher residual current"
        yield this.report(message, remedy, device.span, (device.id,), about=(device.id,))
    if "selectivity" in facts.plant.project.choices:
        for name, why in facts.calculation.of(Selectivities).not_judged():
            yield this.not_judged(name, why)
