"""Several cables of one kind in one statement: one after the other, with the ends that step with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

from msgspec.structs import replace

from netdsl.findings import Related
from netdsl.model.here import Here
from netdsl.model.terminals import names_of, numbered
from netdsl.syntax.tree import Cable
from netdsl.syntax.written import Attr, Reference, TerminalName

T = TypeVar("T")
#: most cables that the statements of a plant with several in one stand for
MAX_CABLES = 20_000


class Mismatch(Exception):
    """What steps with the cables names another number than there are cables; a finding says so."""


def one_by_one(statement: Cable, here: Here) -> Iterator[Cable]:
    """The cable, or each of one that names several; nothing with a finding."""
    if not statement.more and ".." not in statement.name.base:
        yield statement
        return
    given = (statement.name, *statement.more)
    wrong = next((name for name in given if ".." in name.base and len(_bases(name)) < 2), None)
    if wrong is not None:
        message = f"`{wrong.base}` does not count up from its first to its last cable"
        here.fault("out-of-range", wrong.span, message, "write the lower number first: `-W1..4`", whole=statement.span)
        return
    names = [one for name in given for one in _bases(name)]
    here.desk.stepped_cables += len(names)
    if here.desk.stepped_cables > MAX_CABLES:
        here.beyond(statement.name.span, f"the plant has more than {MAX_CABLES} cables by ranges")
    try:
        made = [_cable(statement, name, number, len(names), here) for number, name in enumerate(names)]
    except Mismatch:
        here.doubt(statement.span)
        return
    yield from made


def _bases(name: Reference) -> list[Reference]:
    """The designations that one stands for: `-W1..3` for three."""
    first, dots, last = name.base.partition("..")
    stepped = numbered(first, last) if dots else None
    return [replace(name, base=base, meant=base + _behind(name)) for base in stepped] if stepped else [name]


def _behind(name: Reference) -> str:
    """The terminals of a reference as written, with their colon."""
    _, colon, terminals = name.text.partition(":")
    return colon + terminals


def _cable(cable: Cable, name: Reference, number: int, count: int, here: Here) -> Cable:
    """The cable with that `number` among `count`."""

    def end(reference: Reference) -> Reference:
        return _step(reference, number, count, cable, here)

    cores = tuple(replace(core, ends=tuple(map(end, core.ends))) for core in cable.cores)
    screens = tuple(
        replace(screen, ends=tuple(replace(each, end=end(each.end)) for each in screen.ends)) for screen in cable.screens
    )
    attrs = tuple(_attr(attr, number, count, cable, here) for attr in cable.attrs)
    return replace(cable, name=name, more=(), cores=cores, screens=screens, attrs=attrs)


def _step(reference: Reference, number: int, count: int, cable: Cable, here: Here) -> Reference:
    """The end that the cable with that number has."""
    bases = _bases(reference)
    base = _chosen(bases, number, count, reference, cable, here)
    named = [spec for spec in reference.terminals if isinstance(spec, TerminalName)]
    if len(named) < len(reference.terminals) or not named:
        return base
    names = names_of(named, here)
    if names is None:
        raise Mismatch
    name = _chosen(names, number, count, reference, cable, here)
    return replace(base, terminals=(TerminalName(name.name, name.name, name.span),), meant=f"{base.base}:{name.name}")


def _attr(attr: Attr, number: int, count: int, cable: Cable, here: Here) -> Attr:
    """A length of its own for each cable, where several are given."""
    if attr.key.text != "length" or len(attr.values) == 1:
        return attr
    return replace(attr, values=(_chosen(attr.values, number, count, attr, cable, here),))


def _chosen(several: Sequence[T], number: int, count: int, written: Reference | Attr, cable: Cable, here: Here) -> T:
    """That of `several` which belongs to the cable with that number: the one there is, or one for each."""
    if len(several) in (1, count):
        return several[number if len(several) == count else 0]
    here.fault(
        "count-mismatch",
        written.span,
        f"`{written.span.text}` gives {len(several)}, there are {count} cables",
        "give one for each cable, or one for all",
        whole=cable.span,
        related=(Related("the cables", cable.name.span),),
    )
    raise Mismatch
