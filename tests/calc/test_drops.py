"""Voltage drops section by section."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors.drops import VoltageDrops
from netdsl.calc.faults import Faults
from netdsl.calc.loads import MotorWays
from tests.cases import each_of
from tests.reference.plants import calculated

HEAD = """
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz
"""
MOTOR = "current=10A power-factor=1"


def cable(name: str, source: str, target: str, ohms: float, length: str = "") -> str:
    phases = zip(("BN", "BK", "GY"), source.split(","), target.split(","), strict=True)
    cores = "".join(f"  {core} {one} to {other}\n" for core, one, other in phases)
    return f"cable {name} 4G10 resistance={ohms}ohm reactance=0ohm {length} {{\n{cores}}}\n"


def group(project: str = "", supply: str = "") -> Calculation:
    """Two motors behind one cable of 0.1 ohm, each by one of 0.2 ohm."""
    text = f'project "P" {{\n  {project}\n}}\n' if project else ""
    text += f"{HEAD.rstrip()} {supply}\nbusbar -WB1 at=+MCP poles=3 current=63A\n"
    text += cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-WB1:L1,-WB1:L2,-WB1:L3", 0.1)
    for n in (1, 2):
        text += f"device -M{n} motor at=+HALL {MOTOR} starting-current=50A starting-power-factor=1\n"
        text += cable(f"-W{n}", "-WB1:L1,-WB1:L2,-WB1:L3", f"-M{n}:U1,-M{n}:V1,-M{n}:W1", 0.2)
    return calculated(text)


def percent(calculation: Calculation, device: str) -> float:
    drop = calculation.of(VoltageDrops).running(device)
    assert drop is not None
    return drop.value


def test_sections_carry_what_lies_behind_them() -> None:
    calculation = group()
    assert percent(calculation, "-M1") == pytest.approx(100 * sqrt(3) * (20 * 0.1 + 10 * 0.2) / 400)
    assert calculation.of(VoltageDrops).shares("-M1") == (("-W0", pytest.approx(2.0)), ("-W1", pytest.approx(2.0)))


def test_a_start_comes_on_top_of_all_that_runs() -> None:
    start = group().of(VoltageDrops).starting("-M1")
    assert start is not None
    assert start.value == pytest.approx(100 * sqrt(3) * (60 * 0.1 + 50 * 0.2) / 400)
    assert start.limit == 15


def test_a_start_replaces_only_what_counts_of_the_motor_by_simultaneity() -> None:
    start = group("simultaneity = 0.8").of(VoltageDrops).starting("-M1")
    assert start is not None  # 0.8 of the other motor runs while this one starts
    assert start.value == pytest.approx(100 * sqrt(3) * ((0.8 * 10 + 50) * 0.1 + 50 * 0.2) / 400)


def test_the_source_itself_carries_what_its_feed_does() -> None:
    calculation = group("simultaneity = 0.8   drop-from = source", "fault-current=2kA r-over-x=1000")
    source = calculation.of(Faults).source("-G0")
    start = calculation.of(VoltageDrops).starting("-M1")
    assert source is not None and start is not None
    ohms = source.smallest.real
    assert ohms == pytest.approx(0.95 * 400 / sqrt(3) / 2000, rel=0.2)  # as the factors of the voltage count it
    assert start.value == pytest.approx(100 * sqrt(3) * ((0.8 * 10 + 50) * (0.1 + ohms) + 50 * 0.2) / 400)


@each_of(("system", "kind"), [("system=TN-S voltage=400V", "fault level"), ("system=DC voltage=24V", "inner resistance")])
def test_from_a_source_of_which_nothing_is_known_no_drop_is_told(system: str, kind: str) -> None:
    ends = "L1,L2,L3 to -E1:1,2,3" if "400V" in system else "+,- to -E1:1,2"
    found = calculated(f"""
project "P" {{
  drop-from = source
}}
{HEAD.replace("system=TN-S voltage=400V", system)}
part bare "Load" {{
  kind = heater   letter = E   class = II
  terminal {":1 :2 :3 line-in" if "400V" in system else ":1 :2 load"}
}}
device -E1 bare at=+HALL current=10A
wire -G0:{ends} 2.5mm2 length=10m
""")
    assert found.of(VoltageDrops).running("-E1") is None
    (gap,) = (gap for gap in found.missing if gap.kind == kind)
    assert gap.things == ("-G0",) and "voltage drop from the source" in gap.absent


def test_a_motor_between_two_phases_starts_over_both_of_them() -> None:
    text = (
        """
