"""Calculations around a drive installation that handbooks and application guides work through, each as a circuit in the language:
heat, derating, motor cables, control circuits, star-delta starting.

Where a test names a formula and no published number, the answer was computed by hand from that formula, apart from the program.
"""

from __future__ import annotations

from math import acos, sin, sqrt

import pytest
from plants import calculated

from netdsl.calc import Calculation
from tests.cases import each_of

PLACES = 'place +MCP "Panel" kind=cabinet\nplace +HALL "Hall" kind=field\n'


def plant(text: str, **chosen: object) -> Calculation:
    """A plant whose project states some choices, written with underscores."""
    lines = "".join(f"  {name.replace('_', '-')} = {value}\n" for name, value in chosen.items())
    return calculated(f'project "By hand" {{\n{lines}}}\n{PLACES}{text}')


def value(found: Calculation, key: str) -> float:
    assert key in found.by_key, [gap.remedy for gap in found.missing]
    return found.by_key[key].value


# --- enclosures -------------------------------------------------------------------------------------------------------
def cabinet(attributes: str) -> Calculation:
    return calculated(f"place +A kind=cabinet {attributes}\n")


def test_a_surface_and_walls_as_another_calculation_has_them() -> None:
    """Published in a drive maker's enclosure guide: 4.4 m2 of painted steel, 900 W, 10 K: 242 W are shed, 658 W remain. With the
    6 W/m2K and 3.0 m3 K/Wh that fan makers use, by hand: 264 W, 636 W, 3.0 * 636 / 10 = 190.8 m3/h."""
    made = cabinet("cooling-surface=4.4m2 ambient=25degC inside-limit=35degC losses=900W")
    assert value(made, "enclosure.shed +A") == pytest.approx(242)
    assert value(made, "enclosure.cooling +A") == pytest.approx(658)
    made = cabinet("cooling-surface=4.4m2 heat-transfer=6 air-constant=3 ambient=25degC inside-limit=35degC losses=900W")
    assert value(made, "enclosure.cooling +A") == pytest.approx(636)
    assert value(made, "enclosure.airflow +A") == pytest.approx(190.8)


@each_of(
    ("watts", "kelvin", "altitude", "flow"),
    [(1000, 10, 0, 310), (750, 15, 0, 155), (1000, 10, 1000, 349), (1000, 10, 3000, 448)],
)
def test_all_losses_leave_with_the_air(watts: int, kelvin: int, altitude: int, flow: float) -> None:
    """By hand: V = 3.1 P / dT, K by the inverse of the air pressure, (1 - 2.25577e-5 h)^5.25588: 3.49 at 1000 m, 4.48 at 3000
    m."""
    text = f"heat-transfer=0 ambient=20degC inside-limit={20 + kelvin}degC losses={watts}W altitude={altitude}m"
    made = cabinet(text)
    assert value(made, "enclosure.airflow +A") == pytest.approx(flow)
    assert flow == pytest.approx(3.1 / (1 - 2.25577e-5 * altitude) ** 5.25588 * watts / kelvin, rel=2e-3)
    assert "enclosure.surface +A" not in made.by_key and not made.missing
    assert value(cabinet(f"{text} airflow={flow}m3/h"), "enclosure.temperature +A") == pytest.approx(20 + kelvin)


def test_a_heater_holds_a_temperature_in_the_cold() -> None:
    """By hand: P = k A (T_i - T_u) = 5.5 * 5.712 * 15 K = 471 W hold 5 degC at -10 degC, less the 150 W that are always there:
    321 W."""
    made = cabinet("size=800x2000x600mm mounting=free ambient=-10degC inside-limit=5degC losses=150W")
    assert value(made, "enclosure.shed +A") == pytest.approx(5.5 * 5.712 * 15)
    assert value(made, "enclosure.shed +A") - value(made, "enclosure.losses +A") == pytest.approx(321, abs=0.5)


