"""Files are replaced whole, and nothing that is no plain file of its own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netdsl.replacing import Finished, NotReplaceable, finish_replacing, replace_file, replace_files

pytestmark = pytest.mark.forks


def test_permissions_stay_and_nothing_is_left_beside(tmp_path: Path) -> None:
    target = tmp_path / "plant.netdsl"
    target.write_text("old")
    target.chmod(0o640)
    replace_file(target, b"new")
    assert (target.read_text(), target.stat().st_mode & 0o777) == ("new", 0o640)
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_a_pipe_a_folder_and_a_file_of_two_names_are_refused(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.write_text("mine")
    link, pipe, folder, other = (tmp_path / name for name in ("link", "pipe", "folder", "other"))
    link.symlink_to(mine)
    os.mkfifo(pipe)
    folder.mkdir()
    for target in (link, pipe, folder):
        with pytest.raises(NotReplaceable, match="no plain file"):
            replace_file(target, b"new")
    os.link(mine, other)
    with pytest.raises(NotReplaceable, match="2 names"):
        replace_file(other, b"new")
    assert mine.read_text() == "mine"


def test_of_several_none_is_moved_before_all_are_written(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_text("old")
    other.mkdir()
    with pytest.raises(NotReplaceable):
        replace_files({one: b"new", other: b"new"})
    assert one.read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one", "other"]


def moved_up_to(second: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException | None) -> None:
    """From now on `second` cannot be moved into place: an error is raised, or the process ends."""
    real = Path.replace

    def replace(self: Path, target: Path) -> Path:
        if target == second and ".second." in self.name:
            if error is None:
                os._exit(9)
            raise error
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    for name in ("first.netdsl", "second.netdsl"):
        (tmp_path / name).write_text("old")
    return tmp_path


def texts(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir()}


@pytest.mark.parametrize("error", [PermissionError(13, "in use"), OSError(28, "no space left on device"), KeyboardInterrupt()])
def test_where_one_of_several_cannot_be_moved_those_before_it_are_put_back(
    plant: Path, error: BaseException, monkeypatch: pytest.MonkeyPatch
) -> None:
    moved_up_to(plant / "second.netdsl", monkeypatch, error)
    with pytest.raises(type(error)):
        replace_files({plant / name: b"new" for name in ("first.netdsl", "second.netdsl")}, plant)
    assert texts(plant) == {"first.netdsl": "old", "second.netdsl": "old"}


def killed_between(plant: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    child = os.fork()
    if child == 0:
        moved_up_to(plant / "second.netdsl", monkeypatch, None)
        replace_files({plant / name: b"new" for name in ("first.netdsl", "second.netdsl")}, plant)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert (plant / "first.netdsl").read_text() == "new"
    assert (plant / "second.netdsl").read_text() == "old"


def test_what_a_killed_run_had_yet_to_move_is_moved_by_the_next_and_nothing_stays_beside(
    plant: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    killed_between(plant, monkeypatch)
    assert finish_replacing(plant) == Finished((plant / "first.netdsl", plant / "second.netdsl"))
    assert texts(plant) == {"first.netdsl": "new", "second.netdsl": "new"}


def test_what_somebody_wrote_since_a_run_was_killed_stays(plant: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    killed_between(plant, monkeypatch)
    (plant / "second.netdsl").write_text("by hand")
    assert finish_replacing(plant) == Finished((plant / "first.netdsl",), (plant / "second.netdsl",))
    assert texts(plant) == {"first.netdsl": "new", "second.netdsl": "by hand"}


def test_what_a_run_left_that_was_killed_before_it_moved_anything_goes_and_what_is_nobodys_stays(plant: Path) -> None:
    (plant / ".first.netdsl.abc.netdsl-new").write_text("half")
    (plant / ".mine").write_text("mine")
    (plant / "first.netdsl-new").write_text("mine")
    assert finish_replacing(plant) == Finished()
    assert sorted(texts(plant)) == [".mine", "first.netdsl", "first.netdsl-new", "second.netdsl"]


def test_a_file_below_is_not_swept_while_a_journal_above_has_it_to_move(plant: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (plant / "below").mkdir()
    files = [plant / "first.netdsl", plant / "below" / "second.netdsl"]
    files[1].write_text("old")
    child = os.fork()
    if child == 0:
        moved_up_to(files[1], monkeypatch, None)
        replace_files(dict.fromkeys(files, b"new"), plant)
    os.waitpid(child, 0)
    replace_file(plant / "below" / "other.netdsl", b"other")
    finish_replacing(plant)
    assert texts(plant / "below") == {"second.netdsl": "new", "other.netdsl": "other"}
