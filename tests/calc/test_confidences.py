"""A figure taken from memory says so wherever it is put in."""

from __future__ import annotations

import pytest

from netdsl.calc.sheet.words import title
from tests.reference.plants import calculated

PLANT = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
device -Q1 mcb-3p at=+A current=40A
device -M1 motor at=+HALL current=30A power-factor=0.85 power=15kW
wire -G0:L1,L2,L3 to -Q1:1,3,5 10mm2 length=1m
cable -W1 3x16 length=20m material=Al {{
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
}}
cable -W2 1G16 length=20m material={metal} {{
  GNYE -G0:PE to -M1:PE
}}
"""


@pytest.mark.parametrize(("metal", "confidence"), [("Cu", "verified"), ("Al", "memory")])
def test_the_least_section_laid_apart(metal: str, confidence: str) -> None:
    result = calculated(PLANT.format(metal=metal)).by_key["protective-conductor.separate -W2 GNYE"]
    least = next(given for given in result.givens if given.symbol == "S_min")
    assert least.confidence == confidence and title(result.question) == "Protective conductor laid apart"
