"""`netdsl size` as a person or a program meets it: proposals, what is written and what is not, exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.cli.work import judge
from netdsl.findings import Severity
from netdsl.sizing import propose

HERE = Path(__file__).parent
OPEN = (HERE.parent / "sizing" / "open-plant.netdsl").read_text()
EXAMPLES = sorted((HERE.parents[1] / "examples").glob("*/plant.netdsl"))


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    """A copy of the plant in which sizes are left open."""
    file = tmp_path / "plant.netdsl"
    file.write_text(OPEN)
    return file


def run(*arguments: str | Path) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def test_only_what_said_auto_is_written_and_the_plant_passes(plant: Path) -> None:
    assert run("size", plant, "--write") == 0
    before, after = OPEN.splitlines(), plant.read_text().splitlines()
    assert len(before) == len(after)
    for old, new in zip(before, after, strict=True):
        if "auto" not in old or old.startswith("#"):
            assert old.split() == new.split()
            continue
        pattern = re.escape(" ".join(old.split())).replace("auto", r"[0-9][0-9a-zA-Z.]*")
        assert re.fullmatch(pattern, " ".join(new.split())), new
    assert run("format", plant, "--check") == 0
    judged = judge(plant)
    assert judged.checked
    assert [f for f in judged.findings if f.severity is Severity.ERROR] == []


def test_a_second_time_nothing_is_left_to_write(plant: Path) -> None:
    assert run("size", plant, "--write") == 0
    written = plant.read_bytes()
    assert run("size", plant, "--write") == 0
    assert plant.read_bytes() == written


def test_without_write_the_text_stays(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("size", plant) == 0
    assert plant.read_text() == OPEN
    out = capsys.readouterr().out
    assert "5Gauto" in out
    assert "prove dead" in out


def test_twice_the_same_and_as_an_object(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("size", plant, "--format", "json") == 0
    first = capsys.readouterr().out
    assert run("size", plant, "--format", "json") == 0
    assert capsys.readouterr().out == first
    told = json.loads(first)
    cable = next(row for row in told["proposals"] if row["what"] == "cable -W0")
    assert cable["written"] == "5Gauto"
    assert cable["open"] and cable["verdict"] == "proposed" and cable["next_smaller"] == 2.5 and cable["decided_by"]
    assert not cable["missing"] and not cable["obstacle"]
    assert cable["place"].startswith("plant.netdsl:")
    assert told["unresolved"] == [] and told["cautions"]


def test_what_no_size_of_the_stock_carries_is_said(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant.write_text(OPEN.replace('"Workshop"', '"Workshop"   stock-sections = 0.75mm2,1.5mm2', 1))
    assert run("size", plant, "--write") == 1
    told = capsys.readouterr()
    assert "not cured up to 1.5 mm², where the series ends" in told.out
    assert "Not kept with any of these sizes:" in told.out
    assert "`auto` stays: none fits: current carrying capacity: " in told.err and "(cable -W0)" in told.err
    assert "5Gauto" in plant.read_text()


def test_auto_inside_the_shipped_library_cannot_be_written(
    plant: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("netdsl.sizing.writing.is_shipped", bool)
    assert run("size", plant, "--write") == 1
    assert plant.read_text() == OPEN
    assert "give the value where its scheme is used" in capsys.readouterr().err


def test_a_text_with_errors_gives_2_and_is_left_alone(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = OPEN.replace("device -Q0 switch-disconnector", "device -Q0 switch-disconnectr")
    plant.write_text(text)
    assert run("size", plant, "--write") == 2
    assert plant.read_text() == text
    assert "nothing is proposed" in capsys.readouterr().err


def test_one_word_for_two_motors_that_need_other_settings_stays(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant.write_text(
        OPEN.replace("tripping-current=$trip", "tripping-current=auto").replace(" trip,", "").replace(" trip=auto", "")
    )
    assert run("size", plant, "--write") == 1
    assert "make it a parameter of the scheme" in capsys.readouterr().err
    assert "set $breaker tripping-current=auto" in plant.read_text()


def test_a_file_changed_meanwhile_is_not_written(
    plant: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def slow(network: object) -> object:
        plant.write_text(OPEN + "# a late remark\n")
        return propose(network)  # type: ignore[arg-type]

    monkeypatch.setattr("netdsl.sizing.propose", slow)
    assert run("size", plant, "--write") == 2
    assert plant.read_text() == OPEN + "# a late remark\n"
    assert "changed meanwhile" in capsys.readouterr().err


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.parent.name)
def test_every_example_can_be_sized(example: Path) -> None:
    before = example.read_bytes()
    assert run("size", example, "--write") == 0
    assert example.read_bytes() == before
