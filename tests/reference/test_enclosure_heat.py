"""Heat of enclosures and derating against published worked examples.

Sources: effective cooling surface and heat balance of enclosures by VDE 0660-500/-507 (IEC TR 60890) as worked in enclosure
climate handbooks (names withheld); derating by altitude and temperature as printed in drive installation manuals (names
withheld).
"""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.heat.derating import Deratings
from netdsl.calc.heat.enclosures import Enclosures
from tests.reference.plants import calculated

POSITIONS = (
    "free",
    "against-wall",
    "row-end",
    "row-end-against-wall",
    "row-middle",
    "row-middle-against-wall",
    "row-middle-covered",
)
#: height, width, depth in mm; surface in m² in the order of POSITIONS, one of each printed, the others by the same formulas
SURFACES = (
    (2000, 800, 600, (5.712, 5.072, 5.232, 4.592, 4.752, 4.112, 3.776)),
    (2000, 600, 500, (4.38, 3.9, 3.98, 3.5, 3.58, 3.1, 2.89)),
    (2000, 1200, 600, (7.488, 6.528, 7.008, 6.048, 6.528, 5.568, 5.064)),
)


def cabinet(attributes: str, project: str = "", more: str = "") -> Calculation:
    lead = f'project "Heat" {{\n{project}\n}}\n' if project else ""
    return calculated(f"{lead}place +A kind=cabinet {attributes}\n{more}")


def value(calculation: Calculation, question: str) -> float:
    return next(r for r in calculation.of(Enclosures).results() if r.question == f"enclosure.{question}").value


@pytest.mark.parametrize(("height", "width", "depth", "areas"), SURFACES)
def test_the_surface_by_mounting(height: int, width: int, depth: int, areas: tuple[float, ...]) -> None:
    for mounting, area in zip(POSITIONS, areas, strict=True):
        made = cabinet(f"size={width}x{height}x{depth}mm mounting={mounting} ambient=25degC losses=100W")
        assert value(made, "surface") == pytest.approx(area, abs=5e-4)


def test_the_drive_cabinet_of_900_w() -> None:
    made = cabinet("size=600x2000x500mm mounting=free material=sheet-steel ambient=25degC inside-limit=35degC losses=900W")
    # printed with the surface rounded to 4.4 m²: 242 W and 658 W
    assert value(made, "shed") == pytest.approx(242, rel=0.01)
    assert value(made, "cooling") == pytest.approx(658, rel=0.005)
    assert value(made, "temperature") == pytest.approx(25 + 900 / (5.5 * 4.38), rel=1e-6)


@pytest.mark.parametrize(
    ("ambient", "shed", "cooling"),
    [(30, 179.52, 820.48), (35, 0.0, 1000.0), (40, -179.52, 1179.52), (45, -359.04, 1359.04), (50, -538.56, 1538.56)],
)
def test_the_wall_cabinet_in_a_hot_room(ambient: int, shed: float, cooling: float) -> None:
    made = cabinet(
        f"size=1200x2000x600mm mounting=against-wall material=sheet-steel ambient={ambient}degC inside-limit=35degC losses=1000W"
    )
    assert value(made, "shed") == pytest.approx(shed, abs=0.01)
    assert value(made, "cooling") == pytest.approx(cooling, abs=0.01)


@pytest.mark.parametrize(
    ("material", "k"),
    [("sheet-steel", 5.5), ("stainless", 4.5), ("aluminium", 12.0), ("aluminium-double", 4.5), ("plastic", 3.5)],
)
def test_the_walls_by_material(material: str, k: float) -> None:
    made = cabinet(f"size=600x2000x500mm mounting=free material={material} ambient=25degC inside-limit=35degC losses=900W")
    assert value(made, "shed") == pytest.approx(k * 4.38 * 10)


@pytest.mark.parametrize(("altitude", "k"), [(0, 3.1), (500, 3.29), (1000, 3.49), (1500, 3.71), (2000, 3.95)])
def test_the_airflow_by_altitude(altitude: int, k: float) -> None:
    made = cabinet(f"size=600x2000x500mm mounting=free ambient=25degC inside-limit=35degC losses=900W altitude={altitude}m")
    assert value(made, "airflow") == pytest.approx(k * (900 - 240.9) / 10)


def test_a_fan_carries_heat_by_the_share_that_passes_its_filter() -> None:
    made = cabinet(
        "size=600x2000x500mm mounting=free ambient=25degC losses=880W",
        "filter-factor = 0.6",
        "device -G1 cabinet-fan at=+A airflow=200m3/h\n",
    )
    assert value(made, "temperature-closed") == pytest.approx(25 + 900 / (5.5 * 4.38))
    assert value(made, "temperature") == pytest.approx(25 + 900 / (5.5 * 4.38 + 0.6 * 200 / 3.1))


@pytest.mark.parametrize(
    ("altitude", "inside", "factor"), [(1500, 40, 0.95), (0, 50, 0.90), (1500, 45, 0.9025), (1000, 40, 1.0), (2000, 40, 0.90)]
)
def test_a_drive_is_derated_by_altitude_and_temperature(altitude: int, inside: int, factor: float) -> None:
    made = cabinet(f"inside-limit={inside}degC altitude={altitude}m", "", "device -T1 vsd-15kw at=+A\n")
    derated = made.of(Deratings).of("-T1")
    assert derated is not None
    assert derated.value == pytest.approx(32 * factor)


def test_a_drive_may_state_its_own_derating() -> None:
    made = cabinet(
        "inside-limit=50degC altitude=2000m", "", "device -T1 vsd-15kw at=+A derating-per-kelvin=2.5% derating-altitude=0.5%\n"
    )
    derated = made.of(Deratings).of("-T1")
    assert derated is not None
    assert derated.value == pytest.approx(32 * 0.95 * 0.75)


def test_losses_are_those_stated_else_by_listed_assumptions() -> None:
    part = "part plain-drive {\n  kind = drive   letter = T   class = I   power = 22kW\n  terminal :PE earth\n}\n"
    made = cabinet("size=600x2000x500mm ambient=25degC", "", part + "device -T1 plain-drive at=+A\ndevice -T2 vsd-15kw at=+A\n")
    assert value(made, "losses") == pytest.approx(660 + 440)
    assert "losses of drive" in {assumption.name for assumption in made.assumptions}


def test_missing_data_is_one_gap_for_each_kind() -> None:
    made = cabinet("", "", "device -T1 vsd-15kw at=+A\n")
    assert [result.question for result in made.of(Enclosures).results()] == ["enclosure.losses"]
    assert [(gap.feeder, gap.kind) for gap in made.missing] == [("+A", "size"), ("+A", "ambient temperature")]


def test_nothing_is_left_to_be_carried_away() -> None:
    made = cabinet("size=600x2000x500mm mounting=free ambient=25degC inside-limit=35degC losses=200W")
    shed = next(r for r in made.of(Enclosures).results() if r.question == "enclosure.shed")
    assert shed.note == "nothing remains to be carried away"
    assert not [r for r in made.of(Enclosures).results() if r.question in ("enclosure.cooling", "enclosure.airflow")]


def test_heat_comes_in_where_it_is_warmer_around_than_inside() -> None:
    made = cabinet("size=600x2000x500mm mounting=free ambient=50degC inside-limit=35degC losses=200W")
    shed = next(r for r in made.of(Enclosures).results() if r.question == "enclosure.shed")
    assert shed.value < 0
    assert "heat comes in" in shed.note
