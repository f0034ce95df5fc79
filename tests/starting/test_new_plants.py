"""Plants from longer lists, and one for each way of running."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.cli.work import judge
from netdsl.starting.choosing import WAYS

HEAD = "designation,description,power,voltage,way of running,cable length,place\n"
POWERS = ("0.75", "1.5", "2.2", "3", "4", "5.5", "7.5", "11")
PLACES = ("Trout hall", "Well house", "Drum filters")


def made(folder: Path, rows: list[str]) -> Path:
    motors = folder / "motors.csv"
    motors.write_text(HEAD + "\n".join(rows) + "\n")
    with pytest.raises(SystemExit) as leaving:
        main(["new", str(folder / "plant"), "--from", str(motors)])
    assert leaving.value.code == 0
    return folder / "plant" / "plant.netdsl"


@pytest.mark.parametrize("way", WAYS)
def test_each_way_of_running_gives_a_plant_without_finding(way: str, tmp_path: Path) -> None:
    judged = judge(made(tmp_path, [f"A1,Pump,4kW,400V,{way},20m,Hall"]))
    assert [finding.message for finding in judged.findings] == []


def test_forty_motors_give_a_plant_without_finding(tmp_path: Path) -> None:
    rows = [f"P{n + 1},Pump {n + 1},{POWERS[n * 3 % 8]}kW,400V,{WAYS[n % len(WAYS)]},{12 + n % 20}m,{PLACES[n % 3]}" for n in range(40)]
    judged = judge(made(tmp_path, rows))
    assert judged.checked
    assert [finding.message for finding in judged.findings] == []
    assert sum(device.kind == "motor" for device in judged.network.plant.devices.values()) == 40 if judged.network else False
    assert "auto" not in {value.span.text for value in judged.network.plant.open_values}
