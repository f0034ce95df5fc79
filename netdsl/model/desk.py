"""The desk on which a plant is put together: what is known so far, scopes, and how a fault is noted."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field

from netdsl.findings import Finding, Related, Severity, Source, Span
from netdsl.model.open_values import OpenValue
from netdsl.model.plant import (
    Cable,
    Conductor,
    DefaultChoice,
    Device,
    Exception_,
    FunctionScope,
    InterlockPair,
    NamedPotential,
    Note,
    PartType,
    Place,
    ReferencePoint,
    RouteRelation,
    RouteWay,
)
from netdsl.spelling import nearest
from netdsl.syntax.tree import Part, Reference, Scheme, Value

_DESIGNATION = re.compile(r"(?<![\w.])(?:[=+][A-Za-z0-9_.]+|-[A-Za-z][A-Za-z0-9_.]*)+")


@dataclass(frozen=True, slots=True)
class Bound:
    """A value a scheme's parameter was given, with the scope its names belong to."""

    value: Value
    scope: Scope


@dataclass(frozen=True, slots=True)
class Scope:
    """Where a statement stands: its function, the place its devices take, and inside a scheme the parameters and the `use`."""

    function: str = ""
    place: str = ""
    params: dict[str, Bound] = field(default_factory=dict)
    use: Span | None = None

    def outward(self) -> Iterable[str]:
        """The function and those around it, innermost first; the common part ("") last."""
        name = self.function
        while name:
            yield name
            name = name.rpartition(".")[0]
        yield ""


