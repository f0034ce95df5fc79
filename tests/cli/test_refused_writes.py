"""Where nothing can be written each command that writes says so in one line, leaves with 2, and leaves all files as they are."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path
from typing import NoReturn

import pytest

from netdsl.cli import main, progress
from tests.fuzz.rewritten import REWRITES, put, texts
from tests.signal_box import PLANT

WRITES = (
    *("build .|build . --format dxf|calc . --format pdf -o c.pdf|calc . --format csv -o c.csv|calc . --format xlsx".split("|")),
    *("table parts . --format csv -o p.csv|table parts . --format xlsx|view . --export pages".split("|")),
    *("compare before.netdsl . --draw marked|new begun --empty".split("|")),
)
REASONS = (errno.ENOSPC, errno.EROFS, errno.EACCES)


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def refused(command: str, number: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Run a command in the folder that is the current one, in which nothing can be written for the reason of a number."""
    before = files(Path.cwd())

    def refuse(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch, pytest.raises(SystemExit) as left:
        for owner, name in ((tempfile, "mkstemp"), (tempfile, "mkdtemp"), (Path, "mkdir"), (Path, "write_text")):
            patch.setattr(owner, name, refuse)
        patch.setattr(progress, "PATIENCE_S", 1e6)
        main(command.split())
    said = [line for line in capsys.readouterr().err.splitlines() if line.startswith("netdsl: ")]
    assert left.value.code == 2
    assert [os.strerror(number).lower() in line for line in said] == [True] * (4 if command.startswith("format") else 1), said
    assert files(Path.cwd()) == before


@pytest.mark.parametrize(("number", "command"), [*enumerate(WRITES)])
def test_what_is_written_anew(
    number: int, command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, {"plant.netdsl": PLANT, "before.netdsl": PLANT.replace("-H1", "-H2")})
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("NETDSL_CACHE", "")
    refused(command, REASONS[number % 3], monkeypatch, capsys)


@pytest.mark.parametrize(("number", "what"), [*enumerate(REWRITES)])
def test_what_is_rewritten(
    number: int, what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, texts(what))
    monkeypatch.chdir(tmp_path)
    refused(REWRITES[what], REASONS[number % 3], monkeypatch, capsys)
