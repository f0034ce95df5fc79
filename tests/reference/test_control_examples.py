"""Control circuits against published figures and textbook arithmetic, each with its source; circuits in the language."""

from __future__ import annotations

import pytest
from plants import calculated

from netdsl.calc.basis.results import Result
from netdsl.calc.control.drops import ControlDrops
from netdsl.calc.control.loops import LoopBurdens
from netdsl.calc.control.serial import SerialLines, longest
from netdsl.calc.control.sources import SourceLoads
from tests.cases import each_of

PLACES = 'place +MCP "Panel" kind=cabinet\nplace +HALL "Hall" kind=field\n'


def one(results: object, question: str) -> Result:
    """The only result of a question."""
    found = [result for result in results if result.question == question]  # type: ignore[attr-defined]
    assert len(found) == 1
    result: Result = found[0]
    return result


@each_of(
    ("supply", "lowest", "ohms"),
    [
        (24.0, 8.0, 800.0),  # published in application notes on two-wire transmitters: 24 V, 8 V, 800 ohm
        (24.0, 10.0, 700.0),  # by hand: (24 - 10) / 0.02
        (24.0, 12.0, 600.0),  # by hand: (24 - 12) / 0.02
        (19.2, 12.0, 360.0),  # by hand: the same transmitter at 80 % of 24 V
    ],
)
def test_the_largest_burden_of_a_two_wire_loop(supply: float, lowest: float, ohms: float) -> None:
    calculation = calculated(f"""netdsl 1
{PLACES}
part loop-supply "Supply" {{
  kind = supply-24v   letter = T   class = II
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage={supply}V dc current=28mA
}}
part two-wire "Transmitter" {{
  kind = transmitter   letter = B   class = III   signal = 4..20mA   voltage = {lowest}..36V
  terminal :+ supply-in
  terminal :- analogue-out
}}
part receiver "Receiver" {{
  kind = meter   letter = P   class = II   signal = 4..20mA   burden = 250ohm
  terminal :+ analogue-in common=:-
  terminal :- analogue-common
}}
device -T1 loop-supply at=+MCP
device -B1 two-wire at=+HALL
device -P1 receiver at=+MCP
cable -W1 1x2x0.75 resistance=10ohm {{
  1a -T1:+ to -B1:+
  1b -P1:+ to -B1:-
}}
wire -P1:- to -T1:- resistance=0ohm
""")
    results = list(calculation.of(LoopBurdens).results())
    assert one(results, "loop-limit").value == pytest.approx(ohms)
    burden = one(results, "loop-burden")
    assert burden.value == pytest.approx(250 + 10 + 10)  # by hand: receiver, there, back
    assert burden.limit == pytest.approx(ohms)


@each_of(("rate", "metres"), [(9600, 1200), (100_000, 1200), (10_000_000, 12)])
def test_the_ends_of_the_guideline_for_balanced_lines(rate: float, metres: float) -> None:
    # TIA-485-A, guideline of length against data rate: 1200 m up to 100 kbit/s, 12 m at 10 Mbit/s.
    found = longest(rate)
    assert found is not None
    assert found.value == metres
    assert found.confidence == "verified"


def test_a_line_takes_thirty_two_unit_loads() -> None:
    # TIA-485-A: 32 unit loads; of an eighth of one, 256 stations.
    stations = "\n".join(f"device -T{n} vsd-4kw at=+MCP unit-load=0.125" for n in range(1, 5))
    wires = "\n".join(f"wire -T{n}:A to -T{n + 1}:A 0.5mm2 length=1m" for n in range(1, 4))
    found = one(calculated(f"netdsl 1\n{PLACES}{stations}\n{wires}\n").of(SerialLines).results(), "serial-line.stations")
    assert found.limit == 32
    assert found.value == pytest.approx(4 * 0.125)
    assert found.limit / 0.125 == 256


def test_the_auxiliary_supply_of_a_drive_carries_inputs_and_transmitters() -> None:
    # By hand, typical figures of drive manuals: four inputs of 6 mA and two transmitters of 25 mA take 74 mA of 200 mA.
    inputs = "\n".join(f"  terminal :D{n} digital-in common=:COM current=6mA" for n in range(1, 5))
    calculation = calculated(f"""netdsl 1
{PLACES}
part small-drive "Drive" {{
  kind = drive   letter = T   class = II
  terminal :24V supply-out clamps=6 common=:COM
  terminal :COM digital-common clamps=6
{inputs}
  source :24V to :COM voltage=24V dc current=200mA
}}
part sender "Transmitter" {{
  kind = transmitter   letter = B   class = III
  terminal :+ supply-in common=:- current=25mA
  terminal :- supply-common
}}
device -T1 small-drive at=+MCP
device -B1 sender at=+HALL
device -B2 sender at=+HALL
wire -T1:24V to -T1:D1 to -T1:D2 to -T1:D3 to -T1:D4 0.75mm2
wire -T1:24V to -B1:+ to -B2:+ 0.75mm2
wire -T1:COM to -B1:- to -B2:- 0.75mm2
""")
    load = one(calculation.of(SourceLoads).results(), "source-load")
    assert load.value == pytest.approx(0.074)
    assert load.limit == pytest.approx(0.2)


def test_the_drop_of_a_long_control_cable() -> None:
    # By hand with IEC 60228, class 2, 1.5 mm2, 12.1 ohm/km at 20 °C, at 70 °C by 0.00393 per kelvin:
    # 2 * 100 m * 12.1 ohm/km * 1.1965 = 2.8955 ohm; a coil of 12 W at 24 V takes 0.5 A: 1.448 V, 6.03 % of 24 V.
    calculation = calculated(f"""netdsl 1
{PLACES}
part direct-supply "Supply" {{
  kind = supply-24v   letter = T   class = II
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=5A
}}
part coil-12w "Valve" {{
  kind = valve   letter = M   class = III
  terminal :1 :2 coil
  coil :1 to :2 voltage=24V dc power=12W
}}
device -T1 direct-supply at=+MCP
device -M1 coil-12w at=+HALL
cable -W1 2x1.5 length=100m {{
  BN -T1:+ to -M1:1
  BU -T1:- to -M1:2
}}
""")
    assert one(calculation.of(ControlDrops).results(), "control-drop").value == pytest.approx(6.03, abs=0.01)
