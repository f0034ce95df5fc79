"""Data without which something cannot be computed."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import everything
from lint.wording import lacking, listed
from netdsl.calc.basis import Gap
from netdsl.calc.circuit import Circuit
from netdsl.findings import Severity


@rule("data-missing", Severity.WARNING, source="IEC 60364-1, 132; common practice", judges=everything)
def data_missing(facts: Facts, this: Rule) -> Iterator[Report]:
    """Something cannot be computed because the text leaves out what it is computed from.

    Reports:
      One finding for each circuit and kind of data: a length, a section, a fault level and the like that a calculation needs
      and that neither the text states nor a listed assumption covers; what is missing it for, and the results that are absent.
    Silent:
      What an assumption of the calculation stands in for, all of which its sheet lists; things that were not read.
    Why:
      A number from a silent guess looks like any other number; a result that is absent looks like one without a finding.
    Failing:
      device -T1 drive at=+MCP max-cable-length=50m
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 screened {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      - cable -W1 4G2.5 screened {
      + cable -W1 4G2.5 screened length=20m {
    Remedy:
      State it where the finding says, once for many things with `defaults` where that fits.
    """
    judged = facts.calculation.judged
    del judged  # asked for so that every question has noted what it lacks
    same: dict[object, list[Gap]] = {}
    for gap in facts.calculation.missing:
        same.setdefault((gap.kind, gap.things, gap.span), []).append(gap)  # what several circuits miss is missing once
    for gaps in same.values():
        gap = gaps[0]
        yield this.report(_message(gaps, facts.calculation.of(Circuit)), gap.remedy, gap.span, gap.things, about=gap.things)


def _message(gaps: list[Gap], circuit: Circuit) -> str:
    things = list(gaps[0].things)
    feeders = [gap.feeder for gap in gaps if gap.feeder and gap.feeder not in things]
    where = f" in the circuit{'s' if len(feeders) > 1 else ''} of {listed(feeders)}" if feeders else ""
    if any(_feeds_others(feeder, circuit) for feeder in feeders):
        where += " and of what they feed" if len(feeders) > 1 else " and of what it feeds"
    absent = dict.fromkeys(name for gap in gaps for name in gap.absent)
    return f"{lacking(gaps[0])}{where}, so not computed: {', '.join(absent)}"


def _feeds_others(feeder: str, circuit: Circuit) -> bool:
    """Whether a circuit feeds others, which then lack the same results."""
    return any(circuit.feeder(step.feeder) == feeder != circuit.feeder(step.fed) for step in circuit.steps.values())
