"""How much of systematic damage is reported: `python -m tests.soundness.recall [--rule RULE] [--examples] [--missed]`.

Each rule's damage is done to every example and to plants wired by chance, one place at a time; the rule has to report it there.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lint import check
from lint.rules import rules
from netdsl.cli.work import connect, judge
from netdsl.findings import Finding
from netdsl.network import build_network
from tests.rules_together import with_a_say
from tests.soundness.bases import Base, Damage, by_chance, examples
from tests.soundness.damages import MAKERS
from tests.soundness.reasons import LESS_THAN_ALL, NOTHING_TO_DAMAGE
from tests.soundness.slips import SLIPS

#: plants of the generator that hold, together, all that is damaged and that no example holds
CHANCE = (154, 82, 73, 322, 430, 468, 672, 331, 586, 636, 542)


RULES = [*sorted(MAKERS), *sorted(SLIPS)]


@dataclass
class Tally:
    """Damage done and reported for one rule; what was not."""

    done: int = 0
    reported: int = 0
    missed: list[str] = field(default_factory=list)


def reported(rule: str, damage: Damage, findings: Iterable[Finding]) -> bool:
    """Whether a rule speaks about what was damaged."""
    for finding in findings:
        if finding.rule == rule:
            named = set(finding.subjects) | {subject.partition(":")[0] for subject in finding.subjects}
            if named & damage.about:
                return True
    return False


def tried(base: Base, rule: str, damage: Damage) -> tuple[bool, tuple[Finding, ...]]:
    """Do a damage; whether its rule reports it; where it does not, all that is found, for whoever looks why."""
    if damage.plant is not None:
        network, read = build_network(damage.plant)
    else:
        found = connect(base.folder / base.file, base.edited(damage.edits))
        assert found.network is not None, damage.what
        network, read = found.network, found.findings
    findings = (*read, *check(network, only=with_a_say(frozenset({rule}))))
    if reported(rule, damage, findings):
        return True, findings
    findings = (*read, *check(network))
    return reported(rule, damage, findings), findings


def slipped(base: Base, rule: str, most: int) -> Iterator[tuple[str, bool, tuple[Finding, ...]]]:
    """Slips of the pen in the plant's main file: what was done, whether its rule reports it at its line, what is found: by
    reading alone, where that tells of it."""
    text, file = base.text(base.file), base.folder / base.file
    for count, (what, edits, line) in enumerate(SLIPS[rule](base, text)):
        if count >= most:
            return
        texts = base.edited(edits)
        findings = _with_bytes(base, texts) if rule == "encoding" else connect(file, texts).findings
        if not any(each.rule == rule for each in findings):
            findings = judge(file, instead=texts).findings
        yield what, any(each.rule == rule and each.span.begin[0] == line for each in findings), findings


def _with_bytes(base: Base, texts: Mapping[str, str]) -> tuple[Finding, ...]:
    """What reading finds in the main file alone, with bytes in it that no text stands for."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / base.file
        file.write_text(texts[base.file], "utf-8", "surrogateescape")
        return connect(file).findings


def attempts(base: Base, rule: str, most: int) -> Iterator[tuple[str, bool, tuple[Finding, ...]]]:
    """What was done to a plant for a rule, whether it was reported, and all that was found."""
    if rule in SLIPS:
        yield from slipped(base, rule, most)
        return
    for count, damage in enumerate(MAKERS[rule](base)):
        if count >= most:
            return
        yield damage.what, *tried(base, rule, damage)


def tally(bases: Iterable[Base], rules: Iterable[str], most: int = 10**6) -> dict[str, Tally]:
    """Damage of each rule at up to `most` places of each plant."""
    wanted = list(rules)
    result = {rule: Tally() for rule in wanted}
    for base in bases:
        for rule in wanted:
            entry = result[rule]
            for what, found, findings in attempts(base, rule, most):
                entry.done += 1
                entry.reported += found
                if not found:
                    said = "; ".join(f"{each.rule} {each.message[:90]}" for each in findings[:3])
                    entry.missed.append(f"{base.name}: {what} -> {said}")
    return result


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--rule", action="append", choices=RULES)
    arguments.add_argument("--examples", action="store_true", help="the examples alone")
    arguments.add_argument("--chance", type=int, default=len(CHANCE), help="how many plants wired by chance")
    arguments.add_argument("--most", type=int, default=10**6, help="places of each rule in each plant")
    arguments.add_argument("--missed", action="store_true", help="print what was not reported")
    given = arguments.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        bases = [*examples(), *([] if given.examples else by_chance(CHANCE[: given.chance], Path(folder)))]
        result = tally(bases, given.rule or RULES, given.most)
    for rule, entry in result.items():
        share = f"{100 * entry.reported / entry.done:5.1f} %" if entry.done else "     -"
        why = LESS_THAN_ALL[rule][1] if entry.reported < entry.done and rule in LESS_THAN_ALL else ""
        print(f"{rule:28} {entry.reported:5} of {entry.done:5}  {share}  {why}".rstrip())
        for line in entry.missed if given.missed else []:
            print(f"    {line}")
    if not given.rule:
        for rule in sorted(set(rules()) - set(RULES)):
            print(f"{rule:28}     -            {NOTHING_TO_DAMAGE.get(rule, 'no damage is made for it here')}")


if __name__ == "__main__":
    main()
