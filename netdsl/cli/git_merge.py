"""What git calls to merge a text: lines first, then statements and attributes; and the merged plant is checked."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import click

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.findings import Finding, Severity
from netdsl.plain_files import read_plain

#: length of the marks by which conflicts are found in what git gives; no text has lines of so many
_LONG = 61
_OURS, _BASE, _SPLIT, _THEIRS = (each * _LONG for each in "<|=>")


def merge_files(base: Path, ours: Path, theirs: Path, size: int, name: str) -> int:
    """Merge into the file `ours`, called `name` in the repository; 0 where that is whole and nothing new is found in it, else 1:
    git then asks a person. Conflicts that stay are those that git writes itself, with marks of `size`."""
    text = _merged(base, ours, theirs)
    if text is None:
        _git("merge-file", f"--marker-size={size}", "-L", "ours", "-L", "base", "-L", "theirs", *map(str, (ours, base, theirs)))
        return 1
    before = [_text(each) for each in (ours, theirs)]
    ours.write_bytes(text.encode())
    if None in before:
        return 1
    new = list(_found_in(name, text, [each for each in before if each is not None]))
    for finding in new:
        place = f"{finding.span.source.path}:{finding.span.begin[0]}"
        click.echo(f"netdsl: neither side has this, the merged plant does: {place}: {finding.rule}: {finding.message}", err=True)
    return 1 if new else 0


def _merged(base: Path, ours: Path, theirs: Path) -> str | None:
    """The merged text; None where something is changed on both sides, or is no text."""
    from netdsl.syntax.merge import merged

    given = _git("merge-file", "-p", "--diff3", f"--marker-size={_LONG}", *map(str, (ours, base, theirs)))
    try:
        lines = given.decode("utf-8").splitlines(keepends=True)
    except UnicodeDecodeError:
        return None
    if not lines and any(each.stat().st_size for each in (ours, theirs)):
        return None  # git merges nothing that it takes for no text
    result: list[str] = []
    sides: list[list[str]] = []
    for line in lines:
        if line.startswith(_OURS):
            sides = [[]]
        elif sides and line.startswith((_BASE, _SPLIT)):
            sides.append([])
        elif sides and line.startswith(_THEIRS):
            found = merged(sides[1], sides[0], sides[2])
            if found is None:
                return None
            result += found
            sides = []
        elif sides:
            sides[-1].append(line)
        else:
            result.append(line)
    return "".join(result)


def _found_in(name: str, text: str, sides: list[str]) -> Iterator[Finding]:
    """Errors and warnings of the plant with the merged text that it has with neither side. Other files are as they lie there."""
    from netdsl.cli.work import judge
    from netdsl.model.files import plant_file
    from netdsl.model.including import including

    file = Path(name)
    if not file.is_file():
        return
    plant = including(file) or plant_file(file)
    path = file.resolve().relative_to(plant.resolve().parent).as_posix() if plant != file else file.name
    merged = judge(plant, None, {path: text}).findings
    faults = [each for each in merged if each.severity is not Severity.NOTE and not each.allowed]
    # most merged plants have no fault to look for on the sides
    known = {_key(each) for side in sides if faults for each in judge(plant, None, {path: side}).findings}
    yield from (each for each in faults if _key(each) not in known)


def _key(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.rule, finding.subjects


def _text(file: Path) -> str | None:
    try:
        return read_plain(file).decode("utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def _git(*arguments: str) -> bytes:
    """What git prints; `merge-file` exits with the number of conflicts."""
    try:
        with tempfile.TemporaryFile() as nowhere:
            return subprocess.run(["git", *arguments], stdout=subprocess.PIPE, stderr=nowhere, check=False).stdout
    except OSError as error:
        raise Refusal(f"git cannot be run: {reason_of(error)}") from error
