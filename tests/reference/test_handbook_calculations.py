"""Calculations of the kinds that standards' annexes and installation handbooks work through, each as a circuit in the language.

Where a test names a formula and no published number, the answer was computed by hand from that formula, apart from the program.
"""

from __future__ import annotations

from cmath import exp as turn
from math import acos, exp, pi, sin, sqrt

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.protection.disconnection import Disconnections
from tests.cases import each_of

PLACES = """
place +MSB "Main switchboard" kind=cabinet
place +HALL "Hall" kind=field
part load-1ph "Load of one phase" {
  kind = heater   letter = E   class = I
  terminal :L line-in
  terminal :N neutral
  terminal :PE earth
}
part load-3ph "Load of three phases" {
  kind = heater   letter = E   class = I   voltage = 400V
  terminal :L1 :L2 :L3 line-in
  terminal :PE earth
}
"""


def plant(text: str, **chosen: object) -> Calculation:
    """A plant whose project states some choices, written with underscores."""
    lines = "".join(f"  {name.replace('_', '-')} = {value}\n" for name, value in chosen.items())
    return calculated(f'project "By hand" {{\n{lines}}}\n{PLACES}{text}')


def value(found: Calculation, key: str) -> float:
    assert key in found.by_key, [gap.remedy for gap in found.missing]
    return found.by_key[key].value


def feeder(cable: str, load: str, supply: str = "") -> str:
    """A supply of three phases, a cable and a load at its end."""
    return f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz {supply or "fault-current=20kA earth-fault-current=15kA"}
device -E1 {load}
cable -W1 {cable} {{
  BN   -G0:L1 to -E1:{"U1" if load.startswith("motor") else "L1"}
  BK   -G0:L2 to -E1:{"V1" if load.startswith("motor") else "L2"}
  GY   -G0:L3 to -E1:{"W1" if load.startswith("motor") else "L3"}
  GNYE -G0:PE to -E1:PE
}}
"""


# --- fault currents ---------------------------------------------------------------------------------------------------
BARS = """
busbar -WB1 at=+MSB poles=3 current=3200A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0mohm reactance=0mohm
"""


@each_of(("kva", "percent", "watt"), [(400, 4, 4600), (630, 4, 6500), (1000, 6, 10500), (1600, 6, 17000)])
def test_transformer_behind_a_network(kva: int, percent: float, watt: int) -> None:
    """By hand, IEC 60909-0: Z_Q = 1.1 U^2 / S_Q, K_T = 0.95 c / (1 + 0.6 x_T), c = 1.05, kappa = 1.02 + 0.98 e^(-3 R/X)."""
    found = plant(
        f"supply -G0 system=TN-S voltage=400V frequency=50Hz transformer={kva}kVA transformer-impedance={percent}%"
        f" transformer-losses={watt}W network-power=500MVA r-over-x=0.1{BARS}",
        voltage_factor_max=1.05,
    )
    base = 400**2 / (kva * 1000)
    r = watt / (kva * 1000)
    x = sqrt((percent / 100) ** 2 - r**2)
    network = 1.1 * 400**2 / 500e6
    ohms = 0.95 * 1.05 / (1 + 0.6 * x) * base * complex(r, x) + complex(0.1, 1) * network / sqrt(1.01)
    current = 1.05 * 400 / sqrt(3) / abs(ohms)
    assert value(found, "fault-current.largest -WB1") == pytest.approx(current, rel=1e-4)
    kappa = 1.02 + 0.98 * exp(-3 * ohms.real / ohms.imag)
    assert value(found, "fault-current.peak -WB1") == pytest.approx(kappa * sqrt(2) * current, rel=1e-4)


def test_transformer_alone_by_its_impedance() -> None:
    """By hand: rated current over short-circuit voltage, 630 kVA at 400 V and 4 %: 909 A / 0.04 = 22.7 kA."""
    words = "supply -G0 system=TN-S voltage=400V frequency=50Hz transformer=630kVA transformer-impedance=4%"
    found = plant(words + BARS, voltage_factor_max=1, transformer_correction="no")
    assert value(found, "fault-current.largest -WB1") == pytest.approx(630e3 / (sqrt(3) * 400) / 0.04, rel=1e-6)


def test_two_transformers_side_by_side() -> None:
    """By hand: 630 kVA, 4 % (10.16 mohm) and 400 kVA, 4 % (16 mohm) at 400 V, together 6.214 mohm: 37.2 kA at the bars that both
    feed, and with 10 m of 2.25 + j 0.08 ohm/km behind them 22.5 + j 0.8 mohm in series with both. One at a time the larger alone
    counts."""
    text = """
