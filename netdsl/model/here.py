"""Where a statement is read: the desk, the scope of its names, and the characters that fall in doubt with it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NoReturn

from msgspec import Struct, field

from netdsl.findings import Edit, Related, Span
from netdsl.model.desk import Desk, TooMuch
from netdsl.model.files import is_shipped
from netdsl.model.mentions import Mention, What
from netdsl.spelling import nearest
from netdsl.syntax.written import Param, Reference, Value

_DESIGNATION = re.compile(r"(?<![\w.])(?:[=+][A-Za-z0-9_.]+|-[A-Za-z][A-Za-z0-9_.]*)+")
#: names that stand for names, one behind the other, that are followed
_DEEPEST = 20
#: a value by its name alone, or given to one of a statement's own
_NAMED = re.compile(r"(?:[\w-]+[ \t]*=[ \t]*)?\$([\w.\-]+)")
_PARAMETER = re.compile(r"\$([\w.\-]+)")
#: faults of what a line says by itself, wherever its names lead
_OF_THE_LINE = frozenset(("wrong-unit", "unknown-word", "unknown-part", "unknown-scheme", "unknown-parameter", "out-of-range"))
#: unknown names for which the nearest known one is looked for: who has more lost a text, and each search goes through all names
_SEARCHED = 200


class Bound(Struct, frozen=True):
    """A value that a name was given, with the scope its own names belong to; None where a finding says why it has none."""

    value: Value | None
    scope: Scope


class Scope(Struct, frozen=True):
    """Where a statement stands: its function and the place its devices take, what `$name` means, and inside a scheme the `use`.

    `step`: where the scheme is taken for several values, those of this time, in words.
    """

    function: str = ""
    place: str = ""
    params: dict[str, Bound] = field(default_factory=dict)
    use: Span | None = None
    step: str = ""

    def outward(self) -> Iterable[str]:
        """The function and those around it, innermost first; the common part ("") last."""
        name = self.function
        while name:
            yield name
            name = name.rpartition(".")[0]
        yield ""


class Here(Struct, frozen=True):
    """The desk a statement is entered on, the scope its names are looked up in, and `whole`: the characters of which all
    designations fall in doubt where a value cannot be read that the whole statement hangs on.
    """

    desk: Desk
    scope: Scope
    whole: Span

    def over(self, whole: Span) -> Here:
        """The same with other characters in doubt."""
        return Here(self.desk, self.scope, whole)

    def within(self, scope: Scope) -> Here:
        """The same with names looked up in another scope."""
        return self if scope is self.scope else Here(self.desk, scope, self.whole)

    # --- findings ---------------------------------------------------------------------------------------------------
    def fault(
        self,
        rule: str,
        span: Span,
        message: str,
        remedy: str,
        *,
        whole: Span | None = None,
        related: tuple[Related, ...] = (),
        subjects: tuple[str, ...] = (),
        fix: tuple[Edit, ...] = (),
    ) -> None:
        """Note an error; inside a scheme it points at the `use`. The designations of `whole`, else of `span`, become doubtful.
        `fix`: as of a Finding, left out inside a scheme."""
        doubted = self.doubt(whole or span)
        if self.desk.line_is_broken(span):
            return  # that fault is told already
        if self.scope.use is not None and rule in _OF_THE_LINE and "$" not in span.text and not is_shipped(span.source):
            # whatever the scheme is given: the line itself is to blame, and once
            related, fix = (Related("used here", self.scope.use), *related), ()
            if not self.desk.first_told(rule, message, span, span):
                return
        elif self.scope.use is not None:
            step = self.scope.step
            related = (Related(f"in this line of the scheme{f', with {step}' if step else ''}", span), *related)
            at = self._given_in_use(span)
            if not self.desk.first_told(rule, message, span, at):
                return
            span, fix = at, ()
        else:
            given = self._given_by_name(span)
            if given is not None:
                related = (*related, Related("the value is given here", given))
                if not self.desk.first_told(rule, message, given, given):
                    return
        self.desk.doubts[len(self.desk.findings)] = doubted
        self.desk.note(rule, span, message, remedy, subjects, related, fix)

    def beyond(self, span: Span, message: str) -> NoReturn:
        """Note that the whole plant has more than is read, and read no more of it. Raises TooMuch."""
        self.fault("out-of-range", span, message, "split the plant")
        raise TooMuch(self.desk.findings)

    def _given_in_use(self, span: Span) -> Span:
        """What a finding about `span`, in a scheme, points at: the `use`, or in it the one value that `span` stands on."""
        use, names = self.scope.use, set(_PARAMETER.findall(span.text))
        assert use is not None  # asked inside a scheme alone
        bound = self.scope.params.get(names.pop()) if len(names) == 1 else None
        given = None if bound is None or bound.value is None else bound.value.span
        inside = given is not None and given.source is use.source and use.start <= given.start and given.end <= use.end
        return given if inside and given is not None else use

    def _given_by_name(self, span: Span) -> Span | None:
        """Where the value that `span` alone names, `$run` or `length=$run`, is given by a `let`; None where it names none."""
        named = _NAMED.fullmatch(span.text)
        bound = None if named is None else self.scope.params.get(named[1])
        return None if bound is None or bound.value is None else bound.value.span

    def no_value(self, name: str, span: Span) -> None:
        """Note that `$name` stands for nothing here."""
        near = nearest(name, self.scope.params)
        remedy = "name it in the head of the scheme" if self.scope.use else f"give it one, as in `let {name}=35m`"
        message = f"`${name}` is no parameter here" if self.scope.use else f"no value is called `${name}` here"
        self.fault("unknown-parameter", span, message, f"did you mean `${near}`?" if near else remedy, whole=self.whole)

    def doubt(self, span: Span) -> list[str]:
        """Let no rule judge the designations that `span` mentions, as what it says could not be read; the identities that they
        may have."""
        # each once: a line may mention one a thousand times
        found = [name for base in dict.fromkeys(_DESIGNATION.findall(span.text)) for name in self.candidates(base)]
        found += [name for named in dict.fromkeys(_PARAMETER.findall(span.text)) for name in self._meant(named)]
        self.desk.doubtful.update(found)
        return found

    def _meant(self, name: str) -> list[str]:
        """The identities that the designation which `$name` stands for may have; none where it stands for something else."""
        scope = self.scope
        for _ in range(_DEEPEST):
            bound = scope.params.get(name)
            if bound is None or not isinstance(bound.value, Reference | Param):
                return []
            scope = bound.scope
            base = bound.value.base if isinstance(bound.value, Reference) else f"${bound.value.name}"
            if not base.startswith("$"):
                return self.within(scope).candidates(base)
            name = base[1:]
        return []

    def pointed(self, span: Span) -> tuple[Span, Span | None]:
        """What a finding about the thing made of `span` points at, and the line of the scheme; `span`, None outside one."""
        return (span, None) if self.scope.use is None else (self.scope.use, span)

    # --- names ------------------------------------------------------------------------------------------------------
    def candidates(self, base: str) -> list[str]:
        """The identities `base` may have, innermost scope first."""
        if not self.scope.function:
            return [base]
        if base.startswith("-"):
            return [function + base for function in self.scope.outward()]
        if base.startswith("="):
            name = base[1:]
            return [f"{outer}.{name}" if outer else base for outer in self.scope.outward()]
        return [base]

    def find(self, base: str) -> str | None:
        """The declared identity that `base` means: device, cable or place; None if there is none."""
        declared, places = self.desk.declared, self.desk.places
        for candidate in self.candidates(base):
            if candidate in declared or candidate in places:
                function = self.scope.function
                if function and not candidate.startswith(f"{function}-"):
                    self.desk.named_outward.setdefault(candidate, set()).add(function)
                return candidate
        return None

    def mention(self, what: What, identity: str, span: Span, meant: str) -> None:
        """Keep where the text names something, as of a Mention, where that is asked for."""
        if self.desk.mentions is not None:
            self.desk.mentions.things.append(Mention(what, identity, span, meant, self.scope.function))

    def unknown(self, what: str, base: str, span: Span, known: Iterable[str], whole: Span | None = None) -> None:
        """Note once that `base` names nothing; a name in a statement that could not be read is passed over."""
        desk, key = self.desk, (self.scope.function, base)
        desk.mentioned[key] = desk.mentioned.get(key, 0) + 1
        doubtful = any(candidate in desk.doubtful for candidate in self.candidates(base))
        if desk.mentioned[key] > 1 or desk.something_missing or doubtful:
            self.doubt(whole or span)
            return
        device, dot, terminal = base.rpartition(".")
        if dot and base.startswith("-") and self.find(device) is not None:
            near: str | None = f"{device}:{terminal}"  # a dot for the colon
        elif len(desk.mentioned) > _SEARCHED:
            near = None
        else:
            near = nearest(base, sorted({*known, *self._shortened(known)}))
        remedy = f"did you mean `{near}`?" if near else f"declare it, or correct the name of the {what}"
        self.fault("unknown-name", span, f"no {what} is called `{base}` here", remedy, subjects=(base,), whole=whole)

    def _shortened(self, known: Iterable[str]) -> list[str]:
        """Identities as they may be written here, where that is shorter."""
        around = set(self.scope.outward())
        parts = (identity.partition("-") for identity in known)
        return [dash + product for function, dash, product in parts if dash and function in around]

    def declare(self, identity: str, span: Span) -> bool:
        """Take `identity` for a device or cable; False and a finding when it is taken already."""
        first = self.desk.declared.get(identity)
        if first is None:
            self.desk.declared[identity] = span
            return True
        self.fault(
            "duplicate-name",
            span,
            f"`{identity}` is declared twice",
            "give one of them another designation",
            related=(Related("first declared here", first),),
            subjects=(identity,),
        )
        return False
