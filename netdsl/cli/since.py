"""An earlier state of a plant: another folder or file, or a revision of git."""

from __future__ import annotations

import io
import subprocess
import tarfile
import tempfile
from pathlib import Path

from netdsl.cli.refusal import Refusal
from netdsl.cli.work import connect, plant_file
from netdsl.network.types import Network


def earlier_plant(since: str, file: Path) -> Network:
    """The plant of `file` as it was: in the file or folder that `since` names, else at that revision of git.

    Raises Refusal where neither is there, or the text of then gives no plant.
    """
    path = Path(since)
    if path.exists():
        return _network(plant_file(path), since)
    with tempfile.TemporaryDirectory(prefix="netdsl-since-") as folder:
        return _network(_at_revision(since, file.resolve(), Path(folder)), since)


def _network(file: Path, since: str) -> Network:
    network = connect(file).network
    if network is None:
        raise Refusal(f"the text at `{since}` gives no plant: `netdsl check` there says why")
    return network


def _at_revision(revision: str, file: Path, folder: Path) -> Path:
    """The plant's file at a revision of the repository it lies in, with all that lies beside it, unpacked into `folder`."""
    neither = f"`{since_words(revision)}` is neither a file nor a folder, nor a revision of git that `{file.name}` is in"
    top = Path(_git(file.parent, neither, "rev-parse", "--show-toplevel").decode().strip())
    commit = _git(top, neither, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}").decode().strip()
    packed = _git(top, neither, "archive", "--format=tar", commit)
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        archive.extractall(folder, filter="data")
    found = folder / file.relative_to(top.resolve())
    if not found.is_file():
        raise Refusal(f"`{file.name}` is not there at `{revision}`")
    return found


def since_words(revision: str) -> str:
    """What was asked for, in one line."""
    return " ".join(revision.split())


def _git(folder: Path, otherwise: str, *arguments: str) -> bytes:
    """What git says; `Refusal` with `otherwise` where it refuses or is not there."""
    try:
        return subprocess.run(["git", "-C", str(folder), *arguments], capture_output=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError) as error:
        raise Refusal(otherwise) from error
