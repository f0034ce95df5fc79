"""How bad a project takes the findings of rules: raised as it likes, lowered with a reason, and never switched off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from lint.registry import Rule
from lint.rules import rules
from netdsl.findings import Finding, Severity
from netdsl.model.plant import SeverityChoice
from netdsl.spelling import alike


def with_severities(findings: Iterable[Finding], chosen: Sequence[SeverityChoice]) -> list[Finding]:
    """`findings` as bad as the project takes them. What a rule itself tells as other than its usual severity stays so, and so
    does what is made less without a reason."""
    levels = {choice.rule: Severity(choice.level) for choice in chosen if not _lacks_reason(choice)}
    return [_changed(finding, levels) for finding in findings]


def _changed(finding: Finding, levels: dict[str, Severity]) -> Finding:
    level = levels.get(finding.rule)
    usual = rules()[finding.rule].severity
    return finding if level is None or finding.severity is not usual else replace(finding, severity=level)


def is_lowered(choice: SeverityChoice) -> bool:
    """Whether a rule's findings are made less bad than they usually are."""
    rule = _rule(choice)
    return rule is not None and Severity(choice.level).rank > rule.severity.rank


def refused(chosen: Iterable[SeverityChoice]) -> Iterator[Finding]:
    """A finding for each choice that is not followed: of no rule, or less bad than usual without a reason."""
    entry = rules()["severity-unmatched"]
    for choice in chosen:
        if _rule(choice) is None:
            near = alike(choice.rule, [name for name, rule in rules().items() if rule.check is not None])
            message = f"`{choice.rule}` is no rule whose severity can be chosen"
            remedy = f"did you mean `{near[0]}`?" if near else "see `netdsl explain` for the rules there are"
            yield Finding(entry.name, entry.severity, message, remedy, choice.span, (choice.rule,), entry.source)
        elif _lacks_reason(choice):
            usual = rules()[choice.rule].severity.value
            message = f"findings of `{choice.rule}` stay {usual}s: they are made {choice.level}s without a reason"
            remedy = "say why, and who agreed, behind `because`"
            yield Finding(entry.name, Severity.ERROR, message, remedy, choice.span, (choice.rule,), entry.source)


def _lacks_reason(choice: SeverityChoice) -> bool:
    return is_lowered(choice) and not choice.reason.strip()


def _rule(choice: SeverityChoice) -> Rule | None:
    found = rules().get(choice.rule)
    return found if found is not None and found.check is not None else None
