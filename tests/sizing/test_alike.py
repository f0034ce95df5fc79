"""Calculations that differ by sections alone take from one another what no section changes, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.calc import Calculation
from netdsl.calc.loads import LoadCurrents
from netdsl.network.types import Network
from netdsl.sizing.items import items_of
from netdsl.sizing.substitute import with_sizes
from tests.reference.plants import calculated

OPEN = (Path(__file__).parent / "open-plant.netdsl").read_text()
#: a load behind a board, to which what flows comes in several ways
SEVERAL_WAYS = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA earth-fault-current=15kA upstream=fuse-gG-160A
busbar -WB1 at=+A poles=4 current=250A
busbar -WB2 at=+A poles=4 current=250A
wire -G0:L1,L2,L3,N to -WB1:L1,L2,L3,N 70mm2 length=1m method=C
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
  terminal :N neutral
}}
device -E1 load-3ph at=+HALL current=100A third-harmonic=20%
cable -W9 4x70 length=10m method=C {{
  BN -WB2:L1 to -E1:1
  BK -WB2:L2 to -E1:2
  GY -WB2:L3 to -E1:3
  BU -WB2:N to -E1:N
}}
{ways}
"""
BESIDE = """
cable -W{n} {cores}x{section} length={n}m method=C {{
  BN {begin}:{a} to {end}:L1
  BK {begin}:{b} to {end}:L2
  GY {begin}:{c} to {end}:L3
{neutral}}}
"""
LINES = {"a": "L1", "b": "L2", "c": "L3"}
NEUTRAL = "  BU -WB1:N to -WB2:N\n"
_ONE = "wire -WB1:N to -WB2:N 50mm2 length=1m method=C\n"
WAYS = {
    "cables side by side": "".join(
        BESIDE.format(n=n, cores=4, section=section, begin="-WB1", end="-WB2", neutral=NEUTRAL, **LINES)
        for n, section in ((1, 16), (2, 25))
    ),
    "neutrals side by side": "".join(f"wire -WB1:N to -WB2:N {n}mm2 length={n}m method=C\n" for n in (16, 25))
    + "wire -WB1:L1,L2,L3 to -WB2:L1,L2,L3 50mm2 length=1m method=C\n",
    "branches with fuses of their own": _ONE
    + "".join(
        f"device -F{n} fuse-nh00-gg at=+A current=80A\nwire -WB1:L1,L2,L3 to -F{n}:1,3,5 35mm2 length=1m method=C\n"
        + BESIDE.format(n=n, cores=3, section=25, begin=f"-F{n}", end="-WB2", neutral="", a=2, b=4, c=6)
        for n in (1, 2)
    ),
    "a ring": _ONE
    + "busbar -WB3 at=+A poles=4 current=250A\n"
    + "".join(
        f"wire -WB{one}:L1,L2,L3 to -WB{other}:L1,L2,L3 25mm2 length={n}m method=C\n"
        for n, (one, other) in enumerate(((1, 2), (1, 3), (3, 2)), 3)
    ),
}


def sized_otherwise(network: Network) -> tuple[Network, Network]:
    """A plant with the smallest sections, and with larger ones of which no two that lie side by side are alike."""
    items = [item for item in items_of(network, Calculation(network)) if item.conductors and item.series]
    small = {item: item.series[0] for item in items}
    large = {item: item.series[-1 - number % len(item.series)] for number, item in enumerate(items)}
    return with_sizes(network, small), with_sizes(network, large)


@pytest.mark.parametrize("ways", [None, *WAYS.values()], ids=["one way", *WAYS])
def test_what_connections_decide_is_the_same_as_with_the_sections_from_which_it_is_taken(ways: str | None) -> None:
    network = calculated(OPEN.removeprefix("netdsl 1\n") if ways is None else SEVERAL_WAYS.format(ways=ways)).network
    small, large = sized_otherwise(network)
    like, alone = Calculation(small), Calculation(large)
    assert like.judged != alone.judged
    found = Calculation(large, like)
    assert found.judged == alone.judged
    assert (found.of(LoadCurrents) is like.of(LoadCurrents)) is (ways is None)
    assert {*alone.missing} <= {*found.missing, *like.missing}


@pytest.mark.parametrize("ways", WAYS.values(), ids=WAYS)
def test_of_several_ways_the_sections_decide_what_flows_in_each(ways: str) -> None:
    found = [Calculation(each) for each in sized_otherwise(calculated(SEVERAL_WAYS.format(ways=ways)).network)]
    amps = [[each.of(LoadCurrents).conductor(name) for name in each.network.runs] for each in found]
    assert amps[0] != amps[1]
