"""Marks of wires, by which a fitter finds the right one again."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.network.search import walk
from netdsl.network.types import Run


def _marked(facts: Facts) -> Iterator[str]:
    """Wires that have a mark."""
    return (conductor.id for conductor, run in facts.conductors() if conductor.cable is None and run.mark)


@rule("mark-duplicate", Severity.WARNING, source="IEC 60204-1, 13.2.1; IEC 62491", judges=_marked)
def mark_duplicate(facts: Facts, this: Rule) -> Iterator[Report]:
    """Wires of two potentials have the same mark.

    Reports:
      Two wires with one `mark=`, or one mark of their potentials, that no conductor or closed terminal joins, in one enclosure.
    Silent:
      Wires of one potential, also on both sides of a fused or disconnect terminal; wires in different enclosures; wires marked
      by their two ends, where no mark is stated.
    Why:
      Whoever looks for a fault, or puts a wire back, goes by its mark: with two of one kind it may land on the other voltage.
    Failing:
      device -T1 drive at=+MCP
      device -S1 selector-2 at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -S1:13 0.75mm2 RD mark=101
      wire -S1:14 to -T1:DI1 0.75mm2 RD mark=101
    Passing:
      - wire -S1:14 to -T1:DI1 0.75mm2 RD mark=101
      + wire -S1:14 to -T1:DI1 0.75mm2 RD mark=102
    Remedy:
      Give one of them a mark of its own.
    """
    joined = _joined(facts)
    found: dict[tuple[str, str], dict[str, list[Run]]] = {}
    for conductor, run in facts.conductors():
        if conductor.cable is None and run.mark:
            for where in dict.fromkeys(facts.enclosure_of(end.device) for end in conductor.ends):
                found.setdefault((run.mark, where), {}).setdefault(joined.get(run.net, run.net), []).append(run)
    told: set[str] = set()
    for (mark, _), nets in found.items():
        if len(nets) > 1 and mark not in told:
            told.add(mark)
            firsts = [runs[0] for runs in nets.values()]
            last = firsts[-1].conductor
            yield this.report(
                f"{listed([run.id for run in firsts], 4)} have the mark `{mark}`, and are not of one potential",
                "give one of them a mark of its own",
                last.span,
                tuple(run.id for run in reversed(firsts)),
                about=[run.id for runs in nets.values() for run in runs],
                related=[Related(f"`{run.id}` has it too", run.conductor.span) for run in firsts[:-1]],
            )


def _joined(facts: Facts) -> dict[str, str]:
    """Nets that fused and disconnect terminals join, each with the first of them to stand for all."""
    beside: dict[str, list[str]] = {}
    net_of = facts.network.net_of
    for device in facts.plant.devices.values():
        for terminal in device.terminals.values() if device.category == Category.STRIP else ():
            sides = [net_of.get(f"{device.id}:{terminal.name}/{side}") for side in ("in", "out")]
            if terminal.split and sides[0] is not None and sides[1] is not None:
                beside.setdefault(sides[0], []).append(sides[1])
                beside.setdefault(sides[1], []).append(sides[0])
    return {net: min(walk((net,), lambda at: beside.get(at, ()))) for net in beside}
