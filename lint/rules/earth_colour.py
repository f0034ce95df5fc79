"""The colour of protective conductors."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import wires_and_cores
from netdsl.findings import Edit, Severity, Span
from netdsl.model.plant import Conductor, Role
from netdsl.model.vocabulary import BARE
from netdsl.network.types import Run

GREEN_YELLOW = "GNYE"


@rule("earth-colour", Severity.ERROR, source="IEC 60445 and IEC 60204-1 13.2.2", judges=wires_and_cores)
def earth_colour(facts: Facts, this: Rule) -> Iterator[Said]:
    """Green-yellow is used for something else, or a protective conductor has another colour.

    Reports:
      A green-yellow conductor that joins anything but protective-earth terminals, or a protective conductor in another
      colour than green-yellow.
    Silent:
      Bare conductors, braids and rails (`material=bare`, `braid`, `rail`); conductors marked PEN or ending at a terminal PEN;
      functional earth; the conductor of a declared reference point (`earthing of`).
    Why:
      Whoever works on the panel trusts green-yellow to be earth, and everything else not to be.
    Failing:
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 BK
    Passing:
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
    Remedy:
      Use green-yellow for protective conductors, all along and alone.
    """
    found: dict[tuple[int, int, bool], list[tuple[Conductor, Run]]] = {}
    for conductor, run in facts.conductors():
        protective = facts.protective(conductor)
        green = run.colour == GREEN_YELLOW
        if run.colour is None or protective == green:
            continue
        other = _other_earth(facts, conductor, run, protective)
        if other:
            yield this.spared(conductor.id, other)
            continue
        found.setdefault((conductor.span.start, id(conductor.span.source), protective), []).append((conductor, run))
    for pairs in found.values():
        conductor, run = pairs[0]
        ends = " and ".join(f"`{end.id}`" for end in conductor.ends)
        protective = facts.protective(conductor)
        more = f", and {len(pairs) - 1} more of this line" if len(pairs) > 1 else ""
        what = f"protective conductor between {ends} is {run.colour}" if protective else f"green-yellow joins {ends}"
        yield this.report(
            f"{what}{more}: {'protective conductors are green-yellow' if protective else 'it is kept for protective earth'}",
            "use a GNYE conductor" if protective else "use another colour, or another core of the cable",
            conductor.span,
            _subjects(pairs),
            about=[each.id for each, _ in pairs],
            fix=_in_green_yellow(facts, conductor, run) if protective and not conductor.cable else (),
        )


def _in_green_yellow(facts: Facts, conductor: Conductor, run: Run) -> Iterator[Edit]:
    """The edit that makes a protective wire green-yellow: in place of the colour it states, else behind what it states. None
    where its line makes other conductors as well."""
    line = conductor.use or conductor.span
    if not all(facts.protective(each) for each in facts.plant.conductors.values() if (each.use or each.span) == line):
        return
    stated = [match for match in re.finditer(r"(?<=\s)[A-Z]+(?=\s|$)", line.text) if match[0] == run.colour]
    if len(stated) == 1:
        start = line.start + stated[0].start()
        yield Edit(Span(line.source, start, start + len(stated[0][0])), GREEN_YELLOW)
    elif not stated:
        yield Edit(Span(line.source, line.end, line.end), f" {GREEN_YELLOW}")


def _subjects(pairs: list[tuple[Conductor, Run]]) -> list[str]:
    first = pairs[0][0]
    devices = [end.device for conductor, _ in pairs for end in conductor.ends]
    return [*([first.cable] if first.cable else []), *devices, *(conductor.id for conductor, _ in pairs)]


def _other_earth(facts: Facts, conductor: Conductor, run: Run, protective: bool) -> str:
    """Why a conductor is exempt: bare, PEN, functional earth, a declared reference of a source; "" where it is not."""
    if any(word in conductor.attributes.text("material") for word in BARE):
        return "it is bare, a braid or a rail"
    if "PEN" in (run.mark, conductor.mark, *(end.terminal for end in conductor.ends)):
        return "it is a PEN conductor"
    roles = {terminal.role for terminal in map(facts.terminal, conductor.ends) if terminal is not None}
    if roles & {Role.FUNCTIONAL_EARTH, Role.SCREEN}:
        return "it is a functional earth"
    return "it joins a source to its reference point" if not protective and run.klass.value == "earth" else ""
