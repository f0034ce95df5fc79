"""Work cards and test record: every end is connected once, in the order of the trade; what passes is what the panel gives."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from netdsl.calc.protection import Disconnections
from netdsl.states import bench, circuit_of
from netdsl.states.bench import bench_test
from render.drawing import Drawing
from render.tables.register import Sources
from render.tables.table import Cell, Entry, Table
from render.tables.test_record import functions, record, record_sheets
from render.tables.work_cards import PHASES, work, work_sheets
from tests.cases import each_of
from tests.readings import drawn_by, sized
from tests.render.plants import EXAMPLES, HATCHERY, drawing_in, example, texts

PLANT = """netdsl 1
project "Mill" {
}
place +P "Panel" kind=cabinet
place +F "Field" kind=field
supply -G0 system=TN-S voltage=VOLTS frequency=50Hz fault-current=6kA
strip -X0 at=+P torque=2..2.4Nm strip=18mm {
  :L1 :L2 :L3 16mm2
  :N neutral 16mm2
  :PE earth 16mm2
}
cable -W0 5G4 length=20m {
  BN -G0:L1 to -X0:L1
  BK -G0:L2 to -X0:L2
  GY -G0:L3 to -X0:L3
  BU -G0:N to -X0:N
  GNYE -G0:PE to -X0:PE
}
device -XE1 earth-bar at=+P
wire -X0:PE to -XE1:1 4mm2 GNYE length=2m
wire -XE1:2 to +P:PE 4mm2 GNYE
device -F9 spd-t2 at=+P
device -F1 rcd-4p-a at=+P
device -F2 rcd-4p-a-300-s at=+P
device -S1 emergency-stop at=+P
device -M1 motor power=1kW current=2A at=+F
cable -W1 4G2.5 length=10m parallel=2 {
  BN -X0:L1 to -M1:U1
  BK -X0:L2 to -M1:V1
  GY -X0:L3 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""
LOOP = """netdsl 1
project "Mill" {
}
place +P "Panel" kind=cabinet
place +F "Field" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
device -XE1 earth-bar at=+P
wire -G0:PE to -XE1:1 10mm2 GNYE length=2m
device -F1 mcb-3p at=+P current=20A curve=D
wire -G0:L1,L2,L3 to -F1:1,3,5 4mm2 length=1m
device -M1 motor power=4kW current=8A at=+F
cable -W1 4G4 length=LENGTH {
  BN -F1:2 to -M1:U1
  BK -F1:4 to -M1:V1
  GY -F1:6 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""


def rows(table: Table, heading: str) -> dict[str, tuple[str, str]]:
    """Of the rows below a heading: what, with how and what passes."""
    found: dict[str, tuple[str, str]] = {}
    here = False
    for entry in table.entries:
        if entry.cells and here:
            found[entry.cells[1].text] = (entry.cells[2].text, entry.cells[3].text)
        elif not entry.cells and not entry.remark:
            here = entry.heading.startswith(heading)
    return found


@pytest.fixture(scope="module")
def mill(tmp_path_factory: pytest.TempPathFactory) -> Drawing:
    return drawing_in(tmp_path_factory.mktemp("mill"), PLANT.replace("VOLTS", "400V"))


def test_continuity_passes_by_length_and_section_and_says_what_was_not_computed(mill: Drawing) -> None:
    """Class 2 copper, IEC 60228: 4.61 Ω/km of 4 mm² and 7.41 Ω/km of 2.5 mm², at 40 °C 1.0786 times that, 0.01 Ω for joints."""
    found = rows(mill.of(record), "Continuity")
    assert found["-G0:PE to -X0:PE"] == ("4 mm²: 4.61 Ω/km · 20 m = 0.0922 Ω", "at most 0.109 Ω")
    assert found["-XE1:3 to -M1:PE"] == ("2.5 mm²: 7.41 Ω/km · 10 m / 2 = 0.037 Ω", "at most 0.0499 Ω")
    assert found["-XE1:2 to +P:PE"] == ("not computed: length of -XE1:2 -- +P:PE not stated", "")
    assert len(found) == 4


def test_what_a_test_voltage_would_damage_comes_off_first(mill: Drawing, tmp_path: Path) -> None:
    found = rows(mill.of(record), "Insulation")
    assert list(found) == ["-F9", "what is behind -G0", "-W0", "-W1"]
    assert found["-F9"][1] == "off"
    assert found["-W1"] == ("BN, BK, GY together to PE; between each other only with the motor off", "at least 1 MΩ")
    high = rows(drawing_in(tmp_path, PLANT.replace("VOLTS", "690V")).of(record), "Insulation")
    assert high["-W0"][1] == "at least 1 MΩ at 1000 V DC"
    hatchery = rows(example(HATCHERY).of(record), "Insulation")
    assert {"-T9:- at -XE1:9", "what is behind -Q0", "circuits of -T9"} <= hatchery.keys()
    assert any("=RP1-T1" in name and how.startswith("take off") for name, (how, _) in hatchery.items())
    assert hatchery["=RP1-W1"][0].startswith("BN, BK, GY together to PE, off at =RP1-T1")


def test_what_has_electronics_in_it_comes_off_and_what_has_no_order_of_phases_is_not_turned() -> None:
    """A dosing pump of one phase with an analogue input, and an electronic fuse."""
    table = example(HATCHERY.with_name("dosing-pump")).of(record)
    off = [name for name, (how, _) in rows(table, "Insulation").items() if how.startswith("take off")]
    assert off == ["-T9, -F2, -A1, -A2, =LD1-M1"]
    assert rows(table, "Rotation") == {}


def test_a_loop_is_judged_by_the_short_circuit_release_where_it_opens_and_not_by_the_residual_current() -> None:
    found = rows(example(HATCHERY.with_name("dosing-pump")).of(record), "Fault loops")
    assert found["=LD1-M1"][0].endswith("there at most 2.18 Ω: =LD1-F1 (C10) within 0.4 s")
    assert found["=LD1-M1"][1] == "at most 1.53 Ω cold"


def test_what_says_that_a_channel_is_on_goes_off_with_it() -> None:
    """The contacts of four electronic fuses and of their supply in series report 24 V as healthy."""
    steps = [(cells[1].text, cells[2].text) for cells in _cells(example(HATCHERY.with_name("booster")).of(functions))]
    assert any(operate == "switch -F13 off" and "=IO1-K2:10 off" in expect for operate, expect in steps)
    assert not [operate for operate, _ in steps if "trip of" in operate]


def _cells(table: Table) -> list[tuple[Cell, ...]]:
    return [entry.cells for entry in table.entries if entry.cells]


def test_a_motor_that_runs_on_the_mains_too_is_turned_both_ways() -> None:
    for plant, motor, drive in (("mains-bypass", "=OB1-M1", "=OB1-T1"), ("alternating-pumps", "=BP2-M1", "=BD1-T1")):
        how, _ = rows(example(HATCHERY.with_name(plant)).of(record), "Rotation")[motor]
        assert how == f"on {drive} and on the mains: the same way round"


def test_all_sign_on_one_sheet() -> None:
    for plant in ("brake-motor-drive", "emergency-stop"):
        for size in ("A3", "A4"):
            sheets = drawn_by(record_sheets, sized(HATCHERY.with_name(plant) / "plant.netdsl", size))
            assert (
                len({sheet.key for sheet in sheets for text in texts(sheet) if text.endswith(("wired by", "inspected by"))}) == 1
            )


LOOPS = {
    "4m": "computed cold 0.101 Ω, in service 0.106 Ω, there at most 0.546 Ω: -F1 (D20) within 0.4 s; at most 0.383 Ω cold",
    "42m": "computed cold 0.415 Ω, in service 0.491 Ω, there at most 0.546 Ω: -F1 (D20) within 0.4 s; at most 0.461 Ω cold",
    "70m": "computed cold 0.669 Ω, in service 0.797 Ω, there at most 0.546 Ω: -F1 (D20) within 0.4 s; at most 0.383 Ω cold",
}


@each_of("length", LOOPS)
def test_the_loop_that_a_sound_circuit_has_passes_cold(length: str, tmp_path: Path) -> None:
    """2/3 · 230 V / 400 A, where cold conductors are expected below; else what its limit of 0.546 Ω is cold; of a circuit that
    is not sound two thirds again."""
    found = rows(drawing_in(tmp_path, LOOP.replace("LENGTH", length)).of(record), "Fault loops")
    assert "; ".join(found["-M1"]) == LOOPS[length]


def test_a_measured_loop_passes_below_two_thirds_and_never_above_the_computed_limit() -> None:
    drawing = example(HATCHERY)
    found = rows(drawing.of(record), "Fault loops")
    results = list(drawing.calculation.of(Disconnections).results())
    assert results
    for result in results:
        most = float(re.findall(r"at most ([\d.]+) Ω", found[result.subject][1])[0])
        assert result.limit is not None
        assert 0.69 * result.limit < most <= 2 / 3 / 0.95 * result.limit
    for device, _ in drawing.calculation.of(Disconnections).not_judged():
        assert found[device][0].startswith("not computed") and found[device][1] == ""


def test_every_stop_motor_and_store_of_charge_is_tested(mill: Drawing) -> None:
    assert list(rows(mill.of(record), "Emergency stop")) == ["-S1"]
    how, passes = rows(example(HATCHERY).of(record), "Emergency stop")["=ES1-S1"]
    assert "=RP1-T1:STO1, STO2 (safe torque off) off" in how and "only the reset" in passes
    assert list(rows(mill.of(record), "Rotation")) == ["-M1"]
    assert rows(mill.of(record), "Voltage test")["power circuits"][1] == "1000 V AC, 1 s, no breakdown"
    residual = rows(mill.of(record), "Residual")
    assert {name: passes for name, (_, passes) in residual.items()} == {"-F1": "within 300 ms", "-F2": "within 500 ms"}
    assert residual["-F1"][0].startswith("trips at 30 mA")
    assert list(rows(example(HATCHERY).of(record), "Stored")) == ["=RP1-T1", "=RP2-T1", "=AB1-T1"]
    assert "on =RP1-T1" in rows(example(HATCHERY).of(record), "Rotation")["=RP1-M1"][0]


def test_functional_steps_are_those_of_the_bench() -> None:
    drawing = example(HATCHERY)
    test = bench_test(circuit_of(drawing.network))
    said = [entry.cells[1].text for entry in drawing.of(functions).entries]
    assert said == [row.operate.replace("`", "") for row in test.rows]


def test_every_sheet_of_functional_steps_says_what_they_follow() -> None:
    sheets = [sheet for sheet in drawn_by(record_sheets, example(HATCHERY)) if "Functional test" in sheet.title]
    assert len(sheets) > 1
    assert all("Steps follow the text, not what is built" in " ".join(texts(sheet)) for sheet in sheets)


def test_functional_steps_of_a_large_plant_go_function_by_function(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = {entry.cells[1].text for entry in example(HATCHERY).of(functions).entries}
    monkeypatch.setattr(bench, "TOGETHER", 3)
    drawing = Drawing(example(HATCHERY).network, (), example(HATCHERY).calculation)
    entries = drawing.of(functions).entries
    headings = [entry.of for entry in entries if entry.heading]
    assert headings == ["", "=ES1", "=LV1", "=RP1", "=RP2", "=AB1", "=BW1", "=BC1"][: len(headings)] and len(headings) > 5
    assert whole <= {entry.cells[1].text for entry in entries if entry.cells}
    numbers = [entry.cells[0].value for entry in entries if entry.cells and entry.cells[0].value is not None]
    assert numbers == list(range(len(numbers)))
    # what an emergency stop switches off is gathered from the functions
    assert "STO1" in rows(drawing.of(record), "Emergency stop")["=ES1-S1"][0]
    assert any("Functional test" in sheet.title for sheet in record_sheets(drawing))


@each_of("folder", EXAMPLES)
def test_phases_and_steps_are_numbered_without_a_gap(folder: Path) -> None:
    entries = example(folder).of(work).entries
    phases = dict.fromkeys(int(entry.heading.partition(" ")[0]) for entry in entries if entry.heading and not entry.remark)
    assert list(phases) == list(range(1, len(phases) + 1))
    steps = [entry.cells[0].value for entry in entries if entry.cells]
    ends = [entry.heading for entry in entries if entry.remark]
    assert [text.partition(" ")[0] for text in ends] == ["Covers,", "Every"], "said once, not of each place"
    assert steps == list(range(1, len(steps) + 1))


def test_safety_inputs_that_go_together_are_one_step_and_others_stay_apart() -> None:
    expected = " ".join(cells[2].text for cells in _cells(example(HATCHERY).of(functions)))
    assert "=RP1-T1:STO1, STO2 (safe torque off) on; =RP2-T1:STO1, STO2 (safe torque off) on" in expected
    assert "=RP2-T1:DI1 (start) off; =RP2-T1:DI3 (remote) on" in expected


@each_of("folder", EXAMPLES)
def test_every_button_is_pressed_in_the_functional_test(folder: Path) -> None:
    """Those too on which nothing hangs that another button switches on or off before: stops, a second start."""
    drawing = example(folder)
    operated = {cells[1].text for cells in _cells(drawing.of(functions))}
    buttons = [device.id for device in drawing.plant.devices.values() if device.kind in ("push-button", "emergency-stop")]
    assert [name for name in buttons if f"press {name}" not in operated] == []


def test_an_input_behind_a_contactor_that_feeds_its_drive_is_reached() -> None:
    """The drive gives the 24 V of its inputs itself, once the line contactor is on."""
    steps = _cells(example(HATCHERY.with_name("brake-motor-drive")).of(functions))
    assert not [cells[1].text for cells in steps if "no short sequence" in cells[1].text]
    assert [cells[2].text for cells in steps if cells[1].text == "press =SR1-S3"][:1] == ["=SR1-T1:DI1 (start) on"]


def test_a_contact_of_a_controller_is_tried_where_a_selector_switches_on_first() -> None:
    steps = [cells[1].text for cells in _cells(example(HATCHERY.with_name("booster")).of(functions))]
    assert {f"{ends} of =IO1-K3 closes" for ends in ("13-14", "23-24", "33-34")} <= {*steps}


def test_a_step_that_nothing_in_the_panel_moves_says_what_its_contacts_do() -> None:
    steps = [cells[1].text for cells in _cells(example(HATCHERY.with_name("gate-lock")).of(functions))]
    assert {"11-12, 21-22 of =DF1-B1 open (position)", "11-12, 21-22 of =DF1-B1 close (position)"} <= {*steps}


def test_contacts_of_a_relay_that_pulls_while_all_is_well_are_not_said_to_move_by_what_it_watches() -> None:
    """The lamp for a leaking seal lights when the moisture relay drops: "moisture on" would be read the other way round."""
    steps = _cells(example(HATCHERY.with_name("submersible-pump")).of(functions))
    lit = {cells[1].text for cells in steps if "=WP1-H3 lights" in cells[2].text and "=WP1-K3" in cells[1].text}
    assert lit == {"11-14 of =WP1-K3 opens, 11-12 closes"}
    assert not [cells[1].text for cells in steps if "moisture" in cells[1].text]


def test_what_takes_the_torque_from_a_drive_after_a_time_is_tried_while_it_has_it() -> None:
    """The gate is released when the timer lets it, and that has to take the torque off; the lock is tried by itself too."""
    steps = [(cells[1].text, cells[2].text) for cells in _cells(example(HATCHERY.with_name("gate-lock")).of(functions))]
    at = steps.index(("turn =DF1-S1 to on", "nothing changes"))
    waited, seen = steps[at + 1]
    assert waited == "wait until all times have gone by"
    assert "=DF1-T1:STO1, STO2 (safe torque off) off" in seen
    assert ("=DF1-T1 reports that it runs", "=DF1-K2 drops; =DF1-B1 lock drops") in steps


def test_a_sheet_of_tests_says_the_text_it_comes_from() -> None:
    drawing = sized(HATCHERY / "plant.netdsl", "A4")
    without = [sheet.number for sheet in drawn_by(record_sheets, drawing) if not drawing.of(Sources).of(sheet)]
    assert without == []


def test_a_functional_step_belongs_to_what_is_operated_and_what_shows_it() -> None:
    """By which the sheet names the text it comes from, and a click leads to it."""
    cells = {cells[1].text: cells for cells in _cells(example(HATCHERY).of(functions))}
    step = cells["11-14 of =LV1-B2 closes (level)"]
    assert (step[1].of, step[2].of) == ("=LV1-B2", "=LV1-H1")


def named(text: str) -> Iterator[str]:
    """The terminals of a step: `-X1:1..3, 7` is four."""
    device, _, names = text.rpartition(":")
    for name in names.split(", "):
        first, _, last = name.partition("..")
        if last:
            yield from (f"{device}:{number}" for number in range(int(first), int(last) + 1))
        else:
            yield f"{device}:{name}"


@each_of("folder", [HATCHERY, *EXAMPLES[:6]])
def test_every_end_of_every_conductor_is_in_a_step(folder: Path) -> None:
    drawing = example(folder)
    done = {
        end
        for entry in drawing.of(work).entries
        if entry.cells and ":" in entry.cells[1].text
        for end in named(entry.cells[1].text)
    }
    assert {end.id for run in drawing.network.runs.values() for end in run.conductor.ends} <= done


@each_of("folder", EXAMPLES)
def test_what_belongs_to_a_device_is_mounted_with_it(folder: Path) -> None:
    """A mechanical interlock above all: nothing else on the cards tells that it is missing."""
    drawing = example(folder)
    mounted = {(name, entry.cells[3].text) for entry in _steps(drawing) for name in entry.cells[1].text.split(", ")}
    fitted = [(device.id, each.part.title) for device in drawing.plant.devices.values() for each in device.accessories]
    assert [(name, title) for name, title in fitted if (name, f"with it: {title}") not in mounted] == []


def _steps(drawing: Drawing) -> list[Entry]:
    return [entry for entry in drawing.of(work).entries if entry.cells]


@each_of("size", ["A3", "A4"])
@each_of("plant", ["hand-off-auto", "local-remote", "hatchery"])
def test_what_is_done_at_every_place_in_the_end_is_not_parted(plant: str, size: str) -> None:
    said = texts(*drawn_by(work_sheets, sized(HATCHERY.with_name(plant) / "plant.netdsl", size)))
    parted = [text for text in said if text.endswith("(continued)") and ":" not in text]
    assert parted == []


def test_steps_follow_the_order_of_the_trade_with_strip_length_and_torque(mill: Drawing) -> None:
    headings = [entry.heading for entry in example(HATCHERY).of(work).entries if not entry.cells and not entry.remark]
    titles = list(PHASES.values())
    phases = [
        next(number for number, title in enumerate(titles, 1) if heading.startswith(f"{number} {title}")) for heading in headings
    ]
    assert phases == sorted(phases) and set(phases) == set(range(1, len(titles) + 1))
    steps = {entry.cells[1].text: [cell.text for cell in entry.cells[3:]] for entry in mill.of(work).entries if entry.cells}
    assert steps["-X0:L1, L2, L3"] == ["-W1 2 parallel 4G2.5: BN, BK, GY", "18 mm", "2..2.4 N m"]
    assert steps["+P:PE"] == ["wire 4 mm² GNYE", "", ""]


@each_of(("name", "one", "other"), [("reversing", "=SG1-S1", "=SG1-S2"), ("two-speed", "=HV1-S1", "=HV1-S2")])
def test_a_start_that_a_contactor_locks_out_is_tried_while_it_is_on(name: str, one: str, other: str) -> None:
    """Else contactors without their break contacts in each other's way would pass the test."""
    steps = [(cells[1].text, cells[2].text) for cells in _cells(example(HATCHERY.with_name(name)).of(functions))]
    for first, second in ((one, other), (other, one)):
        started = next(at for at, (what, seen) in enumerate(steps) if what == f"press {first}" and "pulls" in seen)
        assert steps[started + 1 : started + 3] == [
            (f"release {first}", "nothing changes"),
            (f"press {second}", "nothing changes"),
        ]


def test_of_a_safety_relay_the_functional_test_says_that_it_may_act_when_the_button_is_let_go() -> None:
    said = {
        name: "Monitored reset" in " ".join(example(EXAMPLES[0].parent / name).of(functions).notes)
        for name in ("emergency-stop", "star-delta")
    }
    assert said == {"emergency-stop": True, "star-delta": False}
