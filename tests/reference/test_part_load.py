"""Conductors at part load: their temperature and the voltage lost in them, after BS 7671, appendix 4, 6.1 (memory).

With C_a and C_g the factors of ambient and grouping,
C_t = (230 + t_p - (C_a^2 C_g^2 - I_b^2 / I_t^2) (t_p - 30)) / (230 + t_p)."""

from __future__ import annotations

import pytest
from plants import calculated

from netdsl.calc import Calculation
from tests.cases import each_of

PLANT = """
project "Part load" {{
  conductor-temperature = {chosen}   temperature-coefficient = 0.004   reactance-per-length = 0ohm/m   wiring-table = building
}}
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA earth-fault-current=15kA
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
device -E1 load-3ph at=+HALL current={amps}A
cable -W1 3x{section} length=50m method=C insulation={insulation} {more} {{
  BN -G0:L1 to -E1:1
  BK -G0:L2 to -E1:2
  GY -G0:L3 to -E1:3
}}
"""


def plant(chosen: str, amps: float, section: float = 10, insulation: str = "PVC", more: str = "") -> Calculation:
    return calculated(PLANT.format(chosen=chosen, amps=amps, section=section, insulation=insulation, more=more))


@each_of(
    ("amps", "section", "insulation", "more", "table", "ambient", "group"),
    [
        (40, 10, "PVC", "", 57, 1.0, 1.0),
        (20, 10, "PVC", "", 57, 1.0, 1.0),
        (30, 10, "PVC", "ambient=40degC", 57, 0.87, 1.0),
        (30, 10, "PVC", "circuits=3", 57, 1.0, 0.79),
        (30, 10, "PVC", "circuits=2 ambient=45degC", 57, 0.79, 0.85),
        (60, 16, "XLPE", "", 96, 1.0, 1.0),
    ],
)
def test_correction_of_the_drop_below_full_load(
    amps: float, section: float, insulation: str, more: str, table: float, ambient: float, group: float
) -> None:
    part, full = (plant(chosen, amps, section, insulation, more) for chosen in ("part-load", "operating"))
    hottest = {"PVC": 70, "XLPE": 90}[insulation]
    above = (ambient**2 * group**2 - amps**2 / table**2) * (hottest - 30)
    # the printed factor of ambient temperature is rounded to two figures
    assert part.by_key["conductor-temperature -W1"].value == pytest.approx(hottest - above, abs=0.4)
    drops = [found.by_key["voltage-drop.running -E1"].value for found in (part, full)]
    assert drops[0] / drops[1] == pytest.approx((230 + hottest - above) / (230 + hottest), rel=2e-3)


def test_at_full_load_a_conductor_is_as_warm_as_its_insulation_bears_and_beyond_warmer() -> None:
    assert plant("part-load", 57).by_key["conductor-temperature -W1"].value == pytest.approx(70)
    assert plant("part-load", 70).by_key["conductor-temperature -W1"].value > 70
    assert "conductor-temperature -W1" not in plant("operating", 57).by_key
