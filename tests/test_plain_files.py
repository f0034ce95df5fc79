"""What is read is a plain file of a size that a text can have; includes go so deep and no deeper."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netdsl.model import read_plant
from netdsl.plain_files import read_plain

HEAD = 'netdsl 1\n\nproject "P" {\n  number = "P-1"\n}\n'


def test_a_pipe_a_device_and_a_folder_are_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", tmp_path, Path("/dev/zero")):
        with pytest.raises(OSError, match=r"no plain file|[Ii]s a directory"):
            read_plain(path)


def test_a_file_may_be_so_large_and_no_larger(tmp_path: Path) -> None:
    file = tmp_path / "text"
    file.write_bytes(b"12345")
    assert read_plain(file, 5) == b"12345"
    with pytest.raises(OSError, match="more than 0 MB"):
        read_plain(file, 4)


def test_a_pipe_that_is_included_is_a_finding_at_its_line(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "plant.netdsl").write_text(HEAD + 'include "pipe"\n', "utf-8")
    _, [finding] = read_plant(tmp_path)
    assert (finding.rule, finding.span.begin[0]) == ("include-missing", 6)
    assert "no plain file" in finding.message


@pytest.mark.parametrize(("deep", "rules"), [(50, []), (51, ["include-missing"]), (500, ["include-missing"])])
def test_files_include_one_another_fifty_deep_at_most(tmp_path: Path, deep: int, rules: list[str]) -> None:
    (tmp_path / "plant.netdsl").write_text(HEAD + 'include "f1.netdsl"\n', "utf-8")
    for number in range(1, deep + 1):
        following = f'include "f{number + 1}.netdsl"\n' if number < deep else ""
        (tmp_path / f"f{number}.netdsl").write_text(f"netdsl 1\n\n{following}", "utf-8")
    assert [finding.rule for finding in read_plant(tmp_path)[1]] == rules
