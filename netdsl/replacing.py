"""Files replaced whole or not at all: written beside, brought to the disk, moved into place; links and devices are refused. Where
several change together a journal lets the next run finish what one that was stopped began."""

from __future__ import annotations

import errno
import json
import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from netdsl.plain_files import read_plain

_BITS = 0o7777
#: says in the folder of a plant what a run that was stopped had yet to move
JOURNAL = ".netdsl-replacing"
#: what the texts of a plant end with; a journal moves no others
SUFFIX = ".netdsl"
#: bytes of a journal beyond which it is none of ours; characters of a name that its file beside it keeps
_LIMIT, _SHOWN = 4 << 20, 100


class NotReplaceable(OSError):
    """What stands at the target is no plain file of its own."""


def replace_file(target: Path, data: bytes) -> None:
    """Put `data` in place of what `target` holds, keeping its permissions and owner; a new file gets the usual ones.

    Raises NotReplaceable where a link, a device, a folder or a file of several names stands there, OSError where it cannot be
    written; nothing is changed then.
    """
    replace_files({target: data})


def replace_files(files: Mapping[Path, bytes], folder: Path | None = None) -> None:
    """The same for several: none is moved into place before all are written. Raises as `replace_file` does.

    `folder`: in which all of them lie. While they are moved a journal there says what belongs where: stopped between two,
    some are old and some new, and `finish_replacing` goes on.
    """
    journal = folder / JOURNAL if folder is not None and len(files) > 1 else None
    beside: dict[Path, Path] = {}
    try:
        for target, data in files.items():
            before = refuse_unlike(target)
            beside[target] = write_beside(target, data)
            _make_alike(beside[target], before)
        if journal is not None and folder is not None:
            refuse_unlike(journal)
            moves = [[path.relative_to(folder).as_posix() for path in (beside[target], target)] for target in files]
            write_beside(journal, json.dumps(moves).encode()).replace(journal)
            sync(folder)
        for target, path in beside.items():
            path.replace(target)
        for each in {target.parent for target in files}:
            sync(each)
    finally:
        if journal is None or all(path.exists() for path in beside.values()) or not any(map(Path.exists, beside.values())):
            if journal is not None:
                journal.unlink(missing_ok=True)
            for path in beside.values():
                path.unlink(missing_ok=True)


def finish_replacing(folder: Path) -> tuple[Path, ...]:
    """Move into place what a run that was stopped left beside, by its journal in `folder`; the files that are whole now.

    A journal that this program did not write is left alone. Raises OSError where a file cannot be moved.
    """
    journal = folder / JOURNAL
    if not journal.exists():
        return ()
    moves = _moves(journal)
    for fresh, target in moves:
        with suppress(FileNotFoundError):  # moved before that run was stopped
            fresh.replace(target)
    for each in {target.parent for _, target in moves}:
        sync(each)
    if moves:
        journal.unlink(missing_ok=True)
    return tuple(target for _, target in moves)


def _moves(journal: Path) -> list[tuple[Path, Path]]:
    """What a journal says belongs where; nothing where it is none that this program writes: texts of plants in its folder alone,
    each beside its target and called after it."""
    try:
        found = json.loads(read_plain(journal, _LIMIT))
        pairs = [(journal.parent / fresh, journal.parent / target) for fresh, target in found]
    except (OSError, ValueError, TypeError):
        return []
    root = journal.parent.resolve()
    for fresh, target in pairs:
        named = fresh.name.startswith(f".{target.name[:_SHOWN]}.") and target.name.endswith(SUFFIX)
        inside = target.parent.resolve().is_relative_to(root) and fresh.parent == target.parent and ".." not in target.parts
        if not named or not inside or fresh.is_symlink() or target.is_symlink():
            return []
    return pairs


def refuse_unlike(target: Path) -> os.stat_result | None:
    """What is known of the file at `target`, None where there is none. Raises NotReplaceable where it is no plain file: writing
    would follow a link to elsewhere, stop at a pipe, or part a file from its other names."""
    try:
        found = target.lstat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(found.st_mode):
        raise NotReplaceable(errno.EEXIST, "it is a link, a folder or a device, and no plain file")
    if found.st_nlink > 1:
        raise NotReplaceable(errno.EMLINK, f"it has {found.st_nlink} names on this disk, and writing it anew would part them")
    return found


def write_beside(target: Path, data: bytes) -> Path:
    """A file of a fresh name in the folder of `target` with `data`, brought to the disk; its path."""
    # a name that nobody can have prepared, opened for this process alone
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:_SHOWN]}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def sync(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the system can."""
    with suppress(OSError):  # not every system opens folders
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def usual_bits() -> int:
    """The permissions that a new file gets."""
    mask = os.umask(0)  # told only by setting it
    os.umask(mask)
    return 0o666 & ~mask


def _make_alike(path: Path, before: os.stat_result | None) -> None:
    """Permissions and owner as they were."""
    path.chmod(usual_bits() if before is None else before.st_mode & _BITS)
    if before is not None and hasattr(os, "chown") and (before.st_uid, before.st_gid) != (os.geteuid(), os.getegid()):
        with suppress(OSError):  # who may not give files away keeps them
            os.chown(path, before.st_uid, before.st_gid)
            path.chmod(before.st_mode & _BITS)
