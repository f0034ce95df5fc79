"""Noticing that the text of a plant changed, by what the system says of each file it is read from.

Asked for a few times a second: that also works where a share or a container passes on no events, knows every file to be included
that is not there yet, and costs less than a watch on all that lies in a folder.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

Stamps = tuple[tuple[int, ...] | None, ...]


def stamps(files: Sequence[Path]) -> Stamps:
    """For each file what changes whenever it is written or replaced; None where there is none."""
    return tuple(_stamp(file) for file in files)


def _stamp(file: Path) -> tuple[int, ...] | None:
    try:
        found = file.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino, found.st_ctime_ns
