"""What a fault does to conductors beyond the usual tables: k by its formula, and heat that leaves a conductor meanwhile.

k after IEC 60364-5-54, annex A: K sqrt(ln((beta + T_f) / (beta + T_i))), printed as 115 and 143 for copper in PVC 70 and XLPE 90,
143 and 176 for separate protective conductors, 76 and 94 for aluminium.
Permissible current after IEC 60949 (memory): eps k S / sqrt(t), eps = sqrt(1 + X sqrt(t / S) + Y t / S).
"""

from __future__ import annotations

from math import log, sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.protection import Withstands
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Heating" {{
  voltage-factor-min = 1.0   voltage-factor-max = 1.0   loop-factor = 1.0
  {more}
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S phases=1 voltage=230V frequency=50Hz fault-current={amps}A earth-fault-current={amps}A
device -XE1 earth-bar at=+A ways=4
device -F1 fuse-nh00-gg at=+A current=160A clearing-time={seconds}s
part heater "Heater" {{
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..240mm2
  terminal :N neutral 0.5..240mm2
  terminal :PE earth 0.5..240mm2
}}
device -E1 heater at=+A current=20A power-factor=1
wire -G0:L to -F1:1 95mm2 length=0.001m
wire -F1:2 to -E1:L {section}mm2 length=0.001m insulation={insulation} material={metal}
wire -G0:N to -E1:N {section}mm2 BU length=0.001m
wire -G0:PE to -XE1:1 {section}mm2 GNYE length=0.001m
wire -XE1:2 to -E1:PE {section}mm2 GNYE length=0.001m
"""
LINE = "fault-withstand -F1:2 -- -E1:L"


def plant(
    more: str, amps: float = 850, seconds: float = 1, section: float = 35, insulation: str = "PVC", metal: str = "Cu"
) -> Calculation:
    return calculated(PLANT.format(more=more, amps=amps, seconds=seconds, section=section, insulation=insulation, metal=metal))


@each_of(
    ("metal", "insulation", "apart", "printed"),
    [
        ("Cu", "PVC", False, 115),
        ("Cu", "XLPE", False, 143),
        ("Cu", "EPR", False, 143),
        ("Cu", "PVC", True, 143),
        ("Cu", "XLPE", True, 176),
        ("Al", "PVC", False, 76),
        ("Al", "XLPE", False, 94),
    ],
)
def test_k_by_its_formula_is_that_of_the_table(metal: str, insulation: str, apart: bool, printed: float) -> None:
    found = plant("adiabatic-constants = formula").of(Withstands)
    assert found.factor(metal, insulation, False, apart).value == pytest.approx(printed, rel=0.006)


def test_k_by_its_formula_is_worked_out_on_the_sheet() -> None:
    found = plant("adiabatic-constants = formula")
    k = next(given for given in found.by_key[LINE].givens if given.symbol == "k")
    assert found.by_key[k.result].value == k.value
    assert k.value == pytest.approx(sqrt(3.45e-3 * 254.5 / 17.241e-6 * log((234.5 + 160) / (234.5 + 70))), rel=1e-6)
    assert not [each for each in plant("").results if each.question == "adiabatic-constant"]


@pytest.mark.parametrize(
    ("metal", "insulation", "section", "seconds", "x", "y", "k"),
    [
        ("Cu", "PVC", 16, 5, 0.29, 0.06, 115),
        ("Cu", "XLPE", 35, 1, 0.41, 0.12, 143),
        ("Cu", "EPR", 10, 3, 0.38, 0.10, 143),
        ("Al", "PVC", 50, 2, 0.40, 0.08, 76),
        ("Al", "XLPE", 70, 4, 0.57, 0.16, 94),
    ],
)
def test_what_a_conductor_bears_while_it_sheds_heat(
    metal: str, insulation: str, section: float, seconds: float, x: float, y: float, k: float
) -> None:
    eps = sqrt(1 + x * sqrt(seconds / section) + y * seconds / section)
    bears = eps * k * section / sqrt(seconds)
    for amps, kept in ((0.98 * bears, True), (1.02 * bears, False)):
        found = plant("fault-heating = non-adiabatic", amps, seconds, section, insulation, metal).by_key[LINE]
        assert found.value == pytest.approx(amps * sqrt(seconds) / (k * eps), rel=0.01) and found.holds is kept
    assert plant("", 0.98 * bears, seconds, section, insulation, metal).by_key[LINE].value > found.value / 1.05
