"""Voltage at coils while they pull in. Numbers worked out by hand from Ohm's law."""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.control import CoilVoltages
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Coils" {{
  number = "1"   {choices}
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
part coil "Contactor" {{
  kind = {kind}   letter = K   class = II   suppressor = built-in
  terminal :A1 :A2 coil
  coil :A1 to :A2 {coil}
}}
part small "Transformer" {{
  kind = transformer   letter = T   class = II   voltage = 230V   apparent-power = 63VA   {percent}
  terminal :1 :3 line-in
  terminal :2 supply-out
  terminal :4 supply-common
  source :2 to :4 voltage=230V ac current=0.27A
}}
{source}
device -K1 coil at=+F
cable -W1 2x0.75 resistance={ohms}ohm {{
  BN {live} to -K1:A1
  BU {back} to -K1:A2
}}
{more}
"""
ONE = "supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=1kA earth-fault-current=1kA"
THREE = "supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA"
BEHIND = "device -T1 small at=+A\nwire -G0:L to -T1:1 resistance=0ohm\nwire -G0:N to -T1:3 resistance=0ohm"


def text(**said: str) -> str:
    usual = {
        "choices": "",
        "kind": "contactor",
        "coil": "voltage=230V ac power=3W pull-in=60VA",
        "percent": "short-circuit-voltage = 11%",
        "source": ONE,
        "live": "-G0:L",
        "back": "-G0:N",
        "ohms": "40",
        "more": "",
    }
    return PLANT.format(**(usual | said))


def of(calculation: Calculation) -> Result:
    (found,) = calculation.of(CoilVoltages).results()
    return found


@each_of(("ohms", "percent", "holds"), [("40", 90.926, True), ("66", 85.03, True), ("67", 84.80, False)])
def test_a_coil_on_the_mains_gets_what_its_pulling_in_leaves(ohms: str, percent: float, holds: bool) -> None:
    """60 VA at 230 V are 0.26087 A, over 40 ohm there and 40 back 20.87 V."""
    found = of(calculated(text(ohms=ohms)))
    assert (found.value, found.limit, found.holds) == (pytest.approx(percent, abs=0.01), 85, holds)


def test_the_lowest_voltage_of_the_mains_is_a_choice() -> None:
    """207 V less 20.87 V are 186.13 V."""
    assert of(calculated(text(choices="coil-supply = 90%"))).value == pytest.approx(100 * 186.13 / 230, abs=0.01)


def test_between_two_phases_it_is_their_voltage() -> None:
    """60 VA at 400 V are 0.15 A, over 80 ohm 12 V of 400 V; the second and the third pole are ways to the supply as the first."""
    found = of(calculated(text(source=THREE, live="-G0:L2", back="-G0:L3", coil="voltage=400V ac pull-in=60VA")))
    assert found.value == pytest.approx(97.0)
    to_neutral = of(calculated(text(source=THREE, live="-G0:L3")))
    assert to_neutral.value == pytest.approx(100 * (230 - 20.87) / 230, abs=0.01)


def test_a_transformer_loses_its_share() -> None:
    """At rated power it would lose 11 % of 230 V; 60 VA of 63 VA are 24.095 V, and the wires take 20.87 V more."""
    found = of(calculated(text(source=f"{ONE}\n{BEHIND}", live="-T1:2", back="-T1:4")))
    assert found.value == pytest.approx(100 * (230 - 24.095 - 20.870) / 230, abs=0.01)
    assert "not included, nor the drop ahead" not in found.note


def test_of_a_transformer_that_states_nothing_what_it_loses_is_named() -> None:
    found = of(calculated(text(source=f"{ONE}\n{BEHIND}", live="-T1:2", back="-T1:4", percent="")))
    assert found.value == pytest.approx(90.926, abs=0.01)
    assert "nor that inside -T1" in found.note


@each_of(("kind", "times"), [("contactor", 20), ("relay", 3)])
def test_what_a_coil_takes_is_assumed_by_what_holds_it(kind: str, times: int) -> None:
    calculation = calculated(text(kind=kind, coil="voltage=230V ac power=3W"))
    assert of(calculation).value == pytest.approx(100 * (1 - times * 3 / 230 * 80 / 230), abs=0.01)
    assert {"contactor-pull-in", "coil-pull-in"} & {each.name for each in calculation.assumptions}


def test_a_coil_may_pull_in_from_less() -> None:
    found = of(calculated(text(ohms="67", coil="voltage=230V ac pull-in=60VA operates-from=80%")))
    assert (found.limit, found.holds) == (80, True)


def test_others_hold_meanwhile_and_loads_of_power_take_their_share() -> None:
    """A heater of 2300 W takes 10 A through the first wire of 1 ohm: 10 V; the return is its own."""
    more = """
part heater-2k "Heater" {
  kind = heater   letter = E   class = II   voltage = 230V   power = 2300W   power-factor = 1
  terminal :L line-in
  terminal :N neutral
}
device -F1 mcb-1p at=+A current=16A resistance=0ohm
device -E1 heater-2k at=+A
wire -G0:L to -F1:1 resistance=1ohm
wire -F1:2 to -E1:L resistance=0ohm
wire -E1:N to -G0:N resistance=0ohm
"""
    found = of(calculated(text(live="-F1:2", more=more)))
    by = {given.symbol: given.value for given in found.givens}
    assert by["U_p"] == pytest.approx(10.0)
    assert found.value == pytest.approx(100 * (230 - 60 / 230 * 81 - 10) / 230, abs=0.01)


def test_on_direct_voltage_it_is_judged_where_the_part_states_what_it_takes() -> None:
    """24 VA at 24 V are 1 A over 2 ohm."""
    source = "supply -G0 system=DC voltage=24V"
    said = {"source": source, "live": "-G0:+", "back": "-G0:-", "ohms": "1"}
    assert of(calculated(text(coil="voltage=24V dc power=4W pull-in=24VA", **said))).value == pytest.approx(100 * 22 / 24)
    assert not [*calculated(text(coil="voltage=24V dc power=4W", **said)).of(CoilVoltages).results()]


@each_of("said", [{"coil": "voltage=230V ac"}, {"coil": "power=3W"}])
def test_a_coil_of_which_too_little_is_stated_is_not_judged(said: dict[str, str]) -> None:
    question = calculated(text(**said)).of(CoilVoltages)
    assert (list(question.results()), [name for name, _ in question.not_judged()]) == ([], ["-K1"])
