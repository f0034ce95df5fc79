"""Protective conductors that are too thin."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import wires_and_cores
from lint.wording import above, ticked
from netdsl.calc.basis import Result
from netdsl.calc.protection import LeastSections, ProtectiveConductors
from netdsl.findings import Severity
from netdsl.model.kinds import Kind
from netdsl.model.wiring import Conductor


@rule(
    "earth-undersized",
    Severity.ERROR,
    source="IEC 60364-5-54 543.1 and 543.7; IEC 60204-1 5.2 and 8.2.8; IEC 60364-5-53 534.2; IEC 61800-5-1 4.3.5.5.2",
    silences=("clamp-range",),
    judges=wires_and_cores,
)
def earth_undersized(facts: Facts, this: Rule) -> Iterator[Said]:
    """A protective conductor is thinner than its circuit demands.

    Reports:
      A protective conductor on the way of a power circuit that is thinner than table 54.2 asks for beside the phase conductors
      whose fault current it carries, or in its own cable, and also thinner than the adiabatic equation allows; one laid apart
      below 2.5 mm² (4 mm² not covered); a PEN conductor below 10 mm² of copper (16 mm² of aluminium); and one below that on the
      way from a device whose stated touch current is above the project's limit, usually 3.5 mA, to the main terminal. Each of
      several in parallel is held to what it would carry alone, a core in a cable to the phases of that cable; where one of them
      bears that, the others to their share, as all of them are where the project says `parallel-earths=shared`; one on another
      way than that of least impedance to what comes by it. That of a supply as far as the bar in the panel by the table of IEC
      60204-1 alone, whatever a fault would heat; a bond of an enclosure, door or plate below 2.5 mm² of copper (4 mm² not
      covered); the earth of a mains arrester below 4 mm², of one for lightning currents below 16 mm²; one that carries more than
      10 mA of the touch currents of several devices, below 10 mm².
    Silent:
      Where the table or the adiabatic equation alone is kept inside circuits: one suffices. For the touch current, where a
      second conductor leaves from a terminal of its own or another way leads on, and for the core in a drive's motor cable,
      which follows the ordinary rule. Where no fault current is known, or behind a drive, the table alone counts. Arresters of
      signals and of extra-low voltage, which follow what their makers say.
    Why:
      A fault melts the conductor before it is disconnected; and when the only conductor of a drive breaks, its touch current
      flows through whoever touches it.
    Failing:
      device -T1 drive at=+MCP touch-current=5mA
      wire -T1:PE to -XE1:3 6mm2 GNYE
    Passing:
      device -T1 drive at=+MCP touch-current=5mA
      wire -T1:PE to -XE1:3 10mm2 GNYE
    Remedy:
      Choose the section named, or for the touch current add a second conductor from the device's other earth terminal.
    """
    for device in facts.plant.devices.values():
        if device.kind == Kind.DRIVE and "touch-current" not in device.ratings:
            yield this.not_judged(device.id, "its touch current is not stated")
    found: dict[str, list[Result]] = {}
    calculation = facts.calculation
    for result in (*calculation.results_of(ProtectiveConductors), *calculation.results_of(LeastSections)):
        if not result.holds and result.question.startswith("protective"):
            found.setdefault(result.subject, []).append(result)
    for subject, results in found.items():
        conductor = facts.plant.conductors[subject]
        ends = " to ".join(f"`{end.id}`" for end in conductor.ends)
        thing = f"protective core of cable `{conductor.cable}`" if conductor.cable else f"protective conductor from {ends}"
        results = _without_repeated(results)
        worst = max(results, key=lambda each: each.value)
        remedy = f"use {above(worst.value)} mm² or more"
        if worst.question.endswith("touch") and _has_free_earth(facts, conductor):
            remedy += ", or a second conductor from another earth terminal of the device"
        if worst.question.endswith("leakage"):
            remedy += ", or a second conductor beside it on terminals of its own"
        demands = "; ".join(_demand(result) for result in results)
        yield this.report(
            f"{thing} has {worst.limit:g} mm²: {demands}",
            remedy,
            conductor.span,
            (conductor.cable or conductor.id, *(end.device for end in conductor.ends)),
            about=tuple(filter(None, (conductor.cable, *worst.conductors))),
        )


def _has_free_earth(facts: Facts, conductor: Conductor) -> bool:
    """Whether the device at an end of a protective conductor, no bar, has an earth terminal at which nothing lands yet."""
    found = (facts.device(end.device) for end in conductor.ends)
    devices = (device.id for device in found if device is not None and device.kind != Kind.EARTH_BAR)
    return any(terminal not in facts.landed for device in devices for terminal in facts.earth_terminals(device))


def _without_repeated(results: list[Result]) -> list[Result]:
    """`results` without what another of them asks for in the same words, by a rule that leaves no choice."""
    kinds = {result.question.rpartition(".")[2] for result in results}
    repeated = {"table", "adiabatic"} if "supply" in kinds else set[str]()
    repeated |= {"bond"} if "separate" in kinds else set[str]()
    return [result for result in results if result.question.rpartition(".")[2] not in repeated]


def _demand(result: Result) -> str:
    """What a result asks for and by which rule, in words."""
    kind = result.question.rpartition(".")[2]
    needed = f"{above(result.value)} mm²"
    given = {each.symbol: each for each in result.givens}
    if kind == "supply":
        return f"beside phase conductors of {given['S_L'].shown} the supply's own is to have {needed}"
    if kind == "leakage":
        words = given["I_t"].words.replace("touch currents", "touch current", 1)
        return f"the {words} is {given['I_t'].shown}, which takes {needed}"
    if kind == "table":
        return f"beside phase conductors of {given['S_L'].shown} the table asks for {needed}"
    if kind == "adiabatic":
        fault = ticked(result.note).replace("fault to earth", f"fault of {given['I_k'].shown} to earth")
        return f"the {fault} takes {needed}"
    if kind == "touch":
        words = given["I_t"].words.replace("of ", "of `", 1)
        return f"the {words}` is {given['I_t'].shown}, which takes {needed}"
    return f"{given['S_min'].words} is {needed}"
