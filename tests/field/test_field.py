"""Faults met on drawings and in panels, and sound plants beside them: what has to be said of each stands in its text.

A plant is a file of `plants/`; it may include `site.netdsl`, a sound panel. Marks in the text stand on the line of the finding: a
comment `#! RULE says="words" not="words" severity=warning`, where one of the rules (`a|b`, `*` for any) reports at this line,
with these words in message or remedy and without those. On a line of their own:

    #! only               no error or warning but the marked ones, one for each mark
    #! sound              no error or warning at all
    #! never RULE         the rule does not speak
    #! anywhere RULE ..   a mark for a finding at any line
    #! order              worst first within each file
    #! nowhere "words"    no finding says so
    #! unjudged THING "words"    of a thing it is said, in these words, why it was not judged
    #! somewhere "words"  some finding says so, wherever it stands
    #! cured "old" "new"  with these words changed nothing is left
    #! mended             with what `check --fix` writes nothing is left
    #! size THING at-least=4    what `size` proposes for a thing (mm2 or A) is not below
    #! size THING open          it proposes nothing that passes

`python -m tests.field.test_field [NAME ...]` prints what each lacks. All that is said of each is held to the
letter in `said.txt`: `NETDSL_KEEP=1 pytest -n 0 tests/field` writes it anew.
"""

from __future__ import annotations

import re
import shlex
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from netdsl.cli.fix import mended
from netdsl.cli.work import Judged, connect, judge
from netdsl.findings import Finding, Severity
from tests.said import Kept, said

PLANTS = Path(__file__).parent / "plants"
FILES = sorted(path for path in PLANTS.glob("*.netdsl") if path.stem[0].isdigit())
MARK = re.compile(r"#!\s*(.*)$")
#: all that is said of each, marked or not
SAID = Kept(Path(__file__).parent / "said.txt")


@dataclass
class Mark:
    """What one mark asks for; `line` 0: at any."""

    line: int
    rules: tuple[str, ...]
    says: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    severity: str = ""

    def met_by(self, finding: Finding, file: str) -> bool:
        words = words_of(finding)
        return (
            (self.rules == ("*",) or finding.rule in self.rules)
            and (not self.line or (finding.span.source.path == file and finding.span.begin[0] == self.line))
            and all(word in words for word in self.says)
            and not any(word in words for word in self.without)
            and self.severity in ("", finding.severity.value)
        )


@cache
def judged(file: Path) -> Judged:
    """What `check` makes of a plant of this folder."""
    return judge(file)


def words_of(finding: Finding) -> str:
    """All that a finding says."""
    return " ".join(
        (finding.message, finding.remedy, *(related.message for related in finding.related), " ".join(finding.subjects))
    )


def marks_of(text: str) -> tuple[list[Mark], list[list[str]]]:
    """The marks at lines, and the words of those that stand alone."""
    marks: list[Mark] = []
    alone: list[list[str]] = []
    for number, line in enumerate(text.splitlines(), 1):
        found = MARK.search(line)
        if not found:
            continue
        words = shlex.split(found[1])
        if line.startswith("#!") and words[0] != "anywhere":
            alone.append(words)
            continue
        place = 0 if words[0] == "anywhere" else number
        # several marks may stand in one comment, divided by `&`
        for piece in " ".join(shlex.quote(word) for word in words if word != "anywhere").split(" '&' "):
            first, *rest = shlex.split(piece)
            mark = Mark(place, tuple(first.split("|")))
            for word in rest:
                key, _, value = word.partition("=")
                if key == "severity":
                    mark.severity = value
                else:
                    {"says": mark.says, "not": mark.without}[key].append(value)
            marks.append(mark)
    return marks, alone


def shown(finding: Finding) -> str:
    return f"{finding.span.source.path}:{finding.span.begin[0]}: {finding.severity.value} {finding.rule}: {finding.message}"


def complaints(file: Path) -> Iterator[str]:
    """What a plant's marks ask for and `check` or `size` does not give."""
    marks, alone = marks_of(file.read_text("utf-8"))
    findings = judged(file).findings
    bad = [finding for finding in findings if finding.severity is not Severity.NOTE and finding.allowed is None]
    for mark in marks:
        if not any(mark.met_by(finding, file.name) for finding in findings):
            said = [shown(finding) for finding in findings if finding.span.begin[0] == mark.line]
            yield f"line {mark.line}: wanted {'|'.join(mark.rules)} {mark.says} not {mark.without} {mark.severity}, got {said}"
    for words in alone:
        yield from against(words, file, marks, findings, bad)


