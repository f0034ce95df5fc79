"""Fault currents by the way a supply is stated, by earthing system, behind what limits or adds to them."""

from __future__ import annotations

from math import sqrt

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.faults import FaultResults, Faults
from tests.cases import each_of

PLACES = """
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
defaults within=+MCP length=1m
"""
CABLE = """
busbar -WB1 at=+MCP poles=5 current=250A
cable -W1 5G25 length=20m {
  BN   -G0:L1 to -WB1:L1
  BK   -G0:L2 to -WB1:L2
  GY   -G0:L3 to -WB1:L3
  BU   -G0:N  to -WB1:N
  GNYE -G0:PE to -WB1:PE
}
"""


def plant(supply: str, rest: str = CABLE, system: str = "TN-S", project: str = "") -> Calculation:
    chosen = f'project "Fault currents" {{\n{project}\n}}\n' if project else ""
    return calculated(f'{chosen}{PLACES}supply -G0 "Supply" system={system} voltage=400V {supply}\n{rest}')


def test_a_stated_fault_current_contains_the_voltage_factor() -> None:
    faults = plant("fault-current=10kA earth-fault-current=6kA").of(Faults)
    source, level = faults.source("-G0"), faults.at("-G0")
    assert source is not None and level is not None
    assert abs(source.largest) == pytest.approx(1.1 * 400 / sqrt(3) / 10e3)
    assert level.three_max == pytest.approx(10e3)
    assert level.three_min == pytest.approx(10e3 * 0.9 / 1.1)
    assert level.earth_min == pytest.approx(6e3 * 0.9 / 1.1)


def test_a_lower_factor_of_the_project_counts() -> None:
    level = plant("fault-current=10kA earth-fault-current=6kA", project="  voltage-factor-min = 0.85").of(Faults).at("-G0")
    assert level is not None and level.three_min == pytest.approx(10e3 * 0.85 / 1.1)


def test_currents_fall_along_the_cable_and_rank_by_kind() -> None:
    faults = plant("fault-current=10kA earth-fault-current=6kA").of(Faults)
    near, far = faults.at("-G0"), faults.at("-WB1")
    assert near is not None and far is not None and near.peak is not None and far.peak is not None
    values = (far.three_max, far.three_min, far.two_min, far.earth_min)
    assert None not in values and list(values) == sorted(values, reverse=True)
    assert far.three_max < near.three_max  # type: ignore[operator]
    # The resistance of the cable damps the first peak.
    assert 1.02 * sqrt(2) <= far.peak / far.largest < near.peak / near.largest <= 2 * sqrt(2)


def test_the_correction_factor_raises_the_largest_current_alone() -> None:
    supply = "transformer=400kVA transformer-impedance=4% transformer-losses=4600W network-power=250MVA r-over-x=0.1"
    with_factor, without = (
        plant(supply, project=f"  transformer-correction = {word}").of(Faults).at("-G0") for word in ("yes", "no")
    )
    assert with_factor is not None and without is not None
    # 0.95 * 1.1 / (1 + 0.6 * x), x = sqrt(0.04^2 - 0.0115^2)
    factor = 0.95 * 1.1 / (1 + 0.6 * sqrt(0.04**2 - 0.0115**2))
    assert with_factor.three_max == pytest.approx(without.three_max / factor, rel=0.002)  # type: ignore[operator]
    assert with_factor.three_min == without.three_min


@each_of("system", ["TT", "IT"])
def test_without_a_metallic_return_there_is_no_current_to_earth(system: str) -> None:
    cable = CABLE if system == "TT" else "\n".join(line for line in CABLE.splitlines() if "-G0:N" not in line)
    calculation = plant("fault-current=10kA", cable, system=system)
    faults, results = calculation.of(Faults), calculation.of(FaultResults)
    level = faults.at("-WB1")
    assert level is not None and level.three_max is not None
    assert level.earth_min is None and faults.loop("-WB1") is None and results.earth("-WB1") is None
    notes = [result.note for result in results.results() if result.key == "source-impedance -G0"]
    assert "no metallic return" in notes[0]


def test_a_missing_fault_level_is_noted_once_and_nothing_is_computed() -> None:
    calculation = plant("frequency=50Hz")
    assert list(calculation.of(FaultResults).results()) == []
    (gap,) = [gap for gap in calculation.missing if gap.kind == "fault level"]
    assert gap.things == ("-G0",) and "fault-current=" in gap.remedy


def test_a_missing_earth_fault_level_leaves_the_other_currents() -> None:
    calculation = plant("fault-current=10kA")
    level = calculation.of(Faults).at("-WB1")
    assert level is not None and level.three_max is not None and level.earth_min is None
    assert [gap.kind for gap in calculation.missing] == ["earth-fault level"]


def test_nothing_is_computed_behind_a_drive() -> None:
    drive = (
        CABLE
        + """
device -T1 vsd-7.5kw at=+MCP
device -M1 motor at=+HALL power=7.5kW current=15.5A power-factor=0.84 winding=400/690V
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 6mm2 BK
wire -WB1:PE to -T1:PE 10mm2 GNYE
cable -W2 4G6 length=10m {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
}
"""
    )
    faults = plant("fault-current=10kA earth-fault-current=6kA", drive).of(Faults)
    assert faults.at("-T1") is not None and faults.at("-M1") is None


