"""`couple`: two halves of a plug connection that meet, contact by contact of one name."""

from __future__ import annotations

from netdsl.findings import Related
from netdsl.model.ends import object_of
from netdsl.model.here import Here
from netdsl.model.kinds import Kind
from netdsl.model.plant import Coupling
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.syntax.tree import Couple

COUPLE = Statement(
    "couple",
    Nothing,
    "The two halves of a plug connection",
    fixed("HALF HALF", "two devices of kind `plug`", "which meet; contacts of one name touch"),
)


def couple(statement: Couple, here: Here) -> None:
    """Enter a plug connection."""
    found = [object_of(reference, here) for reference in statement.halves]
    halves = [here.desk.devices.get(name) for name in found if name is not None]
    for reference, half in zip(statement.halves, halves, strict=False):
        if half is not None and half.kind != Kind.PLUG:
            message = f"`{half.id}` is no half of a plug connection"
            here.fault("unknown-name", reference.span, message, "name a device whose part is of `kind = plug`")
            return
    one, other = halves if len(halves) == 2 else (None, None)
    if one is None or other is None:
        here.doubt(statement.span)
        return
    if one.id == other.id:
        here.fault("duplicate-name", statement.span, f"`{one.id}` is coupled with itself", "name the half that it meets")
        return
    for known in here.desk.couplings:
        for half in (one, other):
            if half.id in known.halves:
                related = (Related("coupled here", known.span),)
                message = f"`{half.id}` is coupled already"
                here.fault("duplicate-name", statement.span, message, "couple each half once", related=related)
                return
    single = [
        (half.id, name)
        for half in (one, other)
        for name in half.terminals
        if name not in one.terminals or name not in other.terminals
    ]
    if single:
        owner, name = single[0]
        message = f"`{owner}:{name}` meets nothing: `{other.id if owner == one.id else one.id}` has other contacts"
        here.fault("count-mismatch", statement.span, message, "take two halves with the same contacts", subjects=(owner,))
        return
    here.desk.couplings.append(Coupling((one.id, other.id), here.pointed(statement.span)[0]))
