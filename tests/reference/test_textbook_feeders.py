"""Feeders and distributors as textbooks on power systems work them through: what is left of the voltage at the loads, which
current each piece carries. Impedances and loads are stated as there, also where no panel has such voltages.

All are quoted from memory of the works named, none was read in print here; each published figure was worked out again from its
data. M.: V. K. Mehta and R. Mehta, Principles of Power System, chapters on performance of transmission lines, D.C. distribution,
A.C. distribution.
"""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

import pytest
from plants import calculated

from netdsl.calc import Calculation
from netdsl.calc.loads import LoadCurrents
from tests.cases import each_of

HEAD = """
place +HALL "Hall" kind=field
part load-dc "Load" {
  kind = heater   letter = E   class = II
  terminal :1 :2 load
}
part load-1ph "Load" {
  kind = heater   letter = E   class = II
  terminal :1 line-in
  terminal :2 neutral
}
part load-3ph "Load" {
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}
"""


def number(found: Calculation, key: str, symbol: str = "") -> float:
    """The value of a result, or of one of its givens."""
    result = found.by_key[key]
    return next(given.value for given in result.givens if given.symbol == symbol) if symbol else result.value


# --- direct current ---------------------------------------------------------------------------------------------------
def distributor(volts: float, loads: tuple[float, ...], pieces: tuple[str, ...], inner: str = "") -> Calculation:
    """Loads one behind the other along two conductors, A; `pieces`: section, and length or resistance, of a conductor to each;
    `inner`: resistance of the source, where its own drop counts."""
    ends = [("-G0:+", "-G0:-"), *((f"-E{n}:1", f"-E{n}:2") for n in range(1, len(loads) + 1))]
    cables = "".join(
        f"cable -W{n} 2x{piece} {{\n  BN {near[0]} to {far[0]}\n  BU {near[1]} to {far[1]}\n}}\n"
        for n, (piece, (near, far)) in enumerate(zip(pieces, pairwise(ends), strict=True), 1)
    )
    drawn = "".join(f"device -E{n} load-dc at=+HALL current={amps}A\n" for n, amps in enumerate(loads, 1))
    project = f'project "D.C." {{\n  drop-from = {"source" if inner else "terminals"}\n}}\n'
    return calculated(f"{project}{HEAD}supply -G0 system=DC voltage={volts}V {inner}\n{drawn}{cables}")


def test_a_distributor_fed_at_one_end() -> None:
    """M.: 100, 150, 200 and 50 A at 500, 1000, 1600 and 2000 m of conductors of 0.01 ohm per 1000 m, fed at 300 V: 500, 400, 250
    and 50 A in the sections, 295, 291, 288 and 287.6 V at the loads."""
    lengths = (500, 500, 600, 400)
    pieces = tuple(f"240 length={metres}m resistance-per-length=0.01ohm/km" for metres in lengths)
    found = distributor(300, (100, 150, 200, 50), pieces)
    assert [number(found, f"load-voltage -E{n}") for n in (1, 2, 3, 4)] == pytest.approx([295, 291, 288, 287.6])
    assert [number(found, f"load-current -G0 -> -E{n}") for n in (1, 2, 3, 4)] == pytest.approx([500, 400, 250, 50])


def test_the_section_of_a_distributor_for_a_drop_of_10_volts() -> None:
    """M.: 30, 40, 100 and 50 A at 40, 100, 150 and 250 m, 1.78e-8 ohm m: 1.164 cm2 for 10 V. Here the resistance is that of this
    section."""
    ohms = 1.78e-8 / 1.164e-4 * 1000
    pieces = tuple(f"120 length={metres}m resistance-per-length={ohms:.6f}ohm/km" for metres in (40, 60, 50, 100))
    found = distributor(250, (30, 40, 100, 50), pieces)
    assert 250 - number(found, "load-voltage -E4") == pytest.approx(10, rel=5e-4)


def test_two_tram_cars_on_one_wire() -> None:
    """M.: 40 and 20 A at 2 and 6 km, 0.25 ohm/km of trolley wire and 0.03 of track, 600 V: 566.4 and 544 V."""
    pieces = tuple(f"95 resistance={0.28 * km / 2}ohm" for km in (2, 4))
    found = distributor(600, (40, 20), pieces)
    assert [number(found, f"load-voltage -E{n}") for n in (1, 2)] == pytest.approx([566.4, 544.0])