part two-phase-motor "Motor for 400 V between two phases" {
  kind = motor   symbol = motor   letter = M   class = I
  voltage = 400V
  terminal :U line-in 0.75..4mm2 required
  terminal :V line-in 0.75..4mm2 required
  load :U to :V voltage=400V ac
}
"""
        + HEAD
        + """
device -M1 two-phase-motor at=+HALL current=5A power-factor=0.8 starting-current=25A starting-power-factor=0.6
cable -W1 2x2.5 resistance=0.5ohm reactance=0.1ohm {
  BN -G0:L1 to -M1:U
  BU -G0:L2 to -M1:V
}
"""
    )
    calculation = calculated(text)
    start = calculation.of(VoltageDrops).starting("-M1")
    assert percent(calculation, "-M1") == pytest.approx(100 * 5 * (1.0 * 0.8 + 0.2 * 0.6) / 400)
    assert start is not None and start.value == pytest.approx(100 * 25 * (1.0 * 0.6 + 0.2 * 0.8) / 400)


def test_a_long_way_may_lose_more_where_the_limit_is_the_standards_own() -> None:
    text = (
        HEAD
        + f"device -M1 motor at=+HALL {MOTOR}\n"
        + cable("-W1", "-G0:L1,-G0:L2,-G0:L3", "-M1:U1,-M1:V1,-M1:W1", 0.1, "length=150m")
    )
    drop = calculated(text).of(VoltageDrops).running("-M1")
    assert drop is not None and drop.limit == pytest.approx(5.25)
    chosen = calculated('project "P" {\n  voltage-drop-limit = 4%\n}\n' + text).of(VoltageDrops).running("-M1")
    assert chosen is not None and chosen.limit == 4


def test_a_missing_length_is_a_gap_and_no_drop() -> None:
    text = HEAD + f"device -M1 motor at=+HALL {MOTOR}\n"
    text += "cable -W1 4G10 {\n  BN -G0:L1 to -M1:U1\n  BK -G0:L2 to -M1:V1\n  GY -G0:L3 to -M1:W1\n}\n"
    calculation = calculated(text)
    assert calculation.of(VoltageDrops).running("-M1") is None
    assert any(gap.kind == "length" and "voltage drop" in gap.absent for gap in calculation.missing)


def test_a_drive_begins_anew_and_its_reactor_is_not_counted() -> None:
    text = (
        f"""{HEAD}
device -L1 line-reactor current=20A at=+MCP
device -T1 vsd-7.5kw at=+MCP input-current=10A power-factor=1
device -M1 motor at=+HALL {MOTOR}
wire -L1:2,4,6 to -T1:L1,L2,L3 6mm2 resistance=0ohm reactance=0ohm
"""
        + cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-L1:1,-L1:3,-L1:5", 0.1)
        + cable("-W1", "-T1:U,-T1:V,-T1:W", "-M1:U1,-M1:V1,-M1:W1", 0.3)
    )
    calculation = calculated(text)
    before, behind = calculation.of(VoltageDrops).running("-T1"), calculation.of(VoltageDrops).running("-M1")
    assert before is not None and before.value == pytest.approx(100 * sqrt(3) * 10 * 0.1 / 400)
    assert "reactor" in before.note
    assert behind is not None and behind.value == pytest.approx(100 * sqrt(3) * 10 * 0.3 / 400)
    assert calculation.of(VoltageDrops).starting("-M1") is None


def single(*ends: str) -> Calculation:
    return calculated(f"""{HEAD}
part load "Load" {{
  kind = heater   letter = E   class = II
  terminal :A :B load
}}
device -E1 load at=+HALL current=10A
cable -W1 2x2.5 resistance=0.2ohm reactance=0ohm {{
  BN {ends[0]} to -E1:A
  BU {ends[1]} to -E1:B
}}
""")


def test_a_reactor_counts_where_it_stands_before_more_than_drives() -> None:
    text = (
        f"""{HEAD}