def test_a_plastic_enclosure_on_a_wall() -> None:
    """By hand: A = 1.4 W (H + D) + 1.8 D H = 1.4 * 0.4 * 0.85 + 1.8 * 0.25 * 0.6 = 0.746 m2; 60 W / (3.5 * 0.746) = 22.98 K."""
    made = cabinet("material=plastic size=400x600x250mm mounting=against-wall ambient=25degC losses=60W")
    assert value(made, "enclosure.surface +A") == pytest.approx(0.746)
    assert value(made, "enclosure.temperature +A") == pytest.approx(25 + 22.98, abs=0.01)


# --- drives -----------------------------------------------------------------------------------------------------------
@each_of(
    ("attributes", "factor"),
    [
        ("", 0.95 * 0.90),  # 1 % per 100 m above 1000 m, 1 % per K above 40 degC
        ("derating-from-altitude=2000m", 0.90),  # makers whose drives lose nothing up to 2000 m
        ("derating-altitude=0.5% derating-per-kelvin=2.5%", 0.975 * 0.75),
        ("derating-from=45degC correction=0.8", 0.95 * 0.95 * 0.8),  # 0.8 at a switching frequency of 8 kHz
    ],
)
def test_derating_by_height_warmth_and_switching_frequency(attributes: str, factor: float) -> None:
    """By hand at 1500 m and 50 degC: the factors of drive manuals multiply."""
    found = plant(f"place +F kind=field ambient=50degC altitude=1500m\ndevice -T1 vsd-15kw at=+F current=32A {attributes}\n")
    assert value(found, "drive-derating -T1") == pytest.approx(32 * factor)


SEVERAL = "".join(
    f"""
device -B{n} overload-relay-10a at=+MCP
device -M{n} motor at=+HALL power=4kW current=8.5A
wire -T1:U,V,W to -B{n}:1,3,5 2.5mm2 length=1m
cable -W{n} 4G2.5 screened length={metres}m {{
  BN -B{n}:2 to -M{n}:U1
  BK -B{n}:4 to -M{n}:V1
  GY -B{n}:6 to -M{n}:W1
}}"""
    for n, metres in ((1, 15), (2, 30), (3, 45))
)
GROUP = f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -T1 vsd-15kw at=+MCP max-cable-length=150m
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 length=1m
{SEVERAL}
"""


@each_of(("rule", "metres", "holds"), [("sum", 90, True), ("root", 155.88, False)])
def test_three_motors_on_one_drive(rule: str, metres: float, holds: bool) -> None:
    """By hand, the two rules of drive application guides for 15, 30 and 45 m: the sum, or the sum times the root of three. The
    drive has to give three times the current of a motor."""
    found = plant(GROUP, several_motor_cables=rule)
    result = found.by_key["motor-cable.length -T1"]
    assert result.value == pytest.approx(metres, abs=0.005)
    assert result.holds is holds
    assert found.by_key["drive-derating -T1"].limit == pytest.approx(25.5)


@each_of(("factor", "volts", "holds"), [(2.8, 1120, True), (2.8 * 1.2, 1344, False), (2.7, 1080, True)])
def test_the_peak_at_a_motor(factor: float, volts: float, holds: bool) -> None:
    """By hand: 2.8 times 400 V; with braking by a resistor a fifth more; twice the mean of the DC link, 1.35 U. Standard windings
    bear 1300 V."""
    result = plant(GROUP, reflection_factor=factor).by_key["motor-cable.peak -M2"]
    assert result.value == pytest.approx(volts)
    assert result.holds is holds


@each_of(("microseconds", "judged"), [(0.1, True), (0.2, True), (0.4, False)])
def test_the_critical_length_of_a_motor_cable(microseconds: float, judged: bool) -> None:
    """By hand: half of what a wave of 150 m/us runs while the voltage rises: 7.5, 15 and 30 m against a cable of 15 m."""
    found = plant(GROUP, reflection_length=f"{150 * microseconds / 2:g}m").by_key["motor-cable.peak -M1"]
    assert (found.limit is not None) is judged
    assert ("not reflected in full" in found.note) is not judged


def test_touch_currents_at_one_residual_current_device() -> None:
    """By hand: 4 drives of 20 mA and a filter of 15 mA make 95 mA, more than 0.3 * 300 mA = 90 mA."""
    drives = "".join(
        f"device -T{n} vsd-4kw at=+MCP touch-current=20mA\nwire -Z1:L1',L2',L3' to -T{n}:L1,L2,L3 2.5mm2 length=1m\n"
        for n in range(1, 5)
    )
    found = plant(f"""
