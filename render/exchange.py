"""A set of files that changes as a whole: all is written in a fresh folder inside the target, listed in a journal, then moved.

Killed before the journal stands, a build leaves the old set; after that the next build finishes the move before its own. One
build at a time holds a folder, where the system can lock one.
"""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from netdsl.replacing import refuse_unlike, sync, usual_bits, write_beside

#: lists the files of the last build, so that the next one removes no others
MANIFEST = "netdsl-files.txt"
JOURNAL = ".netdsl-journal"
_FRESH = ".netdsl-new-"
_FRESH_NAME = re.compile(re.escape(_FRESH) + r"[A-Za-z0-9_]+")
#: what a set may hold: no name in a journal or manifest that is not such a one is touched
_OURS = re.compile(r"[^/\\\x00]+\.(?:svg|pdf|dxf|ttf|html|css|js)")
#: bytes of a journal or manifest beyond which it is none of ours
_LIMIT = 4 << 20
#: what file systems that know no locks, as some shares, answer to one
_NO_LOCKS = (errno.ENOLCK, errno.ENOTSUP, errno.EINVAL)


def exchange(folder: Path, names: Sequence[str], write: Callable[[Path], None], forms: Sequence[str]) -> None:
    """Put the files `names`, which `write` makes in the folder it is given, into `folder` in place of the last set; files of the
    last set in `forms` (`svg`, `pdf`, `ttf`) that are no more are removed, those alone that its manifest names.

    Raises OSError where the folder cannot be written, another build holds it, or what stands in the way is no plain file.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with _held(folder):
        _finish(folder)
        for name in (*names, MANIFEST, JOURNAL):
            refuse_unlike(folder / name)
        fresh = Path(tempfile.mkdtemp(prefix=_FRESH, dir=folder))
        try:
            write(fresh)
            for name in names:
                (fresh / name).chmod(usual_bits())
            _move(folder, fresh, names, forms)
        finally:
            if not (folder / JOURNAL).exists():
                shutil.rmtree(fresh, ignore_errors=True)


def _move(folder: Path, fresh: Path, names: Sequence[str], forms: Sequence[str]) -> None:
    earlier = _listed(folder / MANIFEST)
    stale = [name for name in earlier if name not in set(names) and name.rsplit(".", 1)[-1] in forms]
    kept = [name for name in earlier if name not in set(names) and name not in set(stale)]
    sync(fresh)
    journal = {"from": fresh.name, "move": list(names), "remove": stale, "list": sorted({*names, *kept})}
    write_beside(folder / JOURNAL, json.dumps(journal).encode()).replace(folder / JOURNAL)
    sync(folder)
    try:
        _apply(folder, journal)
    except OSError:
        if all(
            (fresh / name).exists() for name in names
        ):  # nothing moved yet, as where a reader holds the first: the old set stays
            (folder / JOURNAL).unlink(missing_ok=True)
        raise


def _finish(folder: Path) -> None:
    """Finish the move of a build that was stopped in it; sweep what others left that were stopped before."""
    journal = _journal(folder)
    if journal is not None:
        _apply(folder, journal)
    for left in folder.glob(f"{_FRESH}*"):
        if left.is_dir() and not left.is_symlink() and _FRESH_NAME.fullmatch(left.name):
            shutil.rmtree(left, ignore_errors=True)
    for left in (*folder.glob(JOURNAL), *folder.glob(f".{JOURNAL}.*"), *folder.glob(f".{MANIFEST}.*")):
        if left.is_file() and not left.is_symlink():
            left.unlink(missing_ok=True)


def _apply(folder: Path, journal: dict[str, Any]) -> None:
    """Move and remove what a journal says, as far as it is not done; done twice it is the same."""
    fresh = folder / journal["from"]
    for name in journal["move"]:
        with suppress(FileNotFoundError):  # moved before this build was stopped
            (fresh / name).replace(folder / name)
    for name in journal["remove"]:
        (folder / name).unlink(missing_ok=True)
    text = "".join(f"{name}\n" for name in journal["list"]).encode()
    manifest = write_beside(folder / MANIFEST, text)
    manifest.chmod(usual_bits())
    manifest.replace(folder / MANIFEST)
    (folder / JOURNAL).unlink(missing_ok=True)
    shutil.rmtree(fresh, ignore_errors=True)


def _journal(folder: Path) -> dict[str, Any] | None:
    """The journal of a stopped build; None without one, or where it is none that this program writes."""
    try:
        found = json.loads(_read(folder / JOURNAL) or "null")
    except ValueError:
        return None
    if not isinstance(found, dict) or set(found) != {"from", "move", "remove", "list"}:
        return None
    lists = [found[name] for name in ("move", "remove", "list")]
    if not isinstance(found["from"], str) or not all(isinstance(names, list) for names in lists):
        return None
    if not all(isinstance(name, str) and _OURS.fullmatch(name) for names in lists for name in names):
        return None
    fresh = folder / found["from"]
    return found if _FRESH_NAME.fullmatch(fresh.name) and fresh.is_dir() and not fresh.is_symlink() else None


def _listed(manifest: Path) -> list[str]:
    """Names in the manifest of an earlier build; only such as this program writes."""
    return [line for line in (_read(manifest) or "").splitlines() if _OURS.fullmatch(line)]


def _read(path: Path) -> str | None:
    """The text of a plain file of a size that ours may have; None for any other."""
    try:
        if refuse_unlike(path) is None or path.stat().st_size > _LIMIT:
            return None
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


@contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Hold a folder against other builds: the folder itself is locked, so that nothing is left behind."""
    try:
        import fcntl
    except ImportError:  # a system without such locks
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise OSError(errno.EBUSY, "another build writes into it") from None
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise
        yield
    finally:
        os.close(handle)
