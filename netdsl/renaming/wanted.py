"""What each word of the text has to become, gathered from all that it stands for."""

from __future__ import annotations

import re

from netdsl.findings import Edit, Span
from netdsl.model.files import is_shipped
from netdsl.model.terminals import numbered
from netdsl.renaming.outcome import Refused, at
from netdsl.renaming.spelling import Spelt, respelt

#: the parameter of a scheme whose default follows, and how far before it that begins
_PARAMETER, _NEAR = re.compile(r"([\w-]+)[ \t]*=[ \t]*$"), 60
_VALUE = re.compile(r"\$[^\W\d_][\w.]*")


class Wanted:
    """The text that each span takes. One line of a scheme may stand for several things: all must want the same."""

    def __init__(self) -> None:
        self._texts: dict[Span, str] = {}
        self._given: dict[Span, dict[str, str]] = {}

    def put(self, span: Span, text: str) -> None:
        """Let `span` become `text`, which may be what it is. Raises Refused where something else is wanted there."""
        known = self._texts.setdefault(span, text)
        if known != text:
            one, other = sorted((known, text), key=lambda each: each == span.text)
            wanted = f"it would have to be `{one}` and " + ("stay" if other == span.text else f"`{other}`")
            raise Refused(f"`{span.text}` at {at(span)} stands for several things: {wanted}", span)

    def give(self, at: Span, name: str, text: str) -> None:
        """Let a `use` give `name`, which it leaves to the scheme so far. Raises Refused where it would have to be two."""
        known = self._given.setdefault(at, {}).setdefault(name, text)
        if known != text:
            raise Refused(f"`{name}` would have to be `{known}` and `{text}` where the scheme is used", at)

    def edits(self) -> tuple[Edit, ...]:
        """The spans that change. Raises Refused where one stands in the shipped library."""
        found = [Edit(span, text) for span, text in self._texts.items() if span.text != text]
        for span, text in found:
            if is_shipped(span.source):
                named = _PARAMETER.search(span.source.text, max(0, span.start - _NEAR), span.start)
                way = f"say `{named[1]}={text}` where the scheme is used" if named else "write its lines out with `netdsl unfold`"
                raise Refused(f"`{span.text}` is the name that a shipped scheme gives, {at(span)}: {way}", span)
        found += [Edit(at, "".join(f" {name}={text}" for name, text in sorted(each.items()))) for at, each in self._given.items()]
        return tuple(sorted(found, key=lambda edit: (edit.span.source.path, edit.span.start)))


def located(span: Span, meant: str) -> Span | None:
    """The characters of `span` that spell `meant`: all, or one of a list; None where it is made of values or of a range."""
    if span.text == meant:
        return span
    found = re.search(rf"(?<![\w=+.\-/$]){re.escape(meant)}(?![\w\-]|\.\.|\.\w|/\w|:)", span.text)
    return None if found is None else Span(span.source, span.start + found.start(), span.start + found.end())


def composed(span: Span, meant: str, now: str, others: list[str] | None, join: str) -> str:
    """What to write in place of a name made of a value, `=IO1-T$number`, or of a range, of which `others` are the names as they
    are now, None where it cannot be parted; `meant` is to mean `now`. Raises Refused where that cannot be written there."""
    if others:
        first, _, last = span.text.partition("..")
        return respelt(others, Spelt(span, tuple(numbered(first, last) or ())), None, join)
    if meant == now:
        return span.text
    parts = _VALUE.split(span.text)
    if len(parts) == 2 and meant.startswith(parts[0]) and meant.endswith(parts[1]):
        name = span.text[len(parts[0]) : len(span.text) - len(parts[1])]
        value = meant[len(parts[0]) : len(meant) - len(parts[1])]
        if now.endswith(value + parts[1]):
            return now[: -len(value + parts[1])] + name + parts[1]
        if now.startswith(parts[0] + value):
            return parts[0] + name + now[len(parts[0] + value) :]
    made = f"`{meant}` is made of `{span.text}` at {at(span)}"
    raise Refused(f"{made}: give it another value there, or write that line apart", span)
