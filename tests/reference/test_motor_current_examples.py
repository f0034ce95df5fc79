"""Published motor currents, each computed from the circuit written in the language."""

from __future__ import annotations

import pytest
from plants import calculated


def test_p15_current_from_power_efficiency_and_power_factor() -> None:
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
    assert calculation.loads.device("-M1") == pytest.approx(3.6, rel=0.015)
    found = calculation.by_key["load-current -M1"]
    assert found.formula_text == "P / (√(3) · U · cos · eta)"
    assert found.inserted == "1500 W / (√(3) · 400 V · 0.81 · 0.74)"
