"""One cause, one finding: every protective conductor and screen termination of the hatchery taken away, and every analogue or
bus cable moved to every power route.

The changes are made in the hatchery's own text, the plant is read anew, and `check` must give the right rule once for each, at
the part or cable concerned. Those that have nothing to do with each other are made in one text, a group: there are then as many
findings as changes, one for each. What a scheme of the library wrote has no line of its own there and is left as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from netdsl.findings import Finding, Span
from netdsl.network.types import ConductorClass, Network
from tests.cases import each_of
from tests.readings import HATCHERY, network_of
from tests.rules_together import found_together

#: Green-yellow conductors that may go without a finding of the rules for protective earth, and why.
EXCEPTED = {
    "-X2:32 -- -XE1:9": "earths one pole of the 24 V circuit, it protects no exposed part",
}
#: Those behind which others lie: each is taken away alone.
CARRYING = ("-X0:PE -- -XE1:1", "-X3:PE -- -XE1:8")
#: into so many groups the others are dealt, so that no two of one group end at the same device, but for the main earth bar
GROUPS = 3
BAR = "-XE1"
POWER = (ConductorClass.MOTOR, ConductorClass.MAINS)
SIGNALS = (ConductorClass.ANALOGUE, ConductorClass.BUS)
#: where a line of text stands, and what it becomes; None: it is taken away
Change = tuple[Span, str | None]


def hatchery() -> Network:
    return network_of(HATCHERY)


@cache
def changed(*changes: Change) -> tuple[Finding, ...]:
    """Findings in the hatchery where each line on which a span begins is another, or is empty."""
    texts: dict[str, list[str]] = {}
    for span, line in changes:
        lines = texts.setdefault(span.source.path, span.source.text.splitlines())
        lines[span.begin[0] - 1] = line or ""
    return found_together(HATCHERY, {path: "\n".join(lines) + "\n" for path, lines in texts.items()})


def the_one(changes: list[Change], about: set[str]) -> Finding:
    """The finding of those about any of these; there must be one for each change, and one about these."""
    findings = changed(*changes)
    assert len(findings) == len(changes), told(findings)
    mine = [finding for finding in findings if about & set(finding.subjects)]
    assert len(mine) == 1, (about, told(findings))
    return mine[0]


def own(span: Span) -> bool:
    """Whether `span` lies in the hatchery's own text, not in the library's."""
    return (HATCHERY.parent / span.source.path).is_file()


def told(findings: Iterable[Finding]) -> list[str]:
    return [f"{finding.rule} {', '.join(finding.subjects)}: {finding.message}" for finding in findings]


# --- protective conductors ----------------------------------------------------------------------------------------
@cache
def protective_lines() -> tuple[tuple[str, ...], ...]:
    """The conductors of every line of text that makes a protective one."""
    network = hatchery()
    lines: dict[tuple[str, int], list[str]] = {}
    for run in network.runs.values():
        if run.klass is ConductorClass.EARTH or run.colour == "GNYE":
            span = run.conductor.span
            assert own(span), run.id
            lines.setdefault((span.source.path, span.begin[0]), []).append(run.id)
    return tuple(tuple(ids) for _, ids in sorted(lines.items()) if not all(each in EXCEPTED for each in ids))


def taken_with(ids: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The lines that are taken away in one text, of which this is one."""
    if ids[0] in CARRYING:
        return (ids,)
    others = [each for each in protective_lines() if each[0] not in CARRYING]
    return tuple(others[others.index(ids) % GROUPS :: GROUPS])


@each_of("ids", protective_lines)
def test_a_protective_conductor_less(ids: tuple[str, ...]) -> None:
    group = taken_with(ids)
    known = hatchery().plant.conductors
    conductors = [known[each] for each in ids]
    touched = {end.device for conductor in conductors for end in conductor.ends}
    touched |= {conductor.cable for conductor in conductors if conductor.cable}
    plant = hatchery().plant
    around = {plant.devices[each].place for each in touched & set(plant.devices)}
    touched |= {each for each in around & set(plant.places) if plant.places[each].kind == "box"}  # whose stud it led to
    if len(group) > 1:
        touched.discard(BAR)
    finding = the_one([(known[each[0]].span, None) for each in group], touched)
    assert finding.rule == "earth-missing", told([finding])


def test_the_excepted_conductors_exist_and_are_green_yellow() -> None:
    for each in EXCEPTED:
        assert hatchery().runs[each].colour == "GNYE"


# --- screens ------------------------------------------------------------------------------------------------------
ENDS = ("first end", "second end", "whole")


@cache
def screens() -> dict[str, tuple[Change, ...]]:
    """The line of each screen without its first end, without its second, and taken away, by its cable."""
    changes: dict[str, tuple[Change, ...]] = {}
    for cable in hatchery().plant.cables.values():
        for screen in cable.screens:
            if not screen.ends or not own(screen.span):
                continue
            line = screen.span.source.line(screen.span.begin[0])
            found = re.fullmatch(r"(\s*screen\s+(?:pair \S+ )?)(\S+ \S+(?: .*)?) to (\S+ \S+.*)", line)
            assert found is not None and cable.id not in changes
            head, first, second = found.groups()
            changes[cable.id] = tuple((screen.span, left) for left in (head + second, head + first, None))
    return changes


@each_of("what", ENDS)
@each_of("cable", screens)
def test_a_screen_termination_less(cable: str, what: str) -> None:
    finding = the_one([changes[ENDS.index(what)] for changes in screens().values()], {cable})
    assert finding.rule == "screen-unterminated", told([finding])


# --- bundles ------------------------------------------------------------------------------------------------------
@cache
def power_routes() -> tuple[str, ...]:
    """Routes, or compartments, in which power lies."""
    network = hatchery()
    return tuple(
        content.compartment or content.route
        for content in network.contents
        if any(network.runs[run].klass in POWER for run in content.runs)
        or any(network.cables[cable].klass in POWER for cable in content.cables)
    )


@cache
def signal_cables() -> tuple[str, ...]:
    network = hatchery()
    return tuple(
        cable for cable, use in network.cables.items() if use.klass in SIGNALS and own(network.plant.cables[cable].whole)
    )


def moved(cable: str, route: str) -> Change:
    span = hatchery().plant.cables[cable].whole
    line = span.source.line(span.begin[0])
    assert "along=" in line
    return span, re.sub(r"along=\S+", f"along={route}", line)


def test_there_is_something_to_move() -> None:
    assert len(power_routes()) >= 3
    assert {hatchery().cables[cable].klass for cable in signal_cables()} == set(SIGNALS)


@each_of("route", power_routes)
@each_of("cable", signal_cables)
def test_a_signal_cable_in_a_power_route(cable: str, route: str) -> None:
    # the others move with it, each to a route of its own
    cables, routes = signal_cables(), power_routes()
    assert len(cables) <= len(routes)
    by = routes.index(route) - cables.index(cable)
    changes = [moved(each, routes[(number + by) % len(routes)]) for number, each in enumerate(cables)]
    finding = the_one(changes, {cable})
    assert finding.rule == "bundle-mixed", told([finding])
