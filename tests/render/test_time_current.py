"""Time-current diagrams: what is drawn where, and that each curve is named by a letter and by its dashes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import log10, sqrt
from pathlib import Path

import pytest

from netdsl.calc.coordination import TimeCurrents
from render.drawing import Drawing
from render.drawings.log_paper import Paper, clipped
from render.drawings.single_line import single_line_sheets
from render.drawings.time_current import time_current_sheets
from render.layout.fonts import Box
from render.layout.frame import drawing_area
from render.layout.overlap import overlaps
from render.sheet import DESIGNATION, Label, Line, Sheet
from tests.cases import each_of
from tests.readings import drawing_of, small_drawing_of
from tests.reference.plants import calculated

HATCHERY = Path(__file__).parents[2] / "examples" / "hatchery" / "plant.netdsl"
PAPER = Paper(Box(10.0, 20.0, 90.0, 140.0), (0, 4), (-2, 4))


def near(line: Sequence[tuple[float, float]], *points: tuple[float, float]) -> bool:
    return len(line) == len(points) and all(one == pytest.approx(other) for one, other in zip(line, points, strict=True))


def test_decades_are_of_one_length() -> None:
    """80 mm for four decades of current, 120 mm for six of time, up from 0.01 s."""
    assert PAPER.at(1.0, 0.01) == pytest.approx((10.0, 140.0))
    assert PAPER.at(100.0, 1.0) == pytest.approx((50.0, 100.0))
    assert PAPER.at(10_000.0, 10_000.0) == pytest.approx((90.0, 20.0))
    assert PAPER.at(2.0, 0.01)[0] == pytest.approx(10.0 + 20.0 * log10(2))


def test_what_leaves_the_paper_is_cut_at_its_edge() -> None:
    (line,) = PAPER.trace(((0.1, 1.0), (10.0, 1.0), (10.0, 0.0001)))
    assert near(line, (10.0, 100.0), (30.0, 100.0), (30.0, 140.0))
    assert list(PAPER.trace(((0.1, 1.0), (0.5, 0.5)))) == []
    parted = list(PAPER.trace(((1.0, 1.0), (10.0, 1.0), (10.0, 1e-5), (100.0, 1e-5), (100.0, 1.0), (1000.0, 1.0))))
    assert [len(line) for line in parted] == [3, 3]


@each_of(
    ("segment", "inside"),
    [
        (((0.0, 5.0), (20.0, 5.0)), ((2.0, 5.0), (12.0, 5.0))),
        (((3.0, 3.0), (4.0, 4.0)), ((3.0, 3.0), (4.0, 4.0))),
        (((0.0, 0.0), (20.0, 0.0)), None),
        (((0.0, 13.0), (2.0, 20.0)), None),
        (((7.0, 0.0), (7.0, 20.0)), ((7.0, 2.0), (7.0, 12.0))),
    ],
)
def test_a_segment_is_cut_to_a_box(segment: object, inside: object) -> None:
    assert clipped(segment, Box(2.0, 2.0, 12.0, 12.0)) == inside  # type: ignore[arg-type]


PLANT = """
project "Curves" {{
  number = "1"   sheet-size = {size}
}}
place +MCP "Panel" kind=cabinet
defaults length=1m
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=5kA earth-fault-current=3kA upstream=fuse-gG-63A
device -XE1 earth-bar at=+MCP ways=4
device -Q1 motor-breaker-10a "Pump" at=+MCP
device -M1 motor at=+MCP power=4kW current=8.5A power-factor=0.8 winding=400/690V
connect -M1 delta
device -F2 mcb-3p-c "Socket" at=+MCP current=16A
device -X1 socket-16a-5p at=+MCP
wire -G0:L1,L2,L3 to -Q1:1,3,5 16mm2
wire -G0:L1,L2,L3 to -F2:1,3,5 16mm2
wire -F2:2,4,6 to -X1:L1,L2,L3 2.5mm2
wire -G0:PE to -XE1:1 16mm2
wire -XE1:2 to -M1:PE 2.5mm2
cable -W1 4G2.5 length=20m method=C {{
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
}}
"""


def drawn(size: str = "A3") -> tuple[Drawing, list[Sheet]]:
    calculation = calculated(PLANT.format(size=size))
    drawing = Drawing(calculation.network, (), calculation)
    return drawing, time_current_sheets(drawing)


def texts(sheet: Sheet) -> list[str]:
    return [each.text for each in sheet.primitives if isinstance(each, Label)]


def test_two_circuits_share_a_sheet_of_a3_and_have_one_each_of_a4() -> None:
    _, (sheet,) = drawn()
    assert (sheet.key, sheet.number, sheet.part_of) == ("time-current-1", "T1", "-Q1 and -F2")
    assert [each.number for each in drawn("A4")[1]] == ["T1", "T2"]


@each_of("size", ["A3", "A4"])
def test_nothing_touches_and_each_curve_has_its_letter_twice(size: str) -> None:
    for sheet in drawn(size)[1]:
        assert overlaps(sheet) == []
        letters = [text for text in texts(sheet) if len(text) == 1 and text.isalpha()]
        assert all(letters.count(letter) % 2 == 0 for letter in letters), letters  # beside the curve, and before its explanation


def test_what_a_circuit_holds_is_explained() -> None:
    said = texts(drawn("A4")[1][0])
    for words in (
        "-Q1 Pump",
        "what protects ahead of -G0 (gG 63 A)",
        "-Q1 (10 A)",
        "-W1: 2.5 mm², what it bears, up to 5 s",
        "-M1: starts with 59.5 A, how long is not stated; runs with 8.5 A",
    ):
        assert any(text.startswith(words[:40]) for text in said), (words, said)


def test_a_smallest_fault_current_says_between_what_it_flows_and_that_to_earth_beside() -> None:
    """The single line states the one to earth: of a way to a load between line and neutral that is another."""
    said = {text for sheet in time_current_sheets(drawing_of(HATCHERY)) for text in texts(sheet)}
    assert "-T9: smallest fault current 1.15 kA, line to neutral; line to earth 1.25 kA" in said
    assert "=RP1-T1: smallest fault current 353 A, between lines; line to earth 371 A" in said
    assert "=BW1-M1: smallest fault current 407 A, line to earth" in said
    drawn_too = {text for sheet in single_line_sheets(drawing_of(HATCHERY)) for text in texts(sheet)}
    joined = " ".join(sorted(drawn_too))
    assert all(words in joined for words in ("to earth 1.25 kA", "to earth 371 A", "to earth 407 A"))


def test_the_smallest_fault_current_of_a_bypass_is_that_of_its_own_way_by_hand() -> None:
    """Conductors at 70 °C, as warm as in service, factor 0.9 (IEC 60909-0): the loop through -W0, 18 m of 10 mm2, the panel's
    wires, and =OB1-W1, 15 m of 2.5 mm2, there and back."""
    hot = 1 + 0.00393 * 50
    line = 0.08429 + 7.41e-3 * 15 * hot  # source and wires up to the relay, then the motor cable
    back = (7.41e-3 * 15 + 1.91e-3 * 1 + 1.83e-3 * 18) * hot
    loop = sqrt((line + back) ** 2 + (0.08619 + 0.0012 + 0.00272) ** 2)
    amps = 0.9 * 400 / sqrt(3) / loop
    calculation = drawing_of(HATCHERY.parents[1] / "mains-bypass" / "plant.netdsl").calculation
    (bypass,) = (each for each in calculation.of(TimeCurrents).circuits() if each.device == "=OB1-Q2")
    assert bypass.marks[-1].amps == pytest.approx(amps, rel=1e-3)
    assert bypass.marks[-1].text == "smallest fault current 517 A, line to earth"


def test_a_curve_is_named_by_what_it_shows() -> None:
    booster = drawing_of(HATCHERY.parents[1] / "booster" / "plant.netdsl")
    said = {text for sheet in time_current_sheets(booster) for text in texts(sheet)}
    assert "=SL1-F1 (C10; 30 mA residual current not drawn)" in said
    assert "=DP1-Q1 (4 A, set 3.1 A)" in said


@each_of("size", ["A3", "A4"])
def test_the_heading_stands_clear_of_what_the_frame_says_at_the_top(size: str) -> None:
    for sheet in drawn(size)[1]:
        heading = min(part.y for part in sheet.primitives if isinstance(part, Label) and part.bold and part.height == DESIGNATION)
        assert heading - DESIGNATION >= drawing_area(size).top + 3.0


def test_the_curves_run_through_the_points_of_the_standards() -> None:
    drawing, _ = drawn()
    motor, socket = drawing.calculation.of(TimeCurrents).circuits()
    fuse, breaker, cable, start = motor.curves
    assert fuse.most[0] == pytest.approx((1.6 * 63, 3600.0))
    assert near(fuse.least[:3], (1.25 * 63, 3600.0), (160.0, 10.0), (450.0, 0.1))
    assert fuse.least[-1] == pytest.approx((sqrt(9000 / 0.01), 0.01))
    assert near(breaker.most, (12.0, 7200.0), (15.0, 240.0), (72.0, 10.0), (156.0, 10.0), (156.0, 0.01))
    assert near(breaker.least, (10.5, 7200.0), (10.5, 4.0), (72.0, 4.0), (72.0, 0.1), (104.0, 0.1), (104.0, 0.01))
    assert near(cable.most, (115 * 2.5 / sqrt(5), 5.0), (115 * 2.5 / sqrt(0.01), 0.01))
    assert (start.of, start.most[0][0]) == ("-M1", pytest.approx(59.5))
    assert [curve.kind for curve in socket.curves] == ["device", "device", "conductor"]
    assert [mark.text.split(" ")[0] for mark in motor.marks] == ["may", "largest", "smallest"]


def test_dashes_tell_devices_conductors_and_motors_apart() -> None:
    _, (sheet, _) = drawn("A4")
    kinds = {
        name: {each.dash for each in sheet.primitives if isinstance(each, Line) and each.of == name and each.width > 0.4}
        for name in ("-G0", "-W1", "-M1")
    }
    styles = [style for found in kinds.values() for style in found]
    assert all(one != other for one, other in itertools.combinations(styles, 2)), kinds


def test_a_plant_without_a_fault_level_has_no_diagram() -> None:
    calculation = calculated(PLANT.format(size="A3").replace(" fault-current=5kA earth-fault-current=3kA", ""))
    assert time_current_sheets(Drawing(calculation.network, (), calculation)) == []


@each_of("size", ["A3", "A4"])
def test_a_relay_that_states_too_little_for_a_curve_is_named(size: str) -> None:
    plant = Path(__file__).parents[2] / "examples" / "star-delta"
    drawing = drawing_of(plant) if size == "A3" else small_drawing_of(plant)
    said = [text for sheet in time_current_sheets(drawing) for text in texts(sheet)]
    assert said.count("Too little stated for a curve: =WP1-B1") == 1
    assert any(text.startswith("Selectivity of =WP1-Q1") for text in said)


def test_the_diagrams_are_in_the_set() -> None:
    hatchery = drawing_of(Path(__file__).parents[2] / "examples" / "hatchery" / "plant.netdsl")
    sheets = time_current_sheets(hatchery)
    assert [sheet.part_of for sheet in sheets] == ["-F1 and -F2", "=RP1 and 2 more", "=BW1"]
    assert "behind =RP1-Q1, for =RP1-T1; alike: =RP2" in texts(sheets[1])


def test_a_release_that_waits_goes_on_at_its_time() -> None:
    text = (
        PLANT.format(size="A3")
        .replace("device -F2 mcb-3p-c", "device -F2 mccb")
        .replace("current=16A", "current=16A instantaneous=100A delay=300ms")
    )
    calculation = calculated(text)
    breaker = list(calculation.of(TimeCurrents).circuits())[1].curves[1]
    assert near(breaker.most[-2:], (120.0, 0.5), (1200.0, 0.5))
    assert near(breaker.least[-2:], (80.0, 0.3), (800.0, 0.3))


CHAIN = """
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=5kA earth-fault-current=3kA upstream=fuse-gG-250A
device -X1 socket-16a-5p at=+MCP
device -F0 fuse-nh00-gg at=+MCP current=160A
wire -G0:L1,L2,L3 to -F0:1,3,5 50mm2 length=1m
"""


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_many_devices_one_behind_the_other_are_all_explained(size: str) -> None:
    text = f'project "Chain" {{\n  number = "1"   sheet-size = {size}\n}}\nplace +MCP "Panel" kind=cabinet\n' + CHAIN
    for number, amps in enumerate((125, 100, 80, 63, 50, 40, 32, 25, 20), start=1):
        text += f"device -F{number} fuse-nh00-gg at=+MCP current={amps}A\n"
        text += f"wire -F{number - 1}:2,4,6 to -F{number}:1,3,5 10mm2 length=1m\n"
    calculation = calculated(text + "wire -F9:2,4,6 to -X1:L1,L2,L3 10mm2 length=1m\n")
    (sheet,) = time_current_sheets(Drawing(calculation.network, (), calculation))
    assert overlaps(sheet) == []
    said = texts(sheet)
    assert all(any(f"-F{number} (gG" in text for text in said) for number in range(10)), said


def test_a_motor_whose_time_is_known_starts_and_then_runs() -> None:
    text = PLANT.format(size="A4").replace("current=8.5A power-factor", "current=8.5A starting-time=3s power-factor")
    calculation = calculated(text)
    motor = next(iter(calculation.of(TimeCurrents).circuits())).curves[3]
    assert near(motor.most, (8.5, 7200.0), (8.5, 3.0), (59.5, 3.0), (59.5, 0.01))
    assert motor.text == "starts with 59.5 A for 3 s, runs with 8.5 A"
    sheet, _ = time_current_sheets(Drawing(calculation.network, (), calculation))
    assert overlaps(sheet) == []
