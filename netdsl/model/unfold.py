"""Functions entered and schemes unfolded: the statements as one flat list, each with where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk
from netdsl.model.ends import base_of, reference_span
from netdsl.model.files import library_index, library_scheme
from netdsl.model.filling import filled, worked_out
from netdsl.model.here import Bound, Here, Scope
from netdsl.model.mentions import Default, What
from netdsl.model.named_values import steps, told, with_values
from netdsl.model.plant import FunctionScope
from netdsl.model.several_cables import one_by_one
from netdsl.model.statements.functions import FUNCTION
from netdsl.model.values import argument, given_at
from netdsl.spelling import nearest
from netdsl.syntax.tree import Bad, Cable, Function, Let, Scheme, SchemeParam, Statement, Use
from netdsl.syntax.written import Reference

MAX_USES = 20_000
MAX_UNFOLDED = 200_000
MAX_NESTING = 60
_FUNCTION = re.compile(r"=[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*")

Flat = list[tuple[Statement, Here]]


def unfold(statements: Sequence[Statement], desk: Desk, scope: Scope) -> Flat:
    """Every statement that makes something, with where it stands, in order of text; `scope` has the values of the whole plant."""
    walk = Walk(desk, scope, statements)
    walk.through(statements, scope, ())
    walk.join_functions()
    return walk.flat


class Walk:
    """Goes through the statements of a plant, into functions and through schemes."""

    def __init__(self, desk: Desk, plant: Scope, statements: Sequence[Statement]) -> None:
        self.desk = desk
        self.plant = plant
        self.places = dict(_stated_places(statements, ""))
        self.flat: Flat = []

    def through(self, statements: Iterable[Statement], scope: Scope, schemes: tuple[str, ...]) -> None:
        """Walk through `statements`; `schemes`: the names of those being unfolded around them."""
        # asked by `type`: `isinstance` takes five times as long to say no, and this is asked of every statement
        for statement in statements:
            here = Here(self.desk, scope, statement.span)
            if type(statement) is Use:
                self.use(statement, here, schemes)
                continue
            full = filled(statement, statement.span, here)
            if full is None or type(full) is Let:
                continue
            if type(full) is Function:
                self.function(full, here, schemes)
            elif type(full) is Bad:
                here.doubt(statement.span)
                self._doubt_broken(here)
            else:
                if scope.use is not None and len(self.flat) >= MAX_UNFOLDED:
                    here.beyond(statement.span, f"the schemes unfold into more than {MAX_UNFOLDED} statements")
                self.take(full, here)
                self._doubt_broken(here)

    def take(self, statement: Statement, here: Here) -> None:
        """Take in one statement that makes something."""
        if type(statement) is Cable:
            self.flat += [(each, here) for each in one_by_one(statement, here)]
        else:
            self.flat.append((statement, here))

    def _doubt_broken(self, here: Here) -> None:
        if self.desk.is_broken(here.whole):
            for line in self.desk.broken_lines(here.whole):
                here.doubt(line)

    def function(self, function: Function, here: Here, schemes: tuple[str, ...]) -> None:
        """Enter a function and go through what stands in it."""
        scope, named = here.scope, base_of(function.name, here)
        if named is None:
            return
        base = named.text
        says = FUNCTION.read(here, function.attrs, function.items)
        if not _FUNCTION.fullmatch(base) or function.name.terminals:
            message = f"`{function.name.text}` is no designation of a function"
            here.fault("syntax", function.name.span, message, "write `=`, then letters and figures")
            base = "=" + base.lstrip("=-+$")
        identity = f"{scope.function}.{base[1:]}" if scope.function else base
        here.mention(What.ENTERED, identity, reference_span(named.spelt), base)
        stated = says.places[0] if says.places else ""
        if stated:
            at = next(attr for attr in function.attrs if attr.key.text == "at")
            here.mention(What.THING, stated, given_at(at.values[0], here), stated)
        place = stated or self._place_of(identity) or scope.place
        if stated:
            self.places.setdefault(identity, stated)
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
        inside = here.within(replace(scope, function=identity, place=place))
        self.through(function.body, with_values(function.body, inside), schemes)

    def _place_of(self, identity: str) -> str:
        """The place that a function, or the nearest around it, states where it is entered first or again; "" for none."""
        while identity and identity not in self.places:
            identity = identity.rpartition(".")[0]
        return self.places.get(identity, "")

    def join_functions(self) -> None:
        """Make those that are named in full, `=A.B`, parts of the functions around them."""
        functions = self.desk.functions
        for identity, function in functions.items():
            outer = identity.rpartition(".")[0]
            if function.parent is None and outer in functions:
                functions[identity] = replace(function, parent=outer)

    def use(self, use: Use, here: Here, schemes: tuple[str, ...]) -> None:
        """Go through the scheme that is used, once for each value of a `for`."""
        name, span = use.scheme.text, use.scheme.span
        scheme = find_scheme(name, self.desk)
        if scheme is None and self.desk.something_missing:
            here.doubt(use.span)
            return
        if scheme is None:
            near = nearest(name, (*self.desk.schemes, *library_index("scheme")))
            remedy = f"did you mean `{near}`?" if near else "write the scheme, or take the statement out"
            _doubt_defaults(find_scheme(near, self.desk) if near else None, here)
            here.fault("unknown-scheme", span, f"no scheme is called `{name}`", remedy, whole=use.span)
        elif name in schemes or len(schemes) > MAX_NESTING:
            message = f"scheme `{name}` uses itself"
            here.fault("scheme-recursive", span, message, "take the inner `use` out", whole=use.span)
        elif use.each:
            for step in steps(use.each, here) or ():
                scope = replace(here.scope, params=here.scope.params | step, step=told(step))
                self._enter(use, scheme, here.within(scope), step, schemes)
        else:
            self._enter(use, scheme, here, {}, schemes)

    def _enter(self, use: Use, scheme: Scheme, here: Here, step: Mapping[str, Bound], schemes: tuple[str, ...]) -> None:
        """Take a scheme once; `step`: what the names of a `for` mean this time, which a parameter of that name takes."""
        self.desk.uses += 1
        if self.desk.uses > MAX_USES:
            here.beyond(use.scheme.span, f"the schemes are used more than {MAX_USES} times")
        full = filled(use, use.span, here)
        given = None if full is None else _arguments(full, scheme, here, step)
        if given is not None:
            outer = here.scope
            params = {**self.plant.params, **given}
            scope = Scope(outer.function, outer.place, params, outer.use or use.span, outer.step)
            self.through(scheme.body, scope, (*schemes, scheme.name.text))


def _stated_places(statements: Iterable[Statement], outer: str) -> Iterator[tuple[str, str]]:
    """The place that each function outside schemes states, the first where several do; names with values in them apart."""
    found: dict[str, str] = {}
    for statement in statements:
        if type(statement) is not Function:
            continue
        base = statement.name.base
        identity = f"{outer}.{base[1:]}" if outer else base
        for attr in statement.attrs:
            if attr.key.text == "at" and isinstance(attr.values[0], Reference) and "$" not in attr.values[0].base:
                found.setdefault(identity, attr.values[0].base)
        for inner, place in _stated_places(statement.body, identity):
            found.setdefault(inner, place)
    yield from found.items()


def find_scheme(name: str, desk: Desk) -> Scheme | None:
    """The scheme called `name`: the plant's own, else the shipped one."""
    return desk.schemes.get(name) or library_scheme(name)