part filter-3ph "Filter" {{
  kind = filter   letter = R   class = I   filter = emission
  terminal :L1 :L2 :L3 line-in
  terminal :L1' :L2' :L3' load-out clamps=9
  pole :L1,L2,L3 to :L1',L2',L3'
}}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -F1 rcd-4p-b at=+MCP current=63A residual-current=300mA
device -Z1 filter-3ph at=+MCP touch-current=15mA
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2 length=1m
wire -F1:2,4,6 to -Z1:L1,L2,L3 16mm2 length=1m
{drives}""")
    result = found.by_key["standing-leakage -F1"]
    assert (result.value, result.limit) == (pytest.approx(0.095), pytest.approx(0.09))


# --- star-delta -------------------------------------------------------------------------------------------------------
STAR_DELTA = """
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -Q0 mcb-3p-d at=+MCP current=63A
device -K1 contactor-40a at=+MCP
device -K2 contactor-40a at=+MCP
device -K3 contactor-25a at=+MCP
device -B1 overload-relay-40a at=+MCP
wire -G0:L1,L2,L3 to -Q0:1,3,5 16mm2 resistance=0ohm
wire -Q0:2,4,6 to -K1:1,3,5 10mm2 resistance=0ohm
wire -Q0:2,4,6 to -K2:1,3,5 10mm2 resistance=0ohm
wire -K1:2,4,6 to -B1:1,3,5 10mm2 resistance=0ohm
wire -K2:2,4,6 to -K3:1,3,5 10mm2 resistance=0ohm
wire -K3:2 to -K3:4 to -K3:6 10mm2 resistance=0ohm
device -M1 motor at=+HALL power=22kW current=43A voltage=400V power-factor=0.85 starting-current=300A starting-power-factor=0.3
cable -W1 4G10 length=50m method=C resistance-per-length=2.25ohm/km reactance-per-length=0.08ohm/km {
  BN -B1:2 to -M1:U1
  BK -B1:4 to -M1:V1
  GY -B1:6 to -M1:W1
  GNYE -G0:PE to -M1:PE
}
cable -W2 3x10 length=50m method=C resistance-per-length=2.25ohm/km reactance-per-length=0.08ohm/km {
  BN -K2:2 to -M1:V2
  BK -K2:4 to -M1:W2
  GY -K2:6 to -M1:U2
}
"""


def test_currents_and_drops_of_a_star_delta_starter() -> None:
    """By hand: in delta each contactor, its overload relay and each core carry 43 A / sqrt(3) = 24.8 A, the star contactor a
    third, 14.3 A; a start in star takes a third of 300 A through one cable. Drops: in delta a winding loses in both of its cores,
    2 * 24.8 A over 50 m."""
    found = plant(STAR_DELTA)
    for step in ("-Q0 -> -K1", "-Q0 -> -K2", "-K1 -> -B1", "-B1 -> -M1", "-K2 -> -M1"):
        assert value(found, f"load-current {step}") == pytest.approx(43 / sqrt(3))
    assert value(found, "load-current -K2 -> -K3") == pytest.approx(43 / 3)
    r, x = 0.05 * 2.25, 0.05 * 0.08
    running = 2 * 43 / sqrt(3) * (r * 0.85 + x * sin(acos(0.85)))
    starting = sqrt(3) * 100 * (r * 0.3 + x * sin(acos(0.3)))
    assert value(found, "voltage-drop.running -M1") == pytest.approx(100 * running / 400, rel=1e-4)
    assert value(found, "voltage-drop.starting -M1") == pytest.approx(100 * starting / 400, rel=1e-4)


# --- control circuits -------------------------------------------------------------------------------------------------
SUPPLY = """
part direct-supply "Supply" {
  kind = supply-24v   letter = T   class = II
  terminal :+ supply-out clamps=20
  terminal :- supply-common clamps=20
  source :+ to :- voltage=24V dc current=5A
}
part coil-24v "Coil" {
  kind = valve   letter = M   class = III
  terminal :1 :2 coil clamps=4
  coil :1 to :2 voltage=24V dc power=12W
}
part lamp-24w "Beacon" {
  kind = lamp   letter = P   class = III
  terminal :1 :2 load clamps=4
  load :1 to :2 voltage=24V dc power=24W
}
part inputs "Inputs" {
  kind = controller   letter = K   class = III
  terminal :I1 :I2 :I3 :I4 digital-in common=:0V current=6mA
  terminal :24V supply-in common=:0V current=0.4A
  terminal :0V supply-common clamps=9
}
"""


def test_the_load_of_a_24_v_supply() -> None:
    """By hand: 12 W and 24 W at 24 V, 4 inputs of 6 mA and 0.4 A of a controller: 0.5 + 1 + 0.024 + 0.4 A."""
    found = plant(f"""{SUPPLY}