def test_motors_on_the_mains_add_what_the_project_lets_them() -> None:
    motor = (
        CABLE
        + """
device -M1 motor at=+HALL power=45kW current=80A power-factor=0.86 winding=400/690V starting-current=560A
cable -W2 4G25 length=5m {
  BN   -WB1:L1 to -M1:U1
  BK   -WB1:L2 to -M1:V1
  GY   -WB1:L3 to -M1:W1
  GNYE -WB1:PE to -M1:PE
}
"""
    )
    supply = "fault-current=6kA earth-fault-current=3kA"
    with_motor, without = (
        plant(supply, motor, project=f"  motor-contribution = {word}").of(Faults).at("-WB1") for word in ("yes", "no")
    )
    assert with_motor is not None and without is not None
    # At most the starting current times the voltage factor, in phase with the rest.
    assert 0.8 * 560 < with_motor.largest - without.largest <= 1.1 * 560
    assert with_motor.motors == pytest.approx(with_motor.largest - without.largest)
    assert with_motor.three_min == without.three_min


@each_of(("stated", "listed"), [("current=80A", True), ("efficiency=94%", True), ("current=80A starting-current=400A", False)])
def test_what_a_motor_is_taken_to_feed_into_a_fault_is_listed(stated: str, listed: bool) -> None:
    motor = (
        CABLE
        + f"""
device -M1 motor at=+HALL power=45kW power-factor=0.86 winding=400/690V {stated}
cable -W2 4G25 length=5m {{
  BN   -WB1:L1 to -M1:U1
  BK   -WB1:L2 to -M1:V1
  GY   -WB1:L3 to -M1:W1
  GNYE -WB1:PE to -M1:PE
}}
"""
    )
    calculation = plant("fault-current=6kA earth-fault-current=3kA", motor)
    level = calculation.of(Faults).at("-WB1")
    assert level is not None and 5 * 75 < level.motors < 1.1 * 5 * 85
    names = {each.name for each in calculation.settings.assumptions}
    assert "motor-infeed-r-over-x" in names and ("motor-infeed-ratio" in names) is listed


TRANSFORMER = (
    CABLE
    + """
device -T2 control-transformer-1000va at=+MCP {uk}
wire -WB1:L1,L2 to -T2:1,3 2.5mm2 BK
wire -WB1:PE to -T2:PE 2.5mm2 GNYE
device -F2 mcb-1p-c at=+MCP current=4A
wire -T2:2 to -F2:1 1.5mm2 BK
"""
)


def test_behind_a_transformer_of_the_plant_its_own_impedance_limits() -> None:
    calculation = plant("fault-current=10kA earth-fault-current=6kA", TRANSFORMER.replace("{uk}", "short-circuit-voltage=6%"))
    level = calculation.of(Faults).at("-F2")
    assert level is not None and level.three_max is None
    rated = 1000 / 230
    assert 0.8 * 1.1 * rated / 0.06 < level.largest < 1.1 * rated / 0.06
    assert (result := calculation.of(FaultResults).largest("-F2")) is not None and result.value == level.largest


def test_its_impedance_adds_to_that_of_the_primary_side_with_its_angle() -> None:
    uk = "short-circuit-voltage=6% losses=20W"
    calculation = plant("fault-current=1kA earth-fault-current=1kA", TRANSFORMER.replace("{uk}", uk))
    own, whole = (calculation.by_key[f"{question} -T2"] for question in ("transformer-impedance", "source-impedance"))
    assert own.value == pytest.approx(0.06 * 230**2 / 1000)
    values = {given.symbol: given.value for given in whole.givens}
    assert values["R_T"] == pytest.approx(0.02 * 230**2 / 1000) and abs(complex(values["R_T"], values["X_T"])) == pytest.approx(
        own.value
    )
    assert whole.value == pytest.approx(abs(complex(values["R_T"] + values["R_1"], values["X_T"] + values["X_1"])))
    assert whole.value < own.value + abs(complex(values["R_1"], values["X_1"])) * 0.99


def test_without_its_short_circuit_voltage_that_is_missing() -> None:
    calculation = plant("fault-current=10kA earth-fault-current=6kA", TRANSFORMER.replace("{uk}", ""))
    assert calculation.of(Faults).at("-F2") is None
    assert [(gap.kind, gap.things) for gap in calculation.missing] == [("short-circuit voltage", ("-T2",))]


def test_every_result_leads_back_to_the_netlist() -> None:
    calculation = plant("fault-current=10kA earth-fault-current=6kA", TRANSFORMER.replace("{uk}", "short-circuit-voltage=6%"))
    found = {result.key: result for result in calculation.of(FaultResults).results()}
    assert "loop-impedance -WB1" in found
    for result in found.values():
        symbols = {given.symbol for given in result.givens}
        for given in result.givens:
            assert given.span is not None or given.source or given.result in found, (result.key, given)
        assert symbols.issuperset(result.formula.symbols), result.formula
    lengths = [given for given in found["fault-current.largest -WB1"].givens if given.symbol == "L"]
    assert [given.value for given in lengths] == [20.0]
