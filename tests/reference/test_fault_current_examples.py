"""Published fault currents and loop impedances, each computed from the circuit written in the language."""

from __future__ import annotations

from math import hypot

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.circuit.circuit import Circuit
from netdsl.calc.faults import FaultResults, Faults

PLACES = """
place +MSB "Main switchboard" kind=cabinet
place +MCP "Panel" kind=cabinet
"""
#: the published sheets use neither voltage factors nor the correction factor of the transformer
PLAIN = """
project "Published example" {
  voltage-factor-max = 1
  voltage-factor-min = 1
  network-voltage-factor = 1
  transformer-correction = no
}
"""


def switchboard() -> Calculation:
    return calculated(f"""{PLAIN}{PLACES}
supply -G0 "Substation" system=TN-S voltage=380V transformer=2000kVA transformer-impedance=5.75% \
network-power=500MVA network-voltage=22kV r-over-x=0
busbar -WB1 at=+MSB poles=3 current=3200A
cable -W1 3x300 length=5m parallel=4 resistance-per-length=0.0812mohm/m reactance-per-length=0.090mohm/m {{
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
}}
""")


def test_three_phase_fault_at_the_terminals_of_a_transformer() -> None:
    """'Short Circuit Calculations' project calculation sheet, scribd.com document 867618935: 2000 kVA behind 500 MVA."""
    calculation = switchboard()
    by_key = {result.key: result.value for result in calculation.of(FaultResults).results()}
    assert by_key["network-impedance -G0"] == pytest.approx(0.2888e-3, rel=0.001)
    assert by_key["transformer-impedance -G0"] == pytest.approx(4.1515e-3, rel=0.001)
    assert by_key["source-impedance -G0"] == pytest.approx(4.4403e-3, rel=0.001)
    assert by_key["fault-current.largest -G0"] == pytest.approx(49410, rel=0.001)


def test_three_phase_fault_behind_four_parallel_cables() -> None:
    """'Short Circuit Calculations' project calculation sheet, scribd.com document 867618935: the switchboard behind that
    transformer."""
    calculation = switchboard()
    source = calculation.of(Faults).source("-G0")
    path = calculation.of(Circuit).path("-WB1")
    largest = calculation.of(FaultResults).largest("-WB1")
    assert source is not None and path is not None and largest is not None
    ohms = source.largest + path.cold
    assert ohms.real == pytest.approx(0.1015e-3, rel=0.001)
    assert ohms.imag == pytest.approx(4.5528e-3, rel=0.001)
    assert abs(ohms) == pytest.approx(4.5539e-3, rel=0.001)
    assert largest.value == pytest.approx(48180, rel=0.001)


def test_two_phase_fault_at_a_drive() -> None:
    """Manufacturer handbook (name withheld), drive hardware manual, fuse selection: 600 kVA and 170 m of cable."""
    calculation = calculated(f"""{PLAIN}{PLACES}
supply -G0 "Transformer" system=TN-S voltage=410V transformer=600kVA transformer-impedance=7.2% transformer-voltage=430V
device -T1 vsd-7.5kw at=+MCP
cable -W1 3x50 length=170m resistance-per-length=0.398ohm/km reactance-per-length=0.082ohm/km {{
  BN -G0:L1 to -T1:L1
  BK -G0:L2 to -T1:L2
  GY -G0:L3 to -T1:L3
}}
""")
    source, path, level = (
        calculation.of(Faults).source("-G0"),
        calculation.of(Circuit).path("-T1"),
        calculation.of(Faults).at("-T1"),
    )
    smallest = calculation.by_key["fault-current.smallest -T1"]
    assert source is not None and path is not None and level is not None
    assert abs(source.smallest) == pytest.approx(22.19e-3, rel=0.001)
    assert path.end.real == pytest.approx(67.66e-3, rel=0.001)
    assert path.end.imag == pytest.approx(13.94e-3, rel=0.001)
    assert level.two_min == pytest.approx(2700, rel=0.02)
    assert smallest.value == level.two_min


def test_earth_fault_loop_at_a_board() -> None:
    """engx.theiet.org thread 24378 'Calculation of earth fault loop impedance': 500 kVA and 100 m of 2 x 185 mm2 aluminium.

    The largest loop published for the 630 A fuse before the board, 0.054 ohm, is 230 V over the current that operates it.
    """
    calculation = calculated(f"""
project "Published example" {{
  loop-factor = 1
}}
{PLACES}
supply -G0 "Transformer" system=TN-S voltage=400V resistance=0.005ohm reactance=0.017ohm
device -Q1 fuse-nh3-gg at=+MSB current=630A operates-in-5s={230 / 0.054:.1f}A
busbar -WB1 at=+MSB poles=5 current=630A
wire -G0:L1,L2,L3 to -Q1:1,3,5 185mm2 resistance=0.008ohm reactance=0.004ohm
wire -Q1:2,4,6 to -WB1:L1,L2,L3 185mm2 resistance=0ohm
wire -G0:PE to -WB1:PE 185mm2 GNYE resistance=0.008ohm reactance=0.001ohm
""")
    loop, result = calculation.of(Faults).loop("-WB1"), calculation.by_key["loop-impedance -WB1"]
    assert loop is not None
    assert loop.real == pytest.approx(0.021, rel=0.02)
    assert loop.imag == pytest.approx(0.022, rel=0.02)
    assert result.value == pytest.approx(0.030, rel=0.02)
    assert result.value == pytest.approx(hypot(loop.real, loop.imag))
    judged = calculation.by_key["disconnection -WB1"]
    assert judged.value == result.value
    assert judged.limit == pytest.approx(0.054, rel=0.005)
    assert judged.holds
