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
from tests.cases import each_of
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


@each_of(("height", "width", "depth", "areas"), SURFACES)
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


@each_of(
    ("ambient", "shed", "cooling"),
    [(30, 179.52, 820.48), (35, 0.0, 1000.0), (40, -179.52, 1179.52), (45, -359.04, 1359.04), (50, -538.56, 1538.56)],
)
def test_the_wall_cabinet_in_a_hot_room(ambient: int, shed: float, cooling: float) -> None:
    made = cabinet(
        f"size=1200x2000x600mm mounting=against-wall material=sheet-steel ambient={ambient}degC inside-limit=35degC losses=1000W"
    )
    assert value(made, "shed") == pytest.approx(shed, abs=0.01)
    assert value(made, "cooling") == pytest.approx(cooling, abs=0.01)


@each_of(
    ("material", "k"),
    [("sheet-steel", 5.5), ("stainless", 4.5), ("aluminium", 12.0), ("aluminium-double", 4.5), ("plastic", 3.5)],
)
def test_the_walls_by_material(material: str, k: float) -> None:
    made = cabinet(f"size=600x2000x500mm mounting=free material={material} ambient=25degC inside-limit=35degC losses=900W")
    assert value(made, "shed") == pytest.approx(k * 4.38 * 10)


@each_of(("altitude", "k"), [(0, 3.1), (500, 3.29), (1000, 3.49), (1500, 3.71), (2000, 3.95)])
def test_the_airflow_by_altitude(altitude: int, k: float) -> None:
    made = cabinet(f"size=600x2000x500mm mounting=free ambient=25degC inside-limit=35degC losses=900W altitude={altitude}m")
    assert value(made, "airflow") == pytest.approx(k * (900 - 240.9) / 10)


def test_the_airflow_as_air_conditioning_counts_it() -> None:
    """ASHRAE Handbook, Fundamentals (memory): sensible heat in Btu/h is 1.08 times cfm times degrees Fahrenheit, of air of 0.075
    lb/ft3: 1000 W (3412 Btu/h) and 20 degrees Fahrenheit ask for 158 cfm, 268 m3/h. Warm air is lighter: ours is 4 % more."""
    made = cabinet(f"heat-transfer=0 ambient=20degC inside-limit={20 + 20 / 1.8:.4f}degC losses=1000W")
    assert value(made, "airflow") == pytest.approx(268.4 * 1.04, rel=5e-3)


@each_of(
    ("altitude", "hectopascals"), [(500, 954.61), (1000, 898.76), (1500, 845.59), (2000, 794.98), (2500, 746.86), (3000, 701.12)]
)
def test_the_airflow_follows_the_standard_atmosphere(altitude: int, hectopascals: float) -> None:
    """ISO 2533, standard atmosphere, table of pressures (memory), 1013.25 hPa at sea level: as much more air as it is thinner."""
    text = "heat-transfer=0 ambient=20degC inside-limit=30degC losses=1000W"
    high, low = (value(cabinet(f"{text} altitude={metres}m"), "airflow") for metres in (altitude, 0))
    assert high / low == pytest.approx(1013.25 / hectopascals, rel=2e-3)


def test_a_fan_carries_heat_by_the_share_that_passes_its_filter() -> None:
    made = cabinet(
        "size=600x2000x500mm mounting=free ambient=25degC losses=880W",
        "filter-factor = 0.6",
        "device -G1 cabinet-fan at=+A airflow=200m3/h\n",
    )
    assert value(made, "temperature-closed") == pytest.approx(25 + 900 / (5.5 * 4.38))
    assert value(made, "temperature") == pytest.approx(25 + 900 / (5.5 * 4.38 + 0.6 * 200 / 3.1))


@each_of(
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


# --- power law --------------------------------------------------------------------------------------------------------
LAW = "  enclosure-heat = power-law"


@each_of(
    ("attributes", "watts", "area", "constant", "partitions", "distribution"),
    [
        # a cabinet of 2000 x 800 x 600 mm against a wall: A = 5.072 m2; f = 2^1.35 / 0.48 = 5.31, curve 3
        ("size=800x2000x600mm mounting=against-wall", 500, 5.072, 0.1582, 1.0, 1.3924),
        ("size=800x2000x600mm mounting=against-wall partitions=2", 500, 5.072, 0.1582, 1.15, 1.3924),
        # free on all sides: A = 5.712 m2, curve 1
        ("size=800x2000x600mm mounting=free", 500, 5.712, 0.1422, 1.0, 1.4274),
        # a small box of 600 x 600 x 200 mm: A = 0.888 m2, g = h / w = 1
        ("size=600x600x200mm mounting=against-wall", 60, 0.888, 0.6731, 1.0, 1.188),
    ],
)
def test_rise_by_the_power_law(
    attributes: str, watts: float, area: float, constant: float, partitions: float, distribution: float
) -> None:
    """By hand after IEC TR 60890 (memory): dT_0.5 = k d P^0.804, dT_1.0 = c dT_0.5, k and c between the rows of the tables."""
    found = cabinet(f"{attributes} ambient=30degC losses={watts}W inside-limit=55degC", LAW)
    middle = constant * partitions * watts**0.804
    assert value(found, "surface") == pytest.approx(area, rel=1e-3)
    assert value(found, "temperature-middle") == pytest.approx(30 + middle, abs=0.05)
    assert value(found, "temperature") == pytest.approx(30 + distribution * middle, abs=0.08)
    # what it sheds brings the top to the limit
    shed = value(found, "shed")
    assert distribution * constant * partitions * shed**0.804 == pytest.approx(25, rel=2e-3)
    assert ("partitions" in {each.name for each in found.assumptions}) is ("partitions" not in attributes)


def test_the_top_is_held_to_the_limit_and_what_is_too_much_is_carried_away() -> None:
    found = cabinet("size=800x2000x600mm mounting=against-wall ambient=30degC losses=800W inside-limit=55degC", LAW)
    top = next(each for each in found.of(Enclosures).results() if each.question == "enclosure.temperature")
    assert not top.holds and top.limit == 55 and top.note == "at the top"
    assert value(found, "cooling") == pytest.approx(800 - value(found, "shed"))
    assert value(found, "airflow") == pytest.approx(3.1 * value(found, "cooling") / 25, rel=1e-3)


def test_fans_and_sizes_beyond_its_tables_are_not_judged_by_the_power_law() -> None:
    ventilated = cabinet("size=800x2000x600mm ambient=30degC losses=500W airflow=100m3/h", LAW)
    assert "enclosure.temperature-closed +A" in ventilated.by_key and "enclosure.temperature-middle +A" not in ventilated.by_key
    large = cabinet("size=5000x2000x1000mm ambient=30degC losses=500W", LAW)
    assert "enclosure.temperature +A" not in large.by_key
    assert [gap.kind for gap in large.missing] == ["size within the power law"]
