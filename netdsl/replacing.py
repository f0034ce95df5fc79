"""Files replaced whole or not at all: written beside, brought to the disk, moved into place; links and devices are refused."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

_BITS = 0o7777


class NotReplaceable(OSError):
    """What stands at the target is no plain file of its own."""


def replace_file(target: Path, data: bytes) -> None:
    """Put `data` in place of what `target` holds, keeping its permissions and owner; a new file gets the usual ones.

    Raises NotReplaceable where a link, a device, a folder or a file of several names stands there, OSError where it cannot be
    written; nothing is changed then.
    """
    replace_files({target: data})


def replace_files(files: Mapping[Path, bytes]) -> None:
    """The same for several: none is moved into place before all are written. Raises as `replace_file` does."""
    beside: dict[Path, Path] = {}
    try:
        for target, data in files.items():
            before = refuse_unlike(target)
            beside[target] = write_beside(target, data)
            _make_alike(beside[target], before)
        for target, path in beside.items():
            path.replace(target)
        for folder in {target.parent for target in files}:
            sync(folder)
    finally:
        for path in beside.values():
            path.unlink(missing_ok=True)


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
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:100]}.")
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