class Desk:
    """Tables in the making, and the findings."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.doubtful: set[str] = set()
        self.incomplete: set[str] = set()  # identities whose own declaration has a fault: their terminals may be missing
        self._broken: dict[Source, list[int]] = {}  # where a text could not be read
        self.places: dict[str, Place] = {}
        self.functions: dict[str, FunctionScope] = {}
        self.devices: dict[str, Device] = {}
        self.cables: dict[str, Cable] = {}
        self.conductors: dict[str, Conductor] = {}
        self.routes: dict[str, RouteWay] = {}
        self.relations: list[RouteRelation] = []
        self.defaults: list[DefaultChoice] = []
        self.exceptions: list[Exception_] = []
        self.potentials: list[NamedPotential] = []
        self.reference_points: list[ReferencePoint] = []
        self.interlocks: list[InterlockPair] = []
        self.notes: list[Note] = []
        self.open_values: list[OpenValue] = []
        self.shades: dict[str, tuple[str, str]] = {}
        self.shade_names: dict[str, Span] = {}
        self.faulty_parts: set[str] = set()
        self.part_texts: dict[str, Part] = {}
        self.parts: dict[str, PartType | None] = {}
        self.schemes: dict[str, Scheme] = {}
        self.declared: dict[str, Span] = {}  # designation of a device or cable -> its name
        self._unknown: dict[tuple[str, str], int] = {}
        self.uses = 0  # of schemes, so far
        self.stepped = 0  # terminals that ranges stood for, so far
        self.ranges_cut = False  # they were too many, and that is told
        self.something_missing = False  # an include could not be read: what it declares is not known

    def fault(
        self,
        rule: str,
        span: Span,
        message: str,
        remedy: str,
        scope: Scope | None = None,
        *,
        severity: Severity = Severity.ERROR,
        related: tuple[Related, ...] = (),
        subjects: tuple[str, ...] = (),
        whole: Span | None = None,
    ) -> None:
        """Note a finding; inside a scheme it points at the `use`. The designations of `whole` become doubtful."""
        if severity is Severity.ERROR:
            self.doubt(whole or span, scope)
        if self._line_is_broken(span):
            return
        if scope is not None and scope.use is not None:
            related = (Related("in this line of the scheme", span), *related)
            span = scope.use
        self.findings.append(Finding(rule, severity, message, remedy, span, subjects, "netdsl language", related))

    def take_reading(self, findings: Iterable[Finding]) -> None:
        """Take over what reading the texts found."""
        self.findings += findings
        for finding in findings:
            if finding.severity is Severity.ERROR:
                self._broken.setdefault(finding.span.source, []).append(finding.span.start)
            if (
                finding.rule in ("include-missing", "include-outside")
                or "include" in self.line_of(finding.span).split("#")[0].split()
            ):
                self.something_missing = True
        for places in self._broken.values():
            places.sort()

    def line_of(self, span: Span) -> str:
        """The text of the line in which `span` begins."""
        return span.source.line(span.begin[0])

    def _line_is_broken(self, span: Span) -> bool:
        """Whether the line of `span` could not be read in full: that fault is told already."""
        if span.source not in self._broken:
            return False
        text = span.source.text
        start = max(text.rfind("\n", 0, span.start), text.rfind("\r", 0, span.start)) + 1
        end = min((at for at in (text.find("\n", span.start), text.find("\r", span.start)) if at >= 0), default=len(text))
        return any(True for _ in self.broken_lines(Span(span.source, start, end)))

    def broken_lines(self, span: Span) -> Iterable[Span]:
        """The whole lines inside `span` that could not be read."""
        places = self._broken.get(span.source, [])
        for n in range(bisect_left(places, span.start), bisect_right(places, span.end)):
            text, place = span.source.text, places[n]
            start = max(text.rfind("\n", 0, place), text.rfind("\r", 0, place)) + 1
            end = min((at for at in (text.find("\n", place), text.find("\r", place)) if at >= 0), default=len(text))
            yield Span(span.source, start, end)

    def doubt(self, span: Span, scope: Scope | None) -> None:
        """Let no rule judge the designations that `span` mentions: what it says could not be read."""
        for match in _DESIGNATION.finditer(span.text):
            self.doubtful.update(self.candidates(match.group(), scope or Scope()))

    def candidates(self, base: str, scope: Scope) -> list[str]:
        """The identities `base` may have, innermost scope first."""
        if base.startswith("-"):
            return [function + base for function in scope.outward()]
        if base.startswith("="):
            name = base[1:]
            return [f"{outer}.{name}" if outer else base for outer in scope.outward()]
        return [base]

    def find(self, base: str, scope: Scope, known: Iterable[str] | None = None) -> str | None:
        """The declared identity that `base` means in `scope`: device, cable or place; None if there is none."""
        for candidate in self.candidates(base, scope):
            if candidate in self.declared or candidate in self.places or (known and candidate in known):
                return candidate
        return None

    def unknown(self, what: str, base: str, span: Span, scope: Scope, known: Iterable[str], whole: Span | None = None) -> None:
        """Note once that `base` names nothing; a name in a statement that could not be read is passed over."""
        key = (scope.function, base)
        self._unknown[key] = self._unknown.get(key, 0) + 1
        candidates = self.candidates(base, scope)
        if self._unknown[key] > 1 or self.something_missing or any(candidate in self.doubtful for candidate in candidates):
            self.doubt(whole or span, scope)
            return
        local = sorted(set(known) | {short(name, scope) for name in known})
        near = nearest(base, local)
        remedy = f"did you mean `{near}`?" if near else f"declare it, or correct the name of the {what}"
        self.fault("unknown-name", span, f"no {what} is called `{base}` here", remedy, scope, subjects=(base,), whole=whole)

    def declare(self, identity: str, span: Span, scope: Scope, whole: Span) -> bool:
        """Take `identity` for a device or cable; False and a finding when it is taken already."""
        first = self.declared.get(identity)
        if first is not None:
            self.fault(
                "duplicate-name",
                span,
                f"`{identity}` is declared twice",
                "give one of them another designation",
                scope,
                related=(Related("first declared here", first),),
                subjects=(identity,),
                whole=whole,
            )
            return False
        self.declared[identity] = span
        return True

    def hidden_names(self) -> None:
        """Note each name that hides one of a function around it."""
        for identity, span in self.declared.items():
            function, dash, product = identity.partition("-")
            if not function:
                continue
            outer = function
            while outer:
                outer = outer.rpartition(".")[0]
                hidden = self.declared.get(outer + dash + product)
                if hidden is not None:
                    self.findings.append(
                        Finding(
                            "hidden-name",
                            Severity.NOTE,
                            f"`{identity}` hides `{outer}{dash}{product}` inside `{function}`",
                            "give one of them another number if both are meant to be reached there",
                            span,
                            (identity,),
                            "netdsl language",
                            (Related("the hidden one", hidden),),
                        )
                    )
                    break


def short(identity: str, scope: Scope) -> str:
    """`identity` as it may be written inside `scope`."""
    function, dash, product = identity.partition("-")
    return dash + product if dash and function in tuple(scope.outward()) else identity


def with_reason(span: Span, scope: Scope) -> tuple[Span, Span | None]:
    """(span to report, line in the scheme or None) of what a statement in `scope` makes."""
    return (scope.use, span) if scope.use is not None else (span, None)


def reference_span(reference: Reference) -> Span:
    """The characters of the designation without its terminals."""
    return Span(reference.span.source, reference.span.start, reference.span.start + len(reference.base))