supply -G1 system=TN-S voltage=400V frequency=50Hz transformer=630kVA transformer-impedance=4%
supply -G2 system=TN-S voltage=400V frequency=50Hz transformer=400kVA transformer-impedance=4%
busbar -WB1 at=+MSB poles=3 current=1600A
wire -G1:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0ohm
wire -G2:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0ohm
device -E1 load-3ph at=+HALL current=20A power-factor=1
cable -W1 3x10 length=10m resistance-per-length=2.25ohm/km reactance-per-length=0.08ohm/km {
  BN -WB1:L1 to -E1:L1
  BK -WB1:L2 to -E1:L2
  GY -WB1:L3 to -E1:L3
}
"""
    purpose = "".join(f"potential L{n} of -WB1:L{n} parallel=yes\n" for n in (1, 2, 3))
    reactances = [0.04 * 400**2 / kva for kva in (630e3, 400e3)]
    both = 1 / sum(1 / x for x in reactances)
    for more, x in ((purpose, both), ("", min(reactances))):
        found = plant(text + more, voltage_factor_max=1, transformer_correction="no")
        bars, load = (value(found, f"fault-current.largest {device}") for device in ("-WB1", "-E1"))
        assert bars == pytest.approx(400 / sqrt(3) / x, rel=1e-6)
        assert load == pytest.approx(400 / sqrt(3) / abs(complex(0.0225, x + 0.0008)), rel=1e-6)
        smallest = 0.9 * 400 / 2 / abs(complex(0.0225, max(reactances) + 0.0008))
        assert value(found, "fault-current.smallest -E1") == pytest.approx(smallest, rel=1e-6)  # by the weaker one alone


def test_down_from_the_transformer_through_bars_and_three_cables() -> None:
    """By hand, impedances added section by section: 1000 kVA, 5 %, 13.3 kW at 420 V behind 500 MVA; 5 m of 4 x 240 mm2 of copper,
    bars of 0.15 mohm/m over 10 m, 100 m of 2 x 95 mm2 of aluminium, 20 m of 10 mm2 of copper; 22.5 and 36 mohm mm2/m, 0.08
    mohm/m, no factors."""
    found = plant(
        """
supply -G0 system=TN-S voltage=420V frequency=50Hz transformer=1000kVA transformer-impedance=5% transformer-losses=13.3kW \
network-power=500MVA r-over-x=0.1
busbar -WB1 at=+MSB poles=3 current=1600A reactance=1.5mohm
busbar -WB2 at=+HALL poles=3 current=250A
device -E1 load-3ph at=+HALL current=20A power-factor=1
cable -W1 3x240 length=5m parallel=4 resistance-per-length=0.09375mohm/m reactance-per-length=0.08mohm/m {
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
}
cable -W2 3x95 length=100m parallel=2 material=Al resistance-per-length=0.378947mohm/m reactance-per-length=0.08mohm/m {
  BN -WB1:L1 to -WB2:L1
  BK -WB1:L2 to -WB2:L2
  GY -WB1:L3 to -WB2:L3
}
cable -W3 3x10 length=20m resistance-per-length=2.25mohm/m reactance-per-length=0.08mohm/m {
  BN -WB2:L1 to -E1:L1
  BK -WB2:L2 to -E1:L2
  GY -WB2:L3 to -E1:L3
}
""",
        voltage_factor_max=1,
        network_voltage_factor=1,
        transformer_correction="no",
    )
    base, network = 420**2 / 1e6, 420**2 / 500e6
    source = base * complex(0.0133, sqrt(0.05**2 - 0.0133**2)) + complex(0.1, 1) * network / sqrt(1.01)
    bars = source + 1e-3 * complex(22.5 * 5 / 240 / 4, 0.08 * 5 / 4 + 1.5)
    board = bars + 1e-3 * complex(36 * 100 / 95, 0.08 * 100) / 2
    load = board + 1e-3 * complex(22.5 * 20 / 10, 0.08 * 20)
    for device, ohms in (("-WB1", bars), ("-WB2", board), ("-E1", load)):
        assert value(found, f"fault-current.largest {device}") == pytest.approx(420 / sqrt(3) / abs(ohms), rel=1e-3)


def test_current_of_a_phase_whose_neutral_goes_another_way() -> None:
    """By hand: I = U / (sqrt(3) Z), Z = 0.02 + j 0.03 of the source, 20 m of 2.5 mm2 there, behind a breaker of one pole, and
    back to the bars by a neutral of 4 mm2 over 26 m: 7.41 and 4.61 ohm/km. Largest and smallest alike, as nothing is warmed and c
    is 1."""
    found = plant(
        """
