"""Noticing that the text of a plant changed, by what the system says of each file it is read from.

Asked for a few times a second: that also works where a share or a container passes on no events, knows every file to be included
that is not there yet, and costs less than a watch on all that lies in a folder.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from netdsl.findings import Source
from netdsl.model.includes import includes_in
from netdsl.plain_files import read_plain

#: files that are watched at most, as many as a plant may have
_MOST = 1000
Stamps = tuple[tuple[int, ...] | None, ...]


def files_of(plant: Path) -> tuple[Path, ...]:
    """The file of a plant and all that it includes, itself or through others, those too that cannot be read."""
    root = plant.parent.resolve()
    found: dict[Path, None] = {}
    waiting = [plant.resolve()]
    while waiting and len(found) < _MOST:
        file = waiting.pop()
        if file in found:
            continue
        found[file] = None
        try:
            source = Source(file.name, read_plain(file).decode("utf-8", "replace"))
        except (OSError, ValueError):  # not there
            continue
        waiting += [target for target, _ in includes_in(source, file) if target.is_relative_to(root)]
    return tuple(found)


def stamps(files: Sequence[Path]) -> Stamps:
    """For each file what changes whenever it is written or replaced; None where there is none."""
    return tuple(_stamp(file) for file in files)


def _stamp(file: Path) -> tuple[int, ...] | None:
    try:
        found = file.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino, found.st_ctime_ns
