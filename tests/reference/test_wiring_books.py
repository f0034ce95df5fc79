"""Cables, drops and loops as books on wiring and an installation guide (publisher not named) work them through or tabulate them.

All are quoted from memory of the works named, none was read in print here; each published figure was worked out again from its
data.
"""

from __future__ import annotations

import pytest
from plants import calculated

from netdsl.calc import Calculation
from tests.cases import each_of

PLACES = """
place +MSB "Board" kind=cabinet
place +HALL "Hall" kind=field
part load-1ph "Load" {
  kind = heater   letter = E   class = I
  terminal :L line-in 0.5..240mm2
  terminal :N neutral 0.5..240mm2
  terminal :PE earth 0.5..240mm2
}
part load-3ph "Load" {
  kind = heater   letter = E   class = I   voltage = 400V
  terminal :L1 :L2 :L3 line-in 0.5..240mm2
  terminal :PE earth 0.5..240mm2
}
"""


def plant(text: str, **chosen: object) -> Calculation:
    """A plant whose project states some choices, written with underscores."""
    lines = "".join(f"  {name.replace('_', '-')} = {value}\n" for name, value in chosen.items())
    return calculated(f'project "Published" {{\n{lines}}}\n{PLACES}{text}')


def value(found: Calculation, key: str) -> float:
    assert key in found.by_key, [gap.remedy for gap in found.missing]
    return found.by_key[key].value


def one_phase(volts: int, load: str, cable: str, device: str) -> str:
    """A load of one phase behind a protective device."""
    return f"""
supply -G0 system=TN-S phases=1 voltage={volts}V frequency=50Hz fault-current=3kA earth-fault-current=3kA
device -F1 {device} at=+MSB
device -E1 load-1ph at=+HALL voltage={volts}V power-factor=1 {load}
wire -G0:L to -F1:1 16mm2 resistance=0ohm reactance=0ohm
cable -W1 {cable} {{
  BN   -F1:2  to -E1:L
  BU   -G0:N  to -E1:N
  GNYE -G0:PE to -E1:PE
}}
"""


# --- cable sizes ------------------------------------------------------------------------------------------------------
@each_of(
    ("volts", "watts", "amps", "rated", "table", "factors"),
    [
        # T. Linsley, Basic Electrical Installation Work, cable sizes: 6 kW, 35 degC (0.94), a breaker of 32 A: 34.04 A; a fuse of
        # 30 A with 0.725 besides: 44.02 A
        (230, 6000, 26.09, 32, 34.04, "ambient=35degC"),
        (230, 6000, 26.09, 30, 44.02, "ambient=35degC correction=0.725"),
        # J. F. Whitfield, The Electrician's Guide to the 16th Edition, example 4.1: 3 kW, a fuse of 15 A, eight cables bunched
        # (0.52) through 50 mm of insulation (0.89): 32.4 A
        (240, 3000, 12.5, 15, 32.4, "correction=0.4628"),
    ],
)
def test_the_tabled_current_that_a_cable_must_have(
    volts: int, watts: int, amps: float, rated: int, table: float, factors: str
) -> None:
    """I_t >= I_n over the factors: with that of the table the capacity is the rated current."""
    cable = f"3G6 length=18m method=B2 insulation=PVC circuits=1 ampacity={table}A {factors}"
    found = plant(one_phase(volts, f"power={watts}W", cable, f"mcb-1p-b current={rated}A"))
    assert value(found, "load-current -E1") == pytest.approx(amps, abs=0.005)
    assert value(found, "current-carrying-capacity -W1") == pytest.approx(rated, rel=2e-3)


@each_of(
    ("volts", "watts", "metres", "millivolts", "lost"),
    [
        (230, 6000, 18, 7.3, 3.43),  # Linsley, the same, of 6 mm2
        (230, 6000, 18, 4.4, 2.07),  # and of 10 mm2
        (240, 3000, 14, 11, 1.93),  # Whitfield, the same, of 4 mm2
    ],
)
def test_the_drop_in_it(volts: int, watts: int, metres: int, millivolts: float, lost: float) -> None:
    cable = f"3G6 length={metres}m method=B2 resistance-per-length={millivolts / 2}mohm/m reactance-per-length=0mohm/m"
    found = plant(one_phase(volts, f"power={watts}W", cable, "mcb-1p-b current=32A"))
    assert value(found, "voltage-drop.running -E1") * volts / 100 == pytest.approx(lost, abs=0.006)


