"""What the rules make of a plant: findings, and beside them what was and what could not be judged."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from lint import least_sections, separations
from lint.facts import Facts
from lint.registry import Rule, Spared
from lint.severities import is_lowered
from lint.subjects import everything
from netdsl.findings import Extent, Finding, NotJudged
from netdsl.kept import cached_property


class Coverage(Struct, frozen=True):
    """What became of what one rule looks at, by designation: `reported` (excepted or not), `not_judged` and `spared` with the
    reason, and `judged` without a finding."""

    rule: str
    reported: tuple[str, ...]
    not_judged: tuple[NotJudged, ...]
    spared: tuple[Spared, ...]
    judged: tuple[str, ...]


class Verdict:
    """Findings in order, the rules applied, and what they could not judge.

    `not_judged`: exact doubles dropped, in order of rule, reason and subject. `subjects`: all that the plant has by name.
    """

    def __init__(
        self,
        facts: Facts,
        findings: tuple[Finding, ...],
        applied: tuple[Rule, ...],
        not_judged: tuple[NotJudged, ...],
        spared: tuple[Spared, ...],
    ) -> None:
        self._facts = facts
        self.findings = findings
        self.applied = applied
        self.not_judged = tuple(sorted(set(not_judged), key=lambda each: (each.rule, each.reason, each.subject)))
        self._spared = spared

    @cached_property
    def subjects(self) -> tuple[str, ...]:
        """Places, devices, cables, wires and cores, routes."""
        return tuple(dict.fromkeys(everything(self._facts)))

    @cached_property
    def left(self) -> tuple[str, ...]:
        """Designations of which something could not be judged."""
        return tuple(dict.fromkeys(each.subject for each in self.not_judged if each.subject))

    @property
    def extent(self) -> Extent:
        """How far the check went, for whoever prints it."""
        chosen = self._facts.plant.severities
        lowered = [
            f"findings of {e.rule} are taken as {e.level}s: {e.reason}" for e in chosen if is_lowered(e) and e.reason.strip()
        ]
        plant = self._facts.plant
        less = [(own.reason, words) for own, words in separations.loosened(plant)]
        less += [(own.reason, words) for own, words in least_sections.loosened(plant)]
        looser = [f"{words}: {reason}" for reason, words in less if reason.strip()]
        return Extent(len(self.applied), len(self.subjects), self.not_judged, (*lowered, *looser))

    def spared_by(self, rule: str) -> tuple[Spared, ...]:
        """What a rule leaves alone, by which of its exemptions."""
        return tuple(each for each in self._spared if each.rule == rule)

    def coverage(self) -> Iterator[Coverage]:
        """Rule by rule; what holds for all rules that would look at a subject is told at each of them."""
        whole = [each for each in self.not_judged if not each.rule]
        for rule in self.applied:
            subjects = tuple(dict.fromkeys(rule.judges(self._facts)))
            spared = self.spared_by(rule.name)
            left = [each for each in self.not_judged if each.rule == rule.name]
            left += [each for each in whole if each.subject in subjects]
            found = (finding for finding in self.findings if finding.rule == rule.name and finding.subjects)
            reported = tuple(dict.fromkeys(finding.subjects[0] for finding in found))
            told = {*reported, *(each.subject for each in left), *(each.subject for each in spared)}
            yield Coverage(rule.name, reported, tuple(left), spared, tuple(name for name in subjects if name not in told))
