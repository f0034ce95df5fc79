"""Files replaced whole or not at all: written beside, brought to the disk, moved into place; links and devices are refused. Where
several change together a journal lets the next run finish what one that was killed began."""

from __future__ import annotations

import errno
import json
import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from netdsl.held_folders import held
from netdsl.plain_files import read_plain

_BITS = 0o7777
#: says in the folder of a plant what a run that was killed had yet to move
JOURNAL = ".netdsl-replacing"
#: what the texts of a plant end with; a journal moves no others
SUFFIX = ".netdsl"
#: what a file ends with that is to be moved into place, and is swept where no run is left to do it
FRESH = ".netdsl-new"
#: bytes of a journal beyond which it is none of ours; characters of a name that its file beside it keeps
_LIMIT, _SHOWN = 4 << 20, 100


class NotReplaceable(OSError):
    """What stands at the target is no plain file of its own."""


class Finished(NamedTuple):
    """What a run that was killed was writing: the files that are `whole` now, and those `left` as they are, as somebody wrote to
    them in the meantime."""

    whole: tuple[Path, ...] = ()
    left: tuple[Path, ...] = ()


class _Move(NamedTuple):
    """A file beside its target, and the check sum of what the target held, "" where it was not there."""

    fresh: Path
    target: Path
    before: str


def replace_file(target: Path, data: bytes) -> None:
    """Put `data` in place of what `target` holds, keeping its permissions and owner; a new file gets the usual ones.

    Raises NotReplaceable where a link, a device, a folder or a file of several names stands there, OSError where it cannot be
    written; nothing is changed then.
    """
    replace_files({target: data})


def replace_files(files: Mapping[Path, bytes], folder: Path | None = None) -> None:
    """The same for several: none is moved into place before all are written, and where one cannot be, those before it are put
    back. Raises as `replace_file` does.

    `folder`: in which all of them lie. While they are moved a journal there says what belongs where: killed between two,
    some are old and some new, and `finish_replacing` goes on.
    """
    parents = {target.parent for target in files}
    journal = folder / JOURNAL if folder is not None and len(files) > 1 else None
    with held(parents if folder is None else {*parents, folder}):
        for each in parents:
            _sweep(each)
        moves: list[_Move] = []
        aside: dict[Path, Path] = {}
        settled = True
        try:
            for target, data in files.items():
                found = refuse_unlike(target)
                moves.append(_Move(write_beside(target, data), target, _sum_of(target) if journal else ""))
                _make_alike(moves[-1].fresh, found)
                if found is not None and len(files) > 1:
                    aside[target] = write_beside(target, target.read_bytes())
                    _make_alike(aside[target], found)
            if journal is not None:
                _keep(journal, moves)
            settled = False
            try:
                for move in moves:
                    move.fresh.replace(move.target)
            except BaseException:
                _put_back([move for move in moves if not move.fresh.exists()], aside, journal)
                settled = True
                raise
            settled = True
            for each in parents:
                sync(each)
        finally:
            if settled:
                for path in (*([journal] if journal else []), *(move.fresh for move in moves), *aside.values()):
                    path.unlink(missing_ok=True)


def _put_back(moved: list[_Move], aside: Mapping[Path, Path], journal: Path | None) -> None:
    """Put back what stood where files were moved to; `aside` has it. Killed meanwhile, the next run goes on with that."""
    back = [_Move(aside[move.target], move.target, _sum_of(move.target)) for move in moved if move.target in aside]
    if journal is not None:
        with suppress(OSError):  # as where the disk is full: then without
            _keep(journal, back)
    for move in back:
        move.fresh.replace(move.target)
    for move in moved:
        if move.target not in aside:
            move.target.unlink(missing_ok=True)


def finish_replacing(folder: Path) -> Finished:
    """Move into place what a run that was killed left beside, by its journal in `folder`, and sweep what else it left there.

    A journal that this program did not write is left alone. Raises OSError where a file cannot be moved.
    """
    if not (folder / JOURNAL).exists() and not _left_in(folder):
        return Finished()
    with held({folder}):
        moves = _moves(folder / JOURNAL)
        whole, left = [], []
        for move in moves:
            if move.fresh.exists() and _sum_of(move.target) != move.before:
                left.append(move.target)
                continue
            with suppress(FileNotFoundError):  # moved before that run was killed
                move.fresh.replace(move.target)
            whole.append(move.target)
        parents = {folder, *(move.target.parent for move in moves)}
        if moves:
            for each in parents:
                sync(each)
            (folder / JOURNAL).unlink(missing_ok=True)
        for each in parents:
            _sweep(each)
    return Finished(tuple(whole), tuple(left))


def _keep(journal: Path, moves: list[_Move]) -> None:
    """Write a journal of moves."""
    refuse_unlike(journal)
    folder = journal.parent
    listed = [
        [move.fresh.relative_to(folder).as_posix(), move.target.relative_to(folder).as_posix(), move.before] for move in moves
    ]
    write_beside(journal, json.dumps(listed).encode()).replace(journal)
    sync(folder)


def _moves(journal: Path) -> list[_Move]:
    """What a journal says belongs where; nothing without one, or where it is none that this program writes: texts of plants in
    its folder alone, each beside its target and called after it."""
    try:
        found = json.loads(read_plain(journal, _LIMIT))
        moves = [_Move(journal.parent / fresh, journal.parent / target, str(before)) for fresh, target, before in found]
    except (OSError, ValueError, TypeError):
        return []
    root = journal.parent.resolve()
    for fresh, target, _ in moves:
        named = fresh.name.startswith(f".{target.name[:_SHOWN]}.") and fresh.name.endswith(FRESH)
        inside = target.parent.resolve().is_relative_to(root) and fresh.parent == target.parent and ".." not in target.parts
        if not named or not inside or not target.name.endswith(SUFFIX) or fresh.is_symlink() or target.is_symlink():
            return []
    return moves


def _left_in(folder: Path) -> list[Path]:
    """Files of a folder that were to be moved into place; none where it may not be listed."""
    with suppress(PermissionError), os.scandir(folder) as entries:
        named = [each for each in entries if each.name.startswith(".") and each.name.endswith(FRESH)]
        return [folder / each.name for each in named if each.is_file(follow_symlinks=False)]
    return []


def _sweep(folder: Path) -> None:
    """Remove what runs that were killed left in a folder that is held, unless a journal there or above says where it belongs."""
    if not any(_moves(each / JOURNAL) for each in (folder, *folder.absolute().parents)):
        with suppress(OSError):  # it disturbs nobody
            for path in _left_in(folder):
                path.unlink(missing_ok=True)


def _sum_of(path: Path) -> str:
    """Check sum of what a file holds, "" where there is none."""
    try:
        return sha256(read_plain(path)).hexdigest()
    except FileNotFoundError:
        return ""


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
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:_SHOWN]}.", suffix=FRESH)
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