supply -G0 system=TN-S voltage=400V frequency=50Hz resistance=0.02ohm reactance=0.03ohm
device -F1 mcb-1p-b at=+MSB current=16A
wire -G0:L1 to -F1:1 2.5mm2 resistance=0ohm
device -E1 load-1ph at=+HALL current=10A power-factor=1
cable -W1 1x2.5 length=20m method=C resistance-per-length=7.41ohm/km {
  1 -F1:2 to -E1:L
}
cable -W2 1x4 length=26m method=C resistance-per-length=4.61ohm/km {
  1 -G0:N to -E1:N
}
""",
        voltage_factor_max=1,
        voltage_factor_min=1,
    )
    ohms = complex(0.02 + 0.020 * 7.41 + 0.026 * 4.61, 0.03)
    for kind in ("largest", "smallest"):
        assert value(found, f"fault-current.{kind} -E1") == pytest.approx(400 / sqrt(3) / abs(ohms), rel=1e-6)


def test_smallest_current_with_conductors_as_hot_as_a_fault_leaves_them() -> None:
    """By hand, IEC 60909-0: R at the end of the fault is R20 (1 + 0.004 (160 - 20)); 100 m of 4G25 of copper, 0.727 ohm/km, line
    to earth through a conductor like the line, c = 0.95, behind 10 kA with R/X = 0.1."""
    found = plant(
        feeder(
            "4G25 length=100m method=C",
            "load-3ph at=+HALL current=20A power-factor=1",
            "fault-current=10kA earth-fault-current=10kA",
        ),
        fault_temperature="160degC",
        temperature_coefficient=0.004,
        voltage_factor_max=1.05,
        fault_edition="2001",
    )
    source = 1.05 * 400 / sqrt(3) / 10e3 * complex(0.1, 1) / sqrt(1.01)
    loop = source + 2 * complex(0.0727 * 1.56, 0.008)
    assert value(found, "fault-current.earth -E1") == pytest.approx(0.95 * 400 / sqrt(3) / abs(loop), rel=1e-4)


# --- voltage drop -----------------------------------------------------------------------------------------------------
@each_of(("metal", "rho", "section", "parallel"), [("Cu", 0.0225, 95, 1), ("Al", 0.036, 240, 2), ("Cu", 0.0225, 10, 1)])
def test_drop_by_the_resistivity_of_annex_g(metal: str, rho: float, section: int, parallel: int) -> None:
    """By hand, IEC 60364-5-52 annex G: u = b (rho1 L / S cos + lambda L sin) I_B, b = 1, lambda = 0.08 mohm/m, cos 0.8."""
    cable = f"4G{section} length=150m method=E material={metal} parallel={parallel}"
    found = plant(feeder(cable, "load-3ph at=+HALL current=40A power-factor=0.8"), conductor_resistance="resistivity")
    volts = 40 * (rho * 150 / section * 0.8 + 0.08e-3 * 150 * 0.6) / parallel
    assert value(found, "voltage-drop.running -E1") == pytest.approx(100 * sqrt(3) * volts / 400, rel=1e-4)


def single(
    cable: str, current: float = 16, supply: str = "fault-current=3kA earth-fault-current=2kA", system: str = "TN-S"
) -> str:
    return f"""
