"""One input over a range: up to where each limit holds, told in the unit that was asked for, and what cannot be varied."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.cli.work import connect
from netdsl.whatif import Vary, ranges, read_vary
from tests.readings import HATCHERY, network_of

PLANT = """netdsl 1
project "What if" {
  load-margin = 1.0
}
place +MCP "Panel" kind=cabinet size=800x1800x400mm
place +HALL "Hall" kind=field
route TRAY1 at=+HALL kind=perforated-tray length=60m ambient=30degC
supply -G0 "Site" system=TN-S voltage=400V fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-50A
device -XE1 earth-bar at=+MCP ways=8
device -Q1 mcb-3p at=+MCP current=20A curve=C breaking=10kA
device -M1 motor at=+HALL power=5.5kW current=11.5A power-factor=0.85 winding=400/690V
connect -M1 delta
wire -G0:L1,L2,L3 to -Q1:1,3,5 10mm2 length=1m method=C
wire -G0:PE to -XE1:1 10mm2 length=1m
cable -W1 4G2.5 length=40m along=TRAY1 {
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
"""


@pytest.fixture
def plant(tmp_path: Path) -> Path:
    (tmp_path / "plant.netdsl").write_text(PLANT, "utf-8")
    return tmp_path / "plant.netdsl"


def run(*arguments: str | Path) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def holds_at(plant: Path, before: str, after: str, key: str) -> bool:
    """Whether a limit is kept in the plant with another text: computed without any variation."""
    assert before in PLANT
    plant.write_text(PLANT.replace(before, after), "utf-8")
    calculation = connect(plant).calculation
    plant.write_text(PLANT, "utf-8")
    assert calculation is not None
    return calculation.by_key[key].holds


@pytest.mark.parametrize(
    ("vary", "at", "key", "written", "as_text"),
    [
        ("length=10m..400m", "-W1", "voltage-drop.running -M1", "length=40m", "length={:.6g}m"),
        ("fault-level=1kA..30kA", "", "breaking-capacity -Q1", "fault-current=6kA", "fault-current={:.6g}A"),
        ("ambient=20degC..60degC", "TRAY1", "overload.capacity -W1", "ambient=30degC", "ambient={:.6g}degC"),
        ("grouping=1..20", "-W1", "overload.capacity -W1", "along=TRAY1 {", "along=TRAY1 circuits={:.0f} {{"),
        ("load-margin=1..3", "", "overload.rated -W1", "load-margin = 1.0", "load-margin = {:.6g}"),
    ],
)
def test_the_written_value_on_either_side_of_a_break_gives_that_verdict(
    vary: str, at: str, key: str, written: str, as_text: str, plant: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("calc", plant, "--vary", vary, "--format", "json", *(("--at", at) if at else ())) == 1
    told = json.loads(capsys.readouterr().out)
    limit = next(each for each in told["limits"] if each["key"] == key)
    (broken,) = limit["breaks"]
    for value, holds in ((broken["kept_at"], True), (broken["not_at"], False)):
        assert holds_at(plant, written, as_text.format(value), key) is holds
    assert abs(broken["kept_at"] - broken["not_at"]) <= 0.01 * (told["vary"]["to"] - told["vary"]["from"])


def test_what_breaks_first_is_that_nearest_to_what_is_written(plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("calc", plant, "--vary", "length=10..400m", "--at", "-W1") == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "What if length of -W1 went from 10 m to 400 m, as written 40 m"
    assert lines[2].startswith("First to break: ") and " up to " in lines[2] and " m, not at " in lines[2]
    first = lines[2].removeprefix("First to break: ").partition(", up to ")
    assert lines[5].split("  ")[1] == first[0]
    assert any("supports the responsible engineer" in line for line in lines)


@pytest.mark.parametrize(
    ("vary", "at", "said"),
    [
        ("depth=1..2", "", "`depth` cannot be varied: fault-level, length, ambient, grouping"),
        ("insulation=1..2", "", "`insulation` cannot be varied"),
        ("length=1..3m", "", "name one cable with --at, or a factor on all lengths"),
        ("fault-level=3..1kA", "", "no range from less to more"),
        ("fault-level=3kA", "", "is no range: write it as"),
        ("ambient=1..3m", "", "`1..3m` is no temperature"),
        ("ambient=20..30degC", "-M1", "`-M1` has no `ambient` to vary"),
        ("fault-level=1..2kA", "-W1", "`-W1` has no `fault-level` to vary"),
    ],
)
def test_what_cannot_be_varied_is_said(vary: str, at: str, said: str, plant: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("calc", plant, "--vary", vary, *(("--at", at) if at else ())) == 2
    told = capsys.readouterr()
    assert said in told.err and not told.out


def test_a_range_in_which_nothing_breaks_ends_well_and_one_format_is_refused(
    plant: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("calc", plant, "--vary", "length=39m..41m", "--at", "-W1") == 0
    assert "No limit that is kept anywhere in this range breaks in it." in capsys.readouterr().out
    assert run("calc", plant, "--vary", "length=39m..41m", "--format", "pdf") == 2


def test_a_factor_on_all_lengths_leaves_the_written_plant_at_one() -> None:
    network = network_of(HATCHERY)
    vary = read_vary("length=1..1.5", "", network)
    assert isinstance(vary, Vary) and vary.present == 1.0
    found = ranges(network, vary)
    assert found.start == 1.0 and {1.0, 1.5} <= set(found.values)
    assert not found.never
