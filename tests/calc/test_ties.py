"""Two supplies, each with bars of its own, that feed together through a tie between the bars."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Tie" {{
  voltage-factor-max = 1   source-r-over-x = 0   motor-contribution = no
}}
place +A kind=cabinet
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
supply -G1 system=TN-S voltage=400V frequency=50Hz fault-current=20kA
supply -G2 system=TN-S voltage=400V frequency=50Hz fault-current=10kA
device -Q1 mccb-630a at=+A
device -Q2 mccb-630a at=+A
device -Q3 mccb-630a at=+A
{bars}
wire -G1:L1,L2,L3 to -Q1:1,3,5 240mm2 resistance=0ohm reactance=0ohm
wire -G2:L1,L2,L3 to -Q2:1,3,5 240mm2 resistance=0ohm reactance=0ohm
wire -Q1:2,4,6 to {one} 240mm2 resistance=0ohm reactance=0ohm
wire -Q2:2,4,6 to {other} 240mm2 resistance=0ohm reactance=0ohm
wire {one} to -Q3:1,3,5 240mm2 resistance=0ohm reactance=0.005ohm
wire -Q3:2,4,6 to {other} 240mm2 resistance=0ohm reactance=0ohm
device -Q4 mccb-160a at=+A
device -Q5 mccb-160a at=+A
wire {one} to -Q4:1,3,5 95mm2 resistance=0ohm reactance=0.001ohm
wire {other} to -Q5:1,3,5 95mm2 resistance=0ohm reactance=0.001ohm
device -E4 load-3ph at=+A current=10A
device -E5 load-3ph at=+A current=10A
wire -Q4:2,4,6 to -E4:1,2,3 16mm2 resistance=0ohm reactance=0ohm
wire -Q5:2,4,6 to -E5:1,2,3 16mm2 resistance=0ohm reactance=0ohm
{parallel}
"""
BUSBARS = "busbar -WB1 at=+A poles=3 current=630A\nbusbar -WB2 at=+A poles=3 current=630A"
STRIPS = "strip -X1 at=+A {\n  :1..3 240mm2\n}\nstrip -X2 at=+A {\n  :1..3 240mm2\n}"
VOLTS = 400 / sqrt(3)
FIRST, SECOND, TIE, OUT = VOLTS / 20e3, VOLTS / 10e3, 0.005, 0.001


def plant(strips: bool = False, together: bool = True) -> Calculation:
    one, other = ("-X1:1,2,3", "-X2:1,2,3") if strips else ("-WB1:L1,L2,L3", "-WB2:L1,L2,L3")
    nodes = [f"{one[:4]}{n}" for n in (1, 2, 3)] if strips else [f"-WB1:L{n}" for n in (1, 2, 3)]
    # what is tied by a breaker is two nets: both are said to be fed by several sources on purpose
    nodes += [node.replace("X1", "X2").replace("WB1", "WB2") for node in nodes]
    parallel = "".join(f"potential P{n} of {node} parallel=yes\n" for n, node in enumerate(nodes)) if together else ""
    return calculated(PLANT.format(bars=STRIPS if strips else BUSBARS, one=one, other=other, parallel=parallel))


def largest(found: Calculation, device: str) -> float:
    return found.by_key[f"fault-current.largest {device}"].value


def beside(one: float, other: float) -> float:
    return one * other / (one + other)


@each_of("strips", [False, True])
def test_both_supplies_feed_a_fault_on_either_side_of_the_tie(strips: bool) -> None:
    """By hand: 11.5 mohm beside 23.1 + 5 on the one side, 23.1 beside 11.5 + 5 on the other, 1 mohm on to each way out."""
    found = plant(strips)
    for device, ohms in (("-Q4", beside(FIRST, SECOND + TIE) + OUT), ("-Q5", beside(SECOND, FIRST + TIE) + OUT)):
        assert largest(found, device) == pytest.approx(VOLTS / ohms, rel=1e-6)
    assert largest(found, "-E5") == pytest.approx(largest(found, "-Q5"))
    assert largest(found, "-Q1") == pytest.approx(20e3)
    assert "tied-supplies" in {each.name for each in found.settings.assumptions}


def test_supplies_that_do_not_feed_together_feed_one_at_a_time() -> None:
    found = plant(together=False)
    assert largest(found, "-Q4") == pytest.approx(VOLTS / (FIRST + OUT), rel=1e-6)
    assert "tied-supplies" not in {each.name for each in found.settings.assumptions}
