"""Terminal lists: ranges stepped out, arithmetic done, roles looked up, each name found on its device."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from netdsl.findings import Span
from netdsl.model.desk import Desk, Scope, reference_span
from netdsl.model.plant import Device, End, Place, Terminal
from netdsl.model.values import settled
from netdsl.spelling import nearest
from netdsl.syntax.tree import (
    Arithmetic,
    ComputedTerminal,
    Expression,
    Number,
    Param,
    Reference,
    Role,
    TerminalName,
    Word,
)

MAX_RANGE = 1000
MAX_STEPPED = 200_000
MAX_NUMBER = 10**9
_NAME = re.compile(r"[\w+\-./~*']+")
_NUMBERED = re.compile(r"(.*?)(\d+)(.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Named:
    """One terminal name as it is meant, with the characters that say so."""

    name: str
    span: Span


def names_of(specs: Iterable[TerminalName | ComputedTerminal], scope: Scope, desk: Desk) -> list[Named] | None:
    """Plain terminal names of a list without a device, ranges stepped out; None with a finding."""
    result: list[Named] = []
    for spec in specs:
        if isinstance(spec, ComputedTerminal):
            number = computed(spec, scope, desk)
            if number is None:
                return None
            result.append(Named(str(number), spec.span))
            continue
        stepped = stepped_out(spec, scope, desk)
        if stepped is None:
            return None
        result += stepped
    return result


def stepped_out(spec: TerminalName, scope: Scope, desk: Desk) -> list[Named] | None:
    """`1..4` as 1, 2, 3, 4 and `L1..L3` as L1, L2, L3; None with a finding for a range that does not count up."""
    if not _NAME.fullmatch(spec.first) or not _NAME.fullmatch(spec.last):
        desk.fault(
            "syntax",
            spec.span,
            f"`{spec.span.text}` is no name of a terminal",
            "write letters, figures, `+`, `-`, `.`, `/` or `_`",
            scope,
        )
        return None
    if spec.first == spec.last:
        return [Named(spec.first, spec.span)]
    first, last = _NUMBERED.fullmatch(spec.first), _NUMBERED.fullmatch(spec.last)
    fits = first and last and len(first[2]) < 8 and len(last[2]) < 8
    if (fits and first and last and not last[1] and not last[3]) or (
        fits and first and last and (first[1], first[3]) == (last[1], last[3])
    ):
        low, high = int(first[2]), int(last[2])
        if low <= high < low + MAX_RANGE:
            desk.stepped += high + 1 - low
            if desk.stepped > MAX_STEPPED:
                _too_many(spec, scope, desk)
                return None
            return [Named(f"{first[1]}{n}{first[3]}", spec.span) for n in range(low, high + 1)]
    desk.fault(
        "out-of-range",
        spec.span,
        f"`{spec.first}..{spec.last}` does not count up from its first to its last terminal",
        f"write the lower number first, at most {MAX_RANGE} terminals",
        scope,
    )
    return None


def _too_many(spec: TerminalName, scope: Scope, desk: Desk) -> None:
    """Note once that the plant's ranges stand for more terminals than are read."""
    if not desk.ranges_cut:
        desk.ranges_cut = True
        desk.fault(
            "out-of-range",
            spec.span,
            f"the ranges of the plant stand for more than {MAX_STEPPED} terminals",
            "split the plant",
            scope,
        )


def computed(spec: ComputedTerminal, scope: Scope, desk: Desk) -> int | None:
    """The number that an arithmetic terminal gives; None with a finding."""
    if isinstance(spec.expression, Role):
        desk.fault("unknown-terminal", spec.span, "a terminal can be found by role only on a device", "name the device", scope)
        return None
    return _evaluate(spec.expression, scope, desk, 0)


def _evaluate(expression: Expression, scope: Scope, desk: Desk, depth: int) -> int | None:
    if depth > 100:
        desk.fault("out-of-range", expression.span, "this sum is nested too deep", "write it shorter", scope)
        return None
    if isinstance(expression, Number):
        value: int | None = expression.value
    elif isinstance(expression, Param):
        value = _whole_number(expression, scope, desk)
    else:
        value = _sum(expression, scope, desk, depth)
    if value is not None and not 0 <= abs(value) < MAX_NUMBER:
        desk.fault("out-of-range", expression.span, "this number is too large for a terminal", "check the sum", scope)
        return None
    return value


