"""Current loops and serial lines, by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from control_plants import by_key, computed

from netdsl.calc.control.loops import LoopBurdens
from netdsl.calc.control.serial import SerialLines, longest
from tests.cases import each_of

TWO_WIRE = """\
device -T1 vsd-4kw at=+MCP {rating}
set -T1 ai2=4..20mA
device -B1 transmitter-4-20ma at=+HALL
wire -T1:AGND to -T1:COM resistance=0.5ohm
cable -W1 1x2x0.75 screened resistance=10ohm {{
  1a -T1:24V to -B1:+
  1b -T1:AI2 to -B1:-
}}
"""


def test_a_two_wire_loop_is_held_to_what_the_transmitter_is_left(tmp_path: Path) -> None:
    found = by_key(computed(tmp_path, TWO_WIRE.format(rating="burden=250ohm")).of(LoopBurdens).results())
    assert found["loop-limit -B1:-"].value == pytest.approx((24 - 12) / 0.020)
    burden = found["loop-burden -B1:-"]
    assert burden.value == pytest.approx(250 + 2 * 10 + 0.5)
    assert burden.limit == pytest.approx(600)
    assert burden.limit_given is not None and burden.limit_given.result == "loop-limit -B1:-"


@each_of(
    ("volts", "formula", "ohms"),
    [(12.0, "(U - U_min) / I", 0.0), (11.0, "max(U - U_min; 0) / I", 0.0), (30.0, "(U - U_min) / I", 900.0)],
)
def test_a_source_below_the_lowest_voltage_leaves_nothing(tmp_path: Path, volts: float, formula: str, ohms: float) -> None:
    rating = f"burden=250ohm\ndevice -B1 transmitter-4-20ma at=+HALL voltage-range={24 - volts + 12:g}..36V"
    text = TWO_WIRE.replace("device -B1 transmitter-4-20ma at=+HALL\n", "").format(rating=rating)
    found = by_key(computed(tmp_path, text).of(LoopBurdens).results())
    limit = found["loop-limit -B1:-"]
    assert (limit.formula_text, limit.value) == (formula, pytest.approx(ohms))
    assert found["loop-burden -B1:-"].holds == (ohms > 0)


def test_a_transmitter_that_reports_faults_by_more_current_leaves_less(tmp_path: Path) -> None:
    text = TWO_WIRE.format(rating="burden=250ohm").replace("-4-20ma at=+HALL", "-4-20ma at=+HALL alarm-current=22mA")
    found = by_key(computed(tmp_path, text).of(LoopBurdens).results())
    assert found["loop-limit -B1:-"].value == pytest.approx((24 - 12) / 0.022)


def test_an_input_of_unknown_resistance_is_assumed_and_listed(tmp_path: Path) -> None:
    calculation = computed(tmp_path, TWO_WIRE.format(rating=""))
    assert by_key(calculation.of(LoopBurdens).results())["loop-burden -B1:-"].value == pytest.approx(270.5)
    assert "loop-input-resistance" in {assumption.name for assumption in calculation.assumptions}


def test_a_four_wire_transmitter_is_held_to_its_own_burden(tmp_path: Path) -> None:
    text = """\
device -P1 panel-meter at=+MCP
device -T1 vsd-4kw at=+MCP burden=250ohm
set -T1 ai2=4..20mA
device -B1 transmitter-4-20ma-4wire at=+HALL
wire -P1:- to -T1:AI2 resistance=0ohm
cable -W1 1x2x0.75 screened resistance=5ohm {
  1a -P1:+ to -B1:I+
  1b -T1:AGND to -B1:I-
}
"""
    burden = by_key(computed(tmp_path, text).of(LoopBurdens).results())["loop-burden -B1:I+"]
    assert burden.value == pytest.approx(50 + 250 + 10)  # the meter, the drive, the cable
    assert burden.limit == 500


def test_a_voltage_signal_is_no_loop(tmp_path: Path) -> None:
    text = """\
device -T1 vsd-4kw at=+MCP
device -T2 vsd-4kw at=+MCP
set -T2 ai1=voltage
wire -T1:AO1 to -T2:AI1 0.75mm2
wire -T1:AGND to -T2:AGND 0.75mm2
"""
    assert list(computed(tmp_path, text).of(LoopBurdens).results()) == []


LINE = """\
{project}
device -T1 vsd-4kw at=+MCP
device -T2 vsd-4kw at=+HALL {rating}
device -T3 vsd-4kw at=+HALL
set -T1 termination=on
set -T3 termination=on
cable -W1 2x2x0.5 screened length=300m {{
  1a -T1:A to -T2:A
  1b -T1:B to -T2:B
}}
cable -W2 2x2x0.5 screened length=40m {{
  1a -T2:A to -T3:A
  1b -T2:B to -T3:B
}}
"""


def line(folder: Path, project: str = "", rating: str = "") -> dict[str, float | None]:
    """Values and limits of the three results of a line."""
    found = by_key(computed(folder, LINE.format(project=project, rating=rating)).of(SerialLines).results())
    assert {key.partition(" ")[2] for key in found} == {"-T1"}
    return {key.partition(" ")[0]: result.value for key, result in found.items()} | {
        "limit": found["serial-line.length -T1"].limit
    }


def test_a_line_is_as_long_as_its_pieces_and_has_so_many_stations(tmp_path: Path) -> None:
    found = line(tmp_path)
    assert found["serial-line.length"] == 340
    assert found["serial-line.stations"] == 3
    assert found["serial-line.terminations"] == 2
    assert found["limit"] == 1200


def test_the_bit_rate_of_project_or_station_sets_the_limit(tmp_path: Path) -> None:
    assert line(tmp_path, 'project "Test" {\n  bit-rate = 500kbit/s\n}')["limit"] == pytest.approx(200)
    assert line(tmp_path, rating="bit-rate=1000kbit/s")["limit"] == pytest.approx(100)


@each_of("rates", [(500, 1000), (1000, 500)])
def test_the_fastest_station_sets_the_limit(tmp_path: Path, rates: tuple[int, int]) -> None:
    text = LINE.format(project="", rating=f"bit-rate={rates[0]}kbit/s")
    text = text.replace("-T1 vsd-4kw at=+MCP", f"-T1 vsd-4kw at=+MCP bit-rate={rates[1]}kbit/s")
    found = by_key(computed(tmp_path, text).of(SerialLines).results())
    assert found["serial-line.length -T1"].limit == pytest.approx(100)


def test_stations_count_by_their_unit_load(tmp_path: Path) -> None:
    assert line(tmp_path, rating="unit-load=0.125")["serial-line.stations"] == pytest.approx(2.125)


def test_a_piece_without_length_is_a_gap(tmp_path: Path) -> None:
    calculation = computed(tmp_path, LINE.format(project="", rating="").replace(" length=40m", ""))
    keys = by_key(calculation.of(SerialLines).results())
    assert "serial-line.length -T1" not in keys
    assert [(gap.kind, gap.things) for gap in calculation.missing] == [("length", ("-W2",))]


@each_of(("rate", "metres"), [(9600, 1200), (38400, 1200), (100_000, 1200), (200_000, 500), (1_000_000, 100), (10_000_000, 12)])
def test_the_longest_line_by_bit_rate(rate: float, metres: float) -> None:
    found = longest(rate)
    assert found is not None and found.value == pytest.approx(metres)


def test_beyond_the_table_nothing_is_said() -> None:
    assert longest(20_000_000) is None
