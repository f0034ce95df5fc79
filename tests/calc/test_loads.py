"""What loads draw and conductors carry."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.circuit.circuit import Circuit
from netdsl.calc.loads.currents import LoadCurrents
from tests.cases import each_of
from tests.reference.plants import calculated

HEAD = """
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz
"""


def motor(name: str, feeder: str, number: int, extra: str = "current=10A power-factor=0.8") -> str:
    """A motor on a cable of its own; `feeder` names the first terminal that feeds it."""
    device, first = feeder.split(":")
    terminals = ("L1", "L2", "L3") if first == "L1" else ("2", "4", "6")
    ways = zip(("BN", "BK", "GY"), terminals, ("U1", "V1", "W1"), strict=True)
    cores = "".join(f"  {core} -{device}:{one} to {name}:{other}\n" for core, one, other in ways)
    return f"\ndevice {name} motor at=+HALL {extra}\ncable -W{number} 4G2.5 length=10m {{\n{cores}}}\n"


def drive(motors: str = "power=7.5kW efficiency=90% power-factor=0.85", own: str = "") -> Calculation:
    return calculated(f"""{HEAD}
device -T1 vsd-7.5kw at=+MCP {own}
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 length=1m
device -M1 motor at=+HALL {motors}
cable -W1 4G4 length=10m {{
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
}}
""")


def kinds(calculation: Calculation) -> set[str]:
    return {gap.kind for gap in calculation.missing}


def test_a_motor_without_power_factor_is_a_gap_and_no_current() -> None:
    calculation = calculated(HEAD + motor("-M1", "G0:L1", 1, "power=4kW efficiency=88%"))
    assert calculation.of(LoadCurrents).device("-M1") is None
    gap = next(gap for gap in calculation.missing if gap.kind == "motor current")
    assert gap.things == ("-M1",) and "`power-factor=`" in gap.remedy


def test_the_connection_chooses_between_two_currents() -> None:
    for connection, current in (("star", 5.0), ("delta", 8.66)):
        text = (
            HEAD + motor("-M1", "G0:L1", 1, "current=8.66/5A winding=230/400V power-factor=0.8") + f"connect -M1 {connection}\n"
        )
        assert calculated(text).of(LoadCurrents).device("-M1") == pytest.approx(current)


def test_a_drive_draws_what_its_motor_needs() -> None:
    calculation = drive(own="losses=200W input-current=40A choke=4%")
    expected = (7500 / 0.9 + 200) / (sqrt(3) * 400 * 0.9)
    assert calculation.of(LoadCurrents).device("-T1") == pytest.approx(expected)
    assert "drive-power-factor" in {assumption.name for assumption in calculation.assumptions}


def test_a_drive_whose_motor_is_not_known_draws_its_rated_input() -> None:
    calculation = drive("current=15A", "input-current=16A")
    assert calculation.of(LoadCurrents).device("-T1") == pytest.approx(16)
    assert "rated input current" in calculation.by_key["load-current -T1"].note


def test_a_drive_draws_no_more_than_its_rated_input() -> None:
    assert (
        drive("power=7.5kW efficiency=60% current=15A power-factor=0.85", "input-current=14A").of(LoadCurrents).device("-T1")
        == 14
    )


def test_single_phase_loads_are_summed_per_phase_and_return_by_the_neutral() -> None:
    calculation = calculated(f"""{HEAD}
part load "Load" {{
  kind = heater   letter = E   class = II
  terminal :L :N load
}}
busbar -WB1 at=+MCP poles=4 current=63A
cable -W0 5G10 length=10m {{
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
  BU -G0:N to -WB1:N
}}
device -E1 load at=+MCP current=10A
device -E2 load at=+MCP current=6A
wire -WB1:L1 to -E1:L 2.5mm2 length=1m
wire -WB1:L2 to -E2:L 2.5mm2 length=1m
wire -WB1:N to -E1:N 2.5mm2 length=1m
wire -WB1:N to -E2:N 2.5mm2 length=1m
""")
    loads = calculation.of(LoadCurrents)
    assert loads.device("-WB1") == pytest.approx(10)
    assert [loads.conductor(f"-W0 {core}") for core in ("BN", "BK", "GY")] == pytest.approx([10, 6, 0])
    assert loads.conductor("-W0 BU") == pytest.approx(sqrt(100 + 36 - 60))  # 120 degrees between them
    assert loads.conductor("-WB1:N -- -E2:N") == pytest.approx(6)
    step = calculation.of(Circuit).steps["-G0", "-WB1"]
    assert loads.neutral(step) == pytest.approx(sqrt(76)) and loads.third_harmonic(step) == 0


def test_third_harmonics_add_up_in_the_neutral() -> None:
    calculation = calculated(f"""{HEAD}