@each_of(
    ("volts", "ohms", "amps", "left"),
    [
        (2.0, 0.02, 5, 1.9),  # a cell of 2.0 V and 0.02 ohm that delivers 5 A
        (2.0, 0.02, 50, 1.0),  # and 50 A
        (25.0, 0.1, 10, 24.0),  # 25 V without a load, 24 V at 10 A: 0.1 ohm
        (15.0, 2.0, 0.25, 14.5),  # ten cells of 1.5 V and 0.2 ohm in series, 58 ohm at them
    ],
)
def test_what_a_battery_leaves_at_its_terminals(volts: float, ohms: float, amps: float, left: float) -> None:
    """J. Bird, Electrical Circuit Theory and Technology, chapter on batteries."""
    found = distributor(volts, (amps,), ("16 resistance=0ohm",), f"resistance={ohms}ohm")
    assert number(found, "load-voltage -E1") == pytest.approx(left)


def ring(supply: str, load: str, loads: tuple[str, ...], ohms: tuple[complex, ...]) -> Calculation:
    """Loads along two conductors that come back to where they begin; `ohms`: go and return, piece by piece."""
    begin = ("-G0:+", "-G0:-") if "DC" in supply else ("-G0:L", "-G0:N")
    ends = [begin, *((f"-E{n}:1", f"-E{n}:2") for n in range(1, len(loads) + 1)), begin]
    text = f"{HEAD}supply -G0 {supply}\n"
    text += "".join(f"device -E{n} {load} at=+HALL {says}\n" for n, says in enumerate(loads, 1))
    for n, (z, (near, far)) in enumerate(zip(ohms, pairwise(ends), strict=True), 1):
        text += f"cable -W{n} 2x95 resistance={z.real / 2:.9f}ohm reactance={z.imag / 2:.9f}ohm {{\n"
        text += f"  BN {near[0]} to {far[0]}\n  BU {near[1]} to {far[1]}\n}}\n"
    return calculated(text)


def test_a_ring_distributor() -> None:
    """M.: 300 m of 0.03 ohm per 100 m of a conductor, fed at 240 V, 120 A at B after 150 m and 80 A at C after 100 m the other
    way: 86.67 A to B, 113.33 A to C, 33.33 A on from C to B; 232.2 V at B, 233.2 V at C. What a conductor between them is
    held to is 60 A, what flows there from C to B while the load at C is off."""
    found = ring("system=DC voltage=240V", "load-dc", ("current=120A", "current=80A"), (0.09 + 0j, 0.03 + 0j, 0.06 + 0j))
    loads = found.of(LoadCurrents)
    assert [loads.conductor(f"-W{n} {core}") for n in (1, 3) for core in ("BN", "BU")] == pytest.approx(
        [86.67] * 2 + [113.33] * 2, abs=5e-3
    )
    assert [loads.conductor(f"-W2 {core}") for core in ("BN", "BU")] == pytest.approx([60, 33.33], abs=5e-3)
    assert [number(found, f"load-voltage -E{n}") for n in (1, 2)] == pytest.approx([232.2, 233.2])


def test_a_distributor_fed_at_both_ends() -> None:
    """M.: 600 m between two ends at 220 V, 20, 40, 50 and 30 A at 100, 250, 400 and 500 m, 1 cm2 of 1.7e-6 ohm cm: 61.7 A and
    78.3 A come in, at least 215.69 V at the third load. Here both ends are one source."""
    ohms = tuple(complex(2 * 1.7e-4 * metres) for metres in (100, 150, 150, 100, 100))
    loads = tuple(f"current={amps}A" for amps in (20, 40, 50, 30))
    found = ring("system=DC voltage=220V", "load-dc", loads, ohms)
    assert [found.of(LoadCurrents).conductor(f"-W{n} BN") for n in (1, 5)] == pytest.approx([61.67, 78.33], abs=5e-3)
    volts = [number(found, f"load-voltage -E{n}") for n in (1, 2, 3, 4)]
    assert min(volts) == volts[2] == pytest.approx(215.69, abs=5e-3)


