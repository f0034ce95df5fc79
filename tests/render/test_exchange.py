"""A set of files changes as a whole, whatever stops the change and whatever lies in the way."""

from __future__ import annotations

import fcntl
import json
import os
from pathlib import Path

import pytest

from render.exchange import JOURNAL, MANIFEST, Fresh, exchange

pytestmark = pytest.mark.forks

OLD, NEW = ("drawings.pdf", "a.svg", "b.svg"), ("drawings.pdf", "b.svg", "c.svg")
FORMS = ("svg", "pdf")


class Killed(BaseException):
    """The process ends here: nothing after it runs, no clearing up either."""


def put(folder: Path, names: tuple[str, ...], text: str) -> None:
    def write(fresh: Path) -> Fresh:
        for name in names:
            (fresh / name).write_text(text)
        return Fresh(names, names)

    exchange(folder, write, FORMS)


def held(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if path.suffix in (".svg", ".pdf")}


def others(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if path.suffix not in (".svg", ".pdf")}


def whole(names: tuple[str, ...], text: str) -> dict[str, str]:
    return dict.fromkeys(names, text)


def killed_at(step: int, folder: Path) -> bool:
    """Put the new set in a process of its own that ends at its `step`-th change of the folder; whether it came that far."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    done = 0

    def count(name: str) -> object:
        real = getattr(Path, name)

        def wrapped(self: Path, *args: object, **kwargs: object) -> object:
            nonlocal done
            done += 1
            if done == step:
                os._exit(9)
            return real(self, *args, **kwargs)

        return wrapped

    for name in ("replace", "unlink", "write_text", "chmod"):
        setattr(Path, name, count(name))
    put(folder, NEW, "new")
    os._exit(0)


def one(fresh: Path) -> Fresh:
    (fresh / "d.svg").write_text("next")
    return Fresh(["d.svg"], ["d.svg"])


def test_killed_at_any_step_the_old_set_stays_or_the_next_build_finds_the_new_one(tmp_path: Path) -> None:
    ends = set()
    for step in range(1, 60):
        folder = tmp_path / str(step)
        put(folder, OLD, "old")
        (folder / "note.txt").write_text("of the designer")
        if not killed_at(step, folder):
            break
        journal = (folder / JOURNAL).exists()
        if not journal:
            assert held(folder) in (whole(OLD, "old"), whole(NEW, "new"))
        exchange(folder, one, ())
        after = held(folder)
        assert after.pop("d.svg") == "next"
        assert after in (whole(OLD, "old"), whole(NEW, "new"))
        assert others(folder) == {"note.txt", MANIFEST}
        ends.add((journal, after == whole(NEW, "new")))
    else:
        pytest.fail("the change has no end")
    assert ends == {(False, False), (True, True)}


@pytest.mark.parametrize("name", [*NEW, MANIFEST])
@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_a_reader_holds_leaves_the_old_set(
    name: str, links: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path, OLD, "old")
    real = Path.replace
    failed = False

    def locked(self: Path, target: Path) -> Path:
        nonlocal failed
        if target.name == name and not failed:
            failed = True
            raise PermissionError(13, "in use")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", locked)
    if not links:
        monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError(95, "not supported")))
    with pytest.raises(PermissionError):
        put(tmp_path, NEW, "new")
    assert held(tmp_path) == whole(OLD, "old")
    assert others(tmp_path) == {MANIFEST}


def test_two_at_once_do_not_mix(tmp_path: Path) -> None:
    put(tmp_path, OLD, "old")
    other = os.open(tmp_path, os.O_RDONLY)
    fcntl.flock(other, fcntl.LOCK_EX)
    with pytest.raises(OSError, match="another build writes into it"):
        put(tmp_path, NEW, "new")
    assert held(tmp_path) == whole(OLD, "old")
    os.close(other)
    put(tmp_path, NEW, "new")
    assert held(tmp_path) == whole(NEW, "new")


@pytest.mark.parametrize("name", ["drawings.pdf", MANIFEST, JOURNAL])
def test_nothing_is_written_through_a_link(tmp_path: Path, name: str) -> None:
    folder, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    folder.mkdir()
    elsewhere.write_text("mine")
    (folder / name).symlink_to(elsewhere)
    if name == JOURNAL:  # ours alone, and left by nobody: it goes
        (folder / name).unlink()
        (folder / name).write_text("{")
        put(folder, NEW, "new")
        assert held(folder) == whole(NEW, "new")
    else:
        with pytest.raises(OSError, match="no plain file"):
            put(folder, NEW, "new")
    assert elsewhere.read_text() == "mine"


@pytest.mark.parametrize("name", ["drawings.pdf", MANIFEST])
def test_a_pipe_does_not_hold_a_build(tmp_path: Path, name: str) -> None:
    os.mkfifo(tmp_path / name)
    with pytest.raises(OSError, match="no plain file"):
        put(tmp_path, NEW, "new")


@pytest.mark.parametrize(
    "change",
    [
        {"from": "../elsewhere"},
        {"from": ".netdsl-new-x/../../elsewhere"},
        {"move": ["../mine.svg"]},
        {"remove": ["../mine.svg"]},
        {"remove": ["note.txt"]},
        {"list": [3]},
        {"move": "abc"},
    ],
)
def test_a_journal_that_came_with_a_folder_touches_nothing_else(tmp_path: Path, change: dict[str, object]) -> None:
    folder = tmp_path / "out"
    (folder / ".netdsl-new-x").mkdir(parents=True)
    for path in (tmp_path / "mine.svg", folder / "note.txt"):
        path.write_text("mine")
    journal = {"from": ".netdsl-new-x", "move": [], "remove": [], "list": []} | change
    (folder / JOURNAL).write_text(json.dumps(journal))
    put(folder, NEW, "new")
    assert held(folder) == whole(NEW, "new")
    assert (tmp_path / "mine.svg").read_text() == "mine"
    assert others(folder) == {"note.txt", MANIFEST}
