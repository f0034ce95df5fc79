"""One cause, one finding: every protective conductor and screen termination of the hatchery taken away in turn, and every
analogue or bus cable moved to every power route.

Each change is made in the hatchery's own text, the plant is read anew, and `check` must give the right rule once, at the part
or cable concerned. What a scheme of the library wrote has no line of its own there and is left as it is. Every third change by
default; `NETDSL_DAMAGE=all pytest -n auto tests/test_one_cause.py` makes all of them.
"""

from __future__ import annotations

import os
import re

import pytest

from netdsl.cli.work import judge
from netdsl.findings import Finding, Span
from netdsl.network.types import ConductorClass, Network
from tests.readings import HATCHERY, network_of
from tests.rules_together import together

#: Green-yellow conductors that may go without a finding of the rules for protective earth, and why.
EXCEPTED = {
    "-X2:32 -- -XE1:9": "earths one pole of the 24 V circuit, it protects no exposed part",
}
#: every so many changes are made
EVERY = 1 if os.environ.get("NETDSL_DAMAGE", "") == "all" else 3
POWER = (ConductorClass.MOTOR, ConductorClass.MAINS)
SIGNALS = (ConductorClass.ANALOGUE, ConductorClass.BUS)


def hatchery() -> Network:
    return network_of(HATCHERY)


def changed(span: Span, line: str | None) -> tuple[Finding, ...]:
    """Findings in the hatchery where the line on which `span` begins is `line`, or is missing."""
    lines = span.source.text.splitlines(keepends=True)
    number = span.begin[0] - 1
    lines[number : number + 1] = [] if line is None else [line + "\n"]
    return together(judge(HATCHERY, instead={span.source.path: "".join(lines)}).findings)


def own(span: Span) -> bool:
    """Whether `span` lies in the hatchery's own text, not in the library's."""
    return (HATCHERY.parent / span.source.path).is_file()


def told(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{finding.rule} {', '.join(finding.subjects)}: {finding.message}" for finding in findings]


# --- protective conductors ----------------------------------------------------------------------------------------
def protective_lines() -> list[object]:
    """Every line of text that makes a protective conductor, with the conductors it makes."""
    network = hatchery()
    lines: dict[tuple[str, int], list[str]] = {}
    for run in network.runs.values():
        if run.klass is ConductorClass.EARTH or run.colour == "GNYE":
            span = run.conductor.span
            assert own(span), run.id
            lines.setdefault((span.source.path, span.begin[0]), []).append(run.id)
    return [
        pytest.param(ids, id=f"{path}:{line} {ids[0]}")
        for (path, line), ids in sorted(lines.items())
        if not all(each in EXCEPTED for each in ids)
    ]


@pytest.mark.parametrize("ids", protective_lines()[::EVERY])
def test_a_protective_conductor_less(ids: list[str]) -> None:
    conductors = [hatchery().plant.conductors[each] for each in ids]
    findings = changed(conductors[0].span, None)
    assert len(findings) == 1, told(findings)
    (finding,) = findings
    assert finding.rule == "earth-missing", told(findings)
    touched = {end.device for conductor in conductors for end in conductor.ends}
    touched |= {conductor.cable for conductor in conductors if conductor.cable}
    devices = hatchery().plant.devices
    touched |= {devices[each].place for each in touched & set(devices)}  # the box whose stud the conductor led to
    assert touched & set(finding.subjects), told(findings)


def test_the_excepted_conductors_exist_and_are_green_yellow() -> None:
    for each in EXCEPTED:
        assert hatchery().runs[each].colour == "GNYE"


# --- screens ------------------------------------------------------------------------------------------------------
def screen_changes() -> list[object]:
    """Every screen line without its first end, without its second, and taken away: cable, span, line that remains."""
    changes = []
    for cable in hatchery().plant.cables.values():
        for screen in cable.screens:
            if not screen.ends or not own(screen.span):
                continue
            line = screen.span.source.line(screen.span.begin[0])
            head, first, second = re.fullmatch(r"(\s*screen\s+(?:pair \S+ )?)(\S+ \S+(?: .*)?) to (\S+ \S+.*)", line).groups()  # type: ignore[union-attr]
            for what, left in (("first end", head + second), ("second end", head + first), ("whole", None)):
                changes.append(pytest.param(cable.id, screen.span, left, id=f"{cable.id} {what}"))
    return changes


@pytest.mark.parametrize(("cable", "span", "line"), screen_changes()[::EVERY])
def test_a_screen_termination_less(cable: str, span: Span, line: str | None) -> None:
    findings = changed(span, line)
    assert len(findings) == 1, told(findings)
    assert findings[0].rule == "screen-unterminated", told(findings)
    assert cable in findings[0].subjects, told(findings)


# --- bundles ------------------------------------------------------------------------------------------------------
def power_routes() -> list[str]:
    """Routes, or compartments, in which power lies."""
    network = hatchery()
    return [
        content.compartment or content.route
        for content in network.contents
        if any(network.runs[run].klass in POWER for run in content.runs)
        or any(network.cables[cable].klass in POWER for cable in content.cables)
    ]


def moves() -> list[object]:
    return [
        pytest.param(cable, route, id=f"{cable} to {route}")
        for cable, use in hatchery().cables.items()
        if use.klass in SIGNALS and own(hatchery().plant.cables[cable].whole)
        for route in power_routes()
    ]


def test_there_is_something_to_move() -> None:
    assert len(power_routes()) >= 3
    assert {hatchery().cables[param.values[0]].klass for param in moves()} == set(SIGNALS)  # type: ignore[attr-defined]


@pytest.mark.parametrize(("cable", "route"), moves()[::EVERY])
def test_a_signal_cable_in_a_power_route(cable: str, route: str) -> None:
    span = hatchery().plant.cables[cable].whole
    line = span.source.line(span.begin[0])
    assert "along=" in line
    findings = changed(span, re.sub(r"along=\S+", f"along={route}", line))
    assert len(findings) == 1, told(findings)
    assert findings[0].rule == "bundle-mixed", told(findings)
    assert cable in findings[0].subjects, told(findings)