def against(words: list[str], file: Path, marks: list[Mark], findings: tuple[Finding, ...], bad: list[Finding]) -> Iterator[str]:
    """Complaints about a mark that stands alone."""
    match words:
        case ["only"]:
            others = [finding for finding in bad if not any(mark.met_by(finding, file.name) for mark in marks)]
            yield from (f"besides: {shown(finding)}" for finding in others)
            if not others and len(bad) > len(marks):
                yield f"said more than once: {[shown(finding) for finding in bad]}"
        case ["sound"]:
            yield from (f"sound, but: {shown(finding)}" for finding in bad)
        case ["order"]:
            for one, next_one in pairwise(findings):
                if one.span.source is next_one.span.source and one.severity.rank > next_one.severity.rank:
                    yield f"{shown(next_one)} comes behind {shown(one)}"
        case ["never", rules]:
            yield from (f"never, but: {shown(finding)}" for finding in findings if finding.rule in rules.split("|"))
        case ["nowhere", said]:
            yield from (f"`{said}` is said: {shown(finding)}" for finding in findings if said in words_of(finding))
        case ["somewhere", said]:
            if not any(said in words_of(finding) for finding in findings):
                yield f"`{said}` is nowhere said"
        case ["unjudged", thing, said]:
            verdict = judged(file).verdict
            left = verdict.not_judged if verdict is not None else ()
            if not any(each.subject == thing and said in each.reason for each in left):
                yield f"not said of {thing} as not judged: {said}"
        case ["cured", before, after]:
            yield from against_cure(file, before, after)
        case ["mended"]:
            yield from against_mending(file, findings)
        case ["size", thing, wanted]:
            yield from against_size(thing, wanted, file)
        case _:
            raise ValueError(f"{file.name}: mark {words}")


def against_cure(file: Path, before: str, after: str) -> Iterator[str]:
    """Complaints about a plant whose one line is changed as the remedy says."""
    text = file.read_text("utf-8")
    # the mark itself names the words as well: only what stands below the head counts
    head, _, body = text.partition("netdsl 1")
    assert body.count(before) == 1, f"{file.name}: `{before}` stands {body.count(before)} times"
    cured = judge(file, instead={file.name: f"{head}netdsl 1{body.replace(before, after)}"})
    left = [finding for finding in cured.findings if finding.severity is not Severity.NOTE]
    yield from (f"cured, but: {shown(finding)}" for finding in left)


def against_mending(file: Path, findings: tuple[Finding, ...]) -> Iterator[str]:
    """Complaints about a plant into which the edits of its findings are written."""
    texts = mended(findings)
    if not texts:
        yield "nothing to be mended"
    after = judge(file, instead={source.path: text for source, text in texts.items()})
    left = [finding for finding in after.findings if finding.severity is not Severity.NOTE]
    yield from (f"mended, but: {shown(finding)}" for finding in left)


def against_size(thing: str, wanted: str, file: Path) -> Iterator[str]:
    """Complaints about what `size` proposes for `thing`."""
    from netdsl.sizing import propose

    network = connect(file).network
    assert network is not None
    proposals = propose(network).proposals
    named = ("wire ", "cable ")
    about = [
        proposal
        for proposal in proposals
        if thing in (proposal.item.name, *(proposal.item.name.removeprefix(kind).partition(" and ")[0] for kind in named))
    ]
    if not about:
        yield f"size says nothing about {thing}, but of {[proposal.item.name for proposal in proposals]}"
    for proposal in about:
        if wanted == "open":
            if proposal.holds and proposal.size is not None:
                yield f"size proposes {proposal.size:g} for {thing} as passing: {proposal.because}"
        elif proposal.size is not None and proposal.size < float(wanted.partition("=")[2]) - 1e-9:
            yield f"size proposes {proposal.size:g} for {thing}, wanted {wanted}"


@pytest.mark.parametrize("file", FILES, ids=[path.stem for path in FILES])
def test_field_plant(file: Path) -> None:
    wrong = list(complaints(file))
    assert not wrong, "\n".join(wrong)
    SAID.holds(file.stem, said(judged(file), counted=False))


def main(names: list[str]) -> None:
    """Prints what each plant lacks."""
    failing = 0
    for each in FILES:
        if names and not any(each.stem.startswith(name) for name in names):
            continue
        wrong = list(complaints(each))
        failing += bool(wrong)
        print(f"{'FAIL' if wrong else 'pass'} {each.stem}")
        for line in wrong:
            print(f"       {line}")
    print(f"{failing} failing")


if __name__ == "__main__":
    main(sys.argv[1:])
