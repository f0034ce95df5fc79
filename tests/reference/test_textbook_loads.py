"""What motors and loads draw, start with and ask together, as textbooks and an installation guide work it through.

All are quoted from memory of the works named, none was read in print here; each published figure was worked out again from its
data.
"""

from __future__ import annotations

from math import pi, sqrt

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.loads import LoadCurrents
from tests.cases import each_of

HEAD = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
part load-3ph "Load" {
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}
"""


# --- currents ---------------------------------------------------------------------------------------------------------
@each_of(
    ("volts", "says", "amps", "within"),
    [
        # J. Bird, Electrical Circuit Theory and Technology, three-phase systems: a motor of 12.75 kW, 85 %, 0.77: 27.10 A
        (415, "motor power=12.75kW efficiency=85% power-factor=0.77 winding=415V", 27.10, 5e-3),
        # E. Hughes, Electrical and Electronic Technology, polyphase circuits: 20 kW, 0.87, 0.82: 40.5 A
        (400, "motor power=20kW efficiency=87% power-factor=0.82 winding=400V", 40.5, 5e-2),
        # J. F. Whitfield, The Electrician's Guide to the 16th Edition, cables: 7.5 kW, 85 %, 0.8: 15.3 A
        (415, "motor power=7.5kW efficiency=85% power-factor=0.8 winding=415V", 15.3, 5e-2),
        # B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, starting: 15 h.p. (11.2 kW), 88 %, 0.85: 21.59 A
        (400, "motor power=11.2kW efficiency=88% power-factor=0.85 winding=400V", 21.59, 5e-2),
        # Bird: 5 kW put into a motor at 8.6 A: 0.839
        (400, "load-3ph power=5kW power-factor=0.839", 8.6, 5e-3),
        # S. J. Chapman, Electric Machinery Fundamentals, induction motors: 60 A at 480 V and 0.85: 42.4 kW in
        (480, "load-3ph power=42.4kW power-factor=0.85", 60, 5e-2),
        # Bird: three resistors of 12 ohm in star: 14.4 kW, 20 A, 415 V over the root of three taken as 240 V
        (415, "load-3ph power=14.4kW power-factor=1", 20, 5e-2),
    ],
)
def test_the_current_of_a_motor_or_load(volts: int, says: str, amps: float, within: float) -> None:
    ends = "U1,V1,W1" if says.startswith("motor") else "1,2,3"
    found = calculated(f"""{HEAD}
supply -G0 system=TN-S voltage={volts}V frequency=50Hz fault-current=10kA
device -E1 {says} at=+HALL voltage={volts}V
{"connect -E1 delta" if "motor" in says else ""}
wire -G0:L1,L2,L3 to -E1:{ends} 16mm2 length=1m
""")
    assert found.by_key["load-current -E1"].value == pytest.approx(amps, abs=within)


STAR_DELTA = """
supply -G0 system=TN-S voltage={volts}V frequency=50Hz fault-current=10kA
device -K1 contactor-40a at=+A
device -K2 contactor-40a at=+A
device -K3 contactor-25a at=+A
device -M1 motor at=+HALL voltage={volts}V winding={volts}V {says}
wire -G0:L1,L2,L3 to -K1:1,3,5 10mm2 length=1m
wire -G0:L1,L2,L3 to -K2:1,3,5 10mm2 length=1m
wire -K2:2,4,6 to -K3:1,3,5 10mm2 length=1m
wire -K3:2 to -K3:4 to -K3:6 10mm2 length=0.1m
wire -K1:2,4,6 to -M1:U1,V1,W1 10mm2 length=1m
wire -K2:2,4,6 to -M1:V2,W2,U2 10mm2 length=1m
"""


def star_delta(volts: int, says: str) -> Calculation:
    return calculated(HEAD + STAR_DELTA.format(volts=volts, says=says))


@each_of(
    ("volts", "says", "amps"),
    [
        # Bird: the motor of 27.10 A, in delta: 15.65 A in each phase
        (415, "power=12.75kW efficiency=85% power-factor=0.77", 15.65),
        # Hughes: the motor of 40.5 A, in delta: 23.4 A
        (400, "power=20kW efficiency=87% power-factor=0.82", 23.4),
    ],
)
def test_the_current_of_a_winding_in_delta(volts: int, says: str, amps: float) -> None:
    assert star_delta(volts, says).by_key["load-current -K1 -> -M1"].value == pytest.approx(amps, abs=0.05)


# --- starts -----------------------------------------------------------------------------------------------------------
@each_of(
    ("rated", "direct", "star"),
    [
        (30, 173.2, 57.7),  # 100 A in each phase of a delta winding: 173.2 A direct on line, 57.7 A in star
        (1, 6.5, 2.167),  # 650 % direct on line, 216.7 % in star, of the rated current
        (21.59, 86.4, 28.8),  # 86.4 A direct on line, for the ratio of torques 0.213 by 28.8 A
    ],
)
def test_a_start_in_star(rated: float, direct: float, star: float) -> None:
    """B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, starting of induction motors."""
    found = star_delta(400, f"power=11kW current={rated}A power-factor=0.85 starting-current={direct}A")
    current = found.of(LoadCurrents).starting("-M1")
    assert current is not None and abs(current) == pytest.approx(star, rel=1e-3)


@each_of(
    ("newton_metres", "inertia", "kilowatts", "rpm", "seconds"),
    [
        # J. Bird, Mechanical Engineering Principles, torque: 37.5 kg m2 and 5 rad/s2 ask for 187.5 N m; here up to 100 rad/s
        (187.5, 37.5, 18.75, 954.93, 20.0),
        # S. J. Chapman, Electric Machinery Fundamentals: 10 h.p. at 1710 1/min give 41.7 N m; 41.7 kg m2 gain 1 rad/s a second
        (41.7, 41.7, 7.46, 1710, 2 * pi * 1710 / 60),
    ],
)
def test_a_torque_that_accelerates(newton_metres: float, inertia: float, kilowatts: float, rpm: float, seconds: float) -> None:
    """T = J alpha: with 1 and 1.2222 times the rated torque at rest and at most, the mean that counts is the rated torque."""
    found = calculated(f"""{HEAD}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA
device -M1 motor at=+HALL power={kilowatts}kW current=36A power-factor=0.85 speed={rpm}rpm voltage=400V winding=400V \
inertia={inertia} starting-torque=1 breakdown-torque=1.22222 load-curve=none
connect -M1 delta
wire -G0:L1,L2,L3 to -M1:U1,V1,W1 16mm2 resistance=0ohm reactance=0ohm
""")
    result = found.by_key["starting.time -M1"]
    assert result.value == pytest.approx(seconds, rel=1e-3)
    values = {given.symbol: given.value for given in result.givens}
    assert 60 * values["P"] / (2 * pi * values["n"]) == pytest.approx(newton_metres, abs=0.05)


# --- loads together ---------------------------------------------------------------------------------------------------
def test_the_demand_of_three_workshops() -> None:
    """An installation guide (publisher not named), chapter on power loading: what is used of each group, times the factors of
    simultaneity of the boards (0.9, 0.9, 0.9) and of the main one (0.9): 18.9, 15.6 and 37.8 kVA, together 65 kVA."""
    workshops = ((0.9, (14.4, 3.6, 3), 18.9), (0.9, (12, 4.3, 1), 15.6), (0.9, (35, 5, 2), 37.8))
    text = HEAD + "supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA simultaneity=0.9\n"
    text += "busbar -WB0 at=+A poles=3\nwire -G0:L1,L2,L3 to -WB0:L1,L2,L3 95mm2 length=1m\n"
    for n, (factor, groups, _) in enumerate(workshops, 1):
        text += f"busbar -WB{n} at=+A poles=3 simultaneity={factor}\nwire -WB0:L1,L2,L3 to -WB{n}:L1,L2,L3 50mm2 length=1m\n"
        for m, kilovolt_amperes in enumerate(groups, 1):
            text += f"device -E{n}{m} load-3ph at=+A apparent-power={kilovolt_amperes}kVA power-factor=1\n"
            text += f"wire -WB{n}:L1,L2,L3 to -E{n}{m}:1,2,3 50mm2 length=1m\n"
    loads = calculated(text).of(LoadCurrents)
    for n, (_, _, expected) in enumerate(workshops, 1):
        assert kva(loads, f"-WB{n}") == pytest.approx(expected, abs=0.05)
    assert kva(loads, "-G0") == pytest.approx(65, abs=0.1)


def test_the_largest_demand_of_a_station() -> None:
    """V. K. Mehta and R. Mehta, Principles of Power System, variable load: 1500, 750, 100 and 450 kW, at most 2500 kW together:
    diversity factor 1.12."""
    text = HEAD + "supply -G0 system=TN-S voltage=11kV frequency=50Hz fault-current=10kA\n"
    text += f"busbar -WB0 at=+A poles=3 simultaneity={1 / 1.12:.6f}\nwire -G0:L1,L2,L3 to -WB0:L1,L2,L3 95mm2 length=1m\n"
    for n, kilowatts in enumerate((1500, 750, 100, 450)):
        text += f"device -E{n} load-3ph at=+A voltage=11kV power={kilowatts}kW power-factor=1\n"
        text += f"wire -WB0:L1,L2,L3 to -E{n}:1,2,3 50mm2 length=1m\n"
    assert kva(calculated(text).of(LoadCurrents), "-G0", 11) == pytest.approx(2500, rel=1e-3)


def kva(loads: LoadCurrents, device: str, kilovolts: float = 0.4) -> float:
    amps = loads.device(device)
    assert amps is not None
    return sqrt(3) * kilovolts * amps


def test_how_long_a_battery_lasts() -> None:
    """B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, accumulators: a cell that gives 4 A for 12 hours,
    48 Ah (80 % of what it took). Here a battery of such cells."""
    found = calculated(f"""{HEAD}
part lamp-dc "Lamp" {{
  kind = lamp   letter = P   class = III
  terminal :1 :2 load
  load :1 to :2 voltage=24V dc power=96W
}}
supply -G1 system=DC voltage=24V battery-capacity=48 needed-buffer-time=43200s
device -P1 lamp-dc at=+A
wire -G1:+ to -P1:1 1.5mm2 length=1m
wire -G1:- to -P1:2 1.5mm2 length=1m
""")
    result = found.by_key["buffer-time -G1:+"]
    assert result.value == pytest.approx(12) and result.holds
