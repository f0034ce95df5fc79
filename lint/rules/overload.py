"""Load current, protective device and conductor, held against each other."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import amps
from lint.registry import Report, Rule, rule
from netdsl.calc.results import Result
from netdsl.findings import Severity

#: devices with a setting of their own, which another rule holds against the motor's current
_SET = frozenset({"motor-breaker", "overload"})


@rule("overload", Severity.ERROR, source="IEC 60364-4-43, 433.1; IEC 60204-1, 7.2.4")
def overload(facts: Facts, this: Rule) -> Iterator[Report]:
    """Load current, the device that protects against overload and the conductor as it is laid do not rank in this order.

    Reports:
      A load current above the rated current of the device that protects the conductors; a rated or set current above what they
      carry as they are laid; a tripping current above 1.45 times that. Of a control circuit: a protective device rated above what
      the thinnest wire behind it carries. One finding for each circuit's conductors between two devices.
    Silent:
      Conductors whose overload protection is at the load: an overload relay or motor breaker behind them, a drive, the breakers of
      all branches together. Behind a drive its own limit counts, behind a 24 V supply that supply's. Conductors of which the
      capacity or the device is not known. Settings of motor protection are left to `overload-setting`.
    Why:
      A conductor that carries more than it sheds ages in weeks what should last decades, and in a bundle nobody feels it.
    Failing:
      device -F1 mcb-1p "Heating" at=+MCP current=20A
      device -E1 heater at=+MCP
      wire -WB1:L1 to -F1:1 4mm2   length=1m
      wire -F1:2   to -E1:L 1.5mm2 length=1m
      wire -WB1:N  to -E1:N 1.5mm2 length=1m BU
      wire -E1:PE  to -XE1:3 2.5mm2 length=1m GNYE
    Passing:
      device -F1 mcb-1p "Heating" at=+MCP current=10A
      device -E1 heater at=+MCP
      wire -WB1:L1 to -F1:1 4mm2   length=1m
      wire -F1:2   to -E1:L 1.5mm2 length=1m
      wire -WB1:N  to -E1:N 1.5mm2 length=1m BU
      wire -E1:PE  to -XE1:3 2.5mm2 length=1m GNYE
    Remedy:
      Take a device of smaller rating, or a larger section; or lay the conductors so that they shed more heat: fewer circuits in
      one duct, another way.
    """
    failing: dict[str, list[Result]] = {}
    told: set[str] = set()
    for result in facts.calculation.overloads.results():
        if not result.holds:
            failing.setdefault(result.subject, []).append(result)
    for subject, results in failing.items():
        result = results[0]
        if result.question == "overload.rated":
            device = _device(facts, result)
            if device in told or facts.plant.devices[device].kind in _SET:
                results = [other for other in results if other.question != "overload.rated"]
            told.add(device)
        if results:
            yield _report(facts, this, subject, results[0])


def _report(facts: Facts, this: Rule, subject: str, result: Result) -> Report:
    device = _device(facts, result)
    limit = result.limit or 0.0
    if result.question == "overload.rated":
        message = f"`{subject}` carries {amps(result.value)}, `{device}` before it or behind is for {amps(limit)}: at least "
        message += f"{amps(result.value)} needed"
        remedy = "take a device of that rating and conductors that carry it, or less load"
    elif result.question == "overload.tripping":
        message = (
            f"`{device}` trips for certain at {amps(result.value)}, `{subject}` as laid bears 1.45 times {amps(limit / 1.45)}, "
        )
        message += f"{amps(limit)}: at most that is allowed"
        remedy = "take a device of smaller rating, a larger section, or a way with fewer circuits"
    elif result.question == "overload.control":
        message = f"`{device}` is for {amps(result.value)}, `{result.conductors[0]}` behind it carries {amps(limit)}"
        remedy = "take a device of smaller rating, or a larger section for this conductor"
    else:
        message = f"`{device}` lets {amps(result.value)} flow for long, `{subject}` carries {amps(limit)} as it is laid"
        remedy = "take a device of smaller rating, a larger section, or a way with fewer circuits"
    conductor = facts.plant.conductors[result.conductors[0]]
    span = result.span or conductor.span
    behind = [step.fed for step in facts.calculation.circuit.out_of.get(device, ())]  # their ratings may be what is added
    return this.report(message, remedy, span, (subject, device), about=(*result.conductors, *behind))


def _device(facts: Facts, result: Result) -> str:
    """The device that a result is about."""
    if result.question == "overload.control":
        return result.subject
    step = facts.calculation.circuit.step_of[result.conductors[0]]
    release = facts.calculation.overloads.device_for(step)
    return release.device if release is not None else step.feeder
