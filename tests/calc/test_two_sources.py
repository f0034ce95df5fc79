"""A panel with two incoming supplies: each has its own fault current, its own protection, its own way back."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis.results import Result
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.currents import Faults
from netdsl.calc.protection import Withstands
from tests.cases import each_of
from tests.reference.plants import calculated

TWO_SUPPLIES = """
netdsl 1
project "Panel with a generator" {
  number = "T-3"
}
part changeover-switch "Changeover switch, 4 poles" {
  kind = isolator   letter = Q   class = II
  terminal :1 :3 :5 :7 line-in 1.5..50mm2 "mains"
  terminal :9 :11 :13 :15 line-in 1.5..50mm2 "generator"
  terminal :2 :4 :6 :8 load-out 1.5..50mm2
  pole :1,3,5,7 to :2,4,6,8 switched by=handle
  pole :9,11,13,15 to :2,4,6,8 switched by=handle
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V frequency=50Hz fault-current=15kA earth-fault-current=10kA upstream=fuse-gG-100A
supply -G1 "Generator" system=TN-S voltage=400V frequency=50Hz fault-current=0.6kA earth-fault-current=0.5kA upstream=mcb-C-40A
strip -X0 "Incoming" at=+MCP {
  :L1 :L2 :L3    35mm2
  :N             neutral 35mm2
  :PE            earth 35mm2
  :1L1 :1L2 :1L3 16mm2
  :1N            neutral 16mm2
  :1PE           earth 16mm2
}
cable -W0 5G35 length=18m method=E {
  BN -G0:L1 to -X0:L1
  BK -G0:L2 to -X0:L2
  GY -G0:L3 to -X0:L3
  BU -G0:N to -X0:N
  GNYE -G0:PE to -X0:PE
}
cable -W10 5G6 length=25m method=E {
  BN -G1:L1 to -X0:1L1
  BK -G1:L2 to -X0:1L2
  GY -G1:L3 to -X0:1L3
  BU -G1:N to -X0:1N
  GNYE -G1:PE to -X0:1PE
}
device -Q0 changeover-switch at=+MCP
device -XE1 earth-bar at=+MCP ways=8
busbar -WB1 at=+MCP poles=4 current=100A
wire -X0:L1,L2,L3,N to -Q0:1,3,5,7 35mm2 length=1m
wire -X0:1L1,1L2,1L3,1N to -Q0:9,11,13,15 6mm2 length=1m
wire -Q0:2,4,6,8 to -WB1:L1,L2,L3,N 35mm2 length=1m
wire -X0:PE to -XE1:1 35mm2 length=1m
wire -X0:1PE to -XE1:2 6mm2 length=1m
wire -XE1:3 to +MCP:PE 16mm2 length=1m
device -Q1 motor-breaker current=10A setting-range=6.3..10A at=+MCP
device -M1 motor at=+HALL power=4kW current=8.5A power-factor=0.83 winding=400/690V
connect -M1 delta
wire -WB1:L1,L2,L3 to -Q1:1,3,5 4mm2 length=1m
cable -W1 4G2.5 length=20m method=E {
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
  GNYE -XE1:4 to -M1:PE
}
"""


ARRESTER = """
part arrester "Arrester" {
  kind = surge-protection   letter = F   class = I   min-upstream=16A   max-upstream=125A
  terminal :L1 :L2 :L3 line-in 1.5..25mm2
  terminal :PE earth 1.5..25mm2
}
device -F9 arrester at=+MCP
wire -WB1:L1,L2,L3 to -F9:L1,L2,L3 16mm2 length=1m
wire -F9:PE to -XE1:7 16mm2 length=1m
device -F8 fuse-10x38-gg at=+MCP RATED
wire -X0:1L1,1L2,1L3 to -F8:1,3,5 6mm2 length=1m
wire -F8:2,4,6 to -Q0:9,11,13 6mm2 length=1m
wire -X0:1N to -Q0:15 6mm2 length=1m
"""


def with_arrester(rated: str) -> str:
    """The same with an arrester at the bar and a fuse on the way from the generator."""
    direct = "wire -X0:1L1,1L2,1L3,1N to -Q0:9,11,13,15 6mm2 length=1m\n"
    return TWO_SUPPLIES.replace(direct, "") + ARRESTER.replace("RATED", rated)


def found(calculation: Calculation, key: str) -> Result:
    calculation.judged  # noqa: B018 - every question has entered its results
    return calculation.by_key[key]


def test_a_fault_is_broken_by_what_protects_the_source_that_feeds_it() -> None:
    calculation = calculated(TWO_SUPPLIES)
    wires = found(calculation, "fault-withstand -X0:1L1 -- -Q0:9")
    current = next(given for given in wires.givens if given.symbol == "I_k")
    assert "-G1 (C40)" in wires.note
    assert current.value <= 700  # the generator's, though the mains gives 12 kA on the same strip
    assert wires.limit == 6 and wires.holds
    mains = found(calculation, "fault-withstand -X0:L1 -- -Q0:1")
    assert "-G0 (gG 100 A)" in mains.note and mains.limit == 35


def test_disconnection_pairs_the_loop_with_the_source_it_returns_to() -> None:
    calculation = calculated(TWO_SUPPLIES)
    by_mains = calculated(TWO_SUPPLIES.replace("upstream=mcb-C-40A", "upstream=mcb-B-6A"))
    one, other = calculation.of(Faults).fed_by("-WB1", "-G0"), calculation.of(Faults).fed_by("-WB1", "-G1")
    assert one is not None and other is not None and one[0].loop is not None and other[0].loop is not None
    assert abs(one[0].loop) < 0.1 < 0.5 < abs(other[0].loop)
    assert found(by_mains, "disconnection -M1").holds


def test_the_earth_conductor_of_the_second_supply_is_judged_too() -> None:
    calculation = calculated(TWO_SUPPLIES)
    table = found(calculation, "protective-conductor.table -W10 GNYE")
    assert table.value == 6 and table.limit == 6  # beside the generator's own phase conductors, not those of the mains
    heat = found(calculation, "protective-conductor.adiabatic -X0:1PE -- -XE1:2")
    assert heat.value < 0.6  # mm², by what the generator gives, not the 2.55 mm² by the mains


@each_of("names", [("-G0", "-G1"), ("-G1", "-G0")])
def test_disconnection_is_judged_by_the_source_that_makes_it_hardest(names: tuple[str, str]) -> None:
    """That of the smaller fault current, whichever is named first."""
    mains, generator = names
    text = TWO_SUPPLIES.replace("-G0", "-GX").replace("-G1", generator).replace("-GX", mains)
    judged = found(calculated(text), "disconnection -M1")
    assert judged.value > 0.5
    assert f"voltage to earth of {generator}" in [given.words for given in judged.givens]


def test_conductors_of_both_sources_bear_what_either_lets_through() -> None:
    calculation = calculated(TWO_SUPPLIES)
    circuit, withstands = calculation.of(Circuit), calculation.of(Withstands)
    step = next(step for step in circuit.steps.values() if step.fed == "-M1")
    stresses = [withstands.stress(path, step) for path in circuit.paths(step.feeder)]
    energies = [stress.energy.value for stress in stresses if stress is not None]
    assert len(energies) == 2 and min(energies) < 0.9 * max(energies)
    assert found(calculation, "fault-withstand -W1 BN").value == pytest.approx(sqrt(max(energies)) / 115)


def test_what_is_ahead_of_an_arrester_is_the_most_and_the_least_of_its_ways() -> None:
    most, least = "arrester-backup.most -F9", "arrester-backup.least -F9"
    known = calculated(with_arrester("current=25A")).by_key
    assert [(known[key].value, known[key].note) for key in (most, least)] == [(100, "-G0"), (25, "-F8")]
    unknown = calculated(with_arrester("")).by_key
    assert unknown[most].value == 100 and least not in unknown  # what is not rated may be the least