device -L1 line-reactor current=20A at=+MCP
busbar -WB1 at=+MCP poles=3 current=63A
device -T1 vsd-7.5kw at=+MCP input-current=10A power-factor=1
device -M1 motor at=+HALL {MOTOR}
wire -L1:2,4,6 to -WB1:L1,L2,L3 6mm2 resistance=0ohm reactance=0ohm
wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 6mm2 resistance=0ohm reactance=0ohm
"""
        + cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-L1:1,-L1:3,-L1:5", 0.1)
        + cable("-W1", "-WB1:L1,-WB1:L2,-WB1:L3", "-M1:U1,-M1:V1,-M1:W1", 0.3)
    )
    drop = calculated(text).of(VoltageDrops).running("-M1")
    assert drop is not None and "reactor" not in drop.note


def test_of_unequal_phases_the_worst_counts() -> None:
    """A heater on the second phase: the way of three phases loses most there."""
    text = (
        HEAD
        + f"""part load "Load" {{
  kind = heater   letter = E   class = II
  terminal :A :B load
}}
busbar -WB1 at=+MCP poles=4 current=63A
device -M1 motor at=+HALL {MOTOR}
device -E1 load at=+HALL current=5A
wire -G0:N to -WB1:N 10mm2 resistance=0ohm reactance=0ohm
wire -WB1:L2 to -E1:A 2.5mm2 resistance=0ohm reactance=0ohm
wire -WB1:N to -E1:B 2.5mm2 resistance=0ohm reactance=0ohm
"""
        + cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-WB1:L1,-WB1:L2,-WB1:L3", 0.1)
        + cable("-W1", "-WB1:L1,-WB1:L2,-WB1:L3", "-M1:U1,-M1:V1,-M1:W1", 0.2)
    )
    assert percent(calculated(text), "-M1") == pytest.approx(100 * sqrt(3) * (15 * 0.1 + 10 * 0.2) / 400)


def test_one_phase_loses_in_the_neutral_too() -> None:
    assert percent(single("-G0:L2", "-G0:N"), "-E1") == pytest.approx(100 * 2 * 10 * 0.2 / 230)


def test_two_phases_lose_twice_against_the_voltage_between_them() -> None:
    assert percent(single("-G0:L3", "-G0:L1"), "-E1") == pytest.approx(100 * 2 * 10 * 0.2 / 400)


def test_a_looped_wire_counts_its_first_piece_for_all() -> None:
    text = f"""{HEAD}
