"""How long the cables of a drive are together, and what one of unknown length leaves uncomputed."""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.drives.motor_cables import MotorCables
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
place +A "Board" kind=cabinet
place +B "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=5kA earth-fault-current=5kA
device -T1 vsd-15kw at=+A max-cable-length=50m
device -Q1 field-isolator at=+B current=40A
device -M1 motor at=+B power=11kW current=21A voltage=400V peak-voltage=1300V
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 10mm2 BK length=1m
cable -W1 4G6 screened{first} {{
  BN -T1:U to -Q1:1
  BK -T1:V to -Q1:3
  GY -T1:W to -Q1:5
}}
cable -W2 4G6 screened{second} {{
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
}}
"""


def lengths(first: str, second: str) -> tuple[Calculation, dict[str, float]]:
    calculation = calculated(PLANT.format(first=first, second=second))
    return calculation, {result.question: result.value for result in calculation.of(MotorCables).results()}


def test_two_pieces_in_a_row_are_one_way() -> None:
    _, found = lengths(" length=18m", " length=4m")
    assert found["motor-cable.length"] == pytest.approx(22)


@each_of(("first", "second", "unknown"), [("", " length=4m", "-W1"), (" length=18m", "", "-W2")])
def test_a_piece_of_unknown_length_leaves_both_uncomputed(first: str, second: str, unknown: str) -> None:
    calculation, found = lengths(first, second)
    assert found == {}
    assert [gap.things for gap in calculation.missing if "motor cable length" in gap.absent] == [(unknown,)]