def _sum(expression: Arithmetic, scope: Scope, desk: Desk, depth: int) -> int | None:
    left = _evaluate(expression.left, scope, desk, depth + 1)
    right = _evaluate(expression.right, scope, desk, depth + 1)
    if left is None or right is None:
        return None
    return {"+": left + right, "-": left - right, "*": left * right}[expression.operator]


def _whole_number(param: Param, scope: Scope, desk: Desk) -> int | None:
    found = settled(param, scope, desk)
    if found is None:
        return None
    value, value_scope = found
    if isinstance(value, ComputedTerminal) and not isinstance(value.expression, Role):
        return _evaluate(value.expression, value_scope, desk, 1)
    if isinstance(value, Word) and value.text.isascii() and value.text.isdigit() and len(value.text) < 9:
        return int(value.text)
    desk.fault(
        "wrong-unit", param.span, f"`${param.name}` is `{value.span.text}`, a whole number is wanted", "give it a number", scope
    )
    return None


def base_of(reference: Reference, scope: Scope, desk: Desk) -> tuple[str, Scope, Reference] | None:
    """The designation a reference is about, the scope it is looked up in, and the reference that holds its terminals.

    `$drive:(start)` gives what `drive` was given and the terminals written behind `$drive`, or those of the argument.
    """
    if not reference.base.startswith("$"):
        return reference.base, scope, reference
    found = settled(Param(reference.base[1:], reference_span(reference)), scope, desk)
    if found is None:
        return None
    value, value_scope = found
    if isinstance(value, Reference) and value.base:
        inner = base_of(value, value_scope, desk)  # a scheme hands its own parameter on: `use lamp feed=$strip:2`
        if inner is None or reference.terminals:
            return inner and (inner[0], inner[1], reference)
        return (inner[0], replace(inner[1], params=value_scope.params), value) if inner[2] is value else inner
    desk.fault(
        "unknown-name",
        reference.span,
        f"`{reference.base}` is `{value.span.text}`, a designation is wanted",
        "give the parameter a designation such as `-T1`",
        scope,
    )
    return None


def object_of(reference: Reference, scope: Scope, desk: Desk, what: str, whole: Span | None = None) -> str | None:
    """Identity of the device, cable or place that `reference` names; None with a finding (once per name)."""
    base = base_of(reference, scope, desk)
    if base is None:
        return None
    identity = desk.find(base[0], base[1])
    if identity is None:
        known = (*desk.declared, *desk.places)
        span = reference_span(reference)
        if reference.base.startswith("$"):  # the name is written in the `use`: it is to blame, not the scheme's line
            argument = settled(Param(reference.base[1:], span), scope, desk)
            span = reference_span(argument[0]) if argument and isinstance(argument[0], Reference) else span
        desk.unknown(what, base[0], span, base[1], known, whole)
    return identity


def ends_of(reference: Reference, scope: Scope, desk: Desk, whole: Span, side: str = "") -> list[End] | None:
    """The ends `reference` names, in order; None with a finding. `side`: the side of a strip taken where none is named."""
    base = base_of(reference, scope, desk)
    identity = object_of(reference, scope, desk, "device", whole)
    if base is None or identity is None:
        return None
    holder = base[2]
    thing = desk.devices.get(identity) or desk.places.get(identity)
    if thing is None:
        if identity not in desk.doubtful:
            desk.fault(
                "unknown-terminal",
                reference.span,
                f"`{identity}` is a cable and has no terminals of its own",
                "name the device it ends on",
                scope,
                whole=whole,
            )
        return None
    if not holder.terminals:
        desk.fault(
            "unknown-terminal",
            reference.span,
            f"`{reference.text}` names no terminal",
            "add one, such as `:1`",
            scope,
            subjects=(identity,),
            whole=whole,
        )
        return None
    terminal_scope = base[1] if holder is not reference else scope
    return _ends(holder, thing, terminal_scope, desk, whole, side)


