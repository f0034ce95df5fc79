"""The rework list: what it asks for makes the one plant of the other, and no order of it leaves a loose end live."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli.work import connect
from netdsl.comparing import rework_between
from netdsl.comparing.rework import EITHER, FEEDING, Step
from netdsl.network.types import Network
from tests.comparing.test_revisions import REVISIONS, revised
from tests.readings import HATCHERY, network_of

PLANT = """netdsl 1
place +P "Panel" kind=cabinet
device -T9 supply-24v at=+P
device -XE1 earth-bar at=+P
strip -X1 at=+P {
  :1..6 2.5mm2
  bridge :1..3
}
device -K1 relay-2co at=+P
device -K2 relay-2co at=+P
wire -T9:+ to -X1:1 0.75mm2 BU
wire -X1:2 to -K1:A1 0.75mm2 BU
wire -T9:PE to -XE1:1 2.5mm2 GNYE
"""


def network(text: str, tmp_path: Path) -> Network:
    file = tmp_path / "plant.netdsl"
    file.write_text(text)
    found = connect(file).network
    assert found is not None
    return found


def told(tmp_path: Path, *edits: tuple[str, str], before: str = PLANT) -> list[str]:
    """The steps from the plant to it with each edit made."""
    text = before
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    return [" | ".join(step[1:5]) for step in rework_between(network(before, tmp_path), network(text, tmp_path))]


def test_a_wire_is_moved_at_the_end_that_does_not_feed_it_with_the_other_one_released(tmp_path: Path) -> None:
    assert told(tmp_path, ("-K1:A1 0.75", "-K2:A1 0.75")) == [
        "release | -X1:2 | wire 0.75 mm² BU | feeding end",
        "release | -K1:A1 | wire 0.75 mm² BU | goes to -K2:A1",
        "connect | -K2:A1 | wire 0.75 mm² BU | comes from -K1:A1",
        "connect | -X1:2 | wire 0.75 mm² BU | feeding end",
    ]


def test_a_wire_is_moved_at_the_end_that_feeds_it_alone(tmp_path: Path) -> None:
    assert told(tmp_path, ("-X1:2 to", "-X1:3 to")) == [
        "release | -X1:2 | wire 0.75 mm² BU | goes to -X1:3; feeding end",
        "connect | -X1:3 | wire 0.75 mm² BU | comes from -X1:2; feeding end",
    ]


def test_protective_conductors_go_last_and_come_first(tmp_path: Path) -> None:
    found = told(tmp_path, ("wire -X1:2 to -K1:A1 0.75mm2 BU\nwire -T9:PE to -XE1:1 2.5mm2 GNYE\n", ""))
    assert [line.rpartition(" | ")[0] for line in found] == [
        "release | -X1:2 | wire 0.75 mm² BU",
        "release | -K1:A1 | wire 0.75 mm² BU",
        "release | -T9:PE | wire 2.5 mm² GNYE",
        "release | -XE1:1 | wire 2.5 mm² GNYE",
    ]


def test_a_cable_that_is_laid_anew_is_released_at_both_ends_and_connected_again(tmp_path: Path) -> None:
    cable = 'cable -W1 2x1 "lamp" length=5m {\n  BN -X1:3 to -K2:A1\n}\n'
    assert told(tmp_path, ("length=5m", "length=9m"), before=PLANT + cable) == [
        "release | -X1:3/out | core BN of -W1 1 mm² | feeding end",
        "release | -K2:A1 | core BN of -W1 1 mm² | ",
        "lay anew | -W1 |  | 9 m, was 5 m",
        "connect | -K2:A1 | core BN of -W1 1 mm² | ",
        "connect | -X1:3/out | core BN of -W1 1 mm² | feeding end",
    ]


SCREENED = """device -M1 motor at=+P power=1kW current=2A
device -T1 vsd-1.5kw at=+P
cable -W1 4G1.5 screened "motor cable" length=5m {
  BN -T1:U to -M1:U1
  screen -T1:SH clamp to -M1 open
}
"""


def test_the_screen_of_a_new_cable_is_made_before_its_cores_and_released_after_them(tmp_path: Path) -> None:
    core = 'cable -W1 4G1.5 screened "motor cable" length=5m {'
    without = SCREENED[: SCREENED.index(core)]
    found = told(tmp_path, (without, SCREENED), before=PLANT + without)
    assert found[0] == "put in | -W1 |  | 4G1.5 screened, 5 m"
    assert found[1:3] == ["connect | -T1:SH | screen of -W1 | clamp", "leave open | -M1 | screen of -W1 | insulated"]
    assert [line.split(" | ")[2] for line in found[3:]] == ["core BN of -W1 1.5 mm²"] * 2
    gone = told(tmp_path, (SCREENED, without), before=PLANT + SCREENED)
    assert [line.split(" | ")[1] for line in gone if "core" not in line] == ["-T1:SH", "-W1"]
    assert [line.split(" | ")[2] for line in gone[:3]] == [*["core BN of -W1 1.5 mm²"] * 2, "screen of -W1"]


def test_a_screen_that_is_made_otherwise_is_released_and_made_at_that_end_alone(tmp_path: Path) -> None:
    assert told(tmp_path, ("-M1 open", "-M1 clamp"), before=PLANT + SCREENED) == ["connect | -M1 | screen of -W1 | clamp"]
    assert told(tmp_path, ("-T1:SH clamp", "-T1:SHC clamp"), before=PLANT + SCREENED) == [
        "release | -T1:SH | screen of -W1 | clamp",
        "connect | -T1:SHC | screen of -W1 | clamp",
    ]
    assert told(tmp_path, ("length=5m", "length=6m"), before=PLANT + SCREENED)[2:4] == [
        "release | -T1:SH | screen of -W1 | clamp",
        "lay anew | -W1 |  | 6 m, was 5 m",
    ]


def test_of_a_ring_that_is_opened_either_end_may_be_live(tmp_path: Path) -> None:
    ring = PLANT + "wire -T9:+ to -X1:3 0.75mm2 BU\n"
    found = told(tmp_path, ("wire -T9:+ to -X1:3 0.75mm2 BU\n", ""), before=ring)
    assert found == [f"release | {end} | wire 0.75 mm² BU | {EITHER}" for end in ("-T9:+", "-X1:3")]


def test_what_is_called_otherwise_is_marked_anew_and_nothing_is_wired(tmp_path: Path) -> None:
    assert told(tmp_path, ("-K1", "-K7")) == ["mark anew | -K7 |  | was -K1"]
    assert told(tmp_path, ("# ", "# "), before=PLANT + "# \n") == []


@pytest.mark.parametrize("name", sorted(REVISIONS))
def test_no_loose_end_is_live_and_the_ends_come_out_right(name: str) -> None:
    old, new = network_of(HATCHERY), revised(name).network
    assert new is not None
    for one, other in ((old, new), (new, old)):
        steps = rework_between(one, other)
        assert list(steps) == sorted(steps, key=lambda step: step.phase)
        _hold(steps)


def _hold(steps: tuple[Step, ...]) -> None:
    """Follow each conductor: what feeds it is off before any other end is, and on after it."""
    by_conductor: dict[str, list[Step]] = {}
    for step in steps:
        if step.what in ("release", "connect"):
            by_conductor.setdefault(f"{step.of} {step.conductor}", []).append(step)
    for mine in by_conductor.values():
        feeding = [step for step in mine if FEEDING in step.remark]
        for step in feeding:
            others = [each for each in mine if each.what == step.what and each is not step]
            if step.what == "release":
                assert all(mine.index(step) < mine.index(each) for each in others)
            else:
                assert all(mine.index(step) > mine.index(each) for each in others)
