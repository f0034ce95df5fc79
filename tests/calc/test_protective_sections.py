"""Sections of protective conductors: the table, its sections rounded up, other metals."""

from __future__ import annotations

import pytest

from netdsl.calc.basis import Result
from netdsl.calc.protection import ProtectiveConductors
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Sections" {{
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=10kA earth-fault-current=10kA
device -XE1 earth-bar at=+A ways=4
part heater "Heater" {{
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..240mm2
  terminal :N neutral 0.5..240mm2
  terminal :PE earth 0.5..240mm2
}}
device -E1 heater at=+A
wire -G0:L to -E1:L {line} length=10m
wire -G0:N to -E1:N {line} BU length=10m
wire -G0:PE to -XE1:1 240mm2 GNYE length=10m
wire -XE1:2 to -E1:PE {earth} GNYE length=10m
"""


def by_table(line: str, earth: str) -> Result:
    found = calculated(PLANT.format(line=line, earth=earth)).of(ProtectiveConductors).results()
    (result,) = (each for each in found if each.key == "protective-conductor.table -XE1:2 -- -E1:PE")
    return result


@each_of(
    ("line", "formula", "needed", "rounded"),
    [
        ("10mm2", "S_L", 10, False),
        ("16mm2", "S_L", 16, False),
        ("25mm2", "S_T", 16, False),
        ("35mm2", "S_T", 16, False),
        ("50mm2", "S_L / 2", 25, False),
        ("95mm2", "standard(S_L / 2)", 50, True),
        ("150mm2", "standard(S_L / 2)", 95, True),
    ],
)
def test_the_section_by_table_is_a_standard_one(line: str, formula: str, needed: float, rounded: bool) -> None:
    result = by_table(line, "240mm2")
    assert (result.formula_text, result.value) == (formula, needed)
    assert ("rounded up to a standard section" in result.note) == rounded


def test_a_protective_conductor_of_another_metal_bears_as_much() -> None:
    """k of copper in PVC is 115, of aluminium 76 A s^0.5/mm2."""
    result = by_table("16mm2", "240mm2 material=Al")
    assert result.formula_text == "standard(S_L · r)"
    assert next(given.value for given in result.givens if given.symbol == "r") == pytest.approx(115 / 76, rel=0.01)
    assert result.value == 25
