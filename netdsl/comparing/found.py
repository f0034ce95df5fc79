"""Findings that appeared or disappeared between two plants."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from netdsl.comparing.change import Change, Weight
from netdsl.comparing.names import Names
from netdsl.findings import Finding

#: what a finding is known again by: its rule, whether it is excepted, its subjects
_Key = tuple[str, bool, tuple[str, ...]]


def changed_findings(old: Iterable[Finding], new: Iterable[Finding], names: Names, functions: Iterable[str]) -> Iterator[Change]:
    """Findings that are there on one side alone, by rule and subjects: their messages carry figures that move."""
    before, after = Counter[_Key](), Counter[_Key]()
    known: dict[_Key, Finding] = {}
    for found, count, naming in ((old, before, names), (new, after, Names())):
        for finding in found:
            key = _key(finding, naming)
            count[key] += 1
            known[key] = finding
    for counts, what, word in ((after - before, "finding-appeared", "new"), (before - after, "finding-gone", "no longer there")):
        for key in counts:
            finding = known[key]
            allowed = ", allowed" if finding.allowed is not None else ""
            text = f"{finding.severity.value} {finding.rule} {word}{allowed}: {finding.message}"
            subject = finding.subjects[0] if finding.subjects else ""
            function = subject.partition("-")[0] if subject.startswith("=") else ""
            old_span, new_span = (None, finding.span) if what == "finding-appeared" else (finding.span, None)
            of = function if function in functions else ""
            yield Change(what, Weight.FINDING, of, subject, text, True, old_span, new_span, number=counts[key])


def _key(finding: Finding, names: Names) -> _Key:
    return finding.rule, finding.allowed is not None, tuple(names.subject(subject) for subject in finding.subjects)


def new_findings(old: Iterable[Finding], new: Iterable[Finding], names: Names) -> tuple[Finding, ...]:
    """Those of `new` that were not there in `old`, by rule and subjects, which `names` calls as they are now; what was excepted
    or less severe before is new, and so are more of a kind than there were."""
    before: dict[_Key, list[int]] = {}
    for finding in old:
        before.setdefault(_key(finding, names), []).append(finding.severity.rank)
    found = []
    for finding in new:
        ranks = before.get(_key(finding, Names()), [])
        same = next((rank for rank in sorted(ranks, reverse=True) if rank <= finding.severity.rank), None)
        if same is None:
            found.append(finding)
        else:
            ranks.remove(same)
    return tuple(found)
