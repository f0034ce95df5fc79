"""Capacities of two loaded conductors, of aluminium, of methods A and D and of 300 mm2, each asked for through the language."""

from __future__ import annotations

import pytest
from plants import calculated
from published_conductors import BURIED, FURTHER, GROUND, SECTIONS

from netdsl.calc import Calculation
from netdsl.calc.conductors.capacity import Capacities
from tests.cases import each_of

HEAD = """
place +A kind=field
part single "Load" {
  kind = heater   letter = E   class = II
  terminal :L line-in
  terminal :N neutral
}
part three "Load" {
  kind = heater   letter = E   class = II   voltage = 400V
  terminal :L1 :L2 :L3 line-in
}
supply -G0 system=TN-S voltage=400V fault-current=6kA
"""


def feeder(number: int, section: float, loaded: int, attributes: str) -> str:
    """A cable to a load of one or of three phases."""
    start = f"device -E{number} {'single' if loaded == 2 else 'three'} at=+A current=10A power-factor=1\n"
    start += f"cable -W{number} {loaded}x{section:g} length=10m {attributes} {{\n"
    ends = (("BN", "L1", "L"), ("BU", "N", "N")) if loaded == 2 else (("BN", "L1", "L1"), ("BK", "L2", "L2"), ("GY", "L3", "L3"))
    return start + "".join(f"  {core} -G0:{source} to -E{number}:{load}\n" for core, source, load in ends) + "}\n"


def bears(found: Calculation, number: int) -> float:
    result = found.by_key[f"current-carrying-capacity -W{number}"]
    assert result.limit == pytest.approx(10)
    return result.value


@each_of(("method", "insulation", "loaded", "metal"), FURTHER)
def test_every_figure(method: str, insulation: str, loaded: int, metal: str) -> None:
    figures = FURTHER[method, insulation, loaded, metal]
    attributes = f"method={method} insulation={insulation} material={metal} circuits=1"
    sections = SECTIONS[-len(figures) :]
    found = calculated(HEAD + "".join(feeder(n, section, loaded, attributes) for n, section in enumerate(sections)))
    assert [bears(found, n) for n in range(len(sections))] == pytest.approx(list(figures))


@each_of("insulation", GROUND)
def test_the_temperature_of_the_ground(insulation: str) -> None:
    texts = (
        feeder(n, 25, 3, f"method=D2 insulation={insulation} circuits=1 ambient={celsius}degC")
        for n, celsius in enumerate(GROUND[insulation])
    )
    found = calculated(HEAD + "".join(texts))
    alone = FURTHER["D2", insulation, 3, "Cu"][6]
    assert [bears(found, n) / alone for n in range(len(GROUND[insulation]))] == pytest.approx(list(GROUND[insulation].values()))


def test_the_air_around_does_not_warm_what_is_buried() -> None:
    text = HEAD.replace("kind=field", "kind=field ambient=45degC") + feeder(0, 25, 3, "method=D1 insulation=PVC")
    assert bears(calculated(text), 0) == pytest.approx(82)
    warm = 'project "Warm ground" {\n  ground-temperature = 30degC\n}\n' + text
    assert bears(calculated(warm), 0) == pytest.approx(82 * 0.89)


@each_of("method", BURIED)
def test_circuits_side_by_side_in_the_ground(method: str) -> None:
    figures = BURIED[method]
    texts = (feeder(n, 25, 3, f"method={method} insulation=PVC circuits={count}") for n, count in enumerate(figures))
    found = calculated(HEAD + "".join(texts))
    alone = FURTHER[method, "PVC", 3, "Cu"][6]
    assert [bears(found, n) / alone for n in range(len(figures))] == pytest.approx(list(figures.values()))


def test_a_stated_capacity_of_aluminium_is_that_of_aluminium() -> None:
    found = calculated(HEAD + feeder(0, 240, 3, "method=E material=Al ampacity=300A circuits=1"))
    assert bears(found, 0) == 300


@each_of(
    ("core", "amps"),
    [
        ("", 27),  # one circuit of one phase in its cable: two loaded conductors
        ("  BK -G0:L2 to -E1:L\n  GY -G0:N to -E1:N\n", 24 * 0.85),  # two such circuits: four loaded, counted as two of three
    ],
)
def test_two_circuits_of_one_phase_in_one_cable_count_as_more(core: str, amps: float) -> None:
    """By hand: 2.5 mm2, PVC, method C: 27 A for two loaded conductors, 24 A for three."""
    text = HEAD + "device -E0 single at=+A current=10A power-factor=1\ndevice -E1 single at=+A current=10A power-factor=1\n"
    text += "cable -W0 4x2.5 length=10m method=C insulation=PVC {\n  BN -G0:L1 to -E0:L\n  BU -G0:N to -E0:N\n" + core + "}\n"
    result = calculated(text).of(Capacities).conductor("-W0 BN")
    assert result is not None and result.value == pytest.approx(amps)
