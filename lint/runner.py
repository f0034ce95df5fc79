"""Runs the rules over a network, drops consequences, applies the exceptions a reviewer has allowed, puts findings in order."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import cache
from typing import Any

from msgspec import Struct, field

from lint import least_sections, separations
from lint.facts import Facts
from lint.parting import Parted, parted
from lint.registry import Report, Rule, Said, Spared
from lint.rules import rules
from lint.schemes import once, with_line
from lint.severities import refused, with_severities
from lint.unjudged import spared, unjudged
from lint.verdict import Verdict
from netdsl.calc import Calculation
from netdsl.findings import Finding, NotJudged, Related, Severity, Source, Span, arranged
from netdsl.model.plant import Exception_, Plant
from netdsl.network.types import Network
from netdsl.spelling import alike

#: the rules that look at joined potentials; the others look at the plant without the joint
JOINED = frozenset({"potentials-joined", "neutral-earth-joined"})


def check(
    network: Network, today: str | None = None, calculation: Calculation | None = None, only: Collection[str] | None = None
) -> tuple[Finding, ...]:
    """All findings about `network`, in order; allowed ones carry the reason. As `verdict`, without what could not be judged."""
    return _findings(network, judged(Facts(network, calculation), _applied(only)).reports, today, _passed_over(only))


def verdict(
    network: Network, today: str | None = None, calculation: Calculation | None = None, only: Collection[str] | None = None
) -> Verdict:
    """What all rules, or those that `only` names, find about `network`, and what they could not judge.

    `today`: ISO date (`2026-05-04`) against which the `until` of exceptions is held; None: no exception has run out.
    `calculation`: that of the network, where the caller goes on with it.
    """
    applied, facts = _applied(only), Facts(network, calculation)
    said = judged(facts, applied)
    findings = _findings(network, said.reports, today, _passed_over(only))
    return Verdict(facts, findings, applied, (*said.not_judged, *unjudged(said.facts)), (*said.spared, *spared(said.facts)))


def _applied(only: Collection[str] | None) -> tuple[Rule, ...]:
    """The rules that look at a network. `only`: names of those to apply, None for all; what the others would say is then not
    known, so exceptions to them are passed over."""
    return _wiring() if only is None else tuple(entry for entry in _wiring() if entry.name in only)


def _passed_over(only: Collection[str] | None) -> frozenset[str]:
    """Names of rules that are not applied."""
    return frozenset() if only is None else frozenset(rules().keys() - set(only))


@cache
def _wiring() -> tuple[Rule, ...]:
    return tuple(entry for entry in rules().values() if entry.check is not None)


def _findings(
    network: Network, reports: list[Report], today: str | None, passed_over: Collection[str] = frozenset()
) -> tuple[Finding, ...]:
    """Reports as findings. `passed_over`: rules that were not applied, so that nothing is said of exceptions to them."""
    plant = network.plant
    kept = _without_doubtful(_without_consequences(reports), plant)
    chosen = [choice for choice in plant.severities if choice.rule not in passed_over]
    findings = with_severities([with_line(report.finding, plant) for report in kept], chosen)
    exceptions = [exception for exception in plant.exceptions if exception.rule not in passed_over]
    return arranged(
        (
            *once(_with_exceptions(findings, exceptions, plant, today), plant),
            *refused(chosen),
            *separations.refused(plant),
            *least_sections.refused(plant),
        )
    )


class _Heard(Struct, frozen=True):
    """What rules say, kind by kind; `facts`: what most of them looked at."""

    facts: Facts
    reports: list[Report] = field(default_factory=list)
    not_judged: list[NotJudged] = field(default_factory=list)
    spared: list[Spared] = field(default_factory=list)

    def hear(self, said: Said) -> None:
        kind: list[Any] = (
            self.reports if isinstance(said, Report) else self.spared if isinstance(said, Spared) else self.not_judged
        )
        kind.append(said)


def judged(facts: Facts, selected: Iterable[Rule]) -> _Heard:
    """What the `selected` rules say, consequences included. A rule that fails is reported in place of its findings.

    Where potentials are joined that must not meet, one of two rules tells of it; the others look at the plant as if they were
    not, and what they say of the ends of the joint is dropped.
    """
    selected = tuple(selected)
    without = _without_joints(facts) if any(entry.name in JOINED for entry in selected) else Parted(facts)
    heard = _Heard(without.facts)
    for name in without.conductors:
        heard.hear(NotJudged("", name, "it joins two potentials that must not meet: all else is judged as if it were not there"))
    for entry in selected:
        if entry.check is None:
            continue
        try:
            for said in entry.check(facts if entry.name in JOINED else without.facts):
                if entry.name in JOINED or not _is_about(said, without.names):
                    heard.hear(said)
        except Exception as error:  # of any kind: a rule that fails must not take along what the others found
            heard.hear(_failed(entry, error, facts.plant))
            heard.hear(entry.not_judged("", "the rule could not be applied to this plant"))
    return heard


def _without_joints(facts: Facts) -> Parted:
    """The facts without joined potentials; as they are where that fails, for whatever reason: the joint is told all the same."""
    try:
        return facts.of(parted)
    except Exception:  # of any kind, as of a rule
        return Parted(facts)


def _is_about(said: Said, names: frozenset[str]) -> bool:
    """Whether a report is about one of these names."""
    return isinstance(said, Report) and not names.isdisjoint((*said.finding.subjects, *said.about))


def _failed(entry: Rule, error: Exception, plant: Plant) -> Report:
    reason = " ".join(f"{type(error).__name__} {error}".split())[:200]
    return rules()["internal-error"].report(
        f"rule `{entry.name}` could not be applied to this plant: {reason}",
        f"treat everything `{entry.name}` covers as unchecked, and report the plant that makes it fail",
        _start(plant),
        (entry.name,),
    )


def _start(plant: Plant) -> Span:
    """A place for findings about the plant as a whole: its project statement, else its first declaration."""
    if plant.project.span is not None:
        return plant.project.span
    for table in (plant.places, plant.devices):
        for thing in table.values():
            return thing.span
    return Span(Source("", ""), 0, 0)


def _without_consequences(reports: list[Report]) -> list[Report]:
    """`reports` without those that another rule's report explains."""
    known = rules()
    covered: dict[str, set[str]] = {}
    for report in reports:
        for silenced in known[report.finding.rule].silences:
            covered.setdefault(silenced, set()).update(report.about, report.explains)
    # what is about nothing in particular is nobody's consequence
    return [report for report in reports if not (report.about and report.about <= covered.get(report.finding.rule, set()))]


