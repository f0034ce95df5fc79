"""Loads that are interlocked with each other: which of them are added up."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from netdsl.calc import Calculation, calculate
from netdsl.calc.loads import Exclusive, LoadCurrents
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.cases import each_of

HEAD = """netdsl 1
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site" system=TN-S voltage=400V fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-50A
busbar -WB1 at=+MCP poles=3 current=63A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2 length=1m
"""
MOTOR = """device -K{n} contactor-12a at=+MCP
device -M{n} motor at=+HALL power=4kW current={amps}A power-factor=1
wire -WB1:L1,L2,L3 to -K{n}:1,3,5 2.5mm2 length=1m
wire -K{n}:2,4,6 to -M{n}:U1,V1,W1 2.5mm2 length=1m
"""
Made = Callable[[str], Calculation]


@pytest.fixture
def made(tmp_path: Path) -> Made:
    """The calculation of motors at one busbar, of these currents, with these interlocks."""

    def run(interlocks: str) -> Calculation:
        file = tmp_path / "plant.netdsl"
        file.write_text(
            HEAD + "".join(MOTOR.format(n=n, amps=amps) for n, amps in enumerate((8, 5, 5, 2), 1)) + interlocks, "utf-8"
        )
        plant, findings = read_plant(file)
        assert plant is not None and not findings, findings
        return calculate(build_network(plant)[0])

    return run


@each_of(
    ("interlocks", "amps"),
    [
        ("", 20),
        ("interlock -K1 -K4 mechanical\n", 18),
        # 8 A excludes both of 5 A: together these are more
        ("interlock -K1 -K2 electrical\ninterlock -K1 -K3 electrical\n", 12),
        ("interlock -K1 -K2 mechanical\ninterlock -K1 -K3 mechanical\ninterlock -K2 -K3 mechanical\n", 10),
    ],
)
def test_of_loads_that_exclude_one_another_those_that_draw_most_count(interlocks: str, amps: float, made: Made) -> None:
    assert made(interlocks).of(LoadCurrents).device("-WB1") == pytest.approx(amps)


def test_who_never_runs_with_whom(made: Made) -> None:
    exclusive = made("interlock -K1 -K2 mechanical\n").of(Exclusive)
    assert exclusive.never_together("-M1", "-M2") and exclusive.never_together("-K1", "-M2")
    assert not exclusive.never_together("-M1", "-M3") and not exclusive.never_together("-M1", "-M1")
    assert exclusive.alone(("-M1", "-M2")) and not exclusive.alone(("-M1", "-M2", "-M3"))


def test_a_way_past_an_interlock_counts(made: Made) -> None:
    past = "device -K9 contactor-12a at=+MCP\nwire -WB1:L1,L2,L3 to -K9:1,3,5 2.5mm2 length=1m\n"
    past += "wire -K9:2,4,6 to -M2:U1,V1,W1 2.5mm2 length=1m\n"
    assert not made("interlock -K1 -K2 mechanical\n" + past).of(Exclusive).never_together("-M1", "-M2")
