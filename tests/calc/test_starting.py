"""Run-up of motors against what protects them."""

from __future__ import annotations

from math import log, pi

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.coordination import TimeCurrents
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.sheet import not_judged
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Start" {{
  {project}
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=10kA
device -F1 fuse-3p at=+A current=25A
device -K1 contactor-12a at=+A {contactor}
device -B1 overload-relay-10a at=+A {relay}
set -B1 tripping-current=10A
device -M1 motor at=+F power=5.5kW current=10A speed=1450rpm voltage=400V power-factor=0.86 starting-current=72A {motor}
wire -G0:L1,L2,L3 to -F1:1,3,5 6mm2 BK
wire -F1:2,4,6 to -K1:1,3,5 6mm2 BK
wire -K1:2,4,6 to -B1:1,3,5 6mm2 BK
wire -B1:2,4,6 to -M1:U1,V1,W1 6mm2 BK
connect -M1 delta
"""


def plant(motor: str = "", relay: str = "", contactor: str = "", project: str = "") -> Calculation:
    return calculated(PLANT.format(motor=motor, relay=relay, contactor=contactor, project=project))


def holds(motor: str, relay: str = "") -> dict[str, Result]:
    found = plant(motor, relay).by_key
    return {key.partition(" by ")[2]: found[key] for key in found if key.startswith("starting.hold")}


@each_of(("relay", "limit"), [("trip-class=10", 4), ("trip-class=20", 6), ("trip-class=30", 9), ("", 4)])
def test_a_relay_carries_the_start_for_the_least_time_of_its_class(relay: str, limit: float) -> None:
    """At 7.2 times its setting, from cold, class 10 may trip after 4 s, 20 after 6 s, 30 after 9 s (IEC 60947-4-1, table 2)."""
    found = holds("starting-time=5s", relay)["-B1"]
    assert (found.value, found.limit) == (5, pytest.approx(limit))
    assert found.holds == (limit > 5)


def test_above_that_heat_decides() -> None:
    """Set to 9 A, 72 A are 8 times: 4 s at 7.2 times become 3.24 s."""
    assert holds("starting-time=3s")["-B1"].holds
    hot = calculated(
        PLANT.replace("tripping-current=10A", "tripping-current=9A").format(
            motor="starting-time=3s", relay="", contactor="", project=""
        )
    )
    assert hot.by_key["starting.hold -M1 by -B1"].limit == pytest.approx(4 * 0.9**2)


def test_a_fuse_carries_the_start_for_the_time_in_which_it_does_not_melt() -> None:
    """gG 25 A melts at the earliest in 10 s at 52 A, in 0.1 s at 150 A: at 72 A, on logarithmic axes, after 2.43 s."""
    share = log(72 / 52) / log(150 / 52)
    fuse = holds("starting-time=2s")["-F1"]
    assert fuse.limit == pytest.approx(10 * 0.01**share, rel=1e-3)
    assert fuse.holds
    assert not holds("starting-time=3s")["-F1"].holds


def test_time_follows_from_inertia() -> None:
    """0.5 kg m² at 1450 1/min; 36.2 N m rated, mean 0.45 * (2 + 2.6) of it, less all of it."""
    rated = 5500 / (2 * pi * 1450 / 60)
    found = plant("inertia=0.5 starting-torque=2 breakdown-torque=2.6").by_key
    assert found["starting.time -M1"].value == pytest.approx(2 * pi * 1450 / 60 * 0.5 / (rated * (0.45 * 4.6 - 1)))
    assert found["starting.hold -M1 by -B1"].value == pytest.approx(found["starting.time -M1"].value)


def test_a_motor_that_cannot_turn_its_load_does_not_run_up() -> None:
    found = plant("inertia=0.5 starting-torque=1 breakdown-torque=1.2").by_key
    assert "starting.time -M1" not in found
    torque = found["starting.torque -M1"]
    assert torque.value == pytest.approx(5500 / (2 * pi * 1450 / 60) * (0.45 * 2.2 - 1))
    assert not torque.holds


def test_what_a_motor_bears_at_rest_limits_its_time() -> None:
    found = plant("starting-time=6s locked-rotor-time=5s").by_key["starting.time -M1"]
    assert (found.value, found.limit, found.holds) == (6, 5, False)


def test_a_motor_that_states_nothing_is_not_judged() -> None:
    calculation = plant()
    assert not [key for key in calculation.by_key if key.startswith("starting.")]
    assert [each.device for each in not_judged(calculation) if each.what.startswith("run-up")] == ["-M1"]


def test_types_of_coordination_are_held_to_what_the_project_asks() -> None:
    one = plant(contactor="coordination-type=type-1", project="coordination-type = type-2")
    assert [(gap.kind, gap.things) for gap in one.missing if gap.kind.startswith("coordination")] == []
    result = one.by_key["starting.coordination -K1"]
    assert (result.value, result.limit, result.holds) == (1, 2, False)
    assert [(gap.kind, gap.things) for gap in one.missing if gap.kind.startswith("coordination")] == [
        ("coordination type", ("-B1",))
    ]
    assert plant(contactor="coordination-type=type-1").by_key["starting.coordination -K1"].limit is None


TWO = """
project "Two" {{
  {project}
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=10kA
busbar -WB1 at=+A poles=4 current=100A
cable -W0 4G16 length=50m method=C {{
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
}}
device -Q1 mcb-3p at=+A current=32A
device -Q2 mcb-3p at=+A current=32A
device -M1 motor at=+F power=5.5kW current=11A power-factor=0.85 starting-current=70A
device -M2 motor at=+F power=5.5kW current=11A power-factor=0.85 starting-current=70A {other}
wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK length=1m
wire -WB1:L1,L2,L3 to -Q2:1,3,5 6mm2 BK length=1m
wire -Q1:2,4,6 to -M1:U1,V1,W1 6mm2 BK length=0.001m
wire -Q2:2,4,6 to -M2:U1,V1,W1 6mm2 BK length=0.001m
"""


def drop(project: str, other: str) -> Result:
    return calculated(TWO.format(project=project, other=other)).by_key["voltage-drop.starting -M1"]


def test_motors_that_start_at_once_add_up_unless_one_waits() -> None:
    """Two of 70 A at 0.35 in 50 m of 16 mm2, in place of one of 70 A and one of 11 A at 0.85."""
    one, both = drop("", ""), drop("starting-together = yes", "")
    assert "at once" not in one.note
    assert both.note.endswith("at once with -M2")
    assert both.value == pytest.approx(one.value * 140 * 0.35 / (70 * 0.35 + 11 * 0.85), rel=0.05)
    assert drop("starting-together = yes", "start-delay=5s").value == pytest.approx(one.value)


def test_what_feeds_several_that_start_at_once_carries_them_all() -> None:
    text = TWO.replace("earth-fault-current=10kA", "earth-fault-current=10kA upstream=fuse-gG-50A").replace(
        "starting-current=70A", "starting-current=70A starting-time=2s"
    )
    amps = []
    for project in ("", "starting-together = yes"):
        found = calculated(text.format(project=project, other="")).by_key["starting.hold -M1 by -G0"]
        amps.append(next(given.value for given in found.givens if given.symbol == "I"))
    assert amps == [pytest.approx(abs(70 * (0.35 - 0.9367j) + 11 * (0.85 - 0.5268j)), rel=1e-3), pytest.approx(140)]


@each_of(("starts", "amps", "keeps"), [(3, 10.41, True), (6, 10.81, False)])
def test_a_release_remembers_the_heat_of_frequent_starts(starts: int, amps: float, keeps: bool) -> None:
    """72 A for 2 s in place of 10 A, 3 or 6 times an hour, against 1.05 times 10 A; a fuse is no release."""
    results = plant(f"starting-time=2s starts-per-hour={starts}").by_key
    (found,) = (result for key, result in results.items() if key.startswith("starting.duty"))
    assert found.key == "starting.duty -M1 by -B1"
    assert (found.value, found.limit) == (pytest.approx(amps, abs=0.01), pytest.approx(10.5))
    assert found.holds is keeps


def test_frequent_starts_of_unknown_length_are_not_judged() -> None:
    calculation = plant("starts-per-hour=6")
    assert ("-M1", "frequent starts") in {(each.device, each.what) for each in not_judged(calculation)}
    assert not [key for key in calculation.by_key if key.startswith("starting.duty")]


TWO_SPEEDS = """
project "Two speeds" {{ }}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=10kA
device -Q1 motor-breaker at=+A current=4A
device -Q2 motor-breaker at=+A current=10A
set -Q1 tripping-current=3.2A
set -Q2 tripping-current=9.2A
device -K1 contactor-12a at=+A
device -K2 contactor-12a at=+A
device -M1 motor-two-speed-4kw at=+F {motor}
wire -G0:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK length=2m
wire -G0:L1,L2,L3 to -Q2:1,3,5 2.5mm2 BK length=2m
wire -Q1:2,4,6 to -K1:1,3,5 2.5mm2 BK length=2m
wire -Q2:2,4,6 to -K2:1,3,5 2.5mm2 BK length=2m
wire -K1:2,4,6 to -M1:1U,1V,1W 2.5mm2 BK length=2m
wire -K2:2,4,6 to -M1:2U,2V,2W 2.5mm2 BK length=2m
"""


def test_a_motor_with_a_winding_for_each_speed_starts_direct_and_each_way_is_shown_with_its_winding() -> None:
    found = calculated(TWO_SPEEDS.format(motor=""))
    assert abs(found.of(LoadCurrents).starting("-M1") or 0.0) == pytest.approx(7 * 9.2)
    shown = {each.device: curve for each in found.of(TimeCurrents).circuits() for curve in each.curves if curve.kind == "motor"}
    assert [shown[name].most[0][0] for name in ("-Q1", "-Q2")] == [pytest.approx(7 * 3.2), pytest.approx(7 * 9.2)]


def test_a_stated_starting_time_is_held_to_the_way_of_the_winding_it_is_of() -> None:
    found = calculated(TWO_SPEEDS.format(motor="starting-time=2s")).by_key
    assert [key for key in found if key.startswith("starting.hold") and " by -Q" in key] == ["starting.hold -M1 by -Q2"]