supply -G0 system={system} phases=1 voltage=230V frequency=50Hz {supply}
device -E1 load-1ph at=+HALL current={current}A power-factor=1
cable -W1 {cable} {{
  BN   -G0:L to -E1:L
  BU   -G0:N to -E1:N
  GNYE -G0:PE to -E1:PE
}}
"""


@each_of("insulation", ["PVC", "XLPE"])
def test_drop_of_one_phase_counts_there_and_back(insulation: str) -> None:
    """By hand, annex G with b = 2: 16 A over 30 m of 2.5 mm2, 0.0225 ohm mm2/m whatever the insulation: 8.64 V, 3.76 %."""
    found = plant(single(f"3G2.5 length=30m method=C insulation={insulation}"), conductor_resistance="resistivity")
    assert value(found, "voltage-drop.running -E1") == pytest.approx(100 * 2 * 16 * 0.0225 * 30 / 2.5 / 230, rel=1e-4)


def test_drop_by_millivolts_per_ampere_and_metre() -> None:
    """By hand: a tabled drop of three phases, 2.4 mV/A/m line to line, is sqrt(3) times the impedance of a conductor: 50 A, 70 m,
    8.4 V."""
    cable = f"4G16 length=70m method=C resistance-per-length={2.4 / sqrt(3):.6f}mohm/m"
    found = plant(feeder(cable, "load-3ph at=+HALL current=50A power-factor=1"))
    assert value(found, "voltage-drop.running -E1") == pytest.approx(100 * 2.4e-3 * 50 * 70 / 400, rel=1e-5)


def test_drop_while_a_motor_starts_at_six_times_its_current() -> None:
    """By hand: sqrt(3) I (R cos + X sin), 81 A at 0.86 in service and 486 A at 0.3 while starting, 80 m of 0.643 + j 0.08
    ohm/km."""
    motor = "motor at=+HALL power=45kW current=81A power-factor=0.86 starting-current=486A starting-power-factor=0.3"
    found = plant(feeder("4G35 length=80m method=E resistance-per-length=0.643ohm/km reactance-per-length=0.08ohm/km", motor))
    for kind, amps, cos in (("running", 81, 0.86), ("starting", 486, 0.3)):
        volts = sqrt(3) * amps * 0.08 * (0.643 * cos + 0.08 * sin(acos(cos)))
        assert value(found, f"voltage-drop.{kind} -E1") == pytest.approx(100 * volts / 400, rel=1e-4)


@each_of(("begin", "source"), [("terminals", 0.0), ("source", 1.0)])
def test_dip_at_the_bars_and_at_a_starting_motor(begin: str, source: float) -> None:
    """By hand: the transformer of 630 kVA, 6 %, 6.5 kW at 400 V loses with the cable: R 2.62 and X 15.01 mohm before 60 m of
    0.154 + j 0.08 ohm/km. A motor of 205 A starts with 1230 A at 0.3 while 300 A at 0.85 flow to another load at the bars."""
    found = plant(
        """
supply -G0 system=TN-S voltage=400V frequency=50Hz transformer=630kVA transformer-impedance=6% transformer-losses=6.5kW
busbar -WB1 at=+MSB poles=3 current=1000A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0ohm
device -E2 load-3ph at=+MSB current=300A power-factor=0.85
wire -WB1:L1,L2,L3 to -E2:L1,L2,L3 240mm2 resistance=0ohm
device -M1 motor at=+HALL power=110kW current=205A power-factor=0.86 starting-current=1230A starting-power-factor=0.3
cable -W1 3x150 length=60m method=E resistance-per-length=0.154ohm/km reactance-per-length=0.08ohm/km {
  BN -WB1:L1 to -M1:U1
  BK -WB1:L2 to -M1:V1
  GY -WB1:L3 to -M1:W1
}
""",
        drop_from=begin,
    )
    base = 400**2 / 630e3
    ohms = base * complex(6.5e3 / 630e3, sqrt(0.06**2 - (6.5 / 630) ** 2))
    assert (ohms.real, ohms.imag) == (pytest.approx(2.62e-3, rel=0.001), pytest.approx(15.01e-3, rel=0.001))
    cable = 0.06 * complex(0.154, 0.08)
    other, starting, running = (amps * turn(-1j * acos(cos)) for amps, cos in ((300, 0.85), (1230, 0.3), (205, 0.86)))
    for kind, own in (("running", running), ("starting", starting)):
        lost = (source * ohms * (other + own) + cable * own).real
        assert value(found, f"voltage-drop.{kind} -M1") == pytest.approx(100 * sqrt(3) * lost / 400, rel=1e-4)
    assert ("-G0 itself" in found.by_key["voltage-drop.running -M1"].note) is bool(source)


def test_drop_of_three_unequal_loads_with_a_common_neutral() -> None:
    """By hand, phasors: 10, 15 and 20 A at 0 degrees of their phases put 8.66 A on the neutral, whose drop adds to each phase."""
    loads = "".join(
        f"device -E{n} load-1ph at=+HALL current={amps}A power-factor=1\n"
        f"wire -X1:L{n} to -E{n}:L 4mm2 resistance=0ohm\nwire -X1:N to -E{n}:N 4mm2 BU resistance=0ohm\n"
        for n, amps in ((1, 10), (2, 15), (3, 20))
    )
    found = plant(f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
strip -X1 at=+HALL {{
  :L1..L3 16mm2
  :N neutral 16mm2
}}
cable -W1 5G10 length=50m method=C resistance-per-length=2.25ohm/km reactance-per-length=0.08ohm/km {{
  BN -G0:L1 to -X1:L1
  BK -G0:L2 to -X1:L2
  GY -G0:L3 to -X1:L3
  BU -G0:N  to -X1:N
}}
{loads}""")
    axes = [turn(-2j * pi / 3 * n) for n in range(3)]
    currents = [amps * axis for amps, axis in zip((10, 15, 20), axes, strict=True)]
    ohms = complex(0.1125, 0.004)
    assert abs(sum(currents)) == pytest.approx(8.66, abs=0.001)
    assert value(found, "neutral-current -G0 -> -X1") == pytest.approx(abs(sum(currents)), rel=1e-6)
    for n, (current, axis) in enumerate(zip(currents, axes, strict=True), 1):
        lost = ((current + sum(currents)) * ohms / axis).real
        assert value(found, f"voltage-drop.running -E{n}") == pytest.approx(100 * lost / 230, rel=1e-4)


