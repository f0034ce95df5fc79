"""The plant that a file belongs to which is only a part of it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from netdsl.model.includes import files_of
from netdsl.plain_files import MAX_BYTES, read_plain
from netdsl.syntax import decode

#: how many folders up a plant is looked for, and how many files of a folder are read for it
_LEVELS, _FILES = 4, 50
_WHOLE = re.compile(r"^[ \t]*project\b", re.MULTILINE)


def including(file: Path) -> Path | None:
    """The file with a `project` that includes `file`, itself or through others: in its folder, else in the nearest above. None
    where `file` has a `project` of its own, or nothing nearby includes it. Files that cannot be read are passed over, and in each
    folder those beyond as much as a plant may have: what lies beside a file must not keep anybody waiting."""
    if _is_whole(file):
        return None
    target = file.resolve()
    for folder in target.parents[: _LEVELS + 1]:
        for other in _texts_in(folder):
            if other != target and _is_whole(other) and target in files_of(other):
                return other
    return None


def _texts_in(folder: Path) -> Iterator[Path]:
    left = MAX_BYTES
    with suppress(OSError):
        for file in sorted(folder.glob("*.netdsl"))[:_FILES]:
            left -= file.stat().st_size if file.is_file() else 0
            if left >= 0:
                yield file


def _is_whole(file: Path) -> bool:
    try:
        source, _ = decode(read_plain(file), file.name)
    except (OSError, ValueError):
        return False
    return _WHOLE.search(source.text) is not None
