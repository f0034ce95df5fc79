"""The band of data under the single-line diagram: which protection and cables a column names, and how much of a text it keeps."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.calc import calculate
from render.drawings.data_band import ROWS, Band, Column, column, reserve
from render.drawings.feeders import feeders
from render.sheet import Label, Line
from tests.readings import EXAMPLES, calculation_of, network_of
from tests.render.plants import drawing_in

PLANT = """netdsl 1
project "Two mills" {
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V fault-current=5kA earth-fault-current=3kA
device -XE1 earth-bar at=+MCP ways=6
device -F1 mcb-3p at=+MCP current=63A curve=C
device -F2 mcb-3p at=+MCP current=40A curve=C
busbar -WB1 at=+MCP poles=3 current=63A
device -Q3 mcb-3p at=+MCP current=16A curve=C
device -Q4 mcb-3p at=+MCP current=10A curve=C
device -M1 motor "Mill" at=+HALL power=4kW current=8.5A power-factor=0.83 winding=400/690V
device -M2 motor-3kw-4p at=+HALL
connect -M1 delta
cable -W0 4G10 length=10m method=E {
  BN -G0:L1 to -F1:1
  BK -G0:L2 to -F1:3
  GY -G0:L3 to -F1:5
  GNYE -G0:PE to -XE1:1
}
wire -F1:2,4,6 to -F2:1,3,5 10mm2 length=1m
wire -F2:2,4,6 to -WB1:L1,L2,L3 10mm2 length=1m
cable -W11 4G10 length=35m method=E {
  BN -WB1:L1 to -M1:U1
  BK -WB1:L2 to -M1:V1
  GY -WB1:L3 to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
wire -WB1:L1,L2,L3 to -Q3:1,3,5 4mm2 length=1m
cable -W12 3x4 length=5m method=E {
  BN -Q3:2 to -Q4:1
  BK -Q3:4 to -Q4:3
  GY -Q3:6 to -Q4:5
}
cable -W13 4G2.5 screened length=20m method=E {
  BN -Q4:2 to -M2:U1
  BK -Q4:4 to -M2:V1
  GY -Q4:6 to -M2:W1
  GNYE -XE1:3 to -M2:PE
}
"""


def columns(folder: Path) -> dict[str, Column]:
    """Two loads on a bar behind two breakers: one with protection of its own, in two stages, and one without."""
    network = drawing_in(folder, PLANT).network
    made = feeders(network, 9, 1e9, lambda _: 0.0)
    (group,) = made.groups
    return {load: column(calculate(network), made, group, load) for load in ("-M1", "-M2")}


def test_a_column_names_its_own_protection_and_cables_and_else_the_last_ahead_of_the_bar(tmp_path: Path) -> None:
    found = columns(tmp_path)
    assert [made.of for made in found.values()] == ["-M1", "-M2"]
    assert [made.texts[:5] for made in found.values()] == [
        ("-M1 Mill", "4 kW", "8.5 A, cos φ 0.83", "-F2 C 40 A", "-W11 4G10 35 m"),
        (
            "-M2 Cage motor 3 kW, 4 poles, IE3",
            "3 kW",
            "6.5 A, cos φ 0.81",
            "-Q3 C 16 A; -Q4 C 10 A",
            "-W12 3x4 5 m; -W13 4G2.5 screened 20 m",
        ),
    ]
    worked_out = [[re.sub(r"[0-9.]+ (%|k?A)", r"x \1", text) for text in made.texts[5:]] for made in found.values()]
    assert worked_out == [
        ["x % of x %, starting x %", f"Ik x kA at {device}, to earth x A at {load}"]
        for device, load in (("-F2", "-M1"), ("-Q4", "-M2"))
    ]


def test_a_band_keeps_the_lines_of_each_row_that_it_has_room_for() -> None:
    long = " ".join(f"word{number}" for number in range(30))
    band = Band([Column("-M1", (long,) * 7), Column("-M2", ("short",) * 7)], 60.0)
    assert [len(row) for row in band.cells[0]] == [2, 1, 1, 2, 3, 2, 2]
    assert all(row[-1].endswith("…") for row in band.cells[0])
    assert band.height == reserve() == pytest.approx(65.3)
    assert Band([Column("-M1", ("short",) * 7)], 60.0).height == pytest.approx(7 * 5.9)
    assert Band([], 60.0).height == pytest.approx(7 * 5.9)
    parts = Band([Column("-M1", tuple("abcdefg")), Column("-M2", tuple("hijklmn"))], 60.0).draw(10.0, 100.0)
    labels = [part for part in parts if isinstance(part, Label)]
    top = round(100 - 7 * 5.9, 6)
    assert [(label.text, label.of) for label in labels] == [
        words
        for name, one, two in zip(ROWS, "abcdefg", "hijklmn", strict=True)
        for words in ((name, ""), (one, "-M1"), (two, "-M2"))
    ]
    assert [round(label.x, 6) for label in labels] == [11.6, 41.6, 101.6] * 7
    assert [round(label.y - top, 6) for label in labels[::3]] == [round(3.9 + 5.9 * row, 6) for row in range(7)]
    lines = [part.points for part in parts if isinstance(part, Line)]
    assert len(lines) == 1 + 2 + 6
    assert [(x, round(y, 6)) for x, y in lines[0]] == [(10, top), (160, top), (160, 100), (10, 100)]
    assert [line[0][0] for line in lines[1:3]] == [40, 100]


def rows_of(name: str) -> dict[str, dict[str, str]]:
    """For each column of an example its texts by row."""
    network = network_of(EXAMPLES / name / "plant.netdsl")
    made = feeders(network, 9, 1e9, lambda _: 0.0)
    calculation = calculation_of(EXAMPLES / name / "plant.netdsl")
    leaves = [(group, leaf.device) for group in made.groups for branch in group.feeders for leaf in branch.leaves()]
    return {load: dict(zip(ROWS, column(calculation, made, group, load).texts, strict=True)) for group, load in leaves}


def test_each_way_to_a_motor_with_two_windings_is_told_with_its_own_current_and_full_power_with_the_larger() -> None:
    found = rows_of("two-speed")
    low, high = found["=HV1-M1"], found["=HV1-K2"]
    assert (low["Function"], low["Power"], low["Load current"]) == ("=HV1 Hall ventilator, low speed", "—", "3.2 A")
    assert (low["Protection"], low["Voltage drop"]) == ("=HV1-Q1 4 A, set 3.2 A", "0.3 % of 5 %, starting 0.8 %")
    assert (high["Function"], high["Power"]) == ("=HV1 Hall ventilator, high speed", "4 kW")
    assert (high["Load current"], high["Protection"]) == ("9.2 A, cos φ 0.8", "=HV1-Q2 10 A, set 9.2 A")
    assert high["Voltage drop"].startswith("0.7 % of 5 %") and low["Cable"] == high["Cable"] == "=HV1-W1 7G2.5 16 m"


def test_each_way_of_a_motor_past_its_drive_is_told_with_its_own_drop_and_fault_current() -> None:
    """Behind the drive the motor cable alone, past it all from the supply on, and the start."""
    found = rows_of("mains-bypass")
    drive, bypass = found["=OB1-M1"], found["=OB1-B1"]
    assert (drive["Function"], bypass["Function"]) == ("=OB1 Oxygen blower", "=OB1 Oxygen blower, past its drive")
    assert drive["Voltage drop"] == "0.3 % to =OB1-T1, motor cable 0.6 %"
    assert drive["Fault current"].endswith("to earth 1.43 kA at =OB1-T1")
    assert bypass["Voltage drop"] == "0.9 % of 5 %, starting 2.7 %"
    assert bypass["Fault current"] == "Ik 3.61 kA at =OB1-Q2, to earth 517 A at =OB1-M1"
    assert (bypass["Power"], bypass["Load current"], bypass["Cable"]) == ("—", "11.5 A", "=OB1-W1 4G2.5 screened 15 m")


def test_a_drop_to_what_only_passes_power_on_says_to_what() -> None:
    reversing = rows_of("reversing")
    assert reversing["=SG1-K2"]["Voltage drop"] == "0.1 % to =SG1-K2"
    assert reversing["=SG1-M1"]["Voltage drop"] == "0.6 % of 5 %, starting 1.7 %"
    assert rows_of("alternating-pumps")["=BP1-K1"]["Voltage drop"] == "0.5 % to =BD1-T1, 0.1 % from it to =BP1-K1"


def test_the_largest_fault_current_is_told_at_what_breaks_it() -> None:
    assert rows_of("fixed-lead-pumps")["=RM2-M1"]["Fault current"].startswith("Ik 4.15 kA at =RM2-Q1,")  # not at its relay


def test_ahead_of_a_drive_the_largest_fault_current_is_told_though_each_motor_has_a_breaker_behind_it() -> None:
    told = {rows_of("shared-drive")[load]["Fault current"] for load in ("=VW2-M1", "=VW3-M1")}
    assert told == {"Ik 3.61 kA at =VW1-Q1, to earth 1.34 kA at =VW1-T1"}


def test_a_drive_that_several_functions_share_is_told_with_each_load_of_it() -> None:
    found = rows_of("shared-drive")
    for load, title in (("=VW2-M1", "=VW2 Ventilator 1"), ("=VW3-M1", "=VW3 Ventilator 2")):
        row = found[load]
        assert row["Function"] == f"{title}, on =VW1 Ventilator wall"
        assert (row["Power"], row["Load current"]) == ("1.1 kW; =VW1-T1 3 kW", "2.7 A; =VW1-T1 7.5 A")
    contactor = rows_of("alternating-pumps")["=BP1-K1"]
    assert (contactor["Power"], contactor["Load current"]) == ("=BD1-T1 5.5 kW", "=BD1-T1 13 A")


def test_a_current_that_follows_from_a_power_has_three_figures() -> None:
    assert rows_of("booster")["=CL1-E1"]["Load current"] == "0.652 A"


def test_a_24_v_supply_is_told_with_the_current_that_it_takes_from_the_mains_not_with_what_it_gives() -> None:
    supply = rows_of("hatchery")["-F3"]  # the first of the ways behind -T9, which gives 10 A
    assert (supply["Function"], supply["Load current"], supply["Protection"]) == ("-T9 24 V DC", "1.42 A", "-F1 C 6 A")


def test_a_text_without_room_says_what_is_not_told_elsewhere_instead_of_being_cut() -> None:
    long, brief = " ".join(["of many words"] * 9), "in brief"
    band = Band([Column("-M1", (long,) * 7, (brief,) * 7), Column("-M2", ("short",) * 7, (brief,) * 7)], 60.0, small=True)
    assert band.cells == [[(brief,)] * 7, [("short",)] * 7]
    assert "=BD1 Drive of the booster pumps" in rows_of("alternating-pumps")["=BP1-K1"]["Function"]
