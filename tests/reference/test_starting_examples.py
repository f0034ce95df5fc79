"""Starting of motors against published examples."""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from tests.cases import each_of
from tests.reference.plants import calculated

#: a motor of 160 kW, 1475 1/min, 1.7 times its torque at rest, 2.8 times at most; 2.5 kg m² and 80 kg m² over a gear of 2
MOTOR = """
project "Run-up" {{
  {project}
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=50kA earth-fault-current=50kA
device -Q1 mccb-250a at=+A current=250A
device -M1 motor at=+F power=160kW current=280A speed=1475rpm voltage=400V power-factor=0.86 {motor}
wire -G0:L1,L2,L3 to -Q1:1,3,5 120mm2 BK
wire -Q1:2,4,6 to -M1:U1,V1,W1 120mm2 BK
connect -M1 delta
"""


def plant(motor: str, project: str = "") -> Calculation:
    return calculated(MOTOR.format(motor=motor, project=project))


@each_of(
    ("curve", "torque", "seconds"),
    [("constant", 800, 2.7), ("linear", 800, 2.1), ("square", 800, 1.9), ("none", 800, 1.7)],
)
def test_time_to_run_up_by_what_is_driven(curve: str, torque: int, seconds: float) -> None:
    """A motor guide, chapter on starting time, from memory: 160 kW, 1040 N m, at rest 1.7 and at most 2.8 times that,
    J = 2.5 + 80 / 2² = 22.5 kg m², load 1600 / 2 = 800 N m; lift 2.7 s, piston pump 2.1 s, fan 1.9 s, flywheel 1.7 s. The guide
    takes 157 1/s for the speed, which is that of the field: within 2 % of ours, from rated speed."""
    found = plant(f"inertia=22.5 starting-torque=1.7 breakdown-torque=2.8 load-torque={torque}Nm load-curve={curve}")
    assert found.by_key["starting.time -M1"].value == pytest.approx(seconds, abs=0.06)