def test_neutral_that_carries_the_third_harmonics_of_three_phases() -> None:
    """By hand, IEC 60364-5-52, annex E: 39 A with 40 % of third harmonic put 3 * 0.4 * 39 A = 46.8 A on the neutral of a balanced
    circuit."""
    found = plant("""
part balanced "Load of three phases and neutral" {
  kind = heater   letter = E   class = II   voltage = 400V
  terminal :L1 :L2 :L3 line-in
  terminal :N neutral
}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -E1 balanced at=+HALL current=39A power-factor=1 third-harmonic=40%
cable -W1 5G10 length=20m method=C circuits=1 insulation=PVC {
  BN -G0:L1 to -E1:L1
  BK -G0:L2 to -E1:L2
  GY -G0:L3 to -E1:L3
  BU -G0:N  to -E1:N
}
""")
    assert value(found, "neutral-current -G0 -> -E1") == pytest.approx(46.8, rel=1e-6)


# --- protection against electric shock --------------------------------------------------------------------------------
def test_external_loop_and_the_circuit_behind_it() -> None:
    """By hand, TN-C-S: Z_s = Z_e + (R1 + R2) 1.2 L = 0.35 + (3.08 + 7.41) 1.2 * 0.03 = 0.728 ohm; B32 in 0.4 s: 0.95 * 230 / 160
    = 1.366 ohm."""
    found = plant("""
supply -G0 system=TN-C-S phases=1 voltage=230V frequency=50Hz resistance=0.35ohm
device -F1 mcb-1p-b at=+MSB current=32A
device -XE1 earth-bar at=+MSB ways=4
device -E1 load-1ph at=+HALL current=16A power-factor=1
wire -G0:L to -F1:1 25mm2 resistance=0ohm
wire -G0:PE to -XE1:1 16mm2 GNYE resistance=0ohm
cable -W1 2x6 length=30m method=C resistance-per-length=3.696ohm/km {
  BN -F1:2 to -E1:L
  BU -G0:N to -E1:N
}
cable -W2 1G2.5 length=30m resistance-per-length=8.892ohm/km {
  GNYE -XE1:2 to -E1:PE
}
""")
    result = found.by_key["disconnection -E1"]
    assert result.value == pytest.approx(0.728, abs=5e-4)
    assert result.limit == pytest.approx(1.366, abs=5e-4) and result.holds


def test_from_load_to_load_in_one_circuit() -> None:
    """By hand: three loads looped in and out over 20, 10 and 10 m of 1.5 mm2 with 0.0225 ohm mm2/m in service, 0.1 ohm before
    them: loop and smallest current by all the cable up to the load, the largest by four fifths of its resistance; 12, 8 and 4 A
    lose 3.13, 4.17, 4.70 %."""
    loads = "".join(f"device -E{n} load-1ph at=+HALL current=4A power-factor=1\n" for n in (1, 2, 3))
    cables = "".join(
        f"cable -W{n} 3G1.5 length={metres}m method=C reactance-per-length=0ohm/km {{\n"
        f"  BN {line} to -E{n}:L\n  BU {neutral} to -E{n}:N\n  GNYE {earth} to -E{n}:PE\n}}\n"
        for n, metres, line, neutral, earth in (
            (1, 20, "-F1:2", "-G0:N", "-G0:PE"),
            (2, 10, "-E1:L", "-E1:N", "-E1:PE"),
            (3, 10, "-E2:L", "-E2:N", "-E2:PE"),
        )
    )
    found = plant(
        f"""
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz resistance=0.1ohm
device -F1 mcb-1p-b at=+MSB current=16A
wire -G0:L to -F1:1 2.5mm2 resistance=0ohm
{loads}{cables}""",
        conductor_resistance="resistivity",
        voltage_factor_max=1,
        voltage_factor_min=1,
    )
    for n, metres, lost in ((1, 20, 20 * 12), (2, 30, 20 * 12 + 10 * 8), (3, 40, 20 * 12 + 10 * 8 + 10 * 4)):
        loop = 0.1 + 2 * 0.015 * metres
        assert value(found, f"loop-impedance -E{n}") == pytest.approx(loop, rel=1e-6)
        assert value(found, f"fault-current.smallest -E{n}") == pytest.approx(230 / loop, rel=1e-6)
        assert value(found, f"fault-current.largest -E{n}") == pytest.approx(230 / (0.1 + 2 * 0.012 * metres), rel=1e-6)
        assert value(found, f"voltage-drop.running -E{n}") == pytest.approx(100 * 2 * 0.015 * lost / 230, rel=1e-6)


