"""A set of files that changes as a whole: all is written in a fresh folder inside the target, listed in a journal, then moved.

Killed before the journal stands, a build leaves the old set; after that the next build finishes the move before its own. One
build at a time holds a folder, where the system can lock one.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from msgspec import Struct

from netdsl.held_folders import held
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


class Fresh(Struct, frozen=True):
    """A set that is ready to be put in place: the `names` of all its files, and those of them that are to be `moved`; the others
    are in their place already, as they are to be."""

    names: Sequence[str]
    moved: Sequence[str]


def exchange(folder: Path, write: Callable[[Path], Fresh], forms: Sequence[str]) -> None:
    """Put the files that `write` makes in the folder it is given into `folder` in place of the last set; files of the last set in
    `forms` (`svg`, `pdf`, `ttf`) that are no more are removed, those alone that its manifest names.

    Raises OSError where the folder cannot be written, another build holds it, or what stands in the way is no plain file.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with held([folder], "another build writes into it"):
        _finish(folder)
        for name in (MANIFEST, JOURNAL):
            refuse_unlike(folder / name)
        fresh = Path(tempfile.mkdtemp(prefix=_FRESH, dir=folder))
        try:
            made = write(fresh)
            for name in made.names:
                refuse_unlike(folder / name)
            bits = usual_bits()
            for name in made.moved:
                (fresh / name).chmod(bits)
            _move(folder, fresh, made, forms)
        finally:
            if not (folder / JOURNAL).exists():
                shutil.rmtree(fresh, ignore_errors=True)


def _move(folder: Path, fresh: Path, made: Fresh, forms: Sequence[str]) -> None:
    """Put the files of `fresh` in place of the last set; where one cannot be moved, as while a reader holds it, the last set is
    put back whole."""
    earlier, names = listed(folder / MANIFEST), set(made.names)
    stale = [name for name in earlier if name not in names and name.rsplit(".", 1)[-1] in forms]
    whole = sorted(names.union(earlier).difference(stale))
    sync(fresh)
    aside = _aside(folder, [*made.moved, *stale])
    try:
        _do(folder, {"from": fresh.name, "move": list(made.moved), "remove": stale, "list": whole})
    except BaseException:
        moved = [name for name in made.moved if not (fresh / name).exists()]
        gone = [name for name in stale if not (folder / name).exists()]
        back = [name for name in (*moved, *gone) if (aside / name).exists()]
        new = [name for name in moved if name not in set(back)]
        _do(folder, {"from": aside.name, "move": back, "remove": new, "list": earlier})
        raise
    finally:
        if not (folder / JOURNAL).exists():
            shutil.rmtree(aside, ignore_errors=True)


def _aside(folder: Path, names: Iterable[str]) -> Path:
    """A folder in `folder` with those of its files `names` that are there: the same files by other names, or copies."""
    aside = Path(tempfile.mkdtemp(prefix=_FRESH, dir=folder))
    for name in names:
        if (folder / name).exists():
            try:
                (aside / name).hardlink_to(folder / name)
            except OSError:  # not every system gives a file two names
                shutil.copy2(folder / name, aside / name)
    return aside


def _do(folder: Path, journal: dict[str, Any]) -> None:
    """Move and remove what a journal says, which stands in the folder whole before."""
    write_beside(folder / JOURNAL, json.dumps(journal).encode()).replace(folder / JOURNAL)
    sync(folder)
    _apply(folder, journal)


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
    try:
        manifest.chmod(usual_bits())
        manifest.replace(folder / MANIFEST)
    finally:
        manifest.unlink(missing_ok=True)
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


def listed(manifest: Path) -> list[str]:
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
