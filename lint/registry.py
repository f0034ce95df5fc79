"""What a rule is: a function that is decorated with `@rule`, with its name, usual severity, source and documentation."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec import Struct

from lint.facts import Facts
from lint.subjects import Subjects, devices
from netdsl.findings import Edit, Finding, NotJudged, Related, Severity, Span
from netdsl.model.files import is_shipped


class Report(Struct, frozen=True):
    """A finding as its rule hands it over. `about`: ids (terminals, conductors, routes) the finding speaks for; another
    rule that silences this one does so where its own `about`, and what it `explains` besides, cover it."""

    finding: Finding
    about: frozenset[str] = frozenset()
    explains: frozenset[str] = frozenset()


class Spared(Struct, frozen=True):
    """A subject that a rule leaves alone, and by which of its exemptions."""

    rule: str
    subject: str
    reason: str


#: what a rule says: its reports, and of what it does not report why, where that is not that nothing is wrong
Said = Report | NotJudged | Spared
RuleCheck = Callable[[Facts], Iterable[Said]]


class Rule(Struct, frozen=True):
    """A rule. `check` is None for one that is only documented here (found while reading). `silences`: names of the rules
    whose reports about the same things are consequences of this rule's. `text`: its documentation, with fixed headings.
    `judges`: what it looks at."""

    name: str
    severity: Severity
    source: str
    silences: tuple[str, ...]
    text: str
    check: RuleCheck | None = None
    judges: Subjects = devices

    def not_judged(self, subject: str, reason: str) -> NotJudged:
        """That this rule could not judge a subject: data that it needs is not stated."""
        return NotJudged(self.name, subject, reason)

    def spared(self, subject: str, reason: str) -> Spared:
        """That this rule leaves a subject alone, by one of its exemptions."""
        return Spared(self.name, subject, reason)

    def report(
        self,
        message: str,
        remedy: str,
        span: Span,
        subjects: Iterable[str],
        *,
        about: Iterable[str] = (),
        explains: Iterable[str] = (),
        related: Iterable[Related] = (),
        severity: Severity | None = None,
        fix: Iterable[Edit] = (),
    ) -> Report:
        """A report of this rule; `severity` only where it is not the usual one. Doubled subjects are dropped. `fix`: edits that
        cure it, of texts of the plant alone; none where any of them would change the shipped library."""
        kept = tuple(dict.fromkeys(subject for subject in subjects if subject))
        edits = tuple(fix)
        if any(is_shipped(edit.span.source) for edit in edits):
            edits = ()
        level = severity or self.severity
        finding = Finding(self.name, level, message, remedy, span, kept, self.source, tuple(related), None, edits)
        return Report(finding, frozenset(about), frozenset(explains))


_KNOWN: dict[str, Rule] = {}


def rule(
    name: str, severity: Severity, *, source: str, silences: tuple[str, ...] = (), judges: Subjects = devices
) -> Callable[[Callable[[Facts, Rule], Iterable[Said]]], RuleCheck]:
    """Make a function of a network's facts and its own `Rule` a rule; its docstring is the rule's documentation. `judges`: what
    it looks at, for the list of what each rule judged (`lint/subjects.py`)."""

    def take(function: Callable[[Facts, Rule], Iterable[Said]]) -> RuleCheck:
        def run(facts: Facts) -> Iterable[Said]:
            return function(facts, _KNOWN[name])

        _enter(Rule(name, severity, source, silences, function.__doc__ or "", run, judges))
        return run

    return take


def documented(name: str, severity: Severity, text: str, source: str) -> None:
    """Enter a rule that another room reports and that is only documented here."""
    _enter(Rule(name, severity, source, (), text))


def _enter(entry: Rule) -> None:
    if entry.name in _KNOWN:
        raise ValueError(f"two rules are called {entry.name}")
    _KNOWN[entry.name] = entry


def entered() -> dict[str, Rule]:
    """The rules of the modules loaded so far, by name; `lint.rules` loads them all."""
    return dict(_KNOWN)
