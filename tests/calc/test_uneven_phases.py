"""What flows where the phases differ, and what is known of a step of which a pole is not."""

from __future__ import annotations

import pytest

from netdsl.calc.faults import Faults
from netdsl.calc.loads import LoadCurrents
from tests.reference.plants import calculated

PLANT = """
place +A "Board" kind=cabinet
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
part heater "Heater" {{
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..240mm2
  terminal :N neutral 0.5..240mm2
}}
part motor-2 "Two phases" {{
  kind = heater   letter = E   class = I
  terminal :1 :2 line-in 0.5..240mm2
}}
device -Q0 switch-disconnector at=+A current=63A
device -E1 heater at=+A current=10A
device -E2 motor-2 at=+A current=7A voltage=400V
wire -G0:L1 to -Q0:1 16mm2 length=10m
wire -G0:L2 to -Q0:3 16mm2 length=10m
wire -G0:L3 to -Q0:5 16mm2{third}
wire -Q0:6 to -E1:L 2.5mm2 length=5m
wire -G0:N to -E1:N 2.5mm2 BU length=5m
wire -Q0:2,4 to -E2:1,2 2.5mm2 length=5m
"""


def test_a_load_on_the_third_phase_alone_is_what_flows() -> None:
    loads = calculated(PLANT.format(third=" length=10m")).of(LoadCurrents)
    assert loads.device("-E1") == pytest.approx(10)
    assert loads.device("-Q0") == pytest.approx(10)  # the fullest phase: L3 has 10 A, L1 and L2 have 7 A


def test_a_pole_of_unknown_length_leaves_no_fault_current_behind_it() -> None:
    whole, lacking = (calculated(PLANT.format(third=third)).of(Faults) for third in (" length=10m", ""))
    assert whole.at("-Q0") is not None
    assert lacking.at("-Q0") is None


def test_between_two_poles_there_is_a_smallest_fault_current_and_at_one_none() -> None:
    faults = calculated(PLANT.format(third=" length=10m")).of(Faults)
    two, one = faults.at("-E2"), faults.at("-E1")
    assert two is not None and one is not None
    assert two.two_min == pytest.approx(two.smallest)
    assert one.two_min is None
    assert one.neutral_min == pytest.approx(one.smallest)
