"""Functions entered and schemes unfolded: the statements as one flat list, each with where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from netdsl.findings import Related
from netdsl.model.desk import Desk
from netdsl.model.files import library_index, library_scheme
from netdsl.model.here import Bound, Here, Scope
from netdsl.model.plant import FunctionScope
from netdsl.model.statements.functions import FUNCTION
from netdsl.model.values import attr_text
from netdsl.spelling import nearest
from netdsl.syntax.tree import Bad, Function, Scheme, Statement, Use
from netdsl.syntax.written import Attr, Text, Value

MAX_USES = 20_000
MAX_UNFOLDED = 200_000
MAX_NESTING = 60
_FUNCTION = re.compile(r"=[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*")

Flat = list[tuple[Statement, Here]]


def unfold(statements: Iterable[Statement], desk: Desk) -> Flat:
    """Every statement that makes something, with where it stands, in order of text."""
    walk = _Walk(desk)
    walk.through(statements, Scope(), ())
    return walk.flat


class _Walk:
    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.flat: Flat = []

    def through(self, statements: Iterable[Statement], scope: Scope, schemes: tuple[str, ...]) -> None:
        """Walk through `statements`; `schemes`: the names of those being unfolded around them."""
        for statement in statements:
            here = Here(self.desk, scope, statement.span)
            if isinstance(statement, Function):
                self._function(statement, here, schemes)
            elif isinstance(statement, Use):
                self._use(statement, here, schemes)
            elif isinstance(statement, Bad):
                here.doubt(statement.span)
                self._doubt_broken(here)
            elif scope.use is None or len(self.flat) < MAX_UNFOLDED:
                self.flat.append((statement, here))
                self._doubt_broken(here)

    def _doubt_broken(self, here: Here) -> None:
        for line in self.desk.broken_lines(here.whole):
            here.doubt(line)

    def _function(self, function: Function, here: Here, schemes: tuple[str, ...]) -> None:
        scope, base = here.scope, function.name.base
        says = FUNCTION.read(here, function.attrs, function.items)
        if not _FUNCTION.fullmatch(base) or function.name.terminals:
            message = f"`{function.name.text}` is no designation of a function"
            here.fault("syntax", function.name.span, message, "write `=`, then letters and figures")
            base = "=" + base.lstrip("=-+$")
        identity = f"{scope.function}.{base[1:]}" if scope.function else base
        place = (says.places[0] if says.places else "") or scope.place
        functions = self.desk.functions
        known = functions.get(identity)
        if known is None:
            functions[identity] = FunctionScope(
                id=identity, title=says.title, parent=scope.function or None, place=place or None, span=function.name.span
            )
        elif says.title and known.title:
            here.fault(
                "duplicate-name",
                function.name.span,
                f"`{identity}` has its title twice",
                "give the title once; a function may be continued without one",
                related=(Related("first here", known.span),),
            )
        elif says.title:
            functions[identity] = replace(known, title=says.title)
        self.through(function.body, replace(scope, function=identity, place=place), schemes)

    def _use(self, use: Use, here: Here, schemes: tuple[str, ...]) -> None:
        name, span = use.scheme.text, use.scheme.span
        scheme = find_scheme(name, self.desk)
        if scheme is None and self.desk.something_missing:
            here.doubt(use.span)
            return
        if scheme is None:
            near = nearest(name, (*self.desk.schemes, *library_index("scheme")))
            remedy = f"did you mean `{near}`?" if near else "write the scheme, or take the statement out"
            here.fault("unknown-scheme", span, f"no scheme is called `{name}`", remedy, whole=use.span)
        elif name in schemes or len(schemes) > MAX_NESTING:
            message = f"scheme `{name}` uses itself"
            here.fault("scheme-recursive", span, message, "take the inner `use` out", whole=use.span)
        elif not self._too_many(use, here):
            params = _arguments(use, scheme, here)
            if params is not None:
                scope = Scope(here.scope.function, here.scope.place, params, here.scope.use or use.span)
                self.through(scheme.body, scope, (*schemes, name))

    def _too_many(self, use: Use, here: Here) -> bool:
        """Whether the schemes unfold into more than is read; told once."""
        desk = self.desk
        desk.uses += 1
        if desk.uses <= MAX_USES and len(self.flat) < MAX_UNFOLDED:
            return False
        if desk.uses < MAX_USES * 2:
            desk.uses = MAX_USES * 2
            here.fault(
                "out-of-range",
                use.scheme.span,
                f"the schemes unfold into more than {MAX_USES} uses or {MAX_UNFOLDED} statements",
                "use schemes inside schemes more sparingly, or split the plant",
                whole=use.span,
            )
        return True


def find_scheme(name: str, desk: Desk) -> Scheme | None:
    """The scheme called `name`: the plant's own, else the shipped one."""
    return desk.schemes.get(name) or library_scheme(name)


def _argument(attr: Attr, here: Here) -> Value:
    """What a parameter is given: the value, several joined by commas as they were written (`along=TRAY1,DUCT2`)."""
    if len(attr.values) == 1:
        return attr.values[0]
    return Text(attr_text(attr, here) or "", attr.values[0].span.to(attr.values[-1].span))


def _arguments(use: Use, scheme: Scheme, here: Here) -> dict[str, Bound] | None:
    """What the parameters stand for; None with a finding."""
    names = [param.name.text for param in scheme.params]
    given: dict[str, Bound] = {}
    sound = True
    for attr in use.attrs:
        key = attr.key.text
        if key not in names:
            near = nearest(key, names)
            here.fault(
                "unknown-parameter",
                attr.key.span,
                f"scheme `{scheme.name.text}` has no parameter `{key}`",
                f"did you mean `{near}`?" if near else f"it has {', '.join(names) or 'none'}",
                whole=use.span,
                related=(Related("the scheme", scheme.name.span),),
            )
            sound = False
        elif attr.values and key not in given:
            given[key] = Bound(_argument(attr, here), here.scope)
    for param in scheme.params:
        if param.name.text in given:
            continue
        if param.default is not None:
            given[param.name.text] = Bound(param.default, replace(here.scope, params=dict(given)))
        elif sound:
            here.fault(
                "missing-value",
                use.scheme.span,
                f"scheme `{scheme.name.text}` is used without `{param.name.text}`",
                f"add `{param.name.text}=...`",
                whole=use.span,
                related=(Related("asked for here", param.name.span),),
            )
            sound = False
    return given if sound else None
