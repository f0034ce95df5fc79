"""How things are named and stand: designations of what is declared, its title, its place."""

from __future__ import annotations

import re

from msgspec import Struct

from netdsl.findings import Span
from netdsl.model.device import Device
from netdsl.model.ends import base_of, reference_span
from netdsl.model.here import Here
from netdsl.model.mentions import What
from netdsl.model.racks import without_place
from netdsl.syntax.tree import Declaration, Outside, Strip
from netdsl.syntax.written import Attr, Reference, Word

_PRODUCT = re.compile(r"(?:-[A-Za-z][A-Za-z0-9_.]*)+")


class Head(Struct, frozen=True):
    """Who a thing is: its identity, the characters of its `name`, what findings about it point at, and its line in a scheme."""

    id: str
    name: Span
    span: Span
    use: Span | None


def designation(reference: Reference | Word, here: Here) -> tuple[str, Span] | None:
    """The identity a declaration gives its object, and the characters of the name; None with a finding."""
    if not isinstance(reference, Reference):
        here.fault("syntax", reference.span, f"`{reference.text}` is no product designation", "begin it with `-`")
        return None
    base = base_of(reference, here)
    if base is None:
        return None
    if not _PRODUCT.fullmatch(base.text) or ".." in base.text or reference.terminals:
        here.fault(
            "syntax",
            reference.span,
            f"`{base.text}` is no product designation",
            "write `-`, a letter, then letters and figures; its function stands around it, its place in `at=`",
        )
        return None
    identity, span = here.scope.function + base.text, reference_span(reference)
    here.mention(What.DECLARED, identity, span if base.spelt is reference else reference_span(base.spelt), base.text)
    return identity, span


def head_of(statement: Declaration | Outside | Strip, here: Here) -> Head | None:
    """Who `statement` declares; None where the name cannot be taken, with a finding."""
    named = designation(statement.name, here)
    if named is None or not here.declare(*named):
        return None
    identity, name = named
    return Head(identity, name, *here.pointed(name))


def need_place(device: Device, attrs: tuple[Attr, ...], here: Here) -> None:
    """Note that `device` does not say where it stands, unless its line could not be read."""
    said = device.place or here.scope.place or any(attr.key.text == "at" for attr in attrs)
    if not said and not here.desk.is_broken(device.whole):
        without_place(device, here)
