"""What a breaker of curve D lets through: in proportion to curve C, as the standard limits B and C; a project may say more."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.calc import Result, calculate
from netdsl.calc.protection.withstand import Withstands
from netdsl.model import read_plant
from netdsl.network import build_network

PLANT = """netdsl 1
project "Hatchery" {{
  {choice}
}}
place +MCP "Cabinet" kind=cabinet size=600x800x250mm
supply -G0 "Supply" system=TN-S voltage=400V fault-current=6kA earth-fault-current=4kA
device -F1 mcb-3p at=+MCP current=16A curve={curve}
device -M1 motor at=+MCP power=5.5kW current=11A power-factor=0.85 winding=400/690V
connect -M1 delta
wire -G0:L1,L2,L3 to -F1:1,3,5 4mm2 length=1m method=B2
wire -F1:2,4,6 to -M1:U1,V1,W1 2.5mm2 length=2m method=B2
"""


def energy(folder: Path, curve: str, choice: str = "") -> tuple[float, Result]:
    """What the wires behind -F1 must bear, A2s, and the result that says so."""
    (folder / "plant.netdsl").write_text(PLANT.format(curve=curve, choice=choice), "utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None and not findings, findings
    calculation = calculate(build_network(plant)[0])
    found = next(r for r in calculation.of(Withstands).results() if r.subject.startswith("-F1:2"))
    return next(given.value for given in found.givens if given.symbol == "E"), found


def test_curve_d_lets_through_in_proportion_to_curve_c(tmp_path: Path) -> None:
    of_c, _ = energy(tmp_path, "C")
    of_d, result = energy(tmp_path, "D")
    assert of_d == pytest.approx(1.5 * of_c)
    source = next(given for given in result.givens if given.symbol == "E")
    assert "no source" in source.source
    assert source.confidence == "common practice"


def test_the_project_may_say_how_much_more(tmp_path: Path) -> None:
    of_c, _ = energy(tmp_path, "C")
    of_d, result = energy(tmp_path, "D", "let-through-factor-d = 2")
    assert of_d == pytest.approx(2 * of_c)
    assert "chosen by the project" in next(given.source for given in result.givens if given.symbol == "E")
