"""Fault currents against what protective devices can break."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import results_of
from lint.wording import kiloamperes
from netdsl.calc.circuit import Circuit
from netdsl.calc.protection import BreakingCapacities
from netdsl.findings import Related, Severity


@rule("breaking-capacity", Severity.ERROR, source="IEC 60364-4-43 434.5.1", judges=results_of(BreakingCapacities))
def breaking_capacity(facts: Facts, this: Rule) -> Iterator[Report]:
    """A protective device may have to break more than it can.

    Reports:
      A breaker, motor breaker or fuse (or a residual-current device that states a breaking capacity) whose `breaking` is below
      the largest prospective current at its terminals: three-phase, or of one pole to neutral where one phase enters it.
    Silent:
      Devices behind a drive, on direct current, and where the current or the breaking capacity is not known; what protects
      beyond the supply's terminals (`upstream`); one that states `conditional-current` above that, where each way to it leads
      through a device that its `upstream-kind` and `max-upstream` name.
    Why:
      A device that breaks more than its capacity may burst and feed the arc. That a fuse before it helps (back-up protection)
      is for its manufacturer to state, and is not assumed.
    Failing:
      device -Q1 mcb-3p at=+MCP current=16A breaking=3kA
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
    Passing:
      device -Q1 mcb-3p at=+MCP current=16A breaking=6kA
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
    Remedy:
      Choose a device with the breaking capacity, or lower the current at its place, as with longer or thinner conductors or a
      reactor. Where its manufacturer states back-up protection, state the capacity of both together as `conditional-current`,
      with `max-upstream` and `upstream-kind`.
    """
    for result in facts.calculation.results_of(BreakingCapacities):
        if result.holds or result.limit is None:
            continue
        device = facts.plant.devices[result.subject]
        path = facts.calculation.of(Circuit).path(device.id)
        source = facts.device(path.origin) if path else None
        current = kiloamperes(result.value)
        yield this.report(
            f"`{device.id}` breaks {result.limit / 1000:g} kA, but a fault at its terminals draws up to {current}",
            f"choose a device whose `breaking` is {current} or more, or state the `conditional-current` of its manufacturer's"
            " back-up protection",
            device.span,
            (device.id,),
            about=(device.id,),
            related=[Related("feeds the fault", source.span)] if source else (),
        )
