"""Distortion of supplies against what the project names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.drives import Distortion
from netdsl.findings import Related, Severity

#: what a project names for it
_CHOICES = ("distortion-class", "distortion-limit")
#: how many of the drives that add most a finding shows
_SHOWN = 3
#: share in the harmonics from which a drive is taken for a cause, percent
_MUCH_PERCENT = 10.0


def _limited(facts: Facts) -> dict[str, list[Result]]:
    """By supply the results that the project holds to a limit; nothing is simulated where it names none."""
    found: dict[str, list[Result]] = {}
    if any(name in facts.plant.project.choices for name in _CHOICES):
        for result in facts.calculation.results_of(Distortion):
            if result.limit is not None:
                found.setdefault(result.subject, []).append(result)
    return found


def _supplies(facts: Facts) -> Iterable[str]:
    """Supplies of which the distortion is held to a limit."""
    return _limited(facts)


@rule("distortion-exceeded", Severity.WARNING, source="IEC 61000-2-4 tables 2 to 4", judges=_supplies)
def distortion_exceeded(facts: Facts, this: Rule) -> Iterator[Said]:
    """The drives of a supply distort its voltage or current by more than the project allows.

    Reports:
      Where the project names a `distortion-class`: a supply of which the drives distort the voltage by more than the level of
      that class, in total or in one harmonic. Where it names a `distortion-limit`: one of which they distort the current by
      more. One finding for each supply, with the drives that add most.
    Silent:
      Projects that name neither; supplies of which each drive that adds a tenth or more hangs there without a choke
      (`reactor-missing`). Supplies of which the fault level, or drives of which the power is not known, are not judged.
    Why:
      Capacitors and transformers on the same network warm, motors lose torque, electronics misjudge the zero of the voltage; a
      utility that finds it may ask for filters after the plant is built.
    Failing:
      project "Plant" {
        distortion-limit = 30%
      }
      device -T1 drive at=+MCP power=1.5kW choke=1%
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 BK
    Passing:
      - device -T1 drive at=+MCP power=1.5kW choke=1%
      + device -T1 drive at=+MCP power=1.5kW current-distortion=8%
    Remedy:
      Take drives with a choke, put a line reactor before them, or take drives of low harmonics, and state their
      `current-distortion`.
    """
    limited = _limited(facts)
    for name, results in limited.items():
        failing = [result for result in results if not result.holds]
        if failing:
            worst = min(failing, key=lambda result: result.margin_percent or 0.0)
            more = f", and {len(failing) - 1} more of its levels" if len(failing) > 1 else ""
            yield this.report(
                f"`{name}`: {_what(worst)} is {figure_text(worst.value)} %, allowed is {figure_text(worst.limit or 0.0)} %{more}",
                "take drives with a choke, a line reactor before them, or drives of low harmonics",
                facts.plant.devices[name].span,
                (name,),
                about=_causing(facts, name) or (name,),
                related=_adding(facts, name),
            )
    if any(choice in facts.plant.project.choices for choice in _CHOICES):
        for name in facts.calculation.of(Distortion).unknown():
            if name not in limited:
                yield this.not_judged(name, "its distortion: a fault level, or the power of a drive, is not known")


def _what(result: Result) -> str:
    kind = result.question.partition(".")[2]
    if kind == "thd":
        return "the distortion of its current"
    return "the distortion of its voltage" if kind == "voltage" else f"the harmonic of order {kind[1:]} of its voltage"


def _shares(facts: Facts, supply: str) -> list[Result]:
    """Shares of the drives at a supply in its harmonics, percent, the largest first."""
    drives = facts.calculation.of(Distortion).fed_by(supply)
    results = facts.calculation.results_of(Distortion)
    found = (result for result in results if result.question == "distortion.share" and result.subject in drives)
    return sorted(found, key=lambda result: -result.value)


def _causing(facts: Facts, supply: str) -> tuple[str, ...]:
    """The drives that add much: where each of them is found to lack a choke, that is the cause."""
    return tuple(result.subject for result in _shares(facts, supply) if result.value >= _MUCH_PERCENT)


def _adding(facts: Facts, supply: str) -> list[Related]:
    """The drives that add most, with their share."""
    devices = facts.plant.devices
    most = _shares(facts, supply)[:_SHOWN]
    return [Related(f"`{each.subject}` adds {figure_text(each.value)} %", devices[each.subject].span) for each in most]
