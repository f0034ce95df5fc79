"""A plant from a list of motors, through the command."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main

HEAD = "designation,description,power,voltage,way of running,cable length,place\n"
EXAMPLE = Path(__file__).parents[2] / "examples" / "motors.csv"


def run(*arguments: str | Path) -> object:
    with pytest.raises(SystemExit) as leaving:
        main([str(argument) for argument in arguments])
    return leaving.value.code


@pytest.mark.parametrize("source", [(), ("--from", EXAMPLE)])
def test_a_new_plant_passes_check_and_is_in_canonical_form(tmp_path: Path, source: tuple[str | Path, ...]) -> None:
    folder = tmp_path / "plant"
    assert run("new", folder, *source) == 0
    assert run("check", folder, "--fail-on", "note") == 0
    assert run("format", "--check", *sorted(folder.glob("*.netdsl"))) == 0


def test_an_empty_folder_is_filled_where_it_stands_and_a_link_to_one_kept(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "empty", target_is_directory=True)
    known = (tmp_path / "empty").stat().st_ino
    assert run("new", tmp_path / "link") == 0
    assert (tmp_path / "link").is_symlink() and (tmp_path / "empty").stat().st_ino == known
    assert sorted(path.name for path in (tmp_path / "empty").iterdir()) == ["circuits.netdsl", "plant.netdsl", "site.netdsl"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty", "link"]


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plant").write_text("mine")
    assert run("new", tmp_path / "plant") == 2
    assert "is a file" in capsys.readouterr().err
    assert (tmp_path / "plant").read_text() == "mine"


def test_a_folder_with_something_in_it_is_refused(tmp_path: Path) -> None:
    (tmp_path / "kept").write_text("mine")
    assert run("new", tmp_path) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["kept"]


def test_every_fault_of_a_list_is_told_and_nothing_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = ["A1,Pump,7.5kW,400V,two-wir,20m,Hall", "A1,Pump,x,690V,two-wire,20m,Hall", "A2,Pump,500kW,400V,two-wire,20m,Hall"]
    (tmp_path / "m.csv").write_text(HEAD + "\n".join(rows) + "\n")
    assert run("new", tmp_path / "plant", "--from", tmp_path / "m.csv") == 2
    told = capsys.readouterr().out
    assert not (tmp_path / "plant").exists()
    for words in (
        "m.csv:2:20: error unknown-word: `two-wir`",
        "did you mean `two-wire`",
        "m.csv:3:1: error duplicate-name: designation `A1` stands in line 2",
        "`x` is no power",
        "`690V`",
        "500 kW is more",
    ):
        assert words in told


def test_a_column_that_is_not_read_is_told_and_the_plant_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "m.csv").write_text("designation,power,way of running,colour\nP1,4,two-wire,red\n")
    assert run("new", tmp_path / "plant", "--from", tmp_path / "m.csv") == 0
    assert "m.csv:1:34: note unknown-word: column `colour` is not read" in capsys.readouterr().out
    assert run("check", tmp_path / "plant", "--fail-on", "note") == 0


def test_an_empty_plant_passes_check_and_takes_the_function_that_it_shows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "plant"
    assert run("new", folder, "--empty") == 0
    assert "The designer must still decide:" in capsys.readouterr().out
    (file,) = folder.iterdir()
    assert run("check", folder, "--fail-on", "note") == 0
    assert run("format", "--check", file) == 0
    text = file.read_text("utf-8")
    assert "function =" not in text.replace("# function =", "")
    head, sign, example = text.partition("# function =")
    file.write_text(head + (sign + example).replace("\n# ", "\n").removeprefix("# "), "utf-8")
    assert run("check", folder, "--fail-on", "note") == 0
    assert run("format", "--check", file) == 0


def test_an_empty_plant_has_no_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("new", tmp_path / "plant", "--empty", "--from", EXAMPLE) == 2
    assert "exclude each other" in capsys.readouterr().err
    assert not (tmp_path / "plant").exists()
