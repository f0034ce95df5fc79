"""What starts or comes on against what protects it: motors on the mains, transformers, supplies, coils."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import results_of
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.control import Inrushes
from netdsl.calc.coordination import CoordinationTypes, RunUps, StartDuties, StartingHolds
from netdsl.findings import Severity


@rule(
    "start-trips",
    Severity.WARNING,
    source="IEC 60947-4-1 5.7.3 and 8.2.1.5.1.1; IEC 60269-1 tables 2 and 3; IEC 60947-4-1 8.2.5.1",
    judges=results_of(RunUps, StartingHolds, StartDuties, CoordinationTypes, Inrushes),
)
def start_trips(facts: Facts, this: Rule) -> Iterator[Said]:
    """What starts or comes on may trip its protection; or a starter is of a lower type than asked for.

    Reports:
      A motor on the mains that states `starting-time`, or `inertia` with power and speed, and runs up for longer than the trip
      class of its overload release, a fuse or a breaker on its way is certain to wait at that current, or than its
      `locked-rotor-time`; one whose torque is less than that of what it drives; a contactor or relay whose `coordination-type` is
      below that which the project asks for. One that states `starts-per-hour` so many that, averaged over the hour, they heat its
      release beyond what this is certain to hold. A breaker or fuse next ahead of transformers and 24 V supplies of which the
      peaks when they are switched on, added, are above that of the largest current it is certain to hold; one that a coil
      behind it may trip while it pulls in and the others are held.
    Silent:
      Transformers and supplies that state no `inrush-current`, where the project states no `transformer-inrush` or
      `supply-inrush`: what a usual one would trip is not judged.
      Motors that state neither time nor inertia, and those behind drives. What may trip but is not certain to hold counts as
      tripping: standards fix the earliest time alone.
    Why:
      A release that trips while the motor runs up is set higher until it holds, and then protects nothing.
    Failing:
      device -Q5 motor-breaker current=6.3A at=+MCP
      set -Q5 tripping-current=5A
      device -M5 motor at=+HALL power=2.2kW current=5A voltage=400V power-factor=0.8 starting-current=36A starting-time=8s
      wire -WB1:L1,L2,L3 to -Q5:1,3,5 2.5mm2 BK length=1m
      cable -W5 4G2.5 length=10m method=C {
        BN -Q5:2 to -M5:U1
        BK -Q5:4 to -M5:V1
        GY -Q5:6 to -M5:W1
        GNYE -XE1:4 to -M5:PE
      }
      connect -M5 star
    Passing:
      - device -M5 motor at=+HALL power=2.2kW current=5A voltage=400V power-factor=0.8 starting-current=36A starting-time=8s
      + device -M5 motor at=+HALL power=2.2kW current=5A voltage=400V power-factor=0.8 starting-current=36A starting-time=2s
    Remedy:
      Take a release of a higher trip class, a larger fuse, or let the motor start without its load.
    """
    for name, why in (*facts.calculation.of(StartDuties).not_judged(), *facts.calculation.of(Inrushes).not_judged()):
        yield this.not_judged(name, why)
    for question in (RunUps, StartingHolds, StartDuties, CoordinationTypes, Inrushes):
        for result in facts.calculation.results_of(question):
            if not result.holds:
                yield _report(facts, this, result)


def _report(facts: Facts, this: Rule, result: Result) -> Report:
    name, kind = result.subject, result.question.partition(".")[2]
    made = facts.plant.devices[name]
    limit, value = figure_text(result.limit or 0.0), figure_text(result.value)
    subjects = [name]
    if result.question.startswith("inrush."):
        what = (
            "the largest coil behind it as it pulls in, with what else is held, takes"
            if kind == "coils"
            else "what is switched on behind it takes"
        )
        message = f"`{name}` is certain to hold {limit} {result.unit} for a while, {what} {value} {result.unit}"
        remedy = "take a larger or slower device, or switch on one after the other"
    elif kind == "coordination":
        message = f"`{name}` keeps coordination of type {value}, the project asks for type {limit}"
        remedy = "take one that keeps it with the protection ahead, by the table of its maker"
    elif kind == "torque":
        message = f"`{name}` does not run up: {value} N m are left to accelerate it"
        remedy = "take a motor of more torque, or let it start without its load"
    elif kind == "duty":
        device = result.key.rpartition(" by ")[2]
        message = f"`{name}` with its starts heats as {value} A for good, `{device}` is certain to hold {limit} A"
        remedy = "let it start less often or without its load, or protect it by thermistors in its winding"
        subjects.append(device)
    elif kind == "time":
        message = f"`{name}` runs up for {value} s and bears its starting current for {limit} s"
        remedy = "take a motor that bears it for longer, or let it start without its load"
    else:
        device = result.key.rpartition(" by ")[2]
        amps = next(given.shown for given in result.givens if given.symbol == "I")
        message = f"`{name}` runs up for {value} s, `{device}` may operate after {limit} s at {amps}"
        remedy = "take a release of a higher trip class or a larger device, or let it start without its load"
        subjects.append(device)
    return this.report(message, remedy, made.span, subjects, about=subjects)
