"""Rings of live conductors: what flows in each piece, what is lost up to a load, what both ways feed into a fault."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.loads import LoadCurrents
from tests.reference.plants import calculated

BARS = """
project "Ring" {{
  voltage-factor-max = 1   source-r-over-x = 0   temperature-coefficient = 0
}}
place +A kind=cabinet
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
part load-1ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 line-in
  terminal :2 neutral
}}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA
busbar -WB0 at=+A poles=4 current=400A
busbar -WB1 at=+A poles=4 current=400A
busbar -WB2 at=+A poles=4 current=400A {bar}
wire -G0:L1,L2,L3,N to -WB0:L1,L2,L3,N 95mm2 resistance=0ohm reactance=0ohm
wire -WB0:L1,L2,L3,N to -WB1:L1,L2,L3,N 16mm2 {first}
wire -WB1:L1,L2,L3,N to -WB2:L1,L2,L3,N 16mm2 {second}
wire -WB2:L1,L2,L3,N to -WB0:L1,L2,L3,N 16mm2 {third}
device -Q1 mccb-160a at=+A current=160A
wire -WB1:L1,L2,L3 to -Q1:1,3,5 35mm2 resistance=0ohm reactance=0ohm
device -E1 load-3ph at=+A current=60A power-factor=1
wire -Q1:2,4,6 to -E1:1,2,3 16mm2 resistance=0ohm reactance=0ohm
{loads}
"""
SECOND = "device -E2 load-3ph at=+A current=30A power-factor=1\nwire -WB2:L1,L2,L3 to -E2:1,2,3 16mm2 resistance=0ohm\n"
LAMP = "device -E3 load-1ph at=+A current=9A power-factor=1\nwire -WB2:L1,N to -E3:1,2 16mm2 resistance=0ohm reactance=0ohm\n"


def plant(loads: str = SECOND, first: str = "0.02", second: str = "0.03", third: str = "0.01", bar: str = "") -> Calculation:
    """Three bars in a ring; resistance of its wires, ohm, or "" where nothing tells it."""
    told = [f"resistance={ohms}ohm reactance=0ohm" if ohms else "" for ohms in (first, second, third)]
    return calculated(BARS.format(loads=loads, first=told[0], second=told[1], third=told[2], bar=bar))


def carried(found: Calculation, pole: str = "L1") -> list[float | None]:
    """Currents of the three wires of the ring, A."""
    ways = ((0, 1), (1, 2), (2, 0))
    return [found.of(LoadCurrents).conductor(f"-WB{one}:{pole} -- -WB{other}:{pole}") for one, other in ways]


def test_each_piece_carries_its_share() -> None:
    """By hand: of 60 A at the first bar two thirds come by 0.02 ohm, a third by 0.01 + 0.03 ohm; of 30 A at the second five
    sixths by 0.01 ohm, a sixth by 0.02 + 0.03 ohm."""
    assert carried(plant()) == pytest.approx([40 + 5, 20, 20 + 25])  # between the bars the 5 A of the other take nothing away
    assert carried(plant(loads="")) == pytest.approx([40, 20, 20])


def test_what_is_lost_up_to_a_load_counts_all_together() -> None:
    found = plant().of(VoltageDrops)
    drops = [found.running(device) for device in ("-E1", "-E2")]
    assert [drop and drop.value for drop in drops] == pytest.approx([100 * sqrt(3) * 45 * ohms / 400 for ohms in (0.02, 0.01)])


def test_a_bars_simultaneity_counts_for_what_hangs_at_it() -> None:
    assert carried(plant(bar="simultaneity=0.5")) == pytest.approx([40 + 2.5, 20, 20 + 12.5])


def test_where_one_resistance_is_unknown_each_way_counts_with_all() -> None:
    assert carried(plant(second="")) == pytest.approx([90, 90, 90])


def test_a_neutral_in_a_ring_shares_too() -> None:
    assert carried(plant(loads=LAMP), "N") == pytest.approx([1.5, 1.5, 7.5])
    assert carried(plant(loads=LAMP)) == pytest.approx([40 + 1.5, 20, 20 + 7.5])


def test_both_ways_feed_a_fault() -> None:
    """By hand: 0.02 ohm beside 0.04, from 11.55 mohm of the source."""
    found = plant()
    for device in ("-Q1", "-E1"):
        result = found.by_key[f"fault-current.largest {device}"]
        assert result.value == pytest.approx(400 / sqrt(3) / abs(complex(0.04 / 3, 400 / sqrt(3) / 20e3)), rel=1e-6)
        assert next(given.words for given in result.givens if given.symbol == "I_P") == "from -WB2 in parallel"


def test_where_one_resistance_is_unknown_no_fault_behind_it_is_computed() -> None:
    assert "fault-current.largest -Q1" not in plant(third="").by_key


def test_a_ring_is_assumed_to_be_closed() -> None:
    found = plant()
    assert found.results and "rings" in {each.name for each in found.settings.assumptions}
