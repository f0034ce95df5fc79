"""Cables side by side, each with fuses of its own, share the load by their impedances."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc.circuit import Circuit
from netdsl.calc.loads import LoadCurrents
from tests.reference.plants import calculated

PLANT = """
place +A "Board" kind=cabinet
place +B "Second board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA earth-fault-current=15kA
busbar -WB1 at=+A poles=3 current=250A
busbar -WB2 at=+B poles=3 current=250A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 120mm2 resistance=0ohm
device -F1 fuse-nh00-gg at=+A current=100A
device -F2 fuse-nh00-gg at=+A current=80A
wire -WB1:L1,L2,L3 to -F1:1,3,5 35mm2 resistance=0ohm
wire -WB1:L1,L2,L3 to -F2:1,3,5 35mm2 resistance=0ohm
{ends}
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
device -E1 load-3ph at=+HALL current=150A
cable -W3 3x70 length=10m method=C {{
  BN -WB2:L1 to -E1:1
  BK -WB2:L2 to -E1:2
  GY -WB2:L3 to -E1:3
}}
"""
CABLE = """
cable -W{n} 3x35 {says} method=C {{
  BN {begin}:2 to {end}1
  BK {begin}:4 to {end}{two}
  GY {begin}:6 to {end}{three}
}}
"""
ONE, OTHER = 0.030, 0.060  # ohm of the two cables


def plant(one: str = f"resistance={ONE}ohm", other: str = f"resistance={OTHER}ohm") -> str:
    ways = ((1, one, "-F1"), (2, other, "-F2"))
    return "".join(CABLE.format(n=n, says=says, begin=at, end="-WB2:L", two=2, three=3) for n, says, at in ways)


def test_they_share_by_impedance_and_what_leads_to_and_from_them_carries_all() -> None:
    found = calculated(PLANT.format(ends=plant()))
    loads, steps = found.of(LoadCurrents), found.of(Circuit).steps
    amps = {f"{step.feeder} {step.fed}": loads.step(step) for step in steps.values()}
    assert amps["-WB1 -F1"] == amps["-F1 -WB2"] == loads.device("-F1") == pytest.approx(100)
    assert amps["-WB1 -F2"] == amps["-F2 -WB2"] == loads.device("-F2") == pytest.approx(50)
    assert amps["-G0 -WB1"] == amps["-WB2 -E1"] == pytest.approx(150)
    assert "parallel-branches" in {each.name for each in found.assumptions}
    # two thirds flow in -F1 (100 A): all that may flow is 150 A, less than what -F2 (80 A) lets flow by its third, 240 A
    assert found.by_key["overload.rated -W3"].limit == pytest.approx(150)
    assert found.by_key["overload.tripping -W3"].value == pytest.approx(1.6 * 150)
    assert (found.by_key["overload.rated -W1"].limit, found.by_key["overload.rated -W2"].limit) == (100, 80)
    # the same drop whichever way is taken: 100 A over 30 mohm, then 150 A over the last cable
    last = 150 * 0.268e-3 * 10 * (1 + 0.00393 * 50)
    assert found.by_key["voltage-drop.running -E1"].value == pytest.approx(100 * sqrt(3) * (100 * ONE + last) / 400, rel=1e-3)


def test_a_fault_behind_them_is_fed_by_both_at_the_most_and_by_one_at_the_least() -> None:
    found = calculated(PLANT.format(ends=plant()))
    source = 1.1 * 400 / sqrt(3) / 20e3 * complex(0.1, 1) / sqrt(1.01)
    largest, smallest = (found.by_key[f"fault-current.{kind} -WB2"].value for kind in ("largest", "smallest"))
    assert largest == pytest.approx(1.1 * 400 / sqrt(3) / abs(source + ONE * OTHER / (ONE + OTHER)), rel=1e-3)
    assert smallest == pytest.approx(0.9 * 400 / 2 / abs(source + OTHER), rel=1e-3)


def test_without_the_impedance_of_one_each_counts_with_all_of_it() -> None:
    found = calculated(PLANT.format(ends=plant(other="")))
    assert found.of(LoadCurrents).device("-F1") == found.of(LoadCurrents).device("-F2") == pytest.approx(150)
    assert "parallel-branches" not in {each.name for each in found.assumptions}


def test_fuses_at_both_ends_belong_to_their_branch() -> None:
    ends = """
device -F11 fuse-nh00-gg at=+B current=100A
device -F21 fuse-nh00-gg at=+B current=80A
wire -F11:2,4,6 to -WB2:L1,L2,L3 35mm2 resistance=0ohm
wire -F21:2,4,6 to -WB2:L1,L2,L3 35mm2 resistance=0ohm
""" + "".join(
        CABLE.format(n=n, says=f"resistance={ohms}ohm", begin=f"-F{n}", end=f"-F{n}1:", two=3, three=5)
        for n, ohms in ((1, ONE), (2, OTHER))
    )
    found = calculated(PLANT.format(ends=ends))
    assert [found.of(LoadCurrents).device(name) for name in ("-F1", "-F11", "-F2", "-F21")] == pytest.approx([100, 100, 50, 50])
    assert found.by_key["overload.rated -W3"].limit == pytest.approx(150)
