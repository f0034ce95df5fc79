"""Slips that the reading of a single statement would pass over: a value given twice, a statement where it means nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.findings import Related, Span
from netdsl.model.here import Here, Scope
from netdsl.syntax.tree import (
    Cable,
    Core,
    Function,
    Include,
    Let,
    Outside,
    Part,
    PartLine,
    Project,
    Scheme,
    Shade,
    Statement,
    Strip,
    StripRow,
    Version,
)
from netdsl.syntax.written import Attr, Text

#: what stands only outside every block, and what a scheme cannot hold besides, with its keyword
_TOP_ONLY: dict[type, str] = {Include: "include", Version: "netdsl", Project: "project"}
_NOT_IN_SCHEME: dict[type, str] = {**_TOP_ONLY, Part: "part", Scheme: "scheme", Shade: "shade", Let: "let"}
#: what has a block with lines to look at
_WITH_BLOCK = frozenset((Strip, Cable, Part, Outside, Function, Scheme))


def note_slips(statements: Iterable[Statement], here: Here) -> None:
    """Report the slips in `statements` and in all that stands inside them, schemes that nobody uses included."""
    for statement in statements:
        _look(statement, here, {}, "")


def _look(statement: Statement, here: Here, banned: dict[type, str], block: str) -> None:
    keyword = banned.get(type(statement))
    if keyword is not None:
        head = Span(statement.span.source, statement.span.start, statement.span.start + len(keyword))
        here.fault("syntax", head, f"`{keyword}` means nothing inside a {block}", f"move it out of the {block}")
        return
    _given_twice(getattr(statement, "attrs", ()), getattr(statement, "items", ()), here)
    if type(statement) not in _WITH_BLOCK:
        return
    for line in _lines(statement):
        _given_twice(line.attrs, line.items, here)
    if isinstance(statement, (Part, Outside)):
        ratings = [attr for line in statement.lines if line.keyword == "rating" for attr in line.attrs]
        _given_twice(ratings, (), here)
    if isinstance(statement, Function):
        outer = here.scope.function
        inner = Scope(f"{outer}.{statement.name.base[1:]}" if outer else statement.name.base)
        for each in statement.body:
            _look(each, here.within(inner), banned or _TOP_ONLY, block or "function")
    elif isinstance(statement, Scheme):
        _named_twice(statement, here)
        for each in statement.body:
            _look(each, here, _NOT_IN_SCHEME, "scheme")


def _lines(statement: Statement) -> Iterable[StripRow | Core | PartLine]:
    """The lines in the block of a statement that take values."""
    if isinstance(statement, Strip):
        return [row for row in statement.rows if isinstance(row, StripRow)]
    if isinstance(statement, Cable):
        return statement.cores
    if isinstance(statement, (Part, Outside)):
        return [line for line in statement.lines if line.keyword != "rating"]
    return ()


def _given_twice(attrs: Sequence[Attr], items: Sequence[object], here: Here) -> None:
    """Report each `key=` and each quoted text behind the first of its kind."""
    if len(attrs) > 1 and len({attr.key.text for attr in attrs}) < len(attrs):
        first: dict[str, Attr] = {}
        for attr in attrs:
            earlier = first.setdefault(attr.key.text, attr)
            if earlier is not attr:
                _report(f"`{attr.key.text}=` is given twice", attr.key.span, earlier.key.span, here)
    if len(items) > 1:
        texts = [item for item in items if type(item) is Text]
        for text in texts[1:]:
            _report("a second text stands here", text.span, texts[0].span, here)


def _named_twice(scheme: Scheme, here: Here) -> None:
    """Report each parameter of a scheme that has the name of one before it."""
    first: dict[str, Span] = {}
    for param in scheme.params:
        earlier = first.setdefault(param.name.text, param.name.span)
        if earlier is not param.name.span:
            _report(f"parameter `{param.name.text}` is named twice", param.name.span, earlier, here.within(Scope()))


def _report(message: str, span: Span, first: Span, here: Here) -> None:
    here.fault("duplicate-name", span, message, "give it once", related=(Related("first given here", first),))
