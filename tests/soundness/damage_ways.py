"""Damage to screens, and to the ways of cables."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.model.plant import Cable
from netdsl.network.types import ConductorClass
from tests.soundness.bases import Base, Damage, Edit, said
from tests.soundness.damage_facts import (
    POWER,
    SIGNALS,
    apart,
    classes_in,
    cores,
    damages,
    klass_of,
    made,
    statement_of,
)


def screens(base: Base, *classes: ConductorClass) -> Iterator[Cable]:
    for cable in base.cables:
        if cable.screen in ("outer",) and klass_of(base, cable) in classes and all(base.own(s.span) for s in cable.screens):
            yield cable


@damages("screen-missing")
def screen_gone(base: Base) -> Iterator[Damage]:
    """A screened cable replaced by one without."""
    for cable in screens(base, ConductorClass.MOTOR, *SIGNALS):
        if len(cable.screens) != 1 or (cable.length_m or 0) <= 0.2:
            continue
        text = cable.whole.text
        new = re.sub(r"\n *screen [^\n]*", "", text.replace(" screened", "", 1))
        yield from made(
            f"{cable.id} without a screen", (cable.id,), Edit(cable.whole.source.path, cable.whole.start, cable.whole.end, new)
        )


@damages("screen-unterminated")
def screen_left(base: Base) -> Iterator[Damage]:
    """The screen's line taken away; one end of it taken away where both are wanted."""
    for cable in screens(base, *ConductorClass):
        for screen in cable.screens:
            if not screen.span.text.strip():
                continue
            yield from made(
                f"{cable.id}: screen ends nowhere",
                (cable.id,),
                Edit(screen.span.source.path, screen.span.start, screen.span.end, ""),
            )
            if len(screen.ends) == 2 and klass_of(base, cable) in (ConductorClass.MOTOR, ConductorClass.BUS):
                for gone in (0, 1):
                    kept = screen.ends[1 - gone]
                    end = f"{kept.device}:{kept.terminal}" if kept.terminal else kept.device
                    yield from made(
                        f"{cable.id}: screen ends at {end} alone",
                        (cable.id,),
                        Edit(screen.span.source.path, screen.span.start, screen.span.end, f"screen {end} {kept.how}"),
                    )


@damages("screen-pigtail")
def screen_tail(base: Base) -> Iterator[Damage]:
    """A clamp or gland of a motor cable's screen replaced by a long thin tail; bare core left before it."""
    for cable in screens(base, ConductorClass.MOTOR):
        for screen in cable.screens:
            edit = base.replaced(screen.span, r"\b(clamp|gland)\b", "pigtail 150x5mm")
            yield from made(f"{cable.id} on a tail", (cable.id,), edit)
            edit = base.replaced(screen.span, r"\b(clamp|gland)\b", "clamp bare 400mm")
            yield from made(f"{cable.id} bare for 400 mm", (cable.id,), edit)


@damages("bundle-mixed")
def way_shared(base: Base) -> Iterator[Damage]:
    """A signal cable laid along the way of a motor cable or of the mains."""
    power = [cable for cable in base.plant.cables.values() if cable.routes and klass_of(base, cable) in POWER]
    for cable in base.cables:
        if not cable.routes or klass_of(base, cable) not in (*SIGNALS, ConductorClass.CONTROL):
            continue
        for other in {
            each.routes[0]: each
            for each in power
            if base.plant.routes[each.routes[0].partition("/")[0]].kind not in ("duct", "hinge", "conduit")
        }.values():
            yield from made(
                f"{cable.id} along {other.routes[0]}", (cable.id, other.routes[0]), base.valued(cable, along=other.routes[0])
            )


@damages("cable-mixed")
def cores_exchanged(base: Base) -> Iterator[Damage]:
    """One core of a power cable and one of a signal cable exchanged."""
    power = [c for c in base.conductors if c.cable and base.klass(c) in POWER]
    seen = set()
    for conductor in base.conductors:
        if not conductor.cable or base.klass(conductor) not in (*SIGNALS, ConductorClass.CONTROL) or conductor.cable in seen:
            continue
        others = [c for c in power if c.cable != conductor.cable and len(cores(base, base.plant.cables[c.cable or ""])) > 2]
        if len(cores(base, base.plant.cables[conductor.cable])) < 2 or not others:
            continue
        seen.add(conductor.cable)
        other = others[0]
        edits = [
            Edit(one.span.source.path, one.span.start, one.span.end, f"{one.core} {said(two.ends[0])} to {said(two.ends[1])}")
            for one, two in ((conductor, other), (other, conductor))
        ]
        yield from made(f"cores of {conductor.cable} and {other.cable} exchanged", (conductor.cable, other.cable or ""), *edits)


@damages("spacing-short")
def ways_close(base: Base) -> Iterator[Damage]:
    """A stated distance of 5 mm where power and signals, or the mains and motor cables, keep one."""
    for relation in base.plant.relations:
        if relation.spacing_m is None or not base.own(relation.span) or not apart(base, relation.routes):
            continue
        yield from made(
            f"{' '.join(relation.routes)} at 5 mm",
            relation.routes,
            base.replaced(statement_of(relation.span), r"spacing=\S+", "spacing=5mm"),
        )


@damages("crossing-angle")
def ways_slanting(base: Base) -> Iterator[Damage]:
    """A crossing of power and signals at 45 degrees."""
    for relation in base.plant.relations:
        if relation.crossing_deg is None or not base.own(relation.span):
            continue
        kinds = [classes_in(base, name) for name in relation.routes]
        if any(kinds[a] & set(POWER) and kinds[1 - a] & {ConductorClass.CONTROL, *SIGNALS} for a in (0, 1)):
            yield from made(
                f"{' '.join(relation.routes)} at 45 degrees",
                relation.routes,
                base.replaced(statement_of(relation.span), r"crossing=\S+", "crossing=45deg"),
            )


@damages("relation-unknown")
def ways_unsaid(base: Base) -> Iterator[Damage]:
    """A relation taken away between ways whose contents keep a distance."""
    pairs = [frozenset(r.split("/")[0] for r in relation.routes) for relation in base.plant.relations]
    for relation in base.plant.relations:
        if not base.own(relation.span) or not apart(base, relation.routes) or pairs.count(frozenset(relation.routes)) > 1:
            continue
        places = [base.plant.routes[name.partition("/")[0]].place.partition(".")[0] for name in relation.routes]
        if places[0] == places[1]:
            whole = statement_of(relation.span)
            yield from made(
                f"{' '.join(relation.routes)} unsaid", relation.routes, Edit(whole.source.path, whole.start, whole.end, "")
            )


@damages("voltage-segregation")
def insulated_for_less(base: Base) -> Iterator[Damage]:
    """A cable of the mains that is insulated for 60 V."""
    for cable in base.cables:
        if base.network.cables[cable.id].voltage > 100:
            yield from made(f"{cable.id} insulated for 60 V", (cable.id,), base.valued(cable, voltage="60V"))