device -T1 direct-supply at=+MCP
device -M1 coil-24v at=+MCP
device -P1 lamp-24w at=+MCP
device -K1 inputs at=+MCP
wire -T1:+ to -M1:1 to -P1:1 1mm2
wire -T1:+ to -K1:24V to -K1:I1 to -K1:I2 to -K1:I3 to -K1:I4 1mm2
wire -T1:- to -M1:2 to -P1:2 to -K1:0V 1mm2
""")
    assert value(found, "source-load -T1:+") == pytest.approx(1.924)


@each_of(("chosen", "warm"), [({}, 1 + 0.00393 * 50), ({"temperature_coefficient": 0}, 1.0)])
def test_a_24_v_branch_from_lamp_to_lamp(chosen: dict[str, object], warm: float) -> None:
    """By hand, IEC 60228, 12.1 ohm/km of 1.5 mm2 at 20 degC: two lamps of 1 A over 40 m, the second another 30 m on: there and
    back."""
    found = plant(
        f"""{SUPPLY}
device -T1 direct-supply at=+MCP
device -P1 lamp-24w at=+HALL
device -P2 lamp-24w at=+HALL
cable -W1 2x1.5 length=40m {{
  BN -T1:+ to -P1:1
  BU -T1:- to -P1:2
}}
cable -W2 2x1.5 length=30m {{
  BN -P1:1 to -P2:1
  BU -P1:2 to -P2:2
}}
""",
        **chosen,
    )
    metre = 2 * 0.0121 * warm
    assert value(found, "control-drop -P1 from -T1:+") == pytest.approx(100 * metre * 40 * 2 / 24, rel=1e-6)
    assert value(found, "control-drop -P2 from -T1:+") == pytest.approx(100 * metre * (40 * 2 + 30) / 24, rel=1e-6)


@each_of(("metres", "holds"), [(15, True), (30, False)])
def test_a_24_v_supply_that_has_to_trip_a_breaker(metres: int, holds: bool) -> None:
    """By hand: a C2 breaker trips on direct current at 10 * 1.5 * 2 A = 30 A; 24 V drive through its own 0.05 ohm and 1.5 mm2 of
    12.1 ohm/km there and back 24 / (0.05 + 2 * 15 m) = 58 A, the supply gives 40 A; over 30 m 24 / 0.776 = 30.9 A, held to 16
    times 2 A not enough."""
    found = plant(
        f"""{SUPPLY}
