"""`twin`: two conductors that share a twin ferrule, and so count as one in their clamp."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.ends import ends_of
from netdsl.model.here import Here
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.model.wiring import Conductor, End
from netdsl.syntax.tree import Twin
from netdsl.syntax.written import Reference

TWIN = Statement(
    "twin",
    Nothing,
    "Two conductors in a twin ferrule, which count as one in their clamp",
    fixed("END ...", "terminals, `-K1:A2`; of a strip with their side, `-X1:3/out`", "where each two share one"),
)


def share_ferrules(statement: Twin, here: Here) -> None:
    """Let the two conductors at each terminal that is named share a twin ferrule."""
    for reference in statement.ends:
        for end in ends_of(reference, here, "in") or ():
            _share(end, reference, here)


def _share(end: End, reference: Reference, here: Here) -> None:
    conductors = here.desk.conductors
    found = [name for name in here.desk.landing_at(end.id) if _is_in_clamp(conductors[name], end, here)]
    if end.device in here.desk.doubtful:
        return
    if len(found) != 2:
        held = "one conductor" if len(found) == 1 else f"{len(found) or 'no'} conductors"
        message = f"`{end.id}` holds {held}, a twin ferrule joins two"
        here.fault("count-mismatch", end.span, message, "name a terminal at which two conductors end", whole=reference.span)
        return
    for name in found:
        conductor = conductors[name]
        conductors[name] = replace(conductor, twin_at=tuple(dict.fromkeys((*conductor.twin_at, end.id))))


def _is_in_clamp(conductor: Conductor, end: End, here: Here) -> bool:
    """Whether a conductor that ends at the terminal is in that clamp; of a strip each side has its own."""
    device = here.desk.devices.get(end.device)
    strip = device is not None and device.category == "strip"
    unnamed = "out" if conductor.cable else "in"
    sides = [each.side or unnamed for each in conductor.ends if each.id == end.id]
    return not strip or end.side in sides