def test_a_ring_of_one_phase() -> None:
    """M.: sections of 1 + j 1, 1 + j 2 and 1 + j 3 ohm, 20 A at 0.8 and 15 A at 0.6: 18.6 - j 13.53 A in the first, 23 A;
    6.4 - j 10.47 A in the last, 12.27 A. Shares count by their amount here, not by their angle:
    within 1 %. Both power factors refer to the source there, which is high above the drop here."""
    loads = ("current=20A power-factor=0.8", "current=15A power-factor=0.6")
    supply = "system=TN-S phases=1 voltage=10kV frequency=50Hz fault-current=5kA"
    found = ring(supply, "load-1ph", loads, (1 + 1j, 1 + 2j, 1 + 3j)).of(LoadCurrents)
    assert [found.conductor(f"-W{n} BN") for n in (1, 3)] == pytest.approx([23.0, 12.27], rel=0.01)


# --- alternating current of one phase ---------------------------------------------------------------------------------
def behind_each_other(volts: float, loads: tuple[tuple[float, float], ...], ohms: tuple[complex, ...]) -> Calculation:
    """Loads of one phase, A and power factor; `ohms`: go and return, to each from the one before."""
    ends = [("-G0:L", "-G0:N"), *((f"-E{n}:1", f"-E{n}:2") for n in range(1, len(loads) + 1))]
    cables = "".join(
        f"cable -W{n} 2x95 resistance={z.real / 2}ohm reactance={z.imag / 2}ohm {{\n"
        f"  BN {near[0]} to {far[0]}\n  BU {near[1]} to {far[1]}\n}}\n"
        for n, (z, (near, far)) in enumerate(zip(ohms, pairwise(ends), strict=True), 1)
    )
    drawn = "".join(
        f"device -E{n} load-1ph at=+HALL current={amps}A power-factor={cos}\n" for n, (amps, cos) in enumerate(loads, 1)
    )
    return calculated(f"{HEAD}supply -G0 system=TN-S phases=1 voltage={volts}V frequency=50Hz fault-current=5kA\n{drawn}{cables}")


def test_a_distributor_whose_power_factors_refer_to_each_loads_own_voltage() -> None:
    """M.: 1 km of 0.1 + j 0.15 ohm a conductor, 100 A at 0.8 and 200 V at the far end, 100 A at 0.6 of the voltage in the middle:
    217.1 V there, 252.32 V at the sending end, 3.07 degrees between the ends."""
    found = behind_each_other(252.32, ((100, 0.6), (100, 0.8)), (0.1 + 0.15j, 0.1 + 0.15j))
    assert number(found, "load-voltage -E1") == pytest.approx(217.1, abs=0.05)
    assert number(found, "load-voltage -E2") == pytest.approx(200, abs=0.05)
    assert number(found, "load-voltage -E2", "delta") == pytest.approx(-3.07, abs=0.01)


def test_a_distributor_whose_power_factors_refer_to_the_far_end() -> None:
    """M.: 2 km of 0.05 + j 0.1 ohm/km go and return, 120 A at 0.8 and 230 V at the far end, 80 A at 0.9 in the middle:
    261.67 V at the sending end, 3.83 degrees. There both power factors refer to the far end, here that in the middle to its own
    voltage, 1.42 degrees on: 0.8889 there is the same current."""
    found = behind_each_other(261.67, ((80, 0.8889), (120, 0.8)), (0.05 + 0.1j, 0.05 + 0.1j))
    assert number(found, "load-voltage -E2") == pytest.approx(230, abs=0.05)
    assert number(found, "load-voltage -E2", "delta") == pytest.approx(-3.83, abs=0.015)


