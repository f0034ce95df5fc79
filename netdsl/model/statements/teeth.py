"""`teeth`: a comb pushed into the clamps of the devices beside each other, which need no wire between them."""

from __future__ import annotations

from netdsl.findings import Related
from netdsl.model.ends import base_of, counted, ends_of, object_of
from netdsl.model.here import Here
from netdsl.model.ratings import Ratings
from netdsl.model.statements.wires import free_name
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.model.wiring import TOOTH, Conductor, End
from netdsl.syntax.tree import Teeth
from netdsl.syntax.written import Reference

TEETH = Statement(
    "teeth",
    Nothing,
    "The teeth of a comb in the clamps of devices",
    fixed("of COMB", "a comb, or some of its poles, `-WC1:L2`", "whose teeth; all its poles where none is named"),
    fixed("on END ...", "terminals of devices, `-Q1:1,3,5`", "where they are, a tooth of each pole in order"),
)


def set_teeth(statement: Teeth, here: Here) -> None:
    """Enter the teeth of a comb as conductors of no length: section and rated current are the comb's."""
    identity = object_of(statement.comb, here)
    comb = here.desk.devices.get(identity or "")
    if comb is None or comb.kind != "comb":
        if comb is not None:
            span = statement.comb.span
            here.fault("unknown-name", span, f"`{comb.id}` is no comb", "name one that a `comb` declares", whole=statement.span)
        here.doubt(statement.span)
        return
    base = base_of(statement.comb, here)
    if base is not None and base.holder.terminals:
        poles = ends_of(statement.comb, here)
    else:
        poles = [End(comb.id, name, statement.comb.span) for name in comb.terminals]
    attributes = Ratings(material=TOOTH)
    current = comb.ratings.quantity("current")
    if current is not None:
        attributes["ampacity"] = current
    for reference in statement.ends:
        ends = ends_of(reference, here, "in")
        if poles is None or ends is None:
            here.doubt(statement.span)
            return
        if len(ends) == len(poles):
            for pole, end in zip(poles, ends, strict=True):
                _tooth(pole, end, comb.ratings.amount("section"), attributes, statement, here)
        else:
            _mismatch(reference, ends, poles, statement, here)


def _tooth(pole: End, end: End, section_m2: float | None, attributes: Ratings, statement: Teeth, here: Here) -> None:
    identity = free_name(f"{pole.id} -- {end.id}", here)
    span, use = here.pointed(statement.span)
    here.desk.conductors[identity] = Conductor(
        id=identity,
        ends=(pole, end),
        cable=None,
        core="",
        section_mm2=section_m2,
        colour=None,
        routes=(),
        length_m=0.0,
        mark=None,
        function=here.scope.function,
        span=span,
        text="tooth of the comb",
        use=use,
        attributes=attributes,
    )


def _mismatch(reference: Reference, ends: list[End], poles: list[End], statement: Teeth, here: Here) -> None:
    here.fault(
        "count-mismatch",
        reference.span,
        f"`{reference.text}` names {counted(ends)}, the comb has {len(poles)} teeth there",
        "name as many terminals, or the poles of the comb that are meant, as `-WC1:L2`",
        whole=statement.span,
        related=(Related("the comb", statement.comb.span),),
    )
