"""Published voltage drops, each computed from the circuit written in the language."""

from __future__ import annotations

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.basis.results import Result
from netdsl.calc.conductors.drops import VoltageDrops


def motor_feeder() -> Calculation:
    return calculated("""
project "Published example" {
  starting-drop-limit = 20%
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Switchboard" system=TN-S voltage=415V frequency=50Hz
device -M1 motor at=+HALL current=65.82A power-factor=0.85 starting-current=460.74A starting-power-factor=0.45
cable -W1 4G16 resistance=296mohm reactance=26.8mohm {
  BN   -G0:L1 to -M1:U1
  BK   -G0:L2 to -M1:V1
  GY   -G0:L3 to -M1:W1
  GNYE -G0:PE to -M1:PE
}
""")


def known(result: Result | None) -> Result:
    assert result is not None
    return result


def test_motor_feeder_in_service() -> None:
    """A. L. Sheldrake, Handbook of Electrical Engineering, section 9.4.3.5.1, pp. 238-239: 7.299 %."""
    drop = known(motor_feeder().of(VoltageDrops).running("-M1"))
    assert drop.value == pytest.approx(7.299, rel=0.001)
    assert drop.formula_text == "100 · √(3) · I1 · (R1 · cos1 + X1 · sin1) / U"


def test_motor_feeder_while_it_starts() -> None:
    """A. L. Sheldrake, Handbook of Electrical Engineering, section 9.4.3.5.1, pp. 238-239: 30.216 %, rejected."""
    drop = known(motor_feeder().of(VoltageDrops).starting("-M1"))
    assert drop.value == pytest.approx(30.216, rel=0.001)
    assert not drop.holds


def test_distributor_with_two_loads_of_different_power_factor() -> None:
    """V. K. Mehta and R. Mehta, Principles of Power System, example 14.1, p. 359: 17.85 V.

    The published answer is the magnitude of the whole phasor; the part of it in phase with the load's voltage, which the
    percentage counts, is 17.44 V. Outgoing and return core together have 0.2 + j 0.1 ohm/km: each has half of it.
    """
    calculation = calculated("""
place +HALL "Hall" kind=field
part single-phase-load "Load" {
  kind = resistor   letter = E   class = II
  terminal :L :N load
}
supply -G0 "Distributor" system=TN-S phases=1 voltage=230V frequency=50Hz
device -E1 single-phase-load at=+HALL current=100A power-factor=0.707
device -E2 single-phase-load at=+HALL current=200A power-factor=0.8
strip -X1 "Branch" at=+HALL {
  :L  95mm2
  :N  neutral 95mm2
}
cable -W1 2x95 length=200m resistance-per-length=0.1ohm/km reactance-per-length=0.05ohm/km {
  BN -G0:L to -X1:L
  BU -G0:N to -X1:N
}
wire -X1:L to -E1:L resistance=0ohm reactance=0ohm
wire -X1:N to -E1:N resistance=0ohm reactance=0ohm
cable -W2 2x95 length=100m resistance-per-length=0.1ohm/km reactance-per-length=0.05ohm/km {
  BN -X1:L to -E2:L
  BU -X1:N to -E2:N
}
""")
    drop = known(calculation.of(VoltageDrops).running("-E2"))
    volts = {given.symbol: given.value for given in drop.givens}
    assert volts["dU"] == pytest.approx(17.85, rel=0.001)
    assert drop.value == pytest.approx(100 * 17.442 / 230, rel=0.001)
