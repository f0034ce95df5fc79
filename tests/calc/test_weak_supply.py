"""Drives at a supply that cannot give their power: the most it gives is found, and the sheet says so."""

from __future__ import annotations

import warnings
from pathlib import Path

from netdsl.calc import calculate
from netdsl.calc.drives.distortion import Distortion
from netdsl.calc.drives.rectifier import NO_LOAD, Rectifier, at_full_power
from netdsl.model import read_plant
from netdsl.network import build_network

PLANT = """netdsl 1
project "Hatchery" {{
}}
place +MCP "Cabinet" kind=cabinet size=600x800x250mm
supply -G0 "Generator" system=TN-S voltage=400V fault-current={level} earth-fault-current={level}
device -T1 vsd-15kw at=+MCP choke=4%
device -M1 motor at=+MCP power=15kW current=30A power-factor=0.85 efficiency=90% winding=400/690V
connect -M1 delta
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 10mm2 length=2m method=C
wire -T1:U,V,W to -M1:U1,V1,W1 10mm2 length=2m method=C
"""


def notes(folder: Path, level: str) -> set[str]:
    (folder / "plant.netdsl").write_text(PLANT.format(level=level), "utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None and not findings, findings
    found = calculate(build_network(plant)[0]).of(Distortion).results()
    return {result.note for result in found if result.question in ("distortion.thd", "distortion.harmonic-current")}


def test_a_rectifier_gets_no_more_than_its_source_gives() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = at_full_power(Rectifier(0.06, 0.55, 0.0, 0.03, 2.5, NO_LOAD**2))
    assert 0.5 < found.power < 0.98
    assert found.settled


def test_a_weak_supply_is_said_beside_the_distortion(tmp_path: Path) -> None:
    assert notes(tmp_path, "5kA") == {""}
    (note,) = notes(tmp_path, "50A")
    assert "the supply is too weak" in note and "-T1" in note
