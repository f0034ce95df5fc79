"""What is taken where a plant does not say it is listed among the assumptions, and only then."""

from __future__ import annotations

import pytest

from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
part choke "Line choke" {{
  kind = reactor   letter = L   class = I
  current = 10A   drop = 4%{voltage}
  terminal :1 :3 :5 line-in 0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S voltage=400V {frequency} fault-current=6kA earth-fault-current=3kA
device -L1 choke at=+A
device -M1 motor at=+A current=8A power-factor=0.85 power=4kW
wire -G0:L1,L2,L3 to -L1:1,3,5 4mm2 length=1m
wire -L1:2,4,6 to -M1:U1,V1,W1 4mm2 length=1m
"""
DIRECT = """
place +A "Board" kind=cabinet
supply -G0 "Battery" system=DC voltage=24V fault-current=200A
part heater "Heater" {
  kind = heater   letter = E   class = III
  current = 2A   voltage = 24V
  terminal :1 line-in 0.5..16mm2
  terminal :2 neutral 0.5..16mm2
}
device -E1 heater at=+A
wire -G0:+ to -E1:1 1.5mm2 length=1m
wire -G0:- to -E1:2 1.5mm2 length=1m
"""


def test_direct_current_has_no_frequency_to_be_assumed() -> None:
    calculation = calculated(DIRECT)
    assert calculation.results and "frequency" not in {assumption.name for assumption in calculation.assumptions}


@each_of("frequency", ["", "frequency=50Hz"])
@each_of("voltage", ["", "   voltage = 400V"])
def test_frequency_and_reactor_voltage(frequency: str, voltage: str) -> None:
    calculation = calculated(PLANT.format(frequency=frequency, voltage=voltage))
    # by hand: 1.1 * 231 V over 4 % * 400 V / (sqrt(3) * 10 A) and the source, and five times 8 A of the motor
    assert calculation.by_key["fault-current.largest -M1"].value == pytest.approx(264 + 40, abs=2)
    listed = {assumption.name for assumption in calculation.assumptions}
    assert ("frequency" in listed) == (frequency == "") and ("reactor-voltage" in listed) == (voltage == "")
