"""Capacitor banks: I = Q / (√3 U), leading; 1.3 times that for what feeds them (IEC 60831-1, 21)."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from control_plants import computed

from netdsl.calc.loads import LoadCurrents, RatedLoads, UnbalancedMotors
from tests.cases import each_of

BASE = """\
netdsl 1

place +MCP "Panel" kind=cabinet
part bank "Capacitor bank" {
  kind = capacitor   letter = C   class = II   voltage = 400V
  terminal :L1 :L2 :L3 line-in
}
part load "Load" {
  kind = motor   letter = M   class = II   voltage = 400V   power-factor = 0.8
  terminal :U1 :V1 :W1 winding
}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
busbar -WB1 at=+MCP poles=3
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 10mm2 length=1m
device -C1 bank at=+MCP reactive-power=20kvar
wire -WB1:L1,L2,L3 to -C1:L1,L2,L3 10mm2 length=1m
"""
MOTOR = "device -M1 load at=+MCP current=50A\nwire -WB1:L1,L2,L3 to -M1:U1,V1,W1 16mm2 length=1m\n"
AMPS = 20e3 / (sqrt(3) * 400)


def test_the_current_follows_from_the_reactive_power(tmp_path: Path) -> None:
    calculation = computed(tmp_path, "", BASE)
    assert calculation.of(LoadCurrents).device("-C1") == pytest.approx(AMPS)
    assert calculation.of(LoadCurrents).phasor("-C1") == pytest.approx(AMPS * 1j)
    assert calculation.of(RatedLoads).device("-C1") == pytest.approx(1.3 * AMPS)
    assert any("add nothing to fault currents" in each.words for each in calculation.settings.assumptions)


def test_a_bank_relieves_nothing_for_it_may_be_off(tmp_path: Path) -> None:
    loads = computed(tmp_path, MOTOR, BASE).of(LoadCurrents)
    assert loads.device("-WB1") == pytest.approx(50)  # with the bank it would be 41 A


def test_a_bank_larger_than_the_load_counts(tmp_path: Path) -> None:
    loads = computed(tmp_path, MOTOR.replace("50A", "10A"), BASE).of(LoadCurrents)
    assert loads.device("-WB1") == pytest.approx(sqrt(8**2 + (AMPS - 6) ** 2))


def test_a_bank_of_unknown_size_is_a_gap(tmp_path: Path) -> None:
    calculation = computed(tmp_path, "", BASE.replace(" reactive-power=20kvar", ""))
    assert calculation.of(LoadCurrents).device("-C1") is None
    assert [gap.kind for gap in calculation.missing if gap.things == ("-C1",)] == ["capacitor current"]


@each_of(("percent", "share"), [("0.5%", 1.0), ("2%", 0.95), ("3.5%", 0.85), ("8%", 0.75)])
def test_an_unbalanced_supply_leaves_a_motor_less_power(percent: str, share: float, tmp_path: Path) -> None:
    base = BASE.replace("fault-current=6kA", f"fault-current=6kA voltage-unbalance={percent}")
    motor = MOTOR.replace("current=50A", "current=50A power=22kW")
    (found,) = computed(tmp_path, motor, base).of(UnbalancedMotors).results()
    assert (found.key, found.value) == ("motor.unbalance -M1", pytest.approx(share * 22e3))


def test_without_a_stated_unbalance_nothing_is_said(tmp_path: Path) -> None:
    motor = MOTOR.replace("current=50A", "current=50A power=22kW")
    assert list(computed(tmp_path, motor, BASE).of(UnbalancedMotors).results()) == []
