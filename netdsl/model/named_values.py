"""`let`: values by their names, and `for`: the values that a scheme is taken with, one after the other."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.filling import filled, known_name, spoken, worked_out
from netdsl.model.here import Bound, Here, Scope
from netdsl.model.terminals import computed, names_of, numbered
from netdsl.model.values import argument, settled
from netdsl.syntax.tree import Each, Let, Statement
from netdsl.syntax.written import Attr, ComputedTerminal, Reference, Role, TerminalName, Value, Word

#: most values that the `for` of one `use` takes
MAX_EACH = 1000
_NAME = re.compile(r"\$([^\W\d_](?:[\w.\-]*\w)?)")


def with_values(statements: Iterable[Statement], here: Here) -> Scope:
    """The scope of `here` with the values that the `let` statements among `statements` name, wherever they stand."""
    given: dict[str, Attr] = {}
    for statement in statements:
        if type(statement) is Let:
            own = {attr.key.text: attr for attr in reversed(statement.attrs)}  # one that is there twice is told already
            for name, attr in own.items():
                if given.setdefault(name, attr) is not attr:
                    _twice(attr, given[name], here)
    if not given:
        return here.scope
    scope = replace(here.scope, params=dict(here.scope.params))
    inside = here.within(scope)
    made_of = _made_of(given, scope)
    for name in _in_order(given, made_of, inside):
        if any(scope.params[each].value is None for each in made_of[name]):
            scope.params[name] = Bound(None, scope)  # for what that is told already
            continue
        bound = worked_out(Bound(_value(given[name], inside), scope))
        # a sum without a number is told here: sums made of it would be followed down to it, each time anew
        scope.params[name] = Bound(None, scope) if _no_number(bound, inside) else bound
    for name in given:
        scope.params.setdefault(name, Bound(None, scope))
    return scope


def _no_number(bound: Bound, here: Here) -> bool:
    """Whether a value is a sum that has no number, with a finding."""
    value = bound.value
    return isinstance(value, ComputedTerminal) and not isinstance(value.expression, Role) and computed(value, here) is None


def _twice(attr: Attr, first: Attr, here: Here) -> None:
    here.fault(
        "duplicate-name",
        attr.key.span,
        f"`{attr.key.text}` is given a value twice",
        "give one of them another name",
        related=(Related("first given here", first.key.span),),
    )


def _made_of(given: dict[str, Attr], scope: Scope) -> dict[str, list[str]]:
    """For each of the values those of `given` that it is made of."""
    bound = {name: Bound(None, scope) for name in given}
    mentioned = {name: (known_name(match[1], bound) for match in _NAME.finditer(attr.span.text)) for name, attr in given.items()}
    return {name: [each for each in names if each is not None] for name, names in mentioned.items()}


def _in_order(given: dict[str, Attr], made_of: dict[str, list[str]], here: Here) -> list[str]:
    """Names of values, each behind those that it is made of; without those that are made of themselves, with a finding."""
    sorter: TopologicalSorter[str] = TopologicalSorter(made_of)
    try:
        sorter.prepare()
    except CycleError as error:
        circle = sorted(set(error.args[1]), key=list(given).index)
        attr = given[circle[0]]
        here.fault(
            "out-of-range",
            attr.span,
            f"the value of `{circle[0]}` is made of itself",
            "give it a value of its own",
            related=tuple(Related("by way of this", given[name].span) for name in circle[1:6]),
        )
    order: list[str] = []
    while ready := sorter.get_ready():
        order += ready
        sorter.done(*ready)
    return order


def _value(attr: Attr, here: Here) -> Value | None:
    """What `attr` gives a name, all values in it put in; None with a finding."""
    full = filled(attr, attr.span, here.over(attr.span))
    given = None if full is None else argument(full, here)
    found = None if given is None else settled(given, here)
    return None if found is None else found[0]


def steps(each: Sequence[Each], here: Here) -> list[dict[str, Bound]] | None:
    """What the names of a `for` stand for, step by step; None with a finding."""
    lists: list[list[Value]] = []
    for one in each:
        values = _stepped(one, here)
        if values is None:
            return None
        lists.append(values)
    for one, other in zip(each[1:], lists[1:], strict=True):
        if len(other) != len(lists[0]):
            here.fault(
                "count-mismatch",
                one.span,
                f"`{each[0].name.text}` has {len(lists[0])} values, `{one.name.text}` has {len(other)}",
                "give as many values to each: they step together",
                related=(Related("the first", each[0].span),),
                whole=here.whole,
            )
            return None
    names = [one.name.text for one in each]
    if len(set(names)) < len(names):
        span = next(one.name.span for number, one in enumerate(each) if one.name.text in names[:number])
        here.fault("duplicate-name", span, f"`{span.text}` is named twice", "give one of them another name", whole=here.whole)
        return None
    return [
        {name: Bound(value, here.scope) for name, value in zip(names, values, strict=True)} for values in zip(*lists, strict=True)
    ]


def _stepped(each: Each, here: Here) -> list[Value] | None:
    """The values of one name of a `for`, ranges stepped out, each terminal of a list by itself."""
    result: list[Value] = []
    for written in each.values:
        found = settled(written, here)
        values = None if found is None else _values(found[0], written.span, found[1])
        if values is None:
            here.doubt(here.whole)
            return None
        result += values
        if len(result) > MAX_EACH:
            message = f"`{each.name.text}` has more than {MAX_EACH} values"
            here.fault("out-of-range", each.span, message, "split the statement", whole=here.whole)
            return None
    return result


def _values(value: Value, span: Span, here: Here) -> list[Value] | None:
    """What `value`, written at `span`, stands for in a `for`; None with a finding."""
    if isinstance(value, Reference) and value.terminals:
        specs = [spec for spec in value.terminals if isinstance(spec, TerminalName)]
        if len(specs) < len(value.terminals):
            return [value]
        names = names_of(specs, here)
        return None if names is None else [_terminal(value.base, each.name, span) for each in names]
    text = value.text if isinstance(value, (Word, Reference)) else ""
    first, dots, last = text.partition("..")
    stepped = numbered(first, last) if dots else None
    if stepped:
        return [_made(name, span) for name in stepped]
    if not dots or (stepped is None and first[:1].isdigit()):  # `4..20mA` is one value
        return [value]
    here.fault(
        "out-of-range",
        span,
        f"`{text}` does not count up from its first to its last value",
        f"write the lower number first, at most {MAX_EACH} values",
        whole=here.whole,
    )
    return None


def _terminal(base: str, name: str, span: Span) -> Value:
    return Reference(base, (TerminalName(name, name, span),), span, f"{base}:{name}")


def _made(name: str, span: Span) -> Value:
    """One value of a range."""
    return Reference(name, (), span, name) if name[:1] in "-=+" else Word(name, span)


def told(step: Mapping[str, Bound]) -> str:
    """A step of a `for` in words: `pump=2, first=5`."""
    return ", ".join(f"{name}={spoken(bound.value)}" for name, bound in step.items() if bound.value is not None)
