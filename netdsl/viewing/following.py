"""Noticing that the text of a plant changed, by what the system says of each file it is read from.

Asked for a few times a second: that also works where a share or a container passes on no events, knows every file to be included
that is not there yet, and costs less than a watch on all that lies in a folder.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from netdsl.plain_files import read_plain

_INCLUDE = re.compile(r'^[ \t]*include[ \t]+"([^"\r\n]+)"', re.MULTILINE)
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
            written = _INCLUDE.findall(read_plain(file).decode("utf-8", "replace"))
            targets = [(file.parent / each).resolve() for each in written]
        except (OSError, ValueError, RuntimeError):  # not there, or no name of a file
            continue
        waiting += [target for target in targets if target.is_relative_to(root)]
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