@each_of(
    ("volts", "ohms", "amps", "lost"),
    [
        # E. Hughes, Electrical and Electronic Technology, transformers: 100 kVA, 2200/440 V, 0.3 + j 1.1 and 0.01 + j 0.035 ohm:
        # 0.0336 per unit, 425 V
        (440, (0.55 + 1.975j) / 25, 100e3 / 440, 0.0336 * 440),
        # B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, transformers: 230/460 V, 0.2 + j 0.5 and
        # 0.75 + j 1.8 ohm, 10 A: 424.8 V
        (460, 1.55 + 3.8j, 10, 460 - 424.8),
    ],
)
def test_what_a_transformer_leaves_at_its_terminals(volts: int, ohms: complex, amps: float, lost: float) -> None:
    """At a power factor of 0.8, by I (R cos + X sin), the primary referred to the secondary."""
    found = calculated(f"""
project "Transformer" {{
  drop-from = source   fault-temperature = 20degC
}}
{HEAD}
supply -G0 system=TN-S phases=1 voltage={volts}V frequency=50Hz resistance={ohms.real}ohm reactance={ohms.imag}ohm
device -E1 load-1ph at=+HALL current={amps:.4f}A power-factor=0.8
wire -G0:L to -E1:1 70mm2 resistance=0ohm reactance=0ohm
wire -G0:N to -E1:2 70mm2 BU resistance=0ohm reactance=0ohm
""")
    assert number(found, "voltage-drop.running -E1") * volts / 100 == pytest.approx(lost, rel=2e-3)


# --- short lines of three phases --------------------------------------------------------------------------------------
@each_of(
    ("sending", "ohms", "amps", "cos", "receiving", "within"),
    [
        # M.: 5000 kW at 22 kV and 0.8, 4 + j 6 ohm: 164 A, 23.943 kV at the sending end
        (23943, 4 + 6j, 164.02, 0.8, 22000, 2e-4),
        # M.: 2000 kVA at 6.6 kV and 0.8 over 20 km of 0.4 + j 0.5 ohm/km and a transformer 33/6.6 kV of 7.5 + j 13.2 and
        # 0.35 + j 0.65 ohm, all referred to 33 kV: 24.25 + j 39.45 ohm, 35 A, 35.61 kV
        (35610, 24.25 + 39.45j, 35, 0.8, 33000, 5e-4),
        # H. Saadat, Power System Analysis, short line model: 381 MVA at 220 kV and 0.8, 40 km of 0.15 ohm/km and 1.3263 mH/km at
        # 60 Hz: 6 + j 20 ohm, 1000 A, 250 kV
        (250e3, 6 + 20j, 1000, 0.8, 220e3, 5e-4),
    ],
)
def test_what_a_line_leaves_of_its_voltage(
    sending: float, ohms: complex, amps: float, cos: float, receiving: float, within: float
) -> None:
    assert number(line(sending, ohms, amps, cos), "load-voltage -E1") == pytest.approx(receiving, rel=within)


@each_of(
    ("sending", "ohms", "amps", "cos", "drop"),
    [
        # M.: 6 + j 8 ohm between 120 and 110 kV at 0.9: 63508 + 8.88 I = 69282 V, 650.2 A, 111.49 MW
        (120e3, 6 + 8j, 650.2, 0.9, 100 * (69282 - 63508) / 69282),
        # M.: 5000 kVA at 11 kV and 0.8, 1.5 + j 4 ohm: 7295.8 V to neutral, regulation 14.88 %
        (7295.8 * sqrt(3), 1.5 + 4j, 262.43, 0.8, 100 * 0.1488 / 1.1488),
        # M.: 1000 kW at 11 kV and 0.8, 16 km of 0.03 ohm/km and 0.7 mH/km: 6515 V to neutral, regulation 2.58 %
        (6515 * sqrt(3), 0.48 + 3.519j, 65.61, 0.8, 100 * 0.0258 / 1.0258),
    ],
)
def test_the_drop_in_phase(sending: float, ohms: complex, amps: float, cos: float, drop: float) -> None:
    """I (R cos + X sin), to neutral."""
    assert number(line(sending, ohms, amps, cos), "voltage-drop.running -E1") == pytest.approx(drop, rel=2e-3)