device -Q1 mcb-3p at=+MCP current=16A
device -Q2 mcb-3p at=+MCP current=16A
wire -G0:L1,L2,L3 to -Q1:1,3,5 to -Q2:1,3,5 4mm2 resistance=0.1ohm reactance=0ohm
"""
    for n in (1, 2):
        text += f"device -M{n} motor at=+HALL {MOTOR}\n" + cable(
            f"-W{n}", f"-Q{n}:2,-Q{n}:4,-Q{n}:6", f"-M{n}:U1,-M{n}:V1,-M{n}:W1", 0.2
        )
    calculation = calculated(text)
    assert percent(calculation, "-M1") == pytest.approx(100 * sqrt(3) * (20 * 0.1 + 10 * 0.2) / 400)
    assert percent(calculation, "-M2") == pytest.approx(100 * sqrt(3) * (20 * 0.1 + 10 * 0.1 + 10 * 0.2) / 400)


def through(contactor: str, source: str, target: str, ohms: float) -> str:
    """A cable without impedance to a contactor, and one of some ohms behind it."""
    inlets, outlets = (",".join(f"{contactor}:{n}" for n in numbers) for numbers in ((1, 3, 5), (2, 4, 6)))
    text = f"device {contactor} contactor-12a at=+MCP\n" + cable(f"-WA{contactor[2:]}", source, inlets, 0.0)
    return text + cable(f"-WC{contactor[2:]}", outlets, target, ohms)


def by(calculation: Calculation, device: str) -> tuple[float | None, float | None]:
    """Both drops at -M1 by the way that a device feeds last, %."""
    (way,) = (each for each in calculation.of(MotorWays).of("-M1") if each.by == device)
    running, starting = calculation.of(VoltageDrops).by(way)
    return running and running.value, starting and starting.value


def test_each_winding_of_a_motor_for_two_speeds_loses_by_its_own_current() -> None:
    """0.1 ohm before both, 0.2 ohm to the slow winding of 3.2 A, 0.3 ohm to the fast one of 9.2 A; each starts with sevenfold
    current."""
    text = f"{HEAD}\nbusbar -WB1 at=+MCP poles=3 current=63A\n"
    text += "device -M1 motor-two-speed-4kw at=+HALL power-factor=1 starting-power-factor=1\n"
    text += cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-WB1:L1,-WB1:L2,-WB1:L3", 0.1)
    for contactor, number, ohms in (("-K1", 1, 0.2), ("-K2", 2, 0.3)):
        text += through(contactor, "-WB1:L1,-WB1:L2,-WB1:L3", f"-M1:{number}U,-M1:{number}V,-M1:{number}W", ohms)
    calculation = calculated(text)
    share = 100 * sqrt(3) / 400
    assert by(calculation, "-K1") == (pytest.approx(share * 3.2 * 0.3), pytest.approx(share * 7 * 3.2 * 0.3))
    assert by(calculation, "-K2") == (pytest.approx(share * 9.2 * 0.4), pytest.approx(share * 7 * 9.2 * 0.4))
    ways = calculation.of(MotorWays).of("-M1")
    assert [(way.by, way.winding, way.full) for way in ways] == [("-K1", "1U", False), ("-K2", "2U", True)]
    assert percent(calculation, "-M1") == pytest.approx(share * 9.2 * 0.4)  # the worst of them
    drops = [
        result.key for result in calculation.results if result.question.startswith("voltage-drop") and result.key.endswith("-K1")
    ]
    assert drops == ["voltage-drop.running -M1 by -K1", "voltage-drop.starting -M1 by -K1"]


def past_a_drive(ohms: float) -> Calculation:
    """A motor behind a drive, by a cable of some ohms, and past it from the supply, by 0.5 ohm."""
    text = f"{HEAD}\ndevice -T1 vsd-7.5kw at=+MCP input-current=10A power-factor=1\n"
    text += f"device -M1 motor at=+HALL {MOTOR} starting-current=50A starting-power-factor=1\n"
    text += cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-T1:L1,-T1:L2,-T1:L3", 0.1)
    text += through("-K1", "-T1:U,-T1:V,-T1:W", "-M1:U1,-M1:V1,-M1:W1", ohms)
    text += through("-K2", "-G0:L1,-G0:L2,-G0:L3", "-M1:U1,-M1:V1,-M1:W1", 0.5)
    return calculated(text)


def test_a_motor_that_is_fed_past_its_drive_loses_from_the_drive_by_the_one_way_and_from_the_supply_by_the_other() -> None:
    share = 100 * sqrt(3) / 400
    calculation = past_a_drive(0.3)
    assert by(calculation, "-K1") == (pytest.approx(share * 10 * 0.3), None)
    assert by(calculation, "-K2") == (pytest.approx(share * 10 * 0.5), pytest.approx(share * 50 * 0.5))
    assert {way.by: way.drive for way in calculation.of(MotorWays).of("-M1")} == {"-K1": "-T1", "-K2": ""}
    assert "voltage-drop.running -M1 by -K1" in calculation.by_key


def test_ways_that_do_not_differ_or_meet_before_the_motor_are_not_told_apart() -> None:
    assert group().of(MotorWays).of("-M1") == ()
    text = f"{HEAD}\ndevice -T1 vsd-7.5kw at=+MCP input-current=10A power-factor=1\ndevice -M1 motor at=+HALL {MOTOR}\n"
    text += "device -B1 overload-relay at=+MCP current=10A\n"
    text += cable("-W0", "-G0:L1,-G0:L2,-G0:L3", "-T1:L1,-T1:L2,-T1:L3", 0.1)
    text += through("-K1", "-T1:U,-T1:V,-T1:W", "-B1:1,-B1:3,-B1:5", 0.3)
    text += through("-K2", "-G0:L1,-G0:L2,-G0:L3", "-B1:1,-B1:3,-B1:5", 0.5)
    text += cable("-W9", "-B1:2,-B1:4,-B1:6", "-M1:U1,-M1:V1,-M1:W1", 0.2)
    calculation = calculated(text)
    assert len(calculation.of(Circuit).paths("-M1")) == 2
    assert calculation.of(MotorWays).of("-M1") == ()