def test_a_ring_shares_its_current_between_both_ways() -> None:
    """By hand: 30 m of 2.5 mm2 one way and 10 and 20 m the other to the middle of a ring, 0.0225 ohm mm2/m: half of 2 * 0.27 ohm,
    and 0.1 before it."""
    found = plant(
        """
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz resistance=0.1ohm
device -F1 mcb-1p-b at=+MSB current=16A
wire -G0:L to -F1:1 2.5mm2 resistance=0ohm
device -E1 load-1ph at=+HALL current=4A power-factor=1
device -E2 load-1ph at=+HALL current=4A power-factor=1
cable -W1 3G2.5 length=10m method=C reactance-per-length=0ohm/km {
  BN   -F1:2  to -E1:L
  BU   -G0:N  to -E1:N
  GNYE -G0:PE to -E1:PE
}
cable -W2 3G2.5 length=20m method=C reactance-per-length=0ohm/km {
  BN   -E1:L  to -E2:L
  BU   -E1:N  to -E2:N
}
cable -W3 3G2.5 length=30m method=C reactance-per-length=0ohm/km {
  BN   -E2:L  to -F1:2
  BU   -E2:N  to -G0:N
  GNYE -E2:PE to -G0:PE
}
""",
        conductor_resistance="resistivity",
        voltage_factor_max=1,
        voltage_factor_min=1,
    )
    line = 0.27 / 2
    assert value(found, "loop-impedance -E2") == pytest.approx(0.1 + line + 0.27, rel=1e-6)


def test_longest_circuit_by_the_conventional_method() -> None:
    """By hand: L = 0.8 U0 S / (rho (1 + m) I_a): C25 trips at 250 A, 4 mm2 and a PE alike, 0.0225 ohm mm2/m: 65.4 m; at that
    length the loop is the largest that is allowed, a metre more is too much."""
    longest = 0.8 * 230 * 4 / (0.0225 * 2 * 250)
    assert longest == pytest.approx(65.4, abs=0.05)
    for metres, holds in ((longest - 0.5, True), (longest + 0.5, False)):
        found = plant(
            f"""
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz resistance=0.0001ohm
device -F1 mcb-1p-c at=+MSB current=25A
device -E1 load-1ph at=+HALL current=16A power-factor=1
wire -G0:L to -F1:1 25mm2 resistance=0ohm
cable -W1 3G4 length={metres:.3f}m method=C reactance-per-length=0ohm/km resistance-per-length=5.625ohm/km {{
  BN   -F1:2  to -E1:L
  BU   -G0:N  to -E1:N
  GNYE -G0:PE to -E1:PE
}}
""",
            loop_factor=0.8,
        )
        result = found.by_key["disconnection -E1"]
        assert result.value == pytest.approx(result.limit, rel=0.01)
        assert result.holds is holds


@each_of(("plant_ohm", "source_ohm", "milliampere"), [(20, 10, 300), (100, 5, 100), (50, 10, 30)])
def test_tt_with_both_electrodes(plant_ohm: int, source_ohm: int, milliampere: int) -> None:
    """By hand, IEC 60364-4-41, 411.5.3: I_d = U0 / (R_A + R_B), the conductors being small against it; R_A <= 50 V / I_dn."""
    text = single(
        "3G2.5 length=5m method=C",
        supply=f"fault-current=3kA earth-resistance={plant_ohm}ohm source-earth-resistance={source_ohm}ohm",
        system="TT",
    )
    device = (
        f"device -F1 rcd-2p-a at=+MSB current=40A residual-current={milliampere}mA\nwire -G0:L,N to -F1:1,N1 6mm2 length=1m\n"
    )
    found = plant(text.replace("-G0:L to", "-F1:2 to").replace("-G0:N to", "-F1:N2 to") + device, voltage_factor_min=1)
    assert value(found, "fault-current.earth -E1") == pytest.approx(230 / (plant_ohm + source_ohm), rel=0.01)
    result = found.by_key["disconnection -E1"]
    assert (result.value, result.limit) == (plant_ohm, pytest.approx(50 / (milliampere / 1000)))


