"""Functions entered and schemes unfolded: the statements as one flat list, each with its scope."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from netdsl.findings import Related
from netdsl.model.desk import Bound, Desk, Scope
from netdsl.model.files import library_index, library_scheme
from netdsl.model.plant import FunctionScope
from netdsl.model.values import attr_text, split_items, text_of, unknown_key
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, Bad, Function, Scheme, Statement, Text, Use, Value

MAX_USES = 20_000
MAX_UNFOLDED = 200_000
MAX_NESTING = 60
_FUNCTION = re.compile(r"=[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*")

Flat = list[tuple[Statement, Scope]]


def unfold(statements: Iterable[Statement], desk: Desk) -> Flat:
    """Every statement that makes something, with its scope, in order of text."""
    flat: Flat = []
    _walk(statements, Scope(), desk, flat, ())
    return flat


def _walk(statements: Iterable[Statement], scope: Scope, desk: Desk, flat: Flat, schemes: tuple[str, ...]) -> None:
    for statement in statements:
        if isinstance(statement, Function):
            _function(statement, scope, desk, flat, schemes)
        elif isinstance(statement, Use):
            _use(statement, scope, desk, flat, schemes)
        elif isinstance(statement, Bad):
            desk.doubt(statement.span, scope)
            for line in desk.broken_lines(statement.span):
                desk.doubt(line, scope)
        elif scope.use is None or len(flat) < MAX_UNFOLDED:
            flat.append((statement, scope))
            for line in desk.broken_lines(statement.span):
                desk.doubt(line, scope)


def _function(function: Function, scope: Scope, desk: Desk, flat: Flat, schemes: tuple[str, ...]) -> None:
    base = function.name.base
    words, title = split_items(function.items, scope, desk)
    for word in words:
        desk.fault("unknown-word", word.span, f"`{word.text}` cannot stand in the head of a function", "take it out", scope)
    if not _FUNCTION.fullmatch(base) or function.name.terminals:
        desk.fault(
            "syntax",
            function.name.span,
            f"`{function.name.text}` is no designation of a function",
            "write `=`, then letters and figures",
            scope,
        )
        base = "=" + base.lstrip("=-+$")
    identity = f"{scope.function}.{base[1:]}" if scope.function else base
    place = scope.place
    for attr in function.attrs:
        if attr.key.text == "at" and attr.values:
            place = text_of(attr.values[0], scope, desk) or place
        else:
            unknown_key(attr, scope, desk, ("at",))
    known = desk.functions.get(identity)
    if known is None:
        desk.functions[identity] = FunctionScope(identity, title, scope.function or None, place or None, function.name.span)
    elif title and known.title:
        desk.fault(
            "duplicate-name",
            function.name.span,
            f"`{identity}` has its title twice",
            "give the title once; a function may be continued without one",
            scope,
            related=(Related("first here", known.span),),
            whole=function.name.span,
        )
    elif title:
        desk.functions[identity] = replace(known, title=title)
    _walk(function.body, replace(scope, function=identity, place=place), desk, flat, schemes)


def find_scheme(name: str, desk: Desk) -> Scheme | None:
    """The scheme called `name`: the plant's own, else the shipped one."""
    return desk.schemes.get(name) or library_scheme(name)


def _use(use: Use, scope: Scope, desk: Desk, flat: Flat, schemes: tuple[str, ...]) -> None:
    name = use.scheme.text
    scheme = find_scheme(name, desk)
    if scheme is None and desk.something_missing:
        desk.doubt(use.span, scope)
        return
    if scheme is None:
        near = nearest(name, (*desk.schemes, *library_index("scheme")))
        remedy = f"did you mean `{near}`?" if near else "write the scheme, or take the statement out"
        desk.fault("unknown-scheme", use.scheme.span, f"no scheme is called `{name}`", remedy, scope, whole=use.span)
        return
    if name in schemes or len(schemes) > MAX_NESTING:
        desk.fault(
            "scheme-recursive", use.scheme.span, f"scheme `{name}` uses itself", "take the inner `use` out", scope, whole=use.span
        )
        return
    desk.uses += 1
    if desk.uses > MAX_USES or len(flat) >= MAX_UNFOLDED:
        if desk.uses < MAX_USES * 2:
            desk.uses = MAX_USES * 2  # told once
            desk.fault(
                "out-of-range",
                use.scheme.span,
                f"the schemes unfold into more than {MAX_USES} uses or {MAX_UNFOLDED} statements",
                "use schemes inside schemes more sparingly, or split the plant",
                scope,
                whole=use.span,
            )
        return
    params = _arguments(use, scheme, scope, desk)
    if params is None:
        return
    inner = Scope(scope.function, scope.place, params, scope.use or use.span)
    _walk(scheme.body, inner, desk, flat, (*schemes, name))


def _argument(attr: Attr, scope: Scope, desk: Desk) -> Value:
    """What a parameter is given: the value, several joined by commas as they were written (`along=TRAY1,DUCT2`)."""
    if len(attr.values) == 1:
        return attr.values[0]
    return Text(attr_text(attr, scope, desk) or "", attr.values[0].span.to(attr.values[-1].span))


def _arguments(use: Use, scheme: Scheme, scope: Scope, desk: Desk) -> dict[str, Bound] | None:
    names = [param.name.text for param in scheme.params]
    given: dict[str, Bound] = {}
    sound = True
    for attr in use.attrs:
        key = attr.key.text
        if key not in names:
            near = nearest(key, names)
            desk.fault(
                "unknown-parameter",
                attr.key.span,
                f"scheme `{scheme.name.text}` has no parameter `{key}`",
                f"did you mean `{near}`?" if near else f"it has {', '.join(names) or 'none'}",
                scope,
                whole=use.span,
                related=(Related("the scheme", scheme.name.span),),
            )
            sound = False
        elif attr.values and key not in given:
            given[key] = Bound(_argument(attr, scope, desk), scope)
    for param in scheme.params:
        if param.name.text in given:
            continue
        if param.default is not None:
            given[param.name.text] = Bound(param.default, replace(scope, params=dict(given)))
        elif sound:
            desk.fault(
                "missing-value",
                use.scheme.span,
                f"scheme `{scheme.name.text}` is used without `{param.name.text}`",
                f"add `{param.name.text}=...`",
                scope,
                whole=use.span,
                related=(Related("asked for here", param.name.span),),
            )
            sound = False
    return given if sound else None
