"""What feeds a drive bears what the drive is rated for, not what its motor is expected to need."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc.basis import Result
from tests.reference.plants import calculated

PLANT = """
project "Rated loads" {{
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=10kA upstream=fuse-gG-25A
strip -X0 at=+A {strip} {{
  :L1 :L2 :L3  6mm2
}}
part own-drive "Drive" {{
  kind = drive   letter = T   class = I
  terminal :L1 :L2 :L3 line-in 1.5..25mm2
  terminal :U :V :W motor-out 1.5..25mm2
  setting motor-current 1..40A
}}
device -T1 own-drive at=+A input-current={rated} current=23A losses=200W power-factor=0.9 {drive}
device -T2 own-drive at=+A input-current=5A current=4.8A losses=50W power-factor=0.9
device -M1 motor at=+F power=7.5kW current=15A voltage=400V efficiency=90% power-factor=0.85
device -M2 motor at=+F power=2.2kW current=4.7A voltage=400V efficiency=86% power-factor=0.84
cable -W0 4x2.5 length=10m method=C ambient=30degC {{
  BN -G0:L1 to -X0:L1
  BK -G0:L2 to -X0:L2
  GY -G0:L3 to -X0:L3
}}
wire -X0:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK length=1m
wire -X0:L1,L2,L3 to -T2:L1,L2,L3 2.5mm2 BK length=1m
wire -T1:U,V,W to -M1:U1,V1,W1 2.5mm2 BK length=20m
wire -T2:U,V,W to -M2:U1,V1,W1 2.5mm2 BK length=20m
{more}
"""
#: what the motors need: (7500/0.9 + 200) and (2200/0.86 + 50) over sqrt(3) 400 V 0.9, A
ONE, TWO = (7500 / 0.9 + 200) / (sqrt(3) * 400 * 0.9), (2200 / 0.86 + 50) / (sqrt(3) * 400 * 0.9)


def results(drive: str = "", strip: str = "", more: str = "", rated: str = "24A") -> dict[str, Result]:
    calculation = calculated(PLANT.format(drive=drive, strip=strip, more=more, rated=rated))
    return {result.key: result for result in calculation.results}


def test_both_are_given_and_conductors_are_held_to_the_larger() -> None:
    found = results()
    infeed = "load-current -G0 -> -X0"
    assert found[infeed].value == pytest.approx(ONE + TWO, rel=1e-6)
    assert found[f"rated-{infeed}"].value == pytest.approx(24 + 5)
    assert found["rated-load-current -T1"].givens[0].words == "rated input current of -T1"
    capacity = found["current-carrying-capacity -W0"]
    assert (capacity.value, capacity.limit, capacity.limit_words) == (pytest.approx(24), pytest.approx(29), "rated load current")
    assert not capacity.holds
    assert capacity.value > found[infeed].value
    rated = found["overload.rated -W0"]
    assert (rated.value, rated.limit, rated.holds) == (pytest.approx(29), 25, False)


def test_where_motors_need_all_of_it_there_is_one_current_alone() -> None:
    found = results(rated="13A")
    assert found["load-current -T1"].value == 13
    assert "rated-load-current -T1" not in found


def test_what_the_project_states_takes_its_place() -> None:
    limited = results(drive="limited-current=16A")
    assert limited["current-carrying-capacity -W0"].limit == pytest.approx(16 + 5)
    assert "current to which it is limited" in limited["rated-load-current -T1"].givens[0].words
    measured = results(strip="measured-current=18A")
    assert measured["current-carrying-capacity -W0"].limit == 18
    assert measured["rated-load-current -G0 -> -X0"].note == "in place of the sum of what lies behind"
    assert measured["rated-load-current -X0 -> -T1"].value == 24
    assert measured["load-current -G0 -> -X0"].value == pytest.approx(ONE + TWO, rel=1e-6)


def test_an_overload_again_and_again_heats_as_its_mean_square() -> None:
    """150 % for 60 s in each 600 s: sqrt((1.5^2 * 60 + 540) / 600) = 1.0607 times the rated current."""
    found = results(drive="overload=150% overload-time=60s overload-period=600s")
    assert found["rated-load-current -T1"].value == pytest.approx(24 * sqrt((1.5**2 * 60 + 540) / 600))


def test_a_drive_set_above_its_motor_is_expected_to_give_that() -> None:
    found = results(more="set -T1 motor-current=20A")
    assert found["load-current -T1"].value == pytest.approx((7500 / 0.9 * 20 / 15 + 200) / (sqrt(3) * 400 * 0.9), rel=1e-6)
    assert "motor current set at of -T1" in {given.words for given in found["load-current -T1"].givens}