def test_tt_without_the_electrode_of_the_source_has_no_current() -> None:
    found = plant(single("3G2.5 length=5m method=C", supply="fault-current=3kA earth-resistance=20ohm", system="TT"))
    assert "fault-current.earth -E1" not in found.by_key


# --- withstand --------------------------------------------------------------------------------------------------------
@each_of(("attributes", "k"), [("insulation=PVC", 115), ("insulation=XLPE", 143), ("adiabatic-constant=76", 76)])
def test_let_through_of_a_current_limiting_breaker(attributes: str, k: int) -> None:
    """By hand, IEC 60364-4-43, 434.5.2: S = sqrt(I2t) / k, 600 000 A2s as the maker states."""
    found = plant(f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=20kA earth-fault-current=15kA
device -Q1 mccb-160a at=+MSB current=160A let-through=600kA2s instantaneous=1600A
device -E1 load-3ph at=+HALL current=100A power-factor=1
wire -G0:L1,L2,L3 to -Q1:1,3,5 95mm2 length=1m
cable -W1 3x25 length=30m method=C {attributes} {{
  BN -Q1:2 to -E1:L1
  BK -Q1:4 to -E1:L2
  GY -Q1:6 to -E1:L3
}}
""")
    assert value(found, "fault-withstand -W1 BN") == pytest.approx(sqrt(600e3) / k, rel=1e-6)


@each_of(
    ("metal", "insulation", "apart", "k"),
    [
        ("Cu", "PVC", False, 115),
        ("Cu", "XLPE", False, 143),
        ("Al", "PVC", False, 76),
        ("Al", "XLPE", False, 94),
        ("Cu", "PVC", True, 143),
        ("Cu", "XLPE", True, 176),
        ("Al", "PVC", True, 95),
        ("Al", "XLPE", True, 116),
    ],
)
def test_protective_conductor_by_metal_insulation_and_way(metal: str, insulation: str, apart: bool, k: int) -> None:
    """By hand, IEC 60364-5-54, 543.1.2, with k of tables A.54.2 and A.54.4: S = I sqrt(t) / k, I the largest current to earth
    where the cable begins: 5 kA at the supply, with 1 m of 95 mm2 behind it 4.99 kA, 0.2 s."""
    earth = "  GNYE -G0:PE to -E1:PE\n"
    found = plant(
        f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -Q1 mccb-160a at=+MSB current=160A instantaneous=1600A clearing-time=0.2s
device -E1 load-3ph at=+HALL current=100A power-factor=1
wire -G0:L1,L2,L3 to -Q1:1,3,5 95mm2 length=1m
cable -W1 {"3x70" if apart else "4G70"} length=30m method=C insulation={insulation} material={metal} {{
  BN -Q1:2 to -E1:L1
  BK -Q1:4 to -E1:L2
  GY -Q1:6 to -E1:L3
{"" if apart else earth}}}
"""
        + (f"cable -W2 1G35 length=30m insulation={insulation} material={metal} {{\n{earth}}}\n" if apart else "")
    )
    result = found.by_key[f"protective-conductor.adiabatic {'-W2' if apart else '-W1'} GNYE"]
    assert result.value == pytest.approx(4990 * sqrt(0.2) / k, rel=0.006)


# --- capacity ---------------------------------------------------------------------------------------------------------
@each_of(
    ("cable", "amps"),
    [
        ("4G6 method=C ambient=40degC circuits=3 insulation=PVC", 41 * 0.87 * 0.79),
        ("4G6 method=B2 ambient=40degC circuits=3 insulation=PVC", 34 * 0.87 * 0.70),
        ("4G120 method=E ambient=40degC circuits=4 insulation=XLPE", 346 * 0.91 * 0.77),
        ("4G2.5 method=C correction=0.5 insulation=PVC", 24 * 0.5),  # 0.5 m and more within thermal insulation
        ("4G70 method=E parallel=2 insulation=XLPE", 2 * 246 * 0.88),  # two cables per phase touch on a tray: two circuits
        ("4G35 method=D1 ambient=25degC circuits=2 correction=1.18 insulation=XLPE", 115 * 0.96 * 0.85 * 1.18),  # soil of 1 K m/W
        ("4G185 method=E material=Al insulation=XLPE ambient=35degC", 347 * 0.96),
    ],
)
def test_capacity_with_its_factors(cable: str, amps: float) -> None:
    """By hand, IEC 60364-5-52, annex B: the table's value times the factors of ambient temperature, grouping and what the text
    adds."""
    found = plant(
        feeder(f"{cable.split()[0]} length=20m {' '.join(cable.split()[1:])}", "load-3ph at=+HALL current=10A power-factor=1")
    )
    assert value(found, "current-carrying-capacity -W1") == pytest.approx(amps, rel=1e-6)


