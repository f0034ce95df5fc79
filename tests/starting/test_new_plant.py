"""A plant from a list of motors, through the command."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.starting import read_motor_list

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
        "line 2: `two-wir`",
        "did you mean `two-wire`",
        "`A1` stands in line 2",
        "`x` is no power",
        "`690V`",
        "500 kW is more",
    ):
        assert words in told


def test_semicolons_commas_byte_order_mark_and_comments_are_read() -> None:
    text = "\ufeffTag;Power;Running;Length\r\n# note\r\n\r\nP1;7,5;dol;28m\r\nP2;7.5 kW;Two-Wire;12\r\n"
    motors, findings = read_motor_list(text, "m.csv")
    assert not findings
    assert [(motor.power_w, motor.way, motor.length_m) for motor in motors] == [
        (7500.0, "direct-on-line", 28.0),
        (7500.0, "two-wire", 12.0),
    ]
