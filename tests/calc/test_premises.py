"""What figures rest on without the plant saying it: the edition of a standard, the metal of a conductor."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc.circuit import Circuit, Missing
from netdsl.calc.faults import Faults
from netdsl.calc.protection import Disconnections
from tests.cases import each_of
from tests.reference.plants import calculated

SUPPLY = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA
"""


@each_of(
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


@each_of(
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


ONE_WAY = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=2kA earth-fault-current=1kA upstream=fuse-gG-63A
device -XE1 earth-bar at=+A ways=6
wire -XE1:2 to +A:PE 16mm2 length=1m
device -M1 motor at=+HALL current=8A power-factor=0.85 power=4kW
cable -W1 4G2.5 length=10m {{
  BN   -Q1:2  to -M1:U1
  BK   -Q1:4  to -M1:V1
  GY   -Q1:6  to -M1:W1
  GNYE -XE1:3 to -M1:PE
}}
device -Q1 mcb-3p-c at=+A current=10A
{}
"""
DIRECT = """
cable -W0 4G10 length={length}m {{
  BN   -G0:L1 to -Q1:1
  BK   -G0:L2 to -Q1:3
  GY   -G0:L3 to -Q1:5
  GNYE -G0:PE to -XE1:1
}}
"""
BY_STRIP = """
strip -X0 at=+A {{
  :1 :2 :3 16mm2
}}
device -Q0 switch-disconnector at=+A current=80A
wire -X0:1,2,3 to -Q0:1,3,5 10mm2 length=1m
wire -Q0:2,4,6 to -Q1:1,3,5 10mm2 length=1m
cable -W0 4G10 length={length}m {{
  BN   -G0:L1 to -X0:1
  BK   -G0:L2 to -X0:2
  GY   -G0:L3 to -X0:3
  GNYE -G0:PE to -XE1:1
}}
"""


@each_of(("feed", "subject"), [(DIRECT, "-Q1"), (BY_STRIP, "-X0")])
@each_of(("length", "kept"), [(20, True), (200, False)])
def test_a_board_of_one_way_is_disconnected_by_what_is_ahead_of_it(feed: str, subject: str, length: int, kept: bool) -> None:
    """By hand: gG 63 A in 5 s needs 320 A; source 1.1 * 231 / 1000 = 0.254 ohm, 4G10 warm 2 * 1.83 * 1.1965 mohm/m: 0.084 ohm
    and 0.84 ohm, at most 0.95 * 230 / 320 = 0.683 ohm."""
    calculation = calculated(ONE_WAY.format(feed.format(length=length)))
    found = calculation.by_key[f"disconnection {subject}"]
    assert found.holds is kept and found.limit == pytest.approx(0.95 * 230 / 320)
    source, there_and_back = 1.1 * 400 / sqrt(3) / 1000, 2 * 1.83e-3 * (1 + 0.00393 * 50) * length
    reactance = source / sqrt(1.01) + 2 * 8e-5 * length
    assert found.value == pytest.approx(abs(complex(source * 0.1 / sqrt(1.01) + there_and_back, reactance)), rel=2e-2)
    assert "ahead of -G0 (gG 63 A) within 5 s" in found.note
    others = {each.subject for each in calculation.results if each.question == "disconnection"}
    assert others == {subject, "-M1"}


DRIVE = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA
device -T1 vsd-4kw at=+A {emission}
device -M1 motor at=+HALL current=8A power=4kW power-factor=0.85 efficiency=88%
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 4mm2 length=1m {metal}
cable -W1 4G2.5 screened length=10m {metal} {{
  BN     -T1:U   to -M1:U1
  BK     -T1:V   to -M1:V1
  GY     -T1:W   to -M1:W1
  GNYE   -T1:PE2 to -M1:PE
}}
"""


def test_what_is_taken_silently_elsewhere_stands_among_the_assumptions() -> None:
    named = {"drop-from", "conductor-resistance", "emission", "material"}
    bare = calculated(DRIVE.format(emission="", metal=""))
    assert bare.results and named <= {each.name for each in bare.assumptions}
    chosen = 'project "P" {\n  drop-from = terminals   conductor-resistance = table\n}\n'
    stated = calculated(chosen + DRIVE.format(emission="emission=C3", metal="material=Cu"))
    assert stated.results and not named & {each.name for each in stated.assumptions}


def test_a_board_whose_way_back_is_not_known_is_said_to_be_left_out() -> None:
    text = ONE_WAY.replace("+A:PE 16mm2 length=1m", "+A:PE 16mm2").format(DIRECT.format(length=20))
    found = calculated(text)
    assert "disconnection -Q1" not in found.by_key
    ((device, reason),) = found.of(Disconnections).not_judged()
    assert device == "-Q1" and "a length on it is not stated" in reason
