"""An earlier state of a plant: another folder or file, or a revision of git."""

from __future__ import annotations

import io
import os
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.work import PLANT_FILE, connect, plant_file
from netdsl.network.types import Network

#: plants named where the one that is asked for is not there
_NAMED = 4


def earlier_plant(since: str, file: Path) -> Network:
    """The plant of `file` as it was: in the file or folder that `since` names, else at that revision of git.

    Raises Refusal where neither is there, or the text of then gives no plant.
    """
    with state_at(since, file) as found:
        network = connect(found).network
    if network is None:
        raise Refusal(f"the text at `{since_words(since)}` gives no plant: `netdsl check` there says why")
    return network


@contextmanager
def state_at(given: str, file: Path | None = None) -> Iterator[Path]:
    """The file of a plant for as long as it is read: of the file or folder `given`, else of `REV:path` in the repository of git
    around the path, or of `file` at the revision `given`.

    Raises Refusal where none of these is there.
    """
    path = Path(given)
    try:
        there = path.exists()
    except (OSError, ValueError):
        there = False
    if there:
        yield plant_file(path)
        return
    revision, colon, within = given.partition(":")
    if colon:
        wanted = Path(within or ".")
    elif file is not None:
        revision, wanted = given, file
    else:
        raise Refusal(f"`{since_words(given)}` is neither a file nor a folder, nor `REV:path` of a repository of git")
    with tempfile.TemporaryDirectory(prefix="netdsl-since-") as folder:
        yield _at_revision(revision, wanted.resolve(), Path(folder))


def _unpack(archive: tarfile.TarFile, folder: Path) -> None:
    """Unpack what git packed: files, folders and links, none of which leads out of `folder`. Raises TarError where one does."""
    for member in archive:
        if member.issym() and not (folder / member.name).parent.joinpath(member.linkname).resolve().is_relative_to(
            folder.resolve()
        ):
            raise tarfile.TarError(f"the link `{member.name}` leads out of the repository")
    if hasattr(tarfile, "data_filter"):
        archive.extractall(folder, filter="data")
    else:  # Python before 3.11.4; git packs no name that leads out
        archive.extractall(folder)


def _at_revision(revision: str, wanted: Path, folder: Path) -> Path:
    """The plant's file at a revision of the repository that `wanted`, a file or folder, lies in, with all that lies beside it,
    unpacked into `folder`."""
    neither = f"`{since_words(revision)}` is neither a file nor a folder, nor a revision of git that `{wanted.name}` is in"
    near = next(each for each in (wanted, *wanted.parents) if each.is_dir())  # a folder that is no more is in the revision still
    top = Path(os.fsdecode(_git(near, f"{neither}: it lies in no repository", "rev-parse", "--show-toplevel")).strip())
    unknown = f"{neither}: the repository has no such revision"
    commit = _git(top, unknown, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}").decode().strip()
    packed = _git(top, neither, "archive", "--format=tar", commit)
    try:
        with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
            _unpack(archive, folder)
    except tarfile.TarError as error:
        raise Refusal(f"`{since_words(revision)}` holds files that cannot be unpacked: {error}") from error
    found = folder / wanted.relative_to(top.resolve())
    found = found / PLANT_FILE if found.is_dir() else found
    if not found.is_file():
        there = sorted(each.relative_to(folder).parent.as_posix() for each in folder.rglob(PLANT_FILE))
        named = ", ".join(f"`{each}`" for each in there[:_NAMED]) + (" and more" if len(there) > _NAMED else "")
        elsewhere = f": plants were in {named} of the repository, which REV:path names" if there else ""
        missing = f"`{wanted.name}` is not there at `{since_words(revision)}`, or holds no {PLANT_FILE} there"
        raise Refusal(f"{missing}{elsewhere}")
    return found


def since_words(revision: str) -> str:
    """What was asked for, in one line."""
    return " ".join(revision.split())


def _git(folder: Path, otherwise: str, *arguments: str) -> bytes:
    """What git says; `Refusal` with `otherwise` where it refuses or is not there."""
    try:
        return subprocess.run(["git", "-C", str(folder), *arguments], capture_output=True, check=True).stdout
    except OSError as error:
        raise Refusal(f"{otherwise.partition(':')[0]}: git cannot be run: {reason_of(error)}") from error
    except subprocess.CalledProcessError as error:
        raise Refusal(otherwise) from error