device -T1 direct-supply at=+MCP peak-current=40A
device -F1 mcb-1p-c at=+MCP current=2A resistance=0.05ohm
device -M1 coil-24v at=+HALL
wire -T1:+ to -F1:1 1.5mm2 resistance=0ohm
cable -W1 2x1.5 length={metres}m resistance-per-length=12.1ohm/km {{
  BN -F1:2 to -M1:1
  BU -T1:- to -M1:2
}}
""",
        dc_trip_factor=1.6,
    )
    result = found.by_key["supply-trip -F1"]
    assert result.value == pytest.approx(min(40, 24 / (0.05 + 2 * metres * 0.0121)), rel=1e-6)
    assert result.limit == pytest.approx(32)
    assert result.holds is holds


@each_of(("stated", "limit"), [("", 3.0), ("inductive-current=0.2A", 0.2), ("inductive-current=50mA", 0.05)])
def test_the_load_of_a_contact_for_coils(stated: str, limit: float) -> None:
    """By hand: two coils that hold with 9 VA at 230 V put 78 mA on a contact for 3 A, of coils as its device says; 91 mA with the
    relay's own on its source."""
    text = """
part control-supply "Control transformer" {
  kind = transformer  letter = T  class = I  apparent-power = 100VA
  terminal :1 :2 line-in
  terminal :3 supply-out clamps=9
  terminal :4 supply-common clamps=9
  source :3 to :4 voltage=230V ac current=0.43A
}
part coil-230v "Contactor" {
  kind = contactor   letter = Q   class = II
  terminal :A1 :A2 coil clamps=4
  coil :A1 to :A2 main voltage=230V ac power=9W
}
part relay-230v "Relay" {
  kind = relay   letter = K   class = II   utilisation = AC-15
  terminal :13 :14 contact current=3A clamps=4
  terminal :A1 :A2 coil
  coil :A1 to :A2 main voltage=230V ac power=3W
  contact :13 to :14 make by=main
}
device -T1 control-supply at=+MCP
device -Q1 coil-230v at=+MCP
device -Q2 coil-230v at=+MCP
device -K1 relay-230v at=+MCP STATED
wire -T1:3 to -K1:13 1mm2
wire -T1:3 to -K1:A1 1mm2
wire -K1:14 to -Q1:A1 to -Q2:A1 1mm2
wire -T1:4 to -Q1:A2 to -Q2:A2 1mm2
wire -T1:4 to -K1:A2 1mm2
"""
    found = plant(text.replace("STATED", stated))
    result = found.by_key["contact-load -K1:13-14"]
    assert (result.value, result.limit) == (pytest.approx(18 / 230), limit)
    assert value(found, "source-load -T1:3") == pytest.approx(21 / 230)


@each_of(("alarm", "ohms"), [("", (24 - 10.5) / 0.020), ("alarm-current=23mA", (24 - 10.5) / 0.023)])
def test_a_loop_with_a_display_in_it(alarm: str, ohms: float) -> None:
    """By hand: 10.5 V to lift off, a receiver of 250 ohm, a display of 50 ohm, 500 m of 25 ohm/km there: 325 ohm with 12.5 ohm
    back; of the 24 V remain 675 ohm at 20 mA, and 587 ohm at the 23 mA by which many transmitters report a fault."""
    found = plant(f"""{SUPPLY}
part two-wire "Transmitter" {{
  kind = transmitter   letter = B   class = III   signal = 4..20mA   voltage = 10.5..42V
  terminal :+ supply-in
  terminal :- analogue-out
}}
part receiver "Receiver" {{
  kind = meter   letter = P   class = II   signal = 4..20mA
  terminal :+ analogue-in common=:-
  terminal :- analogue-common
}}
device -T1 direct-supply at=+MCP
device -B1 two-wire at=+HALL {alarm}
device -P1 receiver at=+MCP burden=250ohm
device -P2 receiver at=+MCP burden=50ohm
cable -W1 1x2x0.75 length=500m resistance-per-length=25ohm/km {{
  1a -T1:+ to -B1:+
  1b -P1:+ to -B1:-
}}
wire -P1:- to -P2:+ resistance=0ohm
wire -P2:- to -T1:- resistance=0ohm
""")
    result = found.by_key["loop-burden -B1:-"]
    assert result.value == pytest.approx(250 + 50 + 2 * 500 * 0.025)
    assert result.limit == pytest.approx(ohms)


