"""Names with values in them: `-T$pump`, `=PP$pump-M1` and `"Pump $pump"` turned into what they mean.

A `$name` ends where no value has a longer name: in `=PP$pump-M1` that is `pump`, unless a value is called `pump-M1`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from netdsl.findings import Source, Span
from netdsl.model.here import Bound, Here
from netdsl.model.mentions import What
from netdsl.syntax.measure import MAX_TEXT, MAX_WORD
from netdsl.syntax.tree import Function, Scheme
from netdsl.syntax.written import ComputedTerminal, Expression, Number, Param, Reference, Role, Text, Value, Word

T = TypeVar("T")
#: longest list that is handed to a scheme, in characters
MAX_LIST = 10_000
#: as deep as a sum in parentheses, or names given by names, are followed
MAX_DEPTH = 50
MAX_NUMBER = 10**9
_NAME = re.compile(r"\$([^\W\d_](?:[\w.\-]*\w)?)")
#: a designation or a text with a `$` in it; what it catches besides is looked at in vain
_FILLED = re.compile(r'(?<!\w)[=+\-][^\s:{}(),"#$]*\$|"[^"\r\n]*\$|\$[^\s:{}(),"#$]*\$')
#: fields that hold the body of a block: each line of it is filled when it is read
_BODIES = {Function: "body", Scheme: "body"}


@lru_cache(maxsize=128)
def _fills(source: Source) -> bool:
    """Whether a text has any name with a value in it; most have none."""
    return "$" in source.text and _FILLED.search(source.text) is not None


def filled(statement: T, span: Span, here: Here) -> T | None:
    """`statement`, which stands at `span`, with the values put into its names and texts; None with a finding for a name in a
    designation that has no value. What stands in the body of a block is left as it is."""
    source = span.source
    if not _fills(source) or _FILLED.search(source.text, span.start, span.end) is None:
        return statement
    try:
        filled_in: T = _filled(statement, here)
    except _TooLong as long:
        what = f"text has more than {MAX_TEXT}" if isinstance(long.value, Text) else f"designation has more than {MAX_WORD}"
        message = f"this {what} characters with all that is put into it"
        here.fault("out-of-range", long.value.span, message, "say it in fewer words", whole=here.whole)
        return None
    except _Unknown as unknown:
        _report(unknown, here)
        return None
    return filled_in


class _TooLong(Exception):
    """A designation or a text gets longer than one may be."""

    def __init__(self, value: Reference | Text) -> None:
        super().__init__()
        self.value = value


class _Unknown(Exception):
    """A `$name` in a designation has no value that can be part of one."""

    def __init__(self, value: Reference, name: str) -> None:
        super().__init__(name)
        self.value = value
        self.name = name


def _report(unknown: _Unknown, here: Here) -> None:
    bound = here.scope.params.get(unknown.name)
    if bound is not None and bound.value is None:
        here.doubt(here.whole)
    elif bound is None:
        here.no_value(unknown.name, unknown.value.span)
    else:
        message = f"`${unknown.name}` cannot stand inside a designation"
        here.fault("unknown-name", unknown.value.span, message, "give it a word, a number or a designation", whole=here.whole)


def _filled(piece: Any, here: Here) -> Any:
    """`piece` of a tree with values put in; the same object where nothing changes."""
    if isinstance(piece, tuple) and not isinstance(piece, Span):
        parts = [_filled(each, here) for each in piece]
        return tuple(parts) if any(new is not old for new, old in zip(parts, piece, strict=True)) else piece
    if isinstance(piece, Text):
        return _text(piece, here)
    if isinstance(piece, Reference):
        return _reference(piece, here)
    if not isinstance(piece, Struct) or isinstance(piece, (Word, Param, ComputedTerminal, Role)):
        return piece
    body = _BODIES.get(type(piece), "")
    changed: dict[str, Any] = {}
    for name in piece.__struct_fields__:
        old = getattr(piece, name)
        new = old if name in ("span", body) else _filled(old, here)
        if new is not old:
            changed[name] = new
    return replace(piece, **changed) if changed else piece


def mention_part(bound: Bound, here: Here) -> None:
    """Keep where a designation is written of which others are made, where that is asked for."""
    for _ in range(MAX_DEPTH if here.desk.mentions is not None else 0):
        if isinstance(bound.value, Reference) and bound.value.base[:1] in ("=", "-", "+"):
            here.within(bound.scope).mention(What.PART, bound.value.base, bound.value.span, bound.value.base)
        if not isinstance(bound.value, Param) or bound.value.name not in bound.scope.params:
            return
        bound = bound.scope.params[bound.value.name]


def known_name(written: str, params: Mapping[str, Bound]) -> str | None:
    """The longest name of a value with which `written` begins, ending before a `-` or a `.`; None without one."""
    name = written
    while name:
        if name in params:
            return name
        name = name[: max(name.rfind("-"), name.rfind("."))] if "-" in name or "." in name else ""
    return None


def text_with(text: Text, params: Mapping[str, Bound]) -> Text:
    """A text with every `$name` that has a value replaced; any other `$` stays."""
    if "$" not in text.value:
        return text

    def put_in(match: re.Match[str]) -> str:
        name = known_name(match[1], params)
        said = said_by(params[name]) if name else None
        return match[0] if said is None or name is None else said + match[1][len(name) :]

    made = _NAME.sub(put_in, text.value)
    return text if made == text.value else Text(made[: MAX_TEXT + 1], text.span)


def _text(text: Text, here: Here) -> Text:
    """The same for `here`, where one that gets too long is told."""
    made = text_with(text, here.scope.params)
    if made is not text and len(made.value) > MAX_TEXT:
        raise _TooLong(text)
    return made


def _reference(reference: Reference, here: Here) -> Reference:
    """A designation with every `$name` in it replaced; one that is a `$name` alone stays: that may bring its terminals."""
    base = reference.base
    if base.startswith("$") and known_name(base[1:], here.scope.params) in (None, base[1:]):
        return reference
    if "$" not in base:
        return reference

    def put_in(match: re.Match[str]) -> str:
        name = known_name(match[1], here.scope.params)
        value = here.scope.params[name].value if name else None
        said = said_by(here.scope.params[name]) if name else None
        if name is None or said is None or isinstance(value, Text) or _with_terminals(value):
            raise _Unknown(reference, name or match[1])
        mention_part(here.scope.params[name], here)
        return said + match[1][len(name) :]

    new = _NAME.sub(put_in, base)
    if len(new) > MAX_WORD:
        raise _TooLong(reference)
    return Reference(new, reference.terminals, reference.span, new + reference.span.text[len(base) :])


def _with_terminals(value: Value | None) -> bool:
    return isinstance(value, Reference) and bool(value.terminals)


def said_by(bound: Bound) -> str | None:
    """What a value says in a text: a sum its number; None where it has none."""
    value, params = bound.value, bound.scope.params
    for _ in range(MAX_DEPTH):
        if not isinstance(value, Param) or value.name not in params:
            break
        inner = params[value.name]
        value, params = inner.value, inner.scope.params
    if isinstance(value, ComputedTerminal) and not isinstance(value.expression, Role):
        number = _number(value.expression, params, MAX_DEPTH)
        return None if number is None else str(number)
    return None if value is None else spoken(value)


def _number(expression: Expression, params: Mapping[str, Bound], depth: int) -> int | None:
    """The number of a sum, None where it has none; that is told where it stands for a terminal."""
    if depth == 0:
        return None
    if isinstance(expression, Number):
        return expression.value
    if isinstance(expression, Param):
        said = said_by(params[expression.name]) if expression.name in params else ""
        return int(said) if said and said.isascii() and said.isdigit() and len(said) < 9 else None
    left = _number(expression.left, params, depth - 1)
    right = None if left is None else _number(expression.right, params, depth - 1)
    if left is None or right is None:
        return None
    number = {"+": left + right, "-": left - right, "*": left * right}[expression.operator]
    return number if abs(number) < MAX_NUMBER else None


def worked_out(bound: Bound) -> Bound:
    """A value that is a sum as its number, once and for all: sums of sums would be worked out again and again."""
    value = bound.value
    if not isinstance(value, ComputedTerminal) or isinstance(value.expression, Role):
        return bound
    said = said_by(bound)
    return bound if said is None else Bound(Word(said, value.span), bound.scope)


def spoken(value: Value) -> str:
    """`value` as a text: a quoted one without its quotes, any other as it is meant."""
    if isinstance(value, Word):  # as most are
        return value.text
    if isinstance(value, Text):
        return value.value
    return value.text if isinstance(value, Reference) else value.span.text