device -X5 socket-16a-5p at=+HALL third-harmonic=40%
cable -W0 5G4 length=10m {{
  BN -G0:L1 to -X5:L1
  BK -G0:L2 to -X5:L2
  GY -G0:L3 to -X5:L3
  BU -G0:N to -X5:N
}}
""")
    step = calculation.of(Circuit).steps["-G0", "-X5"]
    assert calculation.of(LoadCurrents).third_harmonic(step) == pytest.approx(40)
    assert calculation.of(LoadCurrents).neutral(step) == pytest.approx(3 * 0.4 * 16)
    (printed,) = [result for result in calculation.results if result.question == "neutral-current"][:1]
    assert printed.value == pytest.approx(3 * 0.4 * 16) and "e-" not in printed.inserted


GROUP = """
busbar -WB1 at=+MCP poles=3 current=63A {share}
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 10mm2 length=1m
"""


@each_of(
    ("share", "project", "expected"),
    [
        ("", "", 20),
        ("simultaneity=0.7", "", 14),
        ("", "simultaneity = 0.8", 16),
        ("simultaneity=0.7", "simultaneity = 0.8", 14),
        ("", "load-margin = 1.1", 22),
    ],
)
def test_a_group_takes_its_simultaneity_and_the_projects_margin(share: str, project: str, expected: float) -> None:
    text = f'project "P" {{\n  {project}\n}}\n' if project else ""
    text += HEAD + GROUP.format(share=share) + motor("-M1", "WB1:L1", 1) + motor("-M2", "WB1:L1", 2)
    calculation = calculated(text)
    assert calculation.of(LoadCurrents).step(calculation.of(Circuit).steps["-G0", "-WB1"]) == pytest.approx(expected)


def test_the_first_piece_of_a_looped_wire_carries_the_sum() -> None:
    calculation = calculated(f"""{HEAD}
device -Q1 mcb-3p at=+MCP current=16A
device -Q2 mcb-3p at=+MCP current=16A
wire -G0:L1,L2,L3 to -Q1:1,3,5 to -Q2:1,3,5 4mm2 length=1m
{motor("-M1", "Q1:2", 1)}{motor("-M2", "Q2:2", 2)}""")
    loads, steps = calculation.of(LoadCurrents), calculation.of(Circuit).steps
    assert loads.conductor("-G0:L1 -- -Q1:1") == pytest.approx(20)
    assert loads.conductor("-Q1:1 -- -Q2:1") == pytest.approx(10)
    assert loads.step(steps["-G0", "-Q1"]) == pytest.approx(20) and loads.device("-Q1") == pytest.approx(10)


def test_circuits_that_share_a_strip_stay_apart() -> None:
    strip = "strip -X1 at=+MCP {\n  :1..6 4mm2\n}\n"
    wires = "".join(
        f"device -Q{n} mcb-3p at=+MCP current=16A\nwire -G0:L1,L2,L3 to -Q{n}:1,3,5 4mm2 length=1m\n"
        f"wire -Q{n}:2,4,6 to -X1:{3 * n - 2},{3 * n - 1},{3 * n} 4mm2 length=1m\n"
        f"device -M{n} motor at=+HALL current={n}0A power-factor=0.8\n"
        f"cable -W{n} 4G4 length=5m {{\n  BN -X1:{3 * n - 2} to -M{n}:U1\n"
        f"  BK -X1:{3 * n - 1} to -M{n}:V1\n  GY -X1:{3 * n} to -M{n}:W1\n}}\n"
        for n in (1, 2)
    )
    loads = calculated(HEAD + strip + wires).of(LoadCurrents)
    assert loads.device("-Q1") == pytest.approx(10) and loads.device("-Q2") == pytest.approx(20)


def test_parallel_conductors_share_by_their_admittance() -> None:
    calculation = calculated(
        HEAD
        + motor("-M1", "G0:L1", 1)
        + """
cable -W2 4G2.5 length=10m {
  BN -G0:L1 to -M1:U1
  BK -G0:L2 to -M1:V1
  GY -G0:L3 to -M1:W1
}
"""
    )
    assert calculation.of(LoadCurrents).conductor("-W2 BN") == pytest.approx(5)
    assert calculation.of(LoadCurrents).step(calculation.of(Circuit).steps["-G0", "-M1"]) == pytest.approx(10)


def test_starting_current_is_stated_or_chosen_and_none_behind_a_drive() -> None:
    stated = calculated(
        HEAD + motor("-M1", "G0:L1", 1, "current=10A power-factor=0.8 starting-current=60A starting-power-factor=0.3")
    )
    assert abs(stated.of(LoadCurrents).starting("-M1") or 0) == pytest.approx(60)
    chosen = calculated(HEAD + motor("-M1", "G0:L1", 1))
    assert abs(chosen.of(LoadCurrents).starting("-M1") or 0) == pytest.approx(70)
    assert {"starting-ratio", "starting-power-factor"} <= {assumption.name for assumption in chosen.assumptions}
    assert drive("current=15A power-factor=0.8").of(LoadCurrents).starting("-M1") is None