@each_of(("rated", "factor"), [(10, 1.31), (25, 1.10), (63, 1.10)])
def test_a_conductor_behind_a_fuse_is_larger_than_the_fuse(rated: int, factor: float) -> None:
    """The guide, chapter on sizing: I_z >= 1.31 I_n below 16 A, 1.10 I_n from 16 A on, from I_2 <= 1.45 I_z."""
    for more, kept in ((1.01, True), (0.99, False)):
        cable = f"3G6 length=10m method=C circuits=1 ampacity={rated * factor * more:.3f}A"
        found = plant(one_phase(230, "current=5A", cable, f"fuse-1p-n current={rated}A"))
        assert found.by_key["overload.tripping -W1"].holds is kept


# --- voltage drop -----------------------------------------------------------------------------------------------------
@each_of(
    ("loaded", "printed"),
    [
        (2, {1: 44, 1.5: 29, 2.5: 18, 4: 11, 6: 7.3, 10: 4.4, 16: 2.8}),
        (3, {1: 38, 1.5: 25, 2.5: 15, 4: 9.5, 6: 6.4, 10: 3.8, 16: 2.4}),
    ],
)
def test_the_drops_of_a_table(loaded: int, printed: dict[float, float]) -> None:
    """BS 7671, appendix 4, table 4D2B, PVC, mV/A/m, of two and of three loaded conductors, printed to two figures."""
    text = (
        f"supply -G0 system=TN-S {'phases=1 voltage=230V' if loaded == 2 else 'voltage=400V'} frequency=50Hz fault-current=9kA\n"
    )
    cores = (("BN", "L"), ("BU", "N")) if loaded == 2 else (("BN", "L1"), ("BK", "L2"), ("GY", "L3"))
    for n, section in enumerate(printed):
        ends = "".join(f"  {core} -G0:{end} to -E{n}:{end}\n" for core, end in cores)
        text += f"device -E{n} load-{1 if loaded == 2 else 3}ph at=+HALL current=1A power-factor=1\n"
        text += f"cable -W{n} {loaded}x{section:g} length=1m method=C stranding=rigid {{\n{ends}}}\n"
    found = plant(text, temperature_coefficient=0.004, reactance_per_length="0ohm/m")
    volts = 230 if loaded == 2 else 400
    got = [10 * volts * value(found, f"voltage-drop.running -E{n}") for n in range(len(printed))]
    assert got == pytest.approx(list(printed.values()), rel=0.03)


def test_a_motor_behind_50_metres_in_service_and_while_it_starts() -> None:
    """The guide, chapter on voltage drop, example 1: 35 mm2 of copper over 50 m, 100 A at 0.8, 500 A at 0.35 while it starts: 5 V
    (1 V/A/km, rounded from 0.974) and 13 V (0.52 V/A/km) in the cable. The 10 V before it are not held here."""
    found = plant(
        """
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA
device -M1 motor at=+HALL power=55kW current=100A power-factor=0.8 starting-current=500A starting-power-factor=0.35 winding=400V
connect -M1 delta
cable -W1 4G35 length=50m method=E {
  BN   -G0:L1 to -M1:U1
  BK   -G0:L2 to -M1:V1
  GY   -G0:L3 to -M1:W1
  GNYE -G0:PE to -M1:PE
}
""",
        conductor_resistance="resistivity",
    )
    assert 4 * value(found, "voltage-drop.running -M1") == pytest.approx(5, rel=0.03)
    assert 4 * value(found, "voltage-drop.starting -M1") == pytest.approx(13, rel=2e-3)