# --- leakage ----------------------------------------------------------------------------------------------------------
def test_standing_currents_add_up_against_the_share_of_the_device() -> None:
    """By hand, IEC 60364-5-53, 531.3.2: 3 * 3 mA + 1.5 mA = 10.5 mA are more than 0.3 * 30 mA = 9 mA; touch currents do not count
    beside."""
    drives = "".join(
        f"device -T{n} vsd-4kw at=+MSB touch-current=12mA standing-current=3mA\n"
        f"wire -F1:2,4,6 to -T{n}:L1,L2,L3 2.5mm2 length=1m\n"
        for n in (1, 2, 3)
    )
    found = plant(f"""
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=5kA
device -F1 rcd-4p-b at=+MSB current=63A residual-current=30mA
device -E1 load-3ph at=+HALL current=6A power-factor=1 standing-current=1.5mA
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2 length=1m
cable -W1 4G2.5 length=10m method=C {{
  BN -F1:2 to -E1:L1
  BK -F1:4 to -E1:L2
  GY -F1:6 to -E1:L3
}}
{drives}""")
    result = found.by_key["standing-leakage -F1"]
    assert (result.value, result.limit) == (pytest.approx(0.0105), pytest.approx(0.009))
    assert not result.holds


# --- IT systems -------------------------------------------------------------------------------------------------------
IT = """
supply -G0 system=IT voltage=400V frequency=50Hz fault-current=20kA
device -Q1 mcb-3p at=+MSB current={amps}A curve=C
device -E1 load-3ph at=+HALL current=10A
wire -G0:L1,L2,L3 to -Q1:1,3,5 10mm2 length=1m
cable -W1 4G{section} length={length}m method=C {{
  BN   -Q1:2  to -E1:L1
  BK   -Q1:4  to -E1:L2
  GY   -Q1:6  to -E1:L3
  GNYE -G0:PE to -E1:PE
}}
"""


@each_of(("amps", "section", "length", "kept"), [(16, 10, 100, True), (25, 2.5, 90, False), (32, 6, 60, True)])
def test_the_second_fault_of_an_it_system(amps: float, section: float, length: float, kept: bool) -> None:
    # IEC 60364-4-41, 411.6.4: Zs <= U / (2 Ia), neutral not distributed, bodies joined; by hand, conductors at 70 °C
    ohm_per_km = {2.5: 7.41, 6: 3.08, 10: 1.83}[section]  # IEC 60228:2004, class 2
    found = plant(IT.format(amps=amps, section=section, length=length), loop_factor=1, reactance_per_length="0ohm/m")
    source = 1.1 * 400 / (sqrt(3) * 20e3)  # R/X = 0.1
    warm = 1 + 0.00393 * 50
    pole = warm * (ohm_per_km * length + 1.91) / 1000  # the wire ahead of the breaker: 1 m of 10 mm2, class 5
    ohms = abs(complex(pole + warm * ohm_per_km * length / 1000 + source * 0.1 / sqrt(1.01), source / sqrt(1.01)))
    (result,) = found.of(Disconnections).results()
    assert result.value == pytest.approx(ohms, rel=0.003)
    assert value(found, "loop-impedance -E1") == pytest.approx(ohms, rel=0.003)
    assert result.limit == pytest.approx(400 / (2 * 10 * amps))
    assert result.holds is kept
    assert "insulation monitor" in result.note
    assert not found.of(Disconnections).not_judged()


def test_without_a_protective_conductor_to_the_source_the_second_fault_is_not_judged() -> None:
    text = IT.format(amps=16, section=10, length=50).replace("  GNYE -G0:PE to -E1:PE\n", "")
    found = plant(text)
    assert not list(found.of(Disconnections).results())
    assert [device for device, reason in found.of(Disconnections).not_judged() if "IT system" in reason] == ["-E1"]
