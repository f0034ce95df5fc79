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
#: as much of a plant as has something to size, for what is no matter of sizes
SMALL = """netdsl 1
project "Fan" {
  number = "F-1"
}
place +MCP "Panel" kind=cabinet size=600x800x250mm
place +HALL "Hall" kind=field
supply -G0 "Hall" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-50A
busbar -WB1 "Main busbars" at=+MCP poles=4 current=63A
device -XE1 earth-bar at=+MCP ways=4
cable -W0 5Gauto "incoming cable" length=18m method=E {
  BN   -G0:L1 to -WB1:L1
  BK   -G0:L2 to -WB1:L2
  GY   -G0:L3 to -WB1:L3
  BU   -G0:N  to -WB1:N
  GNYE -G0:PE to -XE1:1
}
device -Q1 motor-breaker at=+MCP current=auto setting-range=auto
set -Q1 tripping-current=auto
device -M1 motor at=+HALL power=4kW current=8.5A voltage=400V
connect -M1 delta
wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK length=1m
cable -W1 4Gauto "motor cable" length=16m method=E {
  BN   -Q1:2  to -M1:U1
  BK   -Q1:4  to -M1:V1
  GY   -Q1:6  to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
"""
EXAMPLES = sorted((HERE.parents[1] / "examples").glob("*/plant.netdsl"))


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    """A copy of the plant in which sizes are left open."""
    file = tmp_path / "plant.netdsl"
    file.write_text(OPEN)
    return file


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A copy of the small plant."""
    file = tmp_path / "plant.netdsl"
    file.write_text(SMALL)
    return file


def run(*arguments: str | Path) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def test_only_what_said_auto_is_written_the_plant_passes_and_a_second_time_nothing_is_left_to_write(plant: Path) -> None:
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
    written = plant.read_bytes()
    assert run("size", plant, "--write") == 0
    assert plant.read_bytes() == written


def test_without_write_the_text_stays(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("size", small) == 0
    assert small.read_text() == SMALL
    out = capsys.readouterr().out
    assert "5Gauto" in out
    assert "prove dead" in out


def test_twice_the_same_and_as_an_object(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("size", small, "--format", "json") == 0
    first = capsys.readouterr().out
    assert run("size", small, "--format", "json") == 0
    assert capsys.readouterr().out == first
    told = json.loads(first)
    cable = next(row for row in told["proposals"] if row["what"] == "cable -W0")
    assert cable["written"] == "5Gauto"
    assert cable["open"] and cable["verdict"] == "proposed" and cable["next_smaller"] == 1.5 and cable["decided_by"]
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
    small: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("netdsl.sizing.writing.is_shipped", bool)
    assert run("size", small, "--write") == 1
    assert small.read_text() == SMALL
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
    small: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def slow(network: object) -> object:
        small.write_text(SMALL + "# a late remark\n")
        return propose(network)  # type: ignore[arg-type]

    monkeypatch.setattr("netdsl.sizing.propose", slow)
    assert run("size", small, "--write") == 2
    assert small.read_text() == SMALL + "# a late remark\n"
    assert "changed meanwhile" in capsys.readouterr().err


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.parent.name)
def test_every_example_can_be_sized(example: Path) -> None:
    before = example.read_bytes()
    assert run("size", example, "--write") == 0
    assert example.read_bytes() == before