def test_lamps_behind_a_line_of_three_phases() -> None:
    """The guide, chapter on voltage drop, example 2: 70 mm2 over 50 m with 150 A at 0.8, then 20 m of 2.5 mm2 with 20 A on each
    phase: 4.125 V / sqrt(3) = 2.38 V and 7.2 V, 9.6 V or 4.2 %. There 0.55 V/A/km, rounded from 0.528, of the line: ours is 0.1 V
    less. 134.5 A at 0.743 beside the lamps make the line's 150 A."""
    lamps = "".join(
        f"device -E{n} load-1ph at=+HALL current=20A power-factor=1\n"
        f"cable -W{n} 3G2.5 length=20m method=C reactance-per-length=0ohm/m {{\n"
        f"  BN -X1:L{n} to -E{n}:L\n  BU -X1:N to -E{n}:N\n}}\n"
        for n in (1, 2, 3)
    )
    found = plant(
        f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA
strip -X1 at=+HALL {{
  :L1..L3 70mm2
  :N neutral 70mm2
}}
cable -W0 5G70 length=50m method=E {{
  BN -G0:L1 to -X1:L1
  BK -G0:L2 to -X1:L2
  GY -G0:L3 to -X1:L3
  BU -G0:N  to -X1:N
}}
device -E4 load-3ph at=+HALL current=134.54A power-factor=0.7433
wire -X1:L1,L2,L3 to -E4:L1,L2,L3 70mm2 resistance=0ohm reactance=0ohm
{lamps}""",
        conductor_resistance="resistivity",
    )
    assert value(found, "load-current -G0 -> -X1") == pytest.approx(150, abs=0.1)
    for n in (1, 2, 3):
        assert 2.3 * value(found, f"voltage-drop.running -E{n}") == pytest.approx(9.6, abs=0.12)


# --- loops ------------------------------------------------------------------------------------------------------------
@each_of(("coefficient", "warm"), [(0, 1.0), (0.004, 1.2)])
def test_a_line_and_its_protective_conductor(coefficient: float, warm: float) -> None:
    """IET On-Site Guide, tables of R1 + R2, mohm/m at 20 degC, and the factor 1.20 of conductors in one cable at 70 degC."""
    printed = {
        (1, 1): 36.20,
        (1.5, 1): 30.20,
        (2.5, 1.5): 19.51,
        (4, 1.5): 16.71,
        (6, 2.5): 10.49,
        (10, 4): 6.44,
        (16, 6): 4.23,
        (25, 10): 2.557,
    }
    text = "supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz resistance=0ohm reactance=0.000001ohm\n"
    for n, (line, earth) in enumerate(printed):
        text += f"""device -E{n} load-1ph at=+HALL current=1A power-factor=1
cable -W{n} 2x{line} length=10m stranding=rigid {{
  BN -G0:L to -E{n}:L
  BU -G0:N to -E{n}:N
}}
cable -WE{n} 1G{earth} length=10m stranding=rigid {{
  GNYE -G0:PE to -E{n}:PE
}}
"""
    found = plant(text, temperature_coefficient=coefficient, reactance_per_length="0ohm/m")
    got = [100 * value(found, f"loop-impedance -E{n}") for n in range(len(printed))]
    assert got == pytest.approx([ohms * warm for ohms in printed.values()], rel=1e-3)


# --- what a conductor bears -------------------------------------------------------------------------------------------
@each_of(
    ("insulation", "section", "kiloamperes"),
    [("PVC", 16, 1.84), ("PVC", 35, 4.02), ("PVC", 95, 10.9), ("XLPE", 25, 3.57), ("XLPE", 50, 7.15), ("XLPE", 120, 17.2)],
)
def test_the_current_that_a_cable_bears_for_a_second(insulation: str, section: int, kiloamperes: float) -> None:
    """Handbooks of electric cables, tables of short-circuit ratings for 1 s, copper; printed to three figures."""
    supply = (
        f"supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current={kiloamperes}kA earth-fault-current={kiloamperes}kA"
    )
    text = borne(supply, section, insulation, "clearing-time=1s")
    assert value(plant(text), "fault-withstand -W1 BN") == pytest.approx(section, rel=6e-3)


@each_of(
    ("insulation", "section", "energy"),
    [
        ("PVC", 2.5, 0.0826e6),
        ("PVC", 6, 0.4761e6),
        ("XLPE", 1.5, 0.0460e6),
        ("XLPE", 4, 0.3272e6),
        ("XLPE", 10, 2.0450e6),
    ],
)
def test_the_energy_that_a_cable_bears(insulation: str, section: float, energy: float) -> None:
    """The guide, chapter on sizing, table of k2 S2 in A2s, copper. Its example: 4 mm2 of XLPE bear what a breaker lets through,
    less than 0.1e6 A2s."""
    supply = "supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA earth-fault-current=20kA"
    text = borne(supply, section, insulation, f"instantaneous=1600A let-through={energy:.0f}A2s")
    assert value(plant(text), "fault-withstand -W1 BN") == pytest.approx(section, rel=2e-3)


def borne(supply: str, section: float, insulation: str, device: str) -> str:
    """A cable behind a breaker at the very supply."""
    return f"""
{supply}
device -Q1 mccb-160a at=+MSB current=160A {device}
device -E1 load-3ph at=+HALL current=10A power-factor=1
wire -G0:L1,L2,L3 to -Q1:1,3,5 95mm2 resistance=0ohm reactance=0ohm
cable -W1 3x{section} length=30m method=C insulation={insulation} {{
  BN -Q1:2 to -E1:L1
  BK -Q1:4 to -E1:L2
  GY -Q1:6 to -E1:L3
}}
"""