def _without_doubtful(reports: list[Report], plant: Plant) -> list[Report]:
    """`reports` without those about anything whose text could not be read: that fault is told already, and may be the cause."""
    if not plant.doubtful:
        return reports
    return [report for report in reports if not any(_doubtful(name, plant) for name in (*report.finding.subjects, *report.about))]


def _doubtful(name: str, plant: Plant) -> bool:
    """Whether a designation, terminal or conductor id names something of which the text could not be read."""
    return any(piece.partition(" ")[0].partition(":")[0] in plant.doubtful for piece in name.split(" -- "))


def _with_exceptions(findings: list[Finding], exceptions: list[Exception_], plant: Plant, today: str | None) -> list[Finding]:
    """`findings` with the valid exceptions applied, and a warning for each exception that matches nothing."""
    by_rule: dict[str, list[int]] = {}
    for number, finding in enumerate(findings):
        by_rule.setdefault(finding.rule, []).append(number)
    result = list(findings)
    for exception in exceptions:
        matches = [n for n in by_rule.get(exception.rule, ()) if exception.subject in findings[n].subjects]
        expired = exception.until is not None and today is not None and exception.until < today
        for number in matches:
            result[number] = _expired(result[number], exception) if expired else result[number].allow(exception.reason)
        if not matches and not _doubtful(exception.subject, plant):
            result.append(_unmatched(exception))
    return result


def _expired(finding: Finding, exception: Exception_) -> Finding:
    ended = Related(f"the exception for it ended on {exception.until}", exception.span)
    return Finding(
        finding.rule,
        finding.severity,
        finding.message,
        finding.remedy,
        finding.span,
        finding.subjects,
        finding.source,
        (*finding.related, ended),
        finding.allowed,
    )


def _unmatched(exception: Exception_) -> Finding:
    entry = rules()["allow-unmatched"]
    known = [name for name, found in rules().items() if found.check is not None]
    remedy = "remove the exception, or name the subject the finding is reported on"
    message = f"exception for `{exception.rule}` on `{exception.subject}` matches no finding"
    if exception.rule not in known:
        near = alike(exception.rule, known)
        message = f"exception for `{exception.rule}` on `{exception.subject}`: this is no rule that can be excepted"
        remedy = f"did you mean `{near[0]}`?" if near else "see `netdsl explain` for the rules there are"
    return Finding(entry.name, Severity.WARNING, message, remedy, exception.span, (exception.subject,), entry.source)
