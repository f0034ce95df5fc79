"""Designations and terminal lists: `=RP1-T1:U,V,W`, `:1..6`, `$drive:(digital-in 2)`, `($first+1)`."""

from __future__ import annotations

import re
from functools import lru_cache

from netdsl.findings import Source, Span
from netdsl.syntax.written import (
    Arithmetic,
    ComputedTerminal,
    Expression,
    Number,
    Param,
    Reference,
    Role,
    TerminalName,
    TerminalSpec,
    Word,
)

_PARAM = r"\$[^\W\d_][\w.]*(?:-[^\W\d_][\w.]*)*"
_PART = re.compile(rf"[ \t]*(?:(?P<number>\d{{1,9}})|(?P<param>{_PARAM})|(?P<operator>[+\-*])|(?P<open>\()|(?P<close>\)))")
_ROLE = re.compile(r"[ \t]*(?P<name>[^\W\d_][\w\-]*)[ \t]*(?P<index>[^ \t].*)?")
_ITEM = re.compile(r"\((?:[^()]|\((?:[^()]|\([^()]*\))*\))*\)|[^,(]+")


class TermError(Exception):
    """What stands in the parentheses of a computed terminal cannot be read; `start` and `end` in the source."""

    def __init__(self, start: int, end: int) -> None:
        super().__init__(start, end)
        self.start = start
        self.end = end


def reference(source: Source, text: str, start: int) -> Reference:
    """The reference that the token `text` at `start` spells; raises TermError."""
    end = start + len(text)
    if "(" not in text:
        base, names = _split(text)
        return Reference(
            base,
            tuple([TerminalName(first, last, Span(source, start + a, start + b)) for first, last, a, b in names]),
            Span(source, start, end),
        )
    base, _, _ = text.partition(":")
    terminals: list[TerminalSpec] = []
    for match in _ITEM.finditer(text, len(base) + 1):
        at = start + match.start()
        if match[0].startswith("("):
            terminals.append(computed(source, match[0], at))
        else:
            first, last = _ends(match[0])
            terminals.append(TerminalName(first, last, Span(source, at, at + len(match[0]))))
    return Reference(base, tuple(terminals), Span(source, start, end))


@lru_cache(maxsize=4096)
def _split(text: str) -> tuple[str, tuple[tuple[str, str, int, int], ...]]:
    """Base and terminals of a token without parentheses; the offsets are inside the token."""
    base, colon, rest = text.partition(":")
    if not colon:
        return base, ()
    names = []
    at = len(base) + 1
    for item in rest.split(","):
        names.append((*_ends(item), at, at + len(item)))
        at += len(item) + 1
    return base, tuple(names)


def _ends(item: str) -> tuple[str, str]:
    """First and last name of a terminal item; the same one twice where it is no range."""
    first, dots, last = item.partition("..")
    return (first, last) if dots and first and last else (item, item)


def computed(source: Source, text: str, start: int) -> ComputedTerminal:
    """The computed terminal `(...)` that `text` at `start` spells; raises TermError."""
    span = Span(source, start, start + len(text))
    inner = text[1:-1]
    if not inner.strip(" \t"):
        raise TermError(span.start, span.end)
    role = _ROLE.fullmatch(inner)
    if role is None:
        return ComputedTerminal(_expression(source, inner, start + 1), span)
    at = start + 1
    name = Word(role["name"], Span(source, at + role.start("name"), at + role.end("name")))
    index = None if role["index"] is None else _expression(source, role["index"].rstrip(), at + role.start("index"))
    return ComputedTerminal(Role(name, index, span), span)


def _expression(source: Source, text: str, start: int) -> Expression:
    """Sums and products of whole numbers and parameters, `*` before `+` and `-`; nests at most as deep as the token."""
    values: list[Expression] = []
    operators: list[str] = []
    wants_value = True
    position = 0
    stripped = text.rstrip(" \t")
    while position < len(stripped):
        match = _PART.match(stripped, position)
        if match is None or wants_value != (match.lastgroup in ("number", "param", "open")):
            raise TermError(start + position, start + len(stripped))
        position = match.end()
        span = Span(source, start + match.start(match.lastgroup or 0), start + match.end())
        if match.lastgroup == "number":
            values.append(Number(int(match[0]), span))
        elif match.lastgroup == "param":
            values.append(Param(match["param"][1:], span))
        elif match.lastgroup == "open":
            operators.append("(")
            continue
        elif match.lastgroup == "close":
            _fold(values, operators, 0)
            if not operators:
                raise TermError(span.start, span.end)
            operators.pop()
        else:
            _fold(values, operators, _RANK[match["operator"]])
            operators.append(match["operator"])
        wants_value = match.lastgroup == "operator"
    if not wants_value:
        _fold(values, operators, 0)
    if wants_value or operators:
        raise TermError(start, start + len(text))
    return values[0]


_RANK = {"+": 1, "-": 1, "*": 2}


def _fold(values: list[Expression], operators: list[str], rank: int) -> None:
    """Combine what binds at least as strongly as `rank`, back to the last parenthesis."""
    while operators and operators[-1] != "(" and _RANK[operators[-1]] >= max(rank, 1):
        right = values.pop()
        left = values.pop()
        values.append(Arithmetic(left, operators.pop(), right, left.span.to(right.span)))