def test_a_line_of_one_phase_by_the_drop_in_phase() -> None:
    """D. P. Kothari and I. J. Nagrath, Modern Power System Analysis, a short line: 5000 kW at 10 kV and 0.707 over
    20 km of 0.0195 ohm/km and 0.63 mH/km: 707 A, 0.39 + j 3.96 ohm, 12.175 kV, regulation 21.8 %."""
    found = behind_each_other(12175, ((707, 0.7071),), (0.39 + 3.96j,))
    assert number(found, "voltage-drop.running -E1") == pytest.approx(100 * 2175 / 12175, rel=1e-3)


def line(volts: float, ohms: complex, amps: float, cos: float) -> Calculation:
    return calculated(f"""{HEAD}
supply -G0 system=TN-S voltage={volts:.1f}V frequency=50Hz fault-current=5kA
device -E1 load-3ph at=+HALL current={amps}A power-factor={cos}
wire -G0:L1,L2,L3 to -E1:1,2,3 70mm2 resistance={ohms.real}ohm reactance={ohms.imag}ohm
""")


# --- phases that differ -----------------------------------------------------------------------------------------------
FOUR = """
supply -G0 system=TN-S voltage={volts}V frequency=50Hz fault-current=50kA
strip -X1 at=+HALL {{
  :L1..L3 95mm2
  :N neutral 95mm2
}}
cable -W1 5G95 length=10m method=C {{
  BN -G0:L1 to -X1:L1
  BK -G0:L2 to -X1:L2
  GY -G0:L3 to -X1:L3
  BU -G0:N  to -X1:N
}}
"""


def four_wires(volts: float, loads: tuple[str, ...], more: str = "") -> Calculation:
    """A load on each phase at the end of a cable."""
    drawn = "".join(
        f"device -E{n} load-1ph at=+HALL {says} power-factor=1\n"
        f"wire -X1:L{n} to -E{n}:1 95mm2 resistance=0ohm\nwire -X1:N to -E{n}:2 95mm2 BU resistance=0ohm\n"
        for n, says in enumerate(loads, 1)
    )
    return calculated(HEAD + FOUR.format(volts=volts) + drawn + more)


@each_of(
    ("volts", "kilowatts", "lines", "neutral"),
    [
        (400, (10, 8, 5), (43.3, 34.6, 21.65), 18.9),  # M., A.C. distribution
        # B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, polyphase circuits
        (400, (10, 6, 4), (43.3, 26.0, 17.3), 22.9),
        # J. Bird, Electrical Circuit Theory and Technology, three-phase systems; 415 V over the root of three taken as 240 V
        (415, (24, 18, 12), (100, 75, 50), 43),
    ],
)
def test_loads_of_three_phases_and_the_neutral_between_them(
    volts: float, kilowatts: tuple[float, ...], lines: tuple[float, ...], neutral: float
) -> None:
    """Here a network of 400 V is one of 230 V to neutral (IEC 60038), not 231 V: 0.4 % more. The 43 A are drawn."""
    found = four_wires(volts, tuple(f"power={kw}kW" for kw in kilowatts))
    assert [number(found, f"load-current -E{n}") for n in (1, 2, 3)] == pytest.approx(list(lines), rel=6e-3)
    assert number(found, "neutral-current -G0 -> -X1") == pytest.approx(neutral, abs=0.5)


def test_lamps_and_a_motor_on_four_wires() -> None:
    """M., A.C. distribution: lamps of 70, 84 and 33 A: 45.64 A in the neutral; with a motor of 200 A at 0.2 beside them 224.8,
    232 and 209.15 A in the lines, in the neutral as before. Held here is the line of most."""
    motor = "device -E4 load-3ph at=+HALL current=200A power-factor=0.2\nwire -X1:L1,L2,L3 to -E4:1,2,3 95mm2 resistance=0ohm\n"
    lamps = ("current=70A", "current=84A", "current=33A")
    for more, largest in (("", 84), (motor, 232)):
        found = four_wires(400, lamps, more)
        assert number(found, "neutral-current -G0 -> -X1") == pytest.approx(45.64, abs=0.01)
        assert number(found, "load-current -G0 -> -X1") == pytest.approx(largest, abs=0.15)
    words = [given.words for given in found.by_key["load-current -G0 -> -X1"].givens if given.result]
    assert words == ["load current of -E4 at -78.5°", "load current of -E2 at 0.0°"]  # the line of most is told by its own loads
