"""Ways of the power through what several circuits share."""

from __future__ import annotations

from netdsl.calc.circuit.circuit import Circuit
from netdsl.calc.protection.withstand import Withstands
from tests.reference.plants import calculated

TWO_MOTORS_ONE_STRIP = """
netdsl 1
project "Two pumps, one strip" {
  number = "T-1"
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-63A
busbar -WB1 at=+MCP poles=3 current=63A
device -XE1 earth-bar at=+MCP ways=8
defaults within=+MCP class=mains section=2.5mm2 length=1m
cable -W0 4G10 length=10m method=E {
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
  GNYE -G0:PE to -XE1:1
}
device -Q1 motor-breaker current=10A setting-range=6.3..10A at=+MCP
device -Q2 motor-breaker current=4A setting-range=2.5..4A at=+MCP
strip -X1 at=+MCP {
  :1..6  4mm2
}
device -M1 motor at=+HALL power=4kW current=8.5A power-factor=0.83 winding=400/690V
device -M2 motor at=+HALL power=1.5kW current=3.6A power-factor=0.82 winding=400/690V
connect -M1 delta
connect -M2 delta
wire -WB1:L1,L2,L3 to -Q1:1,3,5
wire -WB1:L1,L2,L3 to -Q2:1,3,5
wire -Q1:2,4,6 to -X1:1,2,3
wire -Q2:2,4,6 to -X1:4,5,6
cable -W1 4G2.5 length=20m method=E {
  BN -X1:1 to -M1:U1
  BK -X1:2 to -M1:V1
  GY -X1:3 to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
cable -W2 4G1.5 length=30m method=E {
  BN -X1:4 to -M2:U1
  BK -X1:5 to -M2:V1
  GY -X1:6 to -M2:W1
  GNYE -XE1:3 to -M2:PE
}
"""


def test_circuits_side_by_side_on_a_strip_stay_apart() -> None:
    circuit = calculated(TWO_MOTORS_ONE_STRIP).of(Circuit)
    for motor, breaker in (("-M1", "-Q1"), ("-M2", "-Q2")):
        paths = circuit.paths(motor)
        assert [path.devices for path in paths] == [("-G0", "-WB1", breaker, "-X1", motor)]
        assert circuit.protections(paths[0]) == (breaker,)


BEHIND_A_TRANSFORMER = """
netdsl 1
project "Transformer" {
  number = "T-4"
}
part transformer "Transformer 400 V to 230 V, 5 kVA" {
  kind = transformer   letter = T   class = I
  voltage = 400V   apparent-power = 5kVA   short-circuit-voltage = 4%
  terminal :1U :1V :1W line-in 1..16mm2
  terminal :2U :2V :2W load-out 1..16mm2
  terminal :2N neutral 1..16mm2
  source :2U,2V,2W to :2N voltage=400V ac current=7.2A
}
place +MCP "Panel" kind=box material=plastic
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA upstream=fuse-gG-63A
device -Q1 mcb-3p-d at=+MCP current=10A
device -T1 transformer at=+MCP
device -Q2 mcb-3p-c at=+MCP current=6A
device -M1 motor at=+MCP power=1.1kW current=2.6A power-factor=0.8 winding=400/690V
connect -M1 delta
cable -W0 3x10 length=10m method=E {
  BN -G0:L1 to -Q1:1
  BK -G0:L2 to -Q1:3
  GY -G0:L3 to -Q1:5
}
wire -Q1:2,4,6 to -T1:1U,1V,1W 4mm2 length=1m
wire -T1:2U,2V,2W to -Q2:1,3,5 1.5mm2 length=5m
wire -Q2:2,4,6 to -M1:U1,V1,W1 1.5mm2 length=1m
"""


def test_what_protects_the_primary_is_not_held_against_conductors_of_the_secondary() -> None:
    calculation = calculated(BEHIND_A_TRANSFORMER)
    judged = {result.subject for result in calculation.of(Withstands).results()}
    assert "-T1:2U -- -Q2:1" not in judged and "-Q1:2 -- -T1:1U" in judged
    assert ("-Q2", "behind -T1: no protective device lies between it and these conductors") in calculation.of(
        Withstands
    ).not_judged()
    behind = next(result for result in calculation.of(Withstands).results() if result.subject == "-Q2:2 -- -M1:U1")
    assert next(given.value for given in behind.givens if given.symbol == "I_k") < 400
