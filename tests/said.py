"""What `check` says of small plants, held to the letter: how it is written in golden files, and how these are read.

A file begins with the names of the rules that were there when it was written; what a newer rule says, or any of a newer plant, is
passed over, so that one that is added changes no file. `NETDSL_KEEP=1 pytest -n 0 tests/lint tests/field` writes all of them
anew; what is meant to change shows there, as the lines that moved.
"""

from __future__ import annotations

import atexit
import os
from collections.abc import Iterable, Iterator
from functools import cached_property
from pathlib import Path

from lint.rules import rules
from netdsl.cli.work import Judged
from netdsl.findings import Finding
from netdsl.model.files import is_shipped

REFRESH = "look at what moved, then run NETDSL_KEEP=1 pytest -n 0 tests/lint tests/field"
_HEAD = "=== "


def told(finding: Finding) -> str:
    """A finding in one line: place, severity, rule, and all its words."""
    line, column = finding.span.begin
    place = f"{Path(finding.span.source.path).name}:{line}:{column}"
    # a part more in the library moves no line of it that is told here
    beside = [f"{each.message} ({'library' if is_shipped(each.span.source) else each.span.begin[0]})" for each in finding.related]
    edits = [f"fix line {edit.span.begin[0]}: {edit.text.strip()}" for edit in finding.fix]
    allowed = [] if finding.allowed is None else [f"allowed: {finding.allowed}"]
    words = (finding.message, finding.remedy, " ".join(finding.subjects), *beside, *edits, *allowed)
    return f"{finding.rule}: {place} {finding.severity.value}: {' | '.join(words)}"


def said(judged: Judged, counted: bool = True) -> Iterator[str]:
    """The findings of a plant in order, what was not judged and what was spared, with the reason, rule by rule; beside that,
    where it is to be `counted`, how much each rule judged."""
    yield from map(told, judged.findings)
    if judged.verdict is None:
        return
    for each in judged.verdict.not_judged:
        yield f"{each.rule}: not judged {each.subject}: {each.reason}"
    if not counted:
        for rule in judged.verdict.applied:
            yield from (f"{rule.name}: spared {left.subject}: {left.reason}" for left in judged.verdict.spared_by(rule.name))
        return
    for cover in judged.verdict.coverage():
        for left in cover.spared:
            yield f"{cover.rule}: spared {left.subject}: {left.reason}"
        if cover.judged:
            yield f"{cover.rule}: judged {len(cover.judged)}"


#: whether the files are written, instead of compared
WRITING = bool(os.environ.get("NETDSL_KEEP"))


class Kept:
    """A golden file with what is said of things, by their names."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._said: dict[str, list[str]] = {}
        if WRITING:
            atexit.register(self._write)

    @cached_property
    def _of_file(self) -> tuple[frozenset[str], dict[str, list[str]]]:
        """The rules it knows, and the lines of each name."""
        head, *things = self._file.read_text("utf-8").split(_HEAD)
        return frozenset(head.split()), {name: lines for name, *lines in (each.splitlines() for each in things)}

    def holds(self, name: str, lines: Iterable[str]) -> None:
        """Assert that the lines are those that the file keeps by that name, if any, but for those of rules it does not know."""
        if WRITING:
            self._said[name] = list(lines)
            return
        known, things = self._of_file
        newer = rules().keys() - known
        found = [line for line in lines if line.partition(":")[0] not in newer]
        assert found == things.get(name, found), REFRESH

    def _write(self) -> None:
        if not self._said:  # of a module that pytest and another module know by different names
            return
        names = "\n".join(sorted(rules()))
        text = "".join(f"{_HEAD}{name}\n" + "".join(f"{line}\n" for line in lines) for name, lines in self._said.items())
        self._file.parent.mkdir(exist_ok=True)
        self._file.write_text(f"{names}\n{text}", "utf-8")
