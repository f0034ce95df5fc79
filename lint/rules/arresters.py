"""Arresters: what protects ahead of them."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import amps
from netdsl.calc.basis import Result, Sense
from netdsl.calc.protection import ArresterBackups, LeastSections
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind


@rule(
    "arrester-protection",
    Severity.ERROR,
    source="IEC 60364-5-53, 534.2.4 and 534.4.8; ratings of the arrester's maker",
    judges=of_kind(Kind.SURGE_PROTECTION),
)
def arrester_protection(facts: Facts, this: Rule) -> Iterator[Said]:
    """An arrester stands behind protection that its maker does not allow.

    Reports:
      An arrester ahead of which the smallest breaker or fuse, or the `upstream` of the supply where there is none, is rated above
      its `max-upstream`, or below its `min-upstream`. Live leads of a mains arrester below 2.5 mm², of one for lightning currents
      below 6 mm² of copper.
    Silent:
      Arresters that state neither; protection without a stated current, which `data-missing` asks for.
    Why:
      An arrester that has come to its end lets the short-circuit current flow until its back-up protection breaks it: one too
      large lets it burn. One too small melts at the first surge, and nobody sees that the arrester is off.
    Failing:
      part arrester "Arrester, three phases" {
        kind = surge-protection   letter = F   class = I   max-upstream = 32A
        terminal :L1 :L2 :L3 line-in 1.5..25mm2
        terminal :PE earth 1.5..25mm2
      }
      device -F1 arrester at=+MCP
      wire -WB1:L1,L2,L3 to -F1:L1,L2,L3 10mm2 BK
      wire -F1:PE to -XE1:4 16mm2 GNYE
    Passing:
      -   kind = surge-protection   letter = F   class = I   max-upstream = 32A
      +   kind = surge-protection   letter = F   class = I   max-upstream = 63A
    Remedy:
      Put a fuse or breaker of what the part states ahead of the arrester, and lead it there by the section named.
    """
    yield from _thin_leads(facts, this)
    results = tuple(facts.calculation.results_of(ArresterBackups))
    for device in facts.plant.devices.values():
        if device.kind == Kind.SURGE_PROTECTION and all(result.subject != device.id for result in results):
            yield this.not_judged(device.id, "its part, or what protects ahead of it, states no current")
    for result in results:
        if result.holds or result.limit is None:
            continue
        arrester, ahead = facts.plant.devices[result.subject], facts.plant.devices[result.note]
        supply = ahead.category == Category.SUPPLY
        stands = f"what protects ahead of `{ahead.id}`" if supply else f"`{ahead.id}`"
        most = result.sense is Sense.AT_MOST
        asks = "allows at most" if most else "asks for at least"
        yield this.report(
            f"arrester `{arrester.id}` {asks} {amps(result.limit)} ahead of it, {stands} has {amps(result.value)}",
            f"put a fuse or breaker of {amps(result.limit)} or {'less' if most else 'more'} ahead of it, as its part states",
            arrester.span if supply else ahead.span,
            (arrester.id, ahead.id),
            about=(arrester.id, ahead.id),
            related=[Related(f"arrester `{arrester.id}` is declared here", arrester.span)] if not supply else (),
        )


def _thin_leads(facts: Facts, this: Rule) -> Iterator[Report]:
    """One report for the live leads of each arrester that are too thin."""
    thin: dict[str, list[Result]] = {}
    for result in facts.calculation.results_of(LeastSections):
        if result.question == "arrester-lead" and not result.holds:
            ends = facts.plant.conductors[result.subject].ends
            devices = (facts.device(end.device) for end in ends)
            arrester = next(made.id for made in devices if made is not None and made.kind == Kind.SURGE_PROTECTION)
            thin.setdefault(arrester, []).append(result)
    for name, results in thin.items():
        conductor = facts.plant.conductors[results[0].subject]
        yield this.report(
            f"leads of arrester `{name}` have {min(result.limit or 0.0 for result in results):g} mm², "
            f"at least {results[0].value:g} mm² is required",
            f"use {results[0].value:g} mm² or more, and keep the leads short",
            conductor.span,
            (name, *(result.subject for result in results)),
            about=[result.subject for result in results],
            related=[Related(f"arrester `{name}` is declared here", facts.plant.devices[name].span)],
        )