def _ends(holder: Reference, thing: Device | Place, scope: Scope, desk: Desk, whole: Span, side: str) -> list[End] | None:
    ends: list[End] = []
    for spec in holder.terminals:
        if isinstance(spec, ComputedTerminal) and isinstance(spec.expression, Role):
            name = _by_role(spec.expression, thing, scope, desk, whole)
            if name is None:
                return None
            ends.append(End(thing.id, name, spec.span, _side(thing, "", side)))
            continue
        names = names_of((spec,), scope, desk)
        if names is None:
            desk.doubt(whole, scope)
            return None
        for named in names:
            end = _end(named, thing, scope, desk, whole, side)
            if end is None:
                return None
            ends.append(end)
    return ends


def _side(thing: Device | Place, written: str, side: str) -> str:
    return written or (side if isinstance(thing, Device) and thing.category == "strip" else "")


def _end(named: Named, thing: Device | Place, scope: Scope, desk: Desk, whole: Span, side: str) -> End | None:
    name, slash, written = named.name.rpartition("/")
    if not slash or written not in ("in", "out") or named.name in terminals_of(thing):
        name, written = named.name, ""
    if name in terminals_of(thing):
        return End(thing.id, name, named.span, _side(thing, written, side))
    unknown_terminal(thing, name, named.span, scope, desk, whole)
    return None


def terminals_of(thing: Device | Place) -> Mapping[str, Terminal] | tuple[str, ...]:
    """Terminal names of a device, or of a place: `PE` where it is metal."""
    if isinstance(thing, Device):
        return thing.terminals
    return ("PE",) if thing.metal else ()


def unknown_terminal(thing: Device | Place, name: str, span: Span, scope: Scope, desk: Desk, whole: Span) -> None:
    """Note that `thing` has no terminal `name`; where its own declaration has a fault, that says enough."""
    if thing.id in desk.incomplete:
        desk.doubt(whole, scope)
        return
    known = list(terminals_of(thing))
    levels = [other for other in known if other.rpartition(".")[0] == name]
    near = nearest(name, known)
    if levels:
        remedy = f"name the level: {' or '.join(f'`:{level}`' for level in levels)}"
    elif near:
        remedy = f"did you mean `:{near}`?"
    elif known:
        remedy = f"it has {', '.join(known[:12])}{' and more' if len(known) > 12 else ''}"
    else:
        remedy = "it has no terminals" if isinstance(thing, Device) else "a place has a terminal `:PE` only where it is metal"
    desk.fault(
        "unknown-terminal", span, f"`{thing.id}` has no terminal `{name}`", remedy, scope, subjects=(thing.id,), whole=whole
    )


def _by_role(role: Role, thing: Device | Place, scope: Scope, desk: Desk, whole: Span) -> str | None:
    index = 1
    if role.index is not None:
        number = _evaluate(role.index, scope, desk, 1)
        if number is None:
            return None
        index = number
    wanted = role.name.text
    if thing.id in desk.incomplete:
        desk.doubt(whole, scope)
        return None
    terminals = list(thing.terminals.values()) if isinstance(thing, Device) else []
    matches = [terminal.name for terminal in terminals if wanted in terminal.functions]
    if not matches or role.index is not None:
        matches = [terminal.name for terminal in terminals if terminal.role == wanted] or matches
    if 1 <= index <= len(matches):
        return matches[index - 1]
    count = f", it has {len(matches)} of that role" if matches else ""
    known = {word for terminal in terminals for word in (*terminal.functions, terminal.role.value)}
    near = nearest(wanted, sorted(known))
    desk.fault(
        "unknown-terminal",
        role.span,
        f"`{thing.id}` has no terminal for `({role.span.text.strip('()')})`{count}",
        f"did you mean `({near})`?" if near and not matches else "see the terminals of its part",
        scope,
        subjects=(thing.id,),
        whole=whole,
    )
    return None
