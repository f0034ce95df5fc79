"""Files are replaced whole, and nothing that is no plain file of its own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netdsl.replacing import NotReplaceable, replace_file, replace_files


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
