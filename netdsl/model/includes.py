"""The files that a plant is read from, found by the lines that include them before anything is parsed: what is more than this
program reads is told at once, not after minutes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from netdsl.findings import Finding, Severity, Source, Span
from netdsl.plain_files import MAX_BYTES, read_plain
from netdsl.syntax import decode

#: files of a plant
MAX_FILES = 1000
#: lines of all files of a plant; one of three thousand drives has some 200,000
MAX_LINES = 500_000
_INCLUDE = re.compile(r'^[ \t]*include[ \t]+"([^"\r\n]+)"', re.MULTILINE)


class Written(NamedTuple):
    """What a file holds: its text, what is wrong with its characters, how many bytes and lines it has."""

    source: Source
    findings: tuple[Finding, ...]
    size: int
    lines: int


def written(data: bytes, name: str) -> Written:
    """What the bytes of a file hold; `name`: as of `name_of`."""
    return Written(*decode(data, name), len(data), max(data.count(b"\n"), data.count(b"\r")))


def name_of(file: Path, root: Path) -> str:
    """The path of a file as its `Source` has it: from the folder of the plant, or its bare name."""
    if file.parent == root:
        return file.name
    try:
        return file.relative_to(root).as_posix()
    except ValueError:
        return file.name


def includes_in(source: Source, file: Path) -> Iterator[tuple[Path, Span]]:
    """Each file that `source`, which is read from `file`, includes, with where it is named; what is no name of a file apart."""
    for found in _INCLUDE.finditer(source.text) if "include" in source.text else ():
        with suppress(OSError, ValueError, RuntimeError):
            yield (file.parent / found[1]).resolve(), Span(source, found.start(1) - 1, found.end(1) + 1)


def files_of(plant: Path) -> tuple[Path, ...]:
    """The file of a plant and all that it includes, itself or through others, those too that cannot be read; no more of them than
    are read."""
    root, total = plant.parent.resolve(), 0
    found, waiting = dict[Path, None](), [plant.resolve()]
    while waiting and len(found) < MAX_FILES and total <= MAX_BYTES:
        file = waiting.pop()
        if file in found:
            continue
        found[file] = None
        with suppress(OSError, ValueError):  # not there
            source = Source(file.name, read_plain(file).decode("utf-8", "replace"))
            total += len(source.text)
            waiting += [target for target, _ in includes_in(source, file) if target.is_relative_to(root)]
    return tuple(found)


def too_much(plant: Path, root: Path, written_in: Callable[[Path], Written]) -> Finding | None:
    """Where the text of a plant, the file `plant` and all within `root` that it includes, is more than is read; None where it is
    not. `written_in`: what a file holds; raises OSError or ValueError."""
    total = lines = 0
    seen, waiting = {plant}, [(plant, Span(Source(plant.name, ""), 0, 0))]
    for file, named in waiting:
        try:
            source, _, size, count = written_in(file)
        except (OSError, ValueError):  # told where it is included
            continue
        total += size
        lines += count
        if total > MAX_BYTES or lines > MAX_LINES:
            at = Span(source, source.line_starts[MAX_LINES], source.line_starts[MAX_LINES]) if file == plant else named
            message = f"the files of the plant have more than {MAX_BYTES} bytes or {MAX_LINES} lines in all"
            return Finding("out-of-range", Severity.ERROR, message, "split the plant", at, (), "netdsl language")
        for target, span in includes_in(source, file):
            if target not in seen and target.is_relative_to(root) and len(seen) < MAX_FILES:
                seen.add(target)
                waiting.append((target, span))
    return None
