"""A line of a scheme with its values put in, as text: `wire -X1:($first) to $button:13` as `wire -X1:2 to -S1:13`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from netdsl.findings import Span
from netdsl.model.device import Device
from netdsl.model.ends import by_role, use_of
from netdsl.model.filling import spoken, text_with
from netdsl.model.here import Here
from netdsl.model.terminals import evaluated
from netdsl.model.values import settled
from netdsl.syntax.lexer import Token, tokens_of
from netdsl.syntax.terms import computed, reference
from netdsl.syntax.written import ComputedTerminal, Param, Reference, Role, TerminalSpec, Text, Value

_ESCAPE = re.compile(r'\\(["\\])')


def lines_of(span: Span, here: Here) -> Iterator[tuple[str, int]]:
    """Each line of `span` that says something, without its comment, and where it begins. The text is one without faults."""
    text = span.text
    line: list[Token] = []
    for token in tokens_of(text):
        if token.type not in ("NEWLINE", "$END"):
            line.append(token)
        elif line:
            pieces: list[str] = []
            position = line[0].start_pos
            for each in line:
                pieces += [text[position : each.start_pos], _token(each, span, here)]
                position = each.end_pos
            yield "".join(pieces), span.start + line[0].start_pos
            line = []


def _token(token: Token, span: Span, here: Here) -> str:
    """One token with its values put in."""
    kind, text, source, start = token.type, token.value, span.source, span.start + token.start_pos
    here = here.over(Span(source, start, span.start + token.end_pos))
    if kind == "PARAM":
        return _value(Param(text[1:], here.whole), here, here)
    if kind == "STRING" and "$" in text:
        plain = _ESCAPE.sub(r"\1", text[1:-1])
        return _quoted(text_with(Text(plain, here.whole), here.scope.params).value)
    if kind == "COMPUTED":
        return _terminal(computed(source, text, start), here)
    if kind in ("REF", "TERMS") and ("$" in text or "(" in text):
        return _reference(reference(source, text, start), here, here)
    return text


def _value(value: Value, value_here: Here, here: Here) -> str:
    """What `value`, whose names belong to `value_here`, is called where `here` is."""
    found = settled(value, value_here)
    if found is None:
        return value.span.text
    value, value_here = found
    if isinstance(value, Text):
        written = value.span.text.startswith('"')
        return _quoted(value.value) if written else value.value
    if isinstance(value, Reference):
        return _reference(value, value_here, here)
    return _terminal(value, value_here) if isinstance(value, ComputedTerminal) else spoken(value)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _reference(given: Reference, given_here: Here, here: Here) -> str:
    """A designation and its terminals; the whole designation where the short one means another thing, or nothing, `here`."""
    base, base_here, terminals, terminal_here = given.base, given_here, given.terminals, given_here
    while base.startswith("$"):
        found = settled(Param(base[1:], given.span), base_here)
        if found is None or not isinstance(found[0], Reference):
            break
        base, base_here = found[0].base, found[1]
        if not terminals:
            terminals, terminal_here = found[0].terminals, found[1]
    if "$" in base:
        base = text_with(Text(base, given.span), base_here.scope.params).value
    meant = _found(base, base_here)
    if base_here.scope.function != here.scope.function and meant is not None and meant != _found(base, here):
        base = meant
    device = here.desk.devices.get(meant or "")
    names = [_terminal(each, terminal_here, device) for each in terminals]
    return f"{base}:{','.join(names)}" if names else base


def _found(base: str, here: Here) -> str | None:
    known = (here.desk.declared, here.desk.places)
    return next((name for name in here.candidates(base) if any(name in table for table in known)), None)


def _terminal(spec: TerminalSpec, here: Here, device: Device | None = None) -> str:
    """One terminal: sums worked out, one that is named by what it does as its device has it, but where that says which of its
    functions it has."""
    if not isinstance(spec, ComputedTerminal):
        return spec.span.text
    if not isinstance(spec.expression, Role):
        return str(evaluated(spec.expression, here))
    name = None if device is None else by_role(spec.expression, device, here)
    role = spec.expression.name.text
    index = "" if spec.expression.index is None else f" {evaluated(spec.expression.index, here)}"
    asked = "" if name is None or device is None else use_of(spec.expression, device, name)
    return name if name is not None and not asked else f"({role}{index})"
