"""`netdsl rename` and `netdsl renumber`: only words change, several files together or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.replacing import JOURNAL
from tests.cases import each_of

PLANT = (
    'netdsl 1\r\ninclude "more.netdsl"\r\nplace +P kind=cabinet\r\n'
    "strip -X1   at=+P {\r\n  :1..4\t2.5mm2 # here\r\n}\r\nwire -X1:1 to -X1:3 1mm2 BU"
)
MORE = "\ufeffnetdsl 1\nwire -X1:2   to -X1:4 1mm2 BU  # Ünter\n"


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    assert isinstance(left.value.code, int)
    return left.value.code


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    (tmp_path / "plant.netdsl").write_bytes(PLANT.encode())
    (tmp_path / "more.netdsl").write_bytes(MORE.encode())
    return tmp_path


def test_line_ends_blanks_remarks_and_the_mark_of_the_file_stay(plant: Path) -> None:
    assert run("rename", str(plant), "-X1", "-X9") == 0
    assert (plant / "plant.netdsl").read_bytes() == PLANT.replace("-X1", "-X9").encode()
    assert (plant / "more.netdsl").read_bytes() == MORE.replace("-X1", "-X9").encode()
    assert sorted(path.name for path in plant.iterdir()) == ["more.netdsl", "plant.netdsl"]


def test_a_terminal_is_inserted_in_all_files(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("renumber", str(plant), "-X1", "--insert", "2") == 0
    assert (plant / "more.netdsl").read_text(encoding="utf-8-sig") == MORE[1:].replace(":2", ":3").replace(":4", ":5")
    assert ":1..5\t2.5mm2 # here" in (plant / "plant.netdsl").read_text()
    assert "4 words changed, the plant is the same but for the names" in capsys.readouterr().out


def test_shown_is_not_written(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("renumber", str(plant), "-X1", "3..4", "13", "--show") == 0
    assert "+wire -X1:1 to -X1:13 1mm2 BU" in capsys.readouterr().out.splitlines()
    assert (plant / "plant.netdsl").read_bytes() == PLANT.encode()


@each_of(
    ("arguments", "reason"),
    [
        (("rename", "-X1:1", "-X1:2"), "nothing is renamed: `-X1` has a terminal 2 already, at plant.netdsl:5"),
        (("renumber", "-X1", "1..2", "3"), "nothing is renumbered: `-X1` has a terminal 3 already, at plant.netdsl:5"),
        (("renumber", "-X1", "--insert", "9"), "nothing is renumbered: `-X1` has neither terminal 9 nor 8"),
        (("renumber", "-X2", "--insert", "9"), "nothing is renumbered: no strip is called `-X2`: did you mean `-X1`?"),
        (("renumber", "-X1", "4..1", "9"), "nothing is renumbered: `4..1` to `9` is no range of terminals"),
    ],
)
def test_refused_with_the_reason_and_nothing_written(
    plant: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], reason: str
) -> None:
    assert run(arguments[0], str(plant), *arguments[1:]) == 2
    assert reason in capsys.readouterr().err
    assert (plant / "plant.netdsl").read_bytes() == PLANT.encode()


def test_what_was_stopped_between_two_files_is_finished_by_the_next_command(
    plant: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    moves, before = [], Path.replace

    def stopping(self: Path, target: Path) -> Path:
        if target.suffix == ".netdsl":
            moves.append(target.name)
        if len(moves) == 2:
            raise SystemExit(9)  # as where the machine stops
        return before(self, target)

    monkeypatch.setattr(Path, "replace", stopping)
    assert run("rename", str(plant), "-X1", "-X9") == 9
    monkeypatch.undo()
    states = {name: b"-X9" in (plant / name).read_bytes() for name in ("plant.netdsl", "more.netdsl")}
    assert sorted(states.values()) == [False, True] and (plant / JOURNAL).exists()
    assert run("facts", str(plant)) == 0
    assert "is what a run that was stopped was writing" in capsys.readouterr().err
    assert (plant / "more.netdsl").read_bytes() == MORE.replace("-X1", "-X9").encode()
    assert sorted(path.name for path in plant.iterdir()) == ["more.netdsl", "plant.netdsl"]


@each_of(
    "journal",
    [
        "",
        "[]",
        "null",
        '[["../.plant.netdsl.x.netdsl-new", "../plant.netdsl", ""]]',
        '[[".a.b.netdsl-new", "a", ""]]',
        '[["more.netdsl", "plant.netdsl", ""]]',
        "[[1, 2, 3]]",
    ],
)
def test_a_journal_of_another_kind_moves_nothing(plant: Path, journal: str) -> None:
    (plant / JOURNAL).write_text(journal)
    (plant / ".a.b").write_text("x")
    assert run("facts", str(plant)) == 0
    assert (plant / "plant.netdsl").read_bytes() == PLANT.encode()
    assert (plant / ".a.b").exists() and not (plant / "a").exists()
