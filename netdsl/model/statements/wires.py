"""`wire`: single conductors inside one enclosure, in chains of two ends or more."""

from __future__ import annotations

import itertools

from netdsl.findings import Edit, Related
from netdsl.model.ends import counted, ends_of
from netdsl.model.here import Here
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import Role as PartRole
from netdsl.model.ratings import AUTO, Open, Ratings
from netdsl.model.statements.wire_says import WIRE
from netdsl.model.statements.wire_steps import listed_in, steps_of
from netdsl.model.values import written_at
from netdsl.model.wiring import Conductor, End
from netdsl.syntax.tree import Wire
from netdsl.syntax.written import Reference

#: roles of terminals that belong together as the poles of one circuit
POLES = frozenset({PartRole.LINE_IN, PartRole.LOAD_OUT, PartRole.MOTOR_OUT, PartRole.WINDING})


def connect_wire(wire: Wire, here: Here) -> None:
    """Enter the conductors of a `wire` statement: one per step and piece of the chain."""
    lists = _lists(wire, here)
    if lists is None:
        return
    listed, plain = listed_in(wire, here)
    says = WIRE.read(here, plain.attrs, plain.items)
    steps = steps_of(listed, says, len(lists[0]), here)
    attributes, open_at = says.attributes, None
    if isinstance(says.section, Open):
        open_at = written_at(wire.items, AUTO, here) or says.section.span
        attributes = Ratings(attributes, section=Open(open_at))
    made: list[str] = []
    span, use = here.pointed(wire.span)
    conductors = here.desk.conductors
    for points, step in zip(zip(*lists, strict=True), steps, strict=True):
        inner = points[1:-1] if says.twin else ()
        chain = " -- ".join(end.id for end in points) if len(points) > 2 else ""
        for a, b in itertools.pairwise(points):
            if a.id == b.id and a.side == b.side:
                message = f"this wire begins and ends on `{a.id}`"
                here.fault("duplicate-name", wire.span, message, "name two different terminals")
                continue
            identity = free_name(f"{_point(a)} -- {_point(b)}", here)
            made.append(identity)
            conductors[identity] = Conductor(
                id=identity,
                ends=(a, b),
                cable=None,
                core="",
                section_mm2=step.section_mm2,
                colour=step.colour,
                routes=says.routes,
                length_m=step.length_m,
                mark=says.mark,
                function=here.scope.function,
                span=span,
                text=says.text,
                chain=chain,
                twin_at=tuple(end.id for end in (a, b) if end in inner) if inner else (),
                use=use,
                attributes=attributes,
            )
    if open_at is not None and made:
        here.desk.open_values.append(OpenValue("section", tuple(made), open_at, open_at))


def _lists(wire: Wire, here: Here) -> list[list[End]] | None:
    """The ends that each reference of a wire names, as many at each; None with a finding."""
    lists: list[list[End]] = []
    for reference in wire.ends:
        ends = ends_of(reference, here, "in")
        if ends is None:
            here.doubt(wire.span)
            return None
        lists.append(ends)
    for reference, other in zip(wire.ends[1:], lists[1:], strict=True):
        if len(other) != len(lists[0]):
            here.fault(
                "count-mismatch",
                reference.span,
                f"`{wire.ends[0].text}` names {counted(lists[0])}, `{reference.text}` names {counted(other)}",
                "name as many terminals at each end",
                related=(Related("the other end", wire.ends[0].span),),
                whole=wire.span,
                fix=_completed(wire, reference, other, lists[0], here),
            )
            return None
    return lists


def _completed(wire: Wire, reference: Reference, named: list[End], first: list[End], here: Here) -> tuple[Edit, ...]:
    """The edit that gives two ends as many terminals, where there is one way to: the shorter names the first two or more poles of
    a power circuit of its device, whose poles are exactly as many as the longer names, and the rest of them are free so far."""
    short, ends, most = (reference, named, len(first)) if len(named) < len(first) else (wire.ends[0], first, len(named))
    device = here.desk.devices.get(ends[0].device)
    names = [end.terminal for end in ends]
    if len(wire.ends) != 2 or device is None or len({end.device for end in ends}) != 1 or names[0] not in device.terminals:
        return ()
    role = device.terminals[names[0]].role
    alike = [name for name, terminal in device.terminals.items() if terminal.role is role]
    if role not in POLES or len(names) < 2 or len(alike) != most or alike[: len(names)] != names or short.text.count(":") != 1:
        return ()
    landed = {(end.device, end.terminal) for conductor in here.desk.conductors.values() for end in conductor.ends}
    if any((device.id, name) in landed for name in alike[len(names) :]):
        return ()
    return (Edit(short.span, f"{short.base}:{','.join(alike)}"),)


def _point(end: End) -> str:
    return f"{end.id}/{end.side}" if end.side == "out" else end.id


def free_name(identity: str, here: Here) -> str:
    """`identity`, numbered where a conductor between the same ends has it already."""
    conductors, alike = here.desk.conductors, here.desk.alike
    if identity not in conductors:
        return identity
    n = alike.get(identity, 2)
    while f"{identity} ({n})" in conductors:
        n += 1
    alike[identity] = n + 1
    return f"{identity} ({n})"
