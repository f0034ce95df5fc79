"""Slips that the reading of a single statement would pass over: a value given twice, a statement where it means nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk, Scope
from netdsl.syntax.tree import (
    Attr,
    Cable,
    Function,
    Include,
    Outside,
    Part,
    Project,
    Scheme,
    Shade,
    Statement,
    Strip,
    StripRow,
    Text,
    Version,
)

#: what stands only outside every block, and what a scheme cannot hold besides, with its keyword
_TOP_ONLY: dict[type, str] = {Include: "include", Version: "netdsl", Project: "project"}
_NOT_IN_SCHEME: dict[type, str] = {**_TOP_ONLY, Part: "part", Scheme: "scheme", Shade: "shade"}


def note_slips(statements: Iterable[Statement], desk: Desk) -> None:
    """Report the slips in `statements` and in all that stands inside them, schemes that nobody uses included."""
    _walk(statements, Scope(), {}, "", desk)


def _walk(statements: Iterable[Statement], scope: Scope, banned: dict[type, str], block: str, desk: Desk) -> None:
    for statement in statements:
        keyword = banned.get(type(statement))
        if keyword is not None:
            head = Span(statement.span.source, statement.span.start, statement.span.start + len(keyword))
            desk.fault("syntax", head, f"`{keyword}` means nothing inside a {block}", f"move it out of the {block}", whole=head)
            continue
        for line in _lines(statement):
            _given_twice(getattr(line, "attrs", ()), getattr(line, "items", ()), scope, desk)
        if isinstance(statement, (Part, Outside)):
            ratings = [attr for line in statement.lines if line.keyword == "rating" for attr in line.attrs]
            _given_twice(ratings, (), scope, desk)
        if isinstance(statement, Function):
            inner = Scope(f"{scope.function}.{statement.name.base[1:]}" if scope.function else statement.name.base)
            _walk(statement.body, inner, banned or _TOP_ONLY, block or "function", desk)
        elif isinstance(statement, Scheme):
            _named_twice(statement, desk)
            _walk(statement.body, scope, _NOT_IN_SCHEME, "scheme", desk)


def _lines(statement: Statement) -> Iterable[object]:
    """The statement's own line and those in its block that take values."""
    yield statement
    if isinstance(statement, Strip):
        yield from (row for row in statement.rows if isinstance(row, StripRow))
    elif isinstance(statement, Cable):
        yield from statement.cores
    elif isinstance(statement, (Part, Outside)):
        yield from (line for line in statement.lines if line.keyword != "rating")


def _given_twice(attrs: Sequence[Attr], items: Sequence[object], scope: Scope, desk: Desk) -> None:
    """Report each `key=` and each quoted text behind the first of its kind."""
    if len(attrs) > 1:
        first: dict[str, Attr] = {}
        for attr in attrs:
            earlier = first.setdefault(attr.key.text, attr)
            if earlier is not attr:
                _report(f"`{attr.key.text}=` is given twice", attr.key.span, earlier.key.span, scope, desk)
    if len(items) > 1:
        texts = [item for item in items if isinstance(item, Text)]
        for text in texts[1:]:
            _report("a second text stands here", text.span, texts[0].span, scope, desk)


def _named_twice(scheme: Scheme, desk: Desk) -> None:
    """Report each parameter of a scheme that has the name of one before it."""
    first: dict[str, Span] = {}
    for param in scheme.params:
        earlier = first.setdefault(param.name.text, param.name.span)
        if earlier is not param.name.span:
            _report(f"parameter `{param.name.text}` is named twice", param.name.span, earlier, Scope(), desk)


def _report(message: str, span: Span, first: Span, scope: Scope, desk: Desk) -> None:
    desk.fault("duplicate-name", span, message, "give it once", scope, related=(Related("first given here", first),), whole=span)
