"""Voltage lost on the way to a load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import results_of
from netdsl.calc.basis import Result
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.loads import LoadCurrents, MotorWays
from netdsl.findings import Related, Severity
from netdsl.sums import sum_of


@rule("voltage-drop", Severity.ERROR, source="IEC 60364-5-52, 525; IEC 60204-1, 12.5", judges=results_of(VoltageDrops))
def voltage_drop(facts: Facts, this: Rule) -> Iterator[Report]:
    """More voltage is lost on the way to a load than the project allows.

    Reports:
      A drop from the origin to a load in service, or while the motor starts direct on line, above the project's limit. Behind a
      drive it counts from the drive, behind a transformer from there. Of a motor that is fed past its drive too, or has a winding
      for each speed, each way counts. Cables and wires that lose most are named.
    Silent:
      Loads of which a current, a length or a section on the way is not known. What the reactor before a drive loses, which
      belongs to the drive. While a motor starts, loads other than itself. Control circuits, which `control-drop` holds to
      their own limit.
    Why:
      A motor at low voltage draws more current, has less torque and may not start at all; contactors beside it drop out.
    Failing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL current=4A power-factor=0.8
      wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 6mm2 length=1m BK
      wire -T1:PE    to -XE1:3       10mm2 length=1m GNYE
      cable -W1 4G1.5 screened length=400m method=C {
        BN     -T1:U   to -M1:U1
        BK     -T1:V   to -M1:V1
        GY     -T1:W   to -M1:W1
        GNYE   -T1:PE2 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      - cable -W1 4G1.5 screened length=400m method=C {
      + cable -W1 4G4 screened length=400m method=C {
    Remedy:
      Take a larger section for the conductors that lose most, or a shorter way; for a start, star and delta or a drive.
    """
    loads = facts.calculation.of(LoadCurrents)
    for device in facts.plant.devices:
        if not loads.is_load(device):
            continue
        failing: dict[str, tuple[Result, str]] = {}
        for by, result in _drops(facts, device):
            known = failing.get(result.question)
            if not result.holds and (known is None or result.value > known[0].value):
                failing[result.question] = result, by
        if failing:
            results, ways = zip(*failing.values(), strict=True)
            yield _report(facts, this, device, results, ways[0])


def _drops(facts: Facts, device: str) -> Iterator[tuple[str, Result]]:
    """The drops at a load, and those at a motor by each of its ways that differ, with what feeds it last by that."""
    drops = facts.calculation.of(VoltageDrops)
    found = [("", drops.running(device)), ("", drops.starting(device))]
    found += [(way.by, result) for way in facts.calculation.of(MotorWays).of(device) for result in drops.by(way)]
    return ((by, result) for by, result in found if result is not None)


def _report(facts: Facts, this: Rule, device: str, failing: Sequence[Result], by: str) -> Report:
    """One finding for a load: in service first, its start beside; `by`: what feeds it last by the way that loses too much."""
    parts = []
    for result in failing:
        words = "while it starts" if result.question.endswith("starting") else "in service"
        parts.append(f"{result.value:.1f} % {words}, at most {result.limit or 0.0:.3g} % is allowed")
    shares = facts.calculation.of(VoltageDrops).shares(device, by)
    whole = sum_of(volts for _, volts in shares)
    worst = [(thing, volts) for thing, volts in shares[:3] if whole and volts / whole > 0.1]
    named = ", ".join(f"`{thing}` {100 * volts / whole:.0f} %" for thing, volts in worst)
    message = f"`{device}` loses {'; '.join(parts)}" + (f" ({named} of it)" if named else "")
    remedy = f"take a larger section for `{worst[0][0]}` or a shorter way" if worst else "take larger sections or a shorter way"
    if failing[0].question.endswith("starting"):
        remedy += ", or start the motor by star and delta or a drive"
    related = [
        Related(f"`{thing}` loses {volts:.2g} V", span)
        for thing, volts in worst
        if (span := facts.calculation.of(Circuit).span_of(thing)) is not None
    ]
    made = facts.plant.devices[device]
    about = (*(thing for thing, _ in worst), *failing[0].conductors)
    return this.report(message, remedy, made.span, (device, *(thing for thing, _ in worst)), about=about, related=related)