def _arguments(use: Use, scheme: Scheme, here: Here, step: Mapping[str, Bound]) -> dict[str, Bound] | None:
    """What the parameters stand for, those not given as `step` has them; None with a finding."""
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
            given[key] = worked_out(Bound(argument(attr, here), here.scope))
    for param in scheme.params:
        if param.name.text in given:
            continue
        if param.name.text in step:
            given[param.name.text] = step[param.name.text]
        elif param.default is not None:
            before = here.within(replace(here.scope, params={**here.scope.params, **given}))
            default = filled(param, param.span, before)
            _mention_default(use, param, here)
            given[param.name.text] = worked_out(Bound(None if default is None else default.default, before.scope))
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
    if sound:
        return given
    _doubt_defaults(scheme, here)
    return None


def _mention_default(use: Use, param: SchemeParam, here: Here) -> None:
    """Keep where a `use` could give what it leaves to the scheme, where that is asked for: one taken once, in no scheme."""
    if here.desk.mentions is not None and param.default is not None and not use.each and here.scope.use is None:
        end = use.attrs[-1].span.end if use.attrs else use.scheme.span.end
        at = Default(param.name.text, Span(use.span.source, end, end))
        here.desk.mentions.defaults[param.default.span, here.scope.function] = at


def _doubt_defaults(scheme: Scheme | None, here: Here) -> None:
    """Let nothing be judged that a scheme which is not entered would have called by its defaults."""
    for param in scheme.params if scheme else ():
        if param.default is not None:
            here.doubt(param.span)
