"""Circuits as textbooks pose them: time, constant, short-circuit power given as numbers. Answers worked by hand from the
formulas."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.circuit.circuit import Circuit
from netdsl.calc.faults.currents import Faults
from tests.cases import each_of
from tests.reference.plants import calculated

STATED = """
project "Reference" {{
  voltage-factor-min = 1.0   voltage-factor-max = 1.0   loop-factor = 1.0
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S phases=1 voltage=230V frequency=50Hz fault-current={amps} earth-fault-current={amps} \
upstream=fuse-gG-160A
device -XE1 earth-bar at=+A ways=4
device -F1 fuse-nh00-gg at=+A current=160A clearing-time={seconds}
part heater "Heater" {{
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..240mm2
  terminal :N neutral 0.5..240mm2
  terminal :PE earth 0.5..240mm2
}}
device -E1 heater at=+A current=20A power-factor=1
wire -G0:L to -F1:1 35mm2 length=0.001m
wire -F1:2 to -E1:L 16mm2 length=0.001m adiabatic-constant={k}
wire -G0:N to -E1:N 16mm2 BU length=0.001m
wire -G0:PE to -XE1:1 16mm2 GNYE length=0.001m
wire -XE1:2 to -E1:PE {pe} GNYE length=0.001m adiabatic-constant={k}
"""


def test_with_current_time_and_constant_as_stated() -> None:
    """A. L. Sheldrake, Handbook of Electrical Engineering, table 9.32 p. 238: 850 A, 5 s, k 143 ask for 13.29 mm²."""
    calculation = calculated(STATED.format(amps="850A", seconds="5s", k=143, pe="16mm2"))
    found = calculation.by_key["protective-conductor.adiabatic -XE1:2 -- -E1:PE"]
    assert found.value == pytest.approx(13.29, rel=0.001)
    assert found.holds


def test_with_time_and_constant_as_stated() -> None:
    """T. Linsley, Basic Electrical Installation Work, p. 251 example 1: 200 A, 0.4 s, k 115 ask for 1.10 mm²."""
    calculation = calculated(STATED.format(amps="200A", seconds="0.4s", k=115, pe="1.5mm2"))
    found = calculation.by_key["protective-conductor.adiabatic -XE1:2 -- -E1:PE"]
    assert found.value == pytest.approx(1.10, rel=0.002)
    assert found.holds


NETWORK = """
project "Reference" {{
  voltage-factor-max = {c}   transformer-correction = no   network-voltage-factor = {c}   source-r-over-x = 0
  motor-contribution = no
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S frequency=50Hz {stated}
busbar -WB1 at=+A poles=3
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0mohm reactance=0.0001mohm
device -Q1 mccb-630a at=+A
device -E1 socket-16a-5p at=+A
wire -WB1:L1,L2,L3 to -Q1:1,3,5 240mm2 resistance=0mohm reactance=0.0001mohm
wire -Q1:2,4,6 to -E1:L1,L2,L3 16mm2 resistance=0mohm reactance=0.0001mohm
"""


def network(stated: str, c: float = 1.0) -> Calculation:
    return calculated(NETWORK.format(stated=stated, c=c))


def largest(calculation: Calculation) -> float:
    found = calculation.of(Faults).at("-WB1")
    assert found is not None and found.largest is not None
    return found.largest


def test_short_circuit_power_at_the_supply_itself() -> None:
    """Worked by hand: 10 MVA at 400 V are 10e6 / (sqrt(3) 400) = 14434 A."""
    assert largest(network("voltage=400V network-power=10MVA")) == pytest.approx(10e6 / (sqrt(3) * 400), rel=1e-4)


@each_of("stated", ["network-power=500MVA", "network-voltage=22kV network-fault-current=13.1216kA"])
def test_by_power_and_by_current_of_the_network(stated: str) -> None:
    """'Short Circuit Calculations' project calculation sheet: 49.41 kA behind 2000 kVA 5.75 %, and 500 MVA (13.12 kA at 22
    kV)."""
    words = f"voltage=380V transformer=2000kVA transformer-impedance=5.75% {stated}"
    assert largest(network(words)) == pytest.approx(49410, rel=0.001)


def test_impedance_of_the_network_before_the_transformer() -> None:
    """The same sheet: 0.968 Ω at 22 kV are 0.2888 mΩ at 380 V, the transformer's are 4.1515 mΩ."""
    calculation = network("voltage=380V transformer=2000kVA transformer-impedance=5.75% network-power=500MVA")
    before, own = (calculation.by_key[f"{name} -G0"].value for name in ("network-impedance", "transformer-impedance"))
    assert before == pytest.approx(0.2888e-3, rel=0.001)
    assert before * (22000 / 380) ** 2 == pytest.approx(0.968, rel=0.001)
    assert own == pytest.approx(4.1515e-3, rel=0.001)


def test_peak_of_a_pure_reactance() -> None:
    """Worked by hand, IEC 60909-0: R/X = 0 gives kappa 2.00, ip = 2 sqrt(2) Ik."""
    calculation = network("voltage=400V network-power=10MVA")
    assert calculation.by_key["fault-current.peak -WB1"].value == pytest.approx(2 * sqrt(2) * largest(calculation), rel=0.001)


#: IEC 60228:2004, class 2, plain aluminium, ohm/km at 20 °C, from memory
ALUMINIUM = (
    (16, 1.91),
    (25, 1.20),
    (35, 0.868),
    (50, 0.641),
    (70, 0.443),
    (95, 0.320),
    (120, 0.253),
    (150, 0.206),
    (185, 0.164),
    (240, 0.125),
)


@each_of(("section", "ohm"), ALUMINIUM)
def test_resistance_of_aluminium(section: int, ohm: float) -> None:
    calculation = calculated(f"""
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA
busbar -WB1 at=+A poles=3
cable -W0 4G{section} length=1000m method=E material=Al {{
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
}}
""")
    lead = calculation.of(Circuit).leads.of("-W0 BN")
    assert getattr(lead, "r20", None) == pytest.approx(ohm, rel=1e-9)
