"""What the poles of switchgear give off: with the square of their load, and never more than at their rated current."""

from __future__ import annotations

import pytest

from netdsl.calc.basis import one_table
from netdsl.calc.heat import Enclosures
from netdsl.library.catalogue import parts_called
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
place +A "Board" kind=cabinet size=600x800x250mm ambient=25degC
place +B "Hall" kind=field
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=5kA earth-fault-current=5kA
part heater "Heater" {{
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..16mm2
  terminal :N neutral 0.5..16mm2
}}
device -F1 mcb-1p-c at=+A current=16A
device -E1 heater at=+B current={amps}A
wire -G0:L to -F1:1 2.5mm2 length=1m
wire -F1:2 to -E1:L 2.5mm2 length=10m
wire -G0:N to -E1:N 2.5mm2 BU length=10m
"""
#: watts of a pole at 16 A, netdsl/standards/thermal.toml
AT_RATED = 3.5


@each_of(("amps", "watts"), [(8, AT_RATED / 4), (16, AT_RATED), (20, AT_RATED)])
def test_losses_of_a_pole(amps: int, watts: float) -> None:
    results = calculated(PLANT.format(amps=amps)).of(Enclosures).results()
    (losses,) = (result for result in results if result.question == "enclosure.losses")
    poles = next(given for given in losses.givens if "poles" in given.words)
    assert poles.value == pytest.approx(watts)


@each_of(
    ("kind", "ratings", "loads", "watts"),
    [
        ("meter", "power=5W", "", 5),
        ("meter", "power=5W", "load :1 to :2 voltage=230V ac power=3W", 3),
        ("contactor", "power=5W", "", None),  # what it switches
        ("switch", "power=5W", "", None),
    ],
)
def test_what_a_device_takes_becomes_heat(kind: str, ratings: str, loads: str, watts: float | None) -> None:
    text = f"""{PLANT.format(amps=8)}
part own "Own" {{
  kind = {kind}   letter = P   class = II
  terminal :1 :2 load
  {loads}
}}
device -P1 own at=+A {ratings}
"""
    (losses,) = (each for each in calculated(text).of(Enclosures).results() if each.question == "enclosure.losses")
    coils = next((given for given in losses.givens if "coils" in given.words), None)
    assert (coils.value if coils else None) == watts


REACTOR = """
place +A "Board" kind=cabinet size=600x800x250mm ambient=25degC
part choke "Reactor" {{
  kind = reactor   letter = L   class = I
  terminal :1 :3 :5 line-in 0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6
}}
device -L1 choke at=+A {ratings}
"""


@each_of(
    ("ratings", "watts"),
    [
        ("current=25A", 35.0),  # as the shipped part of that current
        ("current=20A", 27 + 4 / 9 * 8),
        ("current=2A", 15.0),
        ("current=630A", 446.0),
        ("current=40A drop=2%", 27 + 4 / 9 * 8),  # the reactive power of one of 20 A with 4 %
        ("current=20A voltage=480V", 27 + 8 / 9 * 8),
        ("current=20A losses=50W", 50.0),
    ],
)
def test_losses_of_a_reactor_lie_between_those_of_the_shipped_parts(ratings: str, watts: float) -> None:
    calculation = calculated(REACTOR.format(ratings=ratings))
    (losses,) = (each for each in calculation.of(Enclosures).results() if each.question == "enclosure.losses")
    assert losses.value == pytest.approx(watts, rel=1e-3)
    assert ("reactor-losses" in {each.name for each in calculation.assumptions}) is ("losses" not in ratings)


THREE_PHASE = r"line-reactor-\d+a"


def test_the_losses_in_between_are_those_of_the_shipped_parts() -> None:
    ratings = [each.part.ratings for each in parts_called(THREE_PHASE) if each.part is not None]
    shipped = sorted((each.amount("current"), each.amount("losses")) for each in ratings)
    table = one_table("thermal", "reactor_losses")
    assert shipped == list(zip(table["current_a"], table["watts"], strict=True))