@each_of(("rate", "longest"), [("9600bit/s", 1200), ("500kbit/s", 200), ("1500kbit/s", 66.67), ("12000kbit/s", None)])
def test_a_line_of_three_stations(rate: str, longest: float | None) -> None:
    """By hand: two pieces of 40 m; 10^8 bit m/s between 100 kbit/s and 10 Mbit/s, beyond it no guideline; 3 * 1/4 of 32 unit
    loads."""
    stations = "".join(
        f"device -T{n} vsd-4kw at=+MCP unit-load=0.25 bit-rate={rate} {'termination=on' if n != 2 else ''}\n" for n in (1, 2, 3)
    )
    cables = "".join(
        f"cable -W{n} 1x2x0.75 length=40m {{\n  1a -T{n}:A to -T{n + 1}:A\n  1b -T{n}:B to -T{n + 1}:B\n}}\n" for n in (1, 2)
    )
    found = plant(stations + cables)
    result = found.by_key["serial-line.length -T1"]
    assert (result.value, result.limit) == (80, None if longest is None else pytest.approx(longest, abs=0.01))
    assert ("no guideline" in result.note) is (longest is None)
    assert value(found, "serial-line.stations -T1") == pytest.approx(0.75)
    assert value(found, "serial-line.terminations -T1") == 2


def test_a_battery_feeds_a_lamp_and_a_loop() -> None:
    """By hand: a direct-current supply of the plant counts as one inside a device: 1 A over 40 m of 1.5 mm2 at 20 degC, there and
    back, 0.968 V; (24 - 10.5) / 0.02 = 675 ohm for a loop. The breaker before the lamp has no load of a power circuit behind
    it."""
    found = plant(
        f"""{SUPPLY}
part two-wire "Transmitter" {{
  kind = transmitter   letter = B   class = III   signal = 4..20mA   voltage = 10.5..42V
  terminal :+ supply-in
  terminal :- analogue-out
}}
part receiver "Receiver" {{
  kind = meter   letter = P   class = II   signal = 4..20mA   burden = 250ohm
  terminal :+ analogue-in common=:-
  terminal :- analogue-common
}}
supply -G1 system=DC voltage=24V
device -F1 mcb-1p-c at=+MCP current=6A resistance=0ohm
device -P1 lamp-24w at=+HALL
device -B1 two-wire at=+HALL
device -P2 receiver at=+MCP
wire -G1:+ to -F1:1 1.5mm2 resistance=0ohm
cable -W1 2x1.5 length=40m {{
  BN -F1:2 to -P1:1
  BU -G1:- to -P1:2
}}
cable -W2 1x2x0.75 length=100m {{
  1a -G1:+ to -B1:+
  1b -P2:+ to -B1:-
}}
wire -P2:- to -G1:- resistance=0ohm
""",
        temperature_coefficient=0,
    )
    assert value(found, "control-drop -P1 from -G1:+") == pytest.approx(100 * 2 * 40 * 0.0121 / 24)
    assert found.by_key["loop-burden -B1:-"].limit == pytest.approx(675)
    assert "not counted" in found.by_key["load-current -G1 -> -F1"].note


def test_wires_that_state_no_length_follow_the_resistivity_too() -> None:
    """By hand: 3 m of 0.75 mm2 there and back, as assumed, 0.0225 ohm mm2/m: 0.18 ohm, and 1 A of a lamp: 0.75 % of 24 V."""
    found = plant(
        f"""{SUPPLY}
device -T1 direct-supply at=+MCP
device -P1 lamp-24w at=+MCP
wire -T1:+ to -P1:1
wire -T1:- to -P1:2
""",
        conductor_resistance="resistivity",
    )
    assert value(found, "control-drop -P1 from -T1:+") == pytest.approx(0.75, rel=1e-6)
