"""How lists of terminals are written: names and ranges, taken apart and put together again."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.findings import Span
from netdsl.model.device import Device
from netdsl.model.terminals import numbered
from netdsl.renaming.mentioned import Mentioned
from netdsl.syntax.terms import reference
from netdsl.syntax.tree import Function, Scheme, Statement, Strip, StripRow
from netdsl.syntax.written import TerminalName

#: least names one behind the other that are written as a range
_RANGE = 2


class Spelt(Struct, frozen=True):
    """The characters of one name or range, and the names they stand for."""

    span: Span
    names: tuple[str, ...]
    side: str = ""


def spelt(span: Span) -> Iterator[Spelt]:
    """What stands at `span`: a name or a range, or a whole reference with several."""
    if ":" in span.text:
        for spec in reference(span.source, span.text, span.start).terminals:
            if isinstance(spec, TerminalName):
                yield from spelt(spec.span)
        return
    first, dots, last = span.text.partition("..")
    side = next((each for each in ("/in", "/out") if last.endswith(each) and not first.endswith(each)), "")
    names = numbered(first, last.removesuffix(side)) if dots and first and last else None
    yield Spelt(span, tuple(names) if names else (span.text,), side if names else "")


def respelt(names: list[str], was: Spelt, fresh: tuple[int, str] | None, join: str = ",") -> str:
    """`names` in place of what `was` spelt, with a fresh one at its place among them; as it was where they are the same. `join`:
    what stands between them."""
    if fresh is not None:
        names = [*names[: fresh[0]], fresh[1], *names[fresh[0] :]]
    if tuple(names) == was.names:
        return was.span.text
    pieces: list[str] = []
    start = 0
    for end in range(1, len(names) + 1):
        if end < len(names) and numbered(names[start], names[end]) == names[start : end + 1]:
            continue
        run = names[start:end]
        pieces += [f"{run[0]}..{run[-1]}{was.side}"] if len(run) >= _RANGE else [f"{name}{was.side}" for name in run]
        start = end
    return join.join(pieces)


def rows_of(read: Mentioned, strip: Device) -> list[Spelt]:
    """Each name or range in the rows of a strip, in order, bridges left out."""
    found: list[Spelt] = []
    for statement in _strips(tuple(each for tree in read.trees for each in tree.statements)):
        if statement.span == strip.whole:
            for row in statement.rows:
                for each in row.terminals if isinstance(row, StripRow) else ():
                    found += [one for spec in each.terminals if isinstance(spec, TerminalName) for one in spelt(spec.span)]
    return found


def _strips(statements: tuple[Statement, ...]) -> Iterator[Strip]:
    for statement in statements:
        if isinstance(statement, Strip):
            yield statement
        elif isinstance(statement, Function | Scheme):
            yield from _strips(statement.body)
