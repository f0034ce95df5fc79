"""The plant that a file belongs to which is only a part of it."""

from __future__ import annotations

import re
from pathlib import Path

from netdsl.model.files import read_texts
from netdsl.plain_files import read_plain
from netdsl.syntax import decode

#: how many folders up a plant is looked for, and how many files of a folder are read for it
_LEVELS, _FILES = 4, 50
_WHOLE = re.compile(r"^[ \t]*project\b", re.MULTILINE)


def including(file: Path) -> Path | None:
    """The file with a `project` that includes `file`, itself or through others: in its folder, else in the nearest above. None
    where `file` has a `project` of its own, or nothing nearby includes it. Files that cannot be read are passed over."""
    if _is_whole(file):
        return None
    target = file.resolve()
    for folder in target.parents[: _LEVELS + 1]:
        for other in _texts_in(folder):
            if other != target and _is_whole(other) and target in _read_with(other):
                return other
    return None


def _texts_in(folder: Path) -> list[Path]:
    try:
        return sorted(folder.glob("*.netdsl"))[:_FILES]
    except OSError:
        return []


def _is_whole(file: Path) -> bool:
    try:
        source, _ = decode(read_plain(file), file.name)
    except (OSError, ValueError):
        return False
    return _WHOLE.search(source.text) is not None


def _read_with(plant: Path) -> set[Path]:
    """All files that are read with a plant."""
    return {(plant.parent / tree.source.path).resolve() for tree in read_texts(plant).trees}
