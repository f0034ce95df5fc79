"""Distortion of the supply current against published spectra, theory, and a general-purpose solver of differential equations.

Sources: typical distortion and the spectrum of a 4 kW drive from drive application guides (names withheld); the square wave of a
six-pulse rectifier with endless choke from any text on power electronics (1/5, 1/7 ... of the fundamental).
"""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.drives.distortion import Distortion
from netdsl.calc.drives.rectifier import NO_LOAD, Rectifier, steady
from tests.cases import each_of
from tests.reference.plants import calculated
from tests.reference.stepped import Bridge, last_period


def drive(choke: str = "", reactor: str = "", fault: str = "1.44kA", count: int = 1) -> Calculation:
    """Drives of 4 kW at a supply whose short-circuit power is 250 times that of one, as IEC 61800-3 takes it."""
    text = f"supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current={fault} earth-fault-current=1kA\n"
    text += "place +A kind=cabinet\n"
    for number in range(1, count + 1):
        t, choking = f"-T{number}", f"-L{number}"
        text += f"device {t} vsd-4kw at=+A {choke}\n"
        if reactor:
            text += f"device {choking} line-reactor-10a at=+A {reactor}\n"
            text += (
                f"wire -G0:L1,L2,L3 to {choking}:1,3,5 2.5mm2 length=2m\nwire {choking}:2,4,6 to {t}:L1,L2,L3 2.5mm2 length=2m\n"
            )
        else:
            text += f"wire -G0:L1,L2,L3 to {t}:L1,L2,L3 2.5mm2 length=2m\n"
    return calculated(text)


def value(calculation: Calculation, question: str) -> float:
    return next(r for r in calculation.of(Distortion).results() if r.question == f"distortion.{question}").value


def test_without_a_choke_as_published() -> None:
    # 80 to 104 % published, 100 to 130 % known at stiff supplies; the guide's supply is not described beyond its ratio of 250
    made = drive()
    assert 80 <= value(made, "drives") <= 130
    assert value(made, "h5") == pytest.approx(76, abs=10)
    assert value(made, "h7") == pytest.approx(57, abs=15)


@each_of(("henry", "percent"), [("2.9mH", 34), ("3.65mH", 35), ("2.2mH", 45)])
def test_with_a_line_reactor_as_published(henry: str, percent: float) -> None:
    # 4, 5 and 3 % of 26 ohm at the rated 9.8 A; the guides differ among themselves (34 % at 4 %, 35 % at 5 %): 8 points
    assert value(drive(reactor=f"inductance={henry}"), "drives") == pytest.approx(percent, abs=8)


def test_the_fifth_with_a_reactor_of_4_percent_as_published() -> None:
    made = drive(reactor="inductance=2.9mH")
    assert value(made, "h5") == pytest.approx(30, abs=7)
    assert value(made, "h7") == pytest.approx(8.9, abs=4)
    assert value(made, "h11") == pytest.approx(6.0, abs=2)


def test_with_a_choke_in_the_dc_link_as_known() -> None:
    assert 33 <= value(drive(choke="choke=5%"), "drives") <= 52


def test_more_choke_less_distortion() -> None:
    found = [value(drive(choke=choke), "drives") for choke in ("", "choke=2%", "choke=4%", "choke=8%")]
    assert found == sorted(found, reverse=True)


def test_many_like_drives_are_one_and_soften_their_supply() -> None:
    one, many = drive(fault="10kA"), drive(fault="10kA", count=10)
    assert value(many, "harmonic-current") < 10 * value(one, "harmonic-current")
    assert value(many, "voltage") > value(one, "voltage")


def test_an_endless_choke_gives_the_square_wave() -> None:
    found = steady(Rectifier(0.0, 1e-4, 0.0, 5.0, 2.5, NO_LOAD**2), sixths=3000)
    for order in (5, 7, 11, 13, 17, 19):
        assert found.percent(order) == pytest.approx(100 / order, rel=0.03)
    assert found.percent(3) == pytest.approx(0, abs=0.01)


CIRCUITS = {
    "no choke": Rectifier(0.0006, 0.006, 0.0, 0.0, 2.5, NO_LOAD**2),
    "line reactor": Rectifier(0.004, 0.044, 0.0, 0.0, 2.5, NO_LOAD**2),
}


@each_of("name", CIRCUITS)
def test_a_general_solver_finds_the_same_current(name: str) -> None:
    # Diodes as steep resistances, the circuit integrated step by step over periods: nothing of the model's modes or symmetry.
    made = CIRCUITS[name]
    bridge = Bridge(made.r, made.x, 0.0, made.b_dc, made.load, on=1e-3, off=1e3)
    expected, found = last_period(bridge, bridge.begin(), 6).spectrum, steady(made)
    for order in (1, 5, 7, 11, 13):
        assert abs(found.orders[order]) == pytest.approx(expected[order], abs=0.012 * expected[1])
