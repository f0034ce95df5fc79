"""What `netdsl git install` puts into one repository: how git shows and merges the texts of plants there."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.replacing import replace_file

#: what stands above a hunk: the function, or the block of the common part, that it lies in
HEADS = r"^[ \t]*((function|scheme|part|strip|cable|outside|project)[ \t].*)$"
ATTRIBUTES = "*.netdsl diff=netdsl merge=netdsl"
_TEXTCONV = "diff.netdsl.textconv"


def install(folder: Path, facts: bool) -> Iterator[str]:
    """Set it up in the repository around `folder`; what was done, line by line. `facts`: differences are shown as facts.

    Raises Refusal where there is no git, no repository, or a file in it cannot be written.
    """
    command = _command()
    values = {
        "diff.netdsl.xfuncname": HEADS,
        "merge.netdsl.name": "by statement and attribute",
        "merge.netdsl.driver": f"{command} git merge %O %A %B %L %P",
    }
    if facts:
        values[_TEXTCONV] = f"{command} git facts"
    for name, value in values.items():
        _git(folder, "config", "--local", name, value)
        yield f"set {name} = {value}"
    if not facts and _unset(folder, _TEXTCONV):
        yield f"took out {_TEXTCONV}"
    file = _attributes(folder)
    lines = _lines(file)
    if ATTRIBUTES in lines:
        yield f"{file} has `{ATTRIBUTES}` already"
        return
    _write(file, [*lines, ATTRIBUTES])
    yield f"added `{ATTRIBUTES}` to {file}"


def remove(folder: Path) -> Iterator[str]:
    """Take all of it out again; what was done. Raises as `install` does."""
    for section in ("diff.netdsl", "merge.netdsl"):
        if _git(folder, "config", "--local", "--remove-section", section, may_fail=True) is not None:
            yield f"took out {section}"
    file = _attributes(folder)
    lines = _lines(file)
    if ATTRIBUTES in lines:
        _write(file, [line for line in lines if line != ATTRIBUTES])
        yield f"took `{ATTRIBUTES}` out of {file}"


def _command() -> str:
    """How git is to call this program."""
    return "netdsl" if shutil.which("netdsl") else f"{shlex.quote(sys.executable)} -m netdsl.cli"


def _attributes(folder: Path) -> Path:
    """The file of attributes that is the repository's own and in no commit."""
    found = _git(folder, "rev-parse", "--git-path", "info/attributes")
    return Path(os.path.normpath(folder / os.fsdecode(found or b"").strip()))


def _lines(file: Path) -> list[str]:
    try:
        return file.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except FileNotFoundError:
        return []
    except OSError as error:
        raise Refusal(f"`{file}` cannot be read: {reason_of(error)}") from error


def _write(file: Path, lines: list[str]) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        replace_file(file, "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogateescape"))
    except OSError as error:
        raise Refusal(f"`{file}` cannot be written: {reason_of(error)}") from error


def _unset(folder: Path, name: str) -> bool:
    return _git(folder, "config", "--local", "--unset-all", name, may_fail=True) is not None


def _git(folder: Path, *arguments: str, may_fail: bool = False) -> bytes | None:
    """What git says; None where it refuses what may fail. Raises Refusal where it is not there, or refuses anything else."""
    try:
        done = subprocess.run(["git", "-C", str(folder), *arguments], capture_output=True, check=False)
    except OSError as error:
        raise Refusal(f"git cannot be run: {reason_of(error)}") from error
    if done.returncode == 0:
        return done.stdout
    if may_fail:
        return None
    inside = subprocess.run(["git", "-C", str(folder), "rev-parse", "--git-dir"], capture_output=True, check=False)
    if inside.returncode:
        raise Refusal(f"`{folder}` lies in no repository of git")
    said = " ".join(os.fsdecode(done.stderr).split())
    raise Refusal(f"git refuses: {said}")
