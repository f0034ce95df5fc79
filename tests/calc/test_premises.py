"""What figures rest on without the plant saying it: the edition of a standard, the metal of a conductor."""

from __future__ import annotations

import pytest

from netdsl.calc.circuit import Circuit, Missing
from netdsl.calc.faults import Faults
from tests.reference.plants import calculated

SUPPLY = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA
"""


@pytest.mark.parametrize(
    ("says", "factor", "assumed"),
    [
        ("", 0.90, {"fault-edition", "voltage-factor-min"}),
        ("fault-edition = 2016", 0.90, {"voltage-factor-min"}),
        ("fault-edition = 2001", 0.95, {"voltage-factor-min"}),
        ("voltage-factor-min = 0.97", 0.97, set()),
    ],
)
def test_the_edition_that_a_project_chooses_gives_the_voltage_factor(says: str, factor: float, assumed: set[str]) -> None:
    calculation = calculated(f'project "P" {{\n  {says}\n}}\n{SUPPLY}')
    level = calculation.of(Faults).at("-G0")
    assert level is not None and level.three_min is not None
    assert level.three_min == pytest.approx(10e3 * factor / 1.1)
    said = {each.name: each.words for each in calculation.assumptions if each.name in ("fault-edition", "voltage-factor-min")}
    assert set(said) == assumed
    assert all(text in said.get("fault-edition", text) for text in ("2016", "IEC 60909-0"))
    inputs = calculation.by_key["fault-current.smallest -G0"].rests_on
    stated = next(each for each in inputs if each.symbol == "c")
    assert says == "voltage-factor-min = 0.97" or (says[-4:] or "2016") in stated.source


METALS = """
cable -W1 4G25 length=100m material={metal} insulation={insulation} {{
  BN   -G0:L1 to -X1:1
  BK   -G0:L2 to -X1:2
  GY   -G0:L3 to -X1:3
  GNYE -G0:PE to -X1:PE
}}
strip -X1 at=+HALL {{
  :1 :2 :3 35mm2
  :PE      earth 35mm2
}}
"""


@pytest.mark.parametrize(
    ("metal", "insulation", "alpha", "ohm_per_km"),
    [("Al", "PVC", 0.00403, 1.20), ("Al", "XLPE", 0.00403, 1.20), ("Cu", "PVC", 0.00393, 0.727)],
)
def test_each_metal_warms_by_its_own_coefficient(metal: str, insulation: str, alpha: float, ohm_per_km: float) -> None:
    calculation = calculated(SUPPLY + METALS.format(metal=metal, insulation=insulation))
    name = calculation.plant.cables["-W1"].conductors[0]
    lead = calculation.of(Circuit).leads.of(name)
    assert not isinstance(lead, Missing)
    rise = {"PVC": 50, "XLPE": 70}[insulation]
    assert lead.at(None).real == pytest.approx(ohm_per_km / 10 * (1 + alpha * rise))
