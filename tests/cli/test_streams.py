"""Whatever the streams of a command are, it ends without a traceback, and with the exit code that its work has.

Each command meets two kinds of streams by default, `NETDSL_STREAMS=all` every one.
"""

from __future__ import annotations

import os
import pwd
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

from netdsl.cli.entry import main
from tests import signal_box
from tests.forked import said_by_copy, written_anew

pytestmark = pytest.mark.forks

#: with letters that not every stream knows
PLANT = signal_box.PLANT.replace("Signal", "Größe Ω 水", 1)
#: each command as it is called in a folder with two plants
COMMANDS = (
    *("check plant.netdsl|check --format json plant.netdsl".split("|")),
    *("check --fix --yes plant.netdsl|show plant.netdsl -H1|calc plant.netdsl".split("|")),
    *("states plant.netdsl|size plant.netdsl|build plant.netdsl --format svg --list|facts plant.netdsl".split("|")),
    *("compare other.netdsl plant.netdsl|verify plant.netdsl 1234|table parts plant.netdsl|table".split("|")),
    *("format --check odd.netdsl|rename --show plant.netdsl -H1 -H2|unfold plant.netdsl|explain clearance-short".split("|")),
    *("new begun|check nowhere|nonsense|--help".split("|")),
)


def closed(*numbers: int) -> Callable[[], None]:
    def do() -> None:
        for number in numbers:
            os.close(number)
        if 1 in numbers:
            sys.stdout = None  # type: ignore[assignment]  # as Python itself has it
        if 2 in numbers:
            sys.stderr = None  # type: ignore[assignment]

    return do


def gone() -> None:
    read, write = os.pipe()
    os.close(read)
    os.dup2(write, 1)
    written_anew()


def full() -> None:
    for number in (1, 2):
        os.dup2(os.open("/dev/full", os.O_WRONLY), number)
    written_anew()


def bare() -> None:
    """No home, no locale, a terminal that knows ASCII alone."""
    for name in ("HOME", "XDG_CACHE_HOME", "NETDSL_CACHE", "LANG", "TERM", "USER"):
        os.environ.pop(name, None)
    pwd.getpwuid = nobody
    written_anew("ascii")


def nobody(number: int) -> NoReturn:
    """The system knows of no such user, nor of a home whose finished sheets would be taken and changed."""
    raise KeyError(number)


#: what is done to a command before it begins, and whether it still does its work: what cannot be printed was not done
WAYS: dict[str, tuple[Callable[[], None], bool]] = {
    "standard output closed": (closed(1), True),
    "all closed": (closed(0, 1, 2), True),
    "nobody reads": (gone, False),
    "written to a full disk": (full, False),
    "bare": (bare, True),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in (("plant", PLANT), ("other", PLANT.replace("-S1", "-S7")), ("odd", PLANT.replace(" at", "   at"))):
        (tmp_path / f"{name}.netdsl").write_text(text, "utf-8")
    return tmp_path


@pytest.mark.parametrize(("number", "command"), [*enumerate(COMMANDS)])
def test_streams_change_no_outcome(
    number: int, command: str, folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ways = [*WAYS] if os.environ.get("NETDSL_STREAMS") == "all" else [[*WAYS][(number + far) % len(WAYS)] for far in (0, 2)]
    places = [folder / str(each) for each in range(len(ways) + 1)]
    for place in places:
        place.mkdir()
        for file in folder.glob("*.netdsl"):
            (place / file.name).write_bytes(file.read_bytes())
    monkeypatch.setenv("NETDSL_CACHE", "")
    monkeypatch.chdir(places.pop())
    with pytest.raises(SystemExit) as left:  # here, so that what it stands on is loaded for the others too
        main(command.split())
    usual, out = left.value.code, capsys.readouterr().out
    for place, way in zip(places, ways, strict=True):
        before, works = WAYS[way]
        code, _, said = said_by_copy(command.split(), place, before)
        assert not any(word in said for word in (b"Traceback", b"fault in netdsl", b"Exception")), (way, said)
        assert code == (usual if works or not out else 2), (way, code, said)
