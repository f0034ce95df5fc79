"""Published motor currents, and load currents by hand, each computed from the circuit written in the language."""

from __future__ import annotations

from math import sqrt

import pytest
from plants import calculated

from netdsl.calc.loads.currents import LoadCurrents
from tests.cases import each_of


def test_current_from_power_efficiency_and_power_factor() -> None:
    """'Rated motor currents', scribd.com document 340264631: 1.5 kW at 400 V, 3.6 A."""
    calculation = calculated("""
place +HALL "Hall" kind=field
supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz
device -M1 motor at=+HALL power=1.5kW efficiency=74% power-factor=0.81
cable -W1 4G1.5 length=10m {
  BN   -G0:L1 to -M1:U1
  BK   -G0:L2 to -M1:V1
  GY   -G0:L3 to -M1:W1
  GNYE -G0:PE to -M1:PE
}
""")
    assert calculation.of(LoadCurrents).device("-M1") == pytest.approx(3.6, rel=0.015)
    found = calculation.by_key["load-current -M1"]
    assert found.formula_text == "P / (√(3) · U · cos · eta)"
    assert found.inserted == "1500 W / (√(3) · 400 V · 0.81 · 0.74)"


@each_of(
    ("ratings", "amps"),
    [
        ("power=9kW power-factor=1", 9000 / (sqrt(3) * 400)),
        ("power=20kW power-factor=0.8", 20000 / (sqrt(3) * 400 * 0.8)),
        ("apparent-power=10kVA power-factor=0.8", 10000 / (sqrt(3) * 400)),
    ],
)
def test_current_of_a_load_from_its_power(ratings: str, amps: float) -> None:
    """By hand: P over sqrt(3) U cos, S over sqrt(3) U."""
    found = calculated(f"""
place +HALL "Hall" kind=field
part load "Load" {{
  kind = heater   letter = E   class = II   voltage = 400V
  terminal :L1 :L2 :L3 line-in
}}
supply -G0 system=TN-S voltage=400V frequency=50Hz
device -E1 load at=+HALL {ratings}
cable -W1 3x10 length=10m {{
  BN -G0:L1 to -E1:L1
  BK -G0:L2 to -E1:L2
  GY -G0:L3 to -E1:L3
}}
""")
    assert found.of(LoadCurrents).device("-E1") == pytest.approx(amps, rel=1e-6)


def test_input_current_of_a_drive_from_its_efficiency() -> None:
    """By hand: 15 kW over the efficiencies of the motor, 0.92, and of the drive, 0.97, at 400 V and a power factor of 0.95: 25.5
    A."""
    found = calculated("""
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz
device -T1 vsd-15kw at=+MCP efficiency=97% power-factor=0.95
device -M1 motor at=+HALL power=15kW current=28.5A power-factor=0.86 efficiency=92%
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 10mm2 length=2m
cable -W1 4G6 length=20m {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
}
""")
    assert found.of(LoadCurrents).device("-T1") == pytest.approx(15000 / 0.92 / 0.97 / (sqrt(3) * 400 * 0.95), rel=1e-6)
