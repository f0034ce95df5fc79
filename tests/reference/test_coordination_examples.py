"""Selectivity, longest circuits and short-circuit strength held to published figures.

All are quoted from memory of the works named: `memory` stands for each, as in `netdsl/standards/`.
"""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Reference" {{
  number = "1"   {project}
}}
place +A "Board" kind=cabinet
defaults length=0.01m
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current={level} earth-fault-current={level} upstream={upstream}
{lines}
"""


def plant(lines: str, *, upstream: str, level: str = "50kA", project: str = "") -> Calculation:
    return calculated(PLANT.format(lines=lines, upstream=upstream, level=level, project=project))


def behind(ahead: str, device: str, level: str = "50kA") -> tuple[float, str]:
    """Up to which current a device behind the supply's protection discriminates, A, and in which word."""
    lines = f"device -F1 {device} at=+A\nwire -G0:L1,L2,L3 to -F1:1,3,5 50mm2\n"
    found = plant(lines, upstream=ahead, level=level).by_key["selectivity -F1 behind -G0"]
    return found.value, found.note.partition(": ")[2].partition(",")[0].partition(";")[0]


# --- fuses ----------------------------------------------------------------------------------------------------------
@each_of(
    ("ahead", "after"),
    [
        (25, 16),
        (32, 20),
        (40, 25),
        (50, 32),
        (63, 40),
        (80, 50),
        (100, 63),
        (125, 80),
        (160, 100),
        (200, 125),
        (250, 160),
        (400, 250),
    ],
)
def test_fuses_in_the_ratio_of_one_to_1_6(ahead: int, after: int) -> None:
    """IEC 60269-1 and -2 (memory): fuse-links gG of 16 A and more whose rated currents are as 1 to 1.6 (sizes of the series
    two steps apart) discriminate in full."""
    limit, word = behind(f"fuse-gG-{ahead}A", f"fuse-nh00-gg current={after}A breaking=50kA")
    assert (limit, word) == (50_000, "total")


@each_of(("ahead", "after"), [(63, 32), (100, 50), (200, 100), (160, 80)])
def test_fuses_of_half_the_rating(ahead: int, after: int) -> None:
    """P. Cook, Commentary on IEE Wiring Regulations, and guides to BS 88 (memory): general-purpose fuses discriminate at 2
    to 1."""
    assert behind(f"fuse-gG-{ahead}A", f"fuse-nh00-gg current={after}A breaking=50kA")[1] == "total"


@each_of(("ahead", "after"), [(20, 16), (40, 32), (80, 63), (125, 100), (200, 160)])
def test_neighbouring_sizes_do_not(ahead: int, after: int) -> None:
    """The same (memory): of neighbouring sizes of the series both may melt."""
    assert behind(f"fuse-gG-{ahead}A", f"fuse-nh00-gg current={after}A breaking=50kA")[1] != "total"


# --- breakers -------------------------------------------------------------------------------------------------------
@each_of(
    ("ahead", "device", "limit"),
    [
        ("mcb-B-63A", "mcb-3p-b current=16A breaking=50kA", 189),
        ("mcb-C-63A", "mcb-3p-c current=16A breaking=50kA", 315),
        ("mcb-D-63A", "mcb-3p-c current=16A breaking=50kA", 630),
        ("mccb-250A", "mcb-3p-c current=32A breaking=50kA", 2000),
        ("mccb-400A", "fuse-nh00-gg current=160A", 3200),
    ],
)
def test_breakers_discriminate_by_current_up_to_the_instantaneous_release_ahead(ahead: str, device: str, limit: float) -> None:
    """IEC 60898-1, annex D, and IEC 60947-2, annex A (memory): without an energy or a time to count on, the selectivity
    limit is the current from which the one ahead may trip at once: 3, 5, 10 times the rated current of curves B, C, D; the
    setting, here 10 times the rated current, less its tolerance of 20 % for industrial ones."""
    found, word = behind(ahead, device)
    assert found == pytest.approx(limit)
    assert word == "partial"


@each_of(
    ("ahead", "after", "selective"),
    [
        ("300mA", "30mA", True),
        ("100mA", "30mA", True),
        ("300mA", "100mA", True),
        ("300mA", "300mA", False),
        ("30mA", "30mA", False),
    ],
)
def test_residual_devices_discriminate_at_three_to_one_and_type_s(ahead: str, after: str, selective: bool) -> None:
    """IEC 60364-5-53, 535.3, and Electrical Installation Guide, chapter F (memory): type S ahead, rated residual currents
    as 3 to 1."""
    lines = f"""
device -F1 rcd-4p-b-300 at=+A current=63A residual-current={ahead}
device -F2 rcd-4p-a at=+A current=40A residual-current={after}
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2
wire -G0:N to -F1:N1 16mm2 BU
wire -F1:2,4,6 to -F2:1,3,5 16mm2
wire -F1:N2 to -F2:N1 16mm2 BU
"""
    found = plant(lines, upstream="fuse-gG-63A", project="selectivity = total").by_key["selectivity.residual -F2 behind -F1"]
    assert found.holds is selective


# --- longest circuits -------------------------------------------------------------------------------------------------
CIRCUIT = """
project "Reference" {{
  number = "1"   loop-factor = 0.8   conductor-resistance = resistivity   reactance-per-length = 0ohm/km
}}
place +A "Board" kind=cabinet
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=5000kA earth-fault-current=5000kA upstream=fuse-gG-400A
device -XE1 earth-bar at=+A ways=4
device -F1 mcb-1p at=+A current={amps}A curve={curve}
part heater-1p "Heater" {{
  kind = heater   letter = E   class = I   voltage = 230V
  terminal :L load 0.5..50mm2
  terminal :N load 0.5..50mm2
  terminal :PE earth 0.5..50mm2
  load :L to :N voltage=230V ac power=1kW
}}
device -E1 heater-1p at=+A
wire -G0:L1 to -F1:1 240mm2 length=0.001m
wire -G0:PE to -XE1:1 240mm2 length=0.001m
cable -W1 3G{section} length=10m method=C {{
  BN -F1:2 to -E1:L
  BU -G0:N to -E1:N
  GNYE -XE1:2 to -E1:PE
}}
"""


@each_of(
    ("curve", "amps", "section", "length"),
    [
        ("B", 10, "1.5", 123),
        ("B", 16, "1.5", 77),
        ("B", 16, "2.5", 128),
        ("B", 20, "2.5", 102),
        ("B", 32, "6", 153),
        ("C", 10, "1.5", 61),
        ("C", 16, "1.5", 38),
        ("C", 16, "2.5", 64),
        ("C", 20, "2.5", 51),
        ("C", 32, "6", 77),
    ],
)
def test_the_longest_circuit_of_a_breaker_by_the_conventional_method(curve: str, amps: int, section: str, length: float) -> None:
    """Electrical Installation Guide, chapter F, tables of maximum circuit lengths for breakers of type B and C in 230/400 V
    TN systems, protective conductor as the phases (memory): L = 0.8 U0 S / (2 rho Ia), rho = 0.0225 Ω mm²/m."""
    found = calculated(CIRCUIT.format(curve=curve, amps=amps, section=section)).by_key["longest-circuit -E1"]
    assert found.value == pytest.approx(length, abs=0.7)


# --- what bears a short circuit ---------------------------------------------------------------------------------------
@each_of(("section", "amps"), [("2.5", 300), ("4", 480), ("6", 720), ("10", 1200), ("16", 1920), ("35", 4200)])
def test_a_terminal_block_for_a_second(section: str, amps: float) -> None:
    """IEC 60947-7-1 and data sheets of terminal blocks (memory): 120 A for each mm², 300 A of 2.5 mm² to 4.2 kA of 35
    mm²."""
    lines = f"""
strip -X1 at=+A {{
  :1..3 {section}mm2
}}
device -E1 socket-16a-5p at=+A
wire -G0:L1,L2,L3 to -X1:1,2,3 2.5mm2
wire -X1:1,2,3 to -E1:L1,L2,L3 2.5mm2
"""
    assert plant(lines, upstream="fuse-gG-63A").by_key["terminal-withstand -X1"].limit == pytest.approx(amps)


@each_of(("second", "peak"), [("5kA", 7_500), ("10kA", 17_000), ("20kA", 40_000), ("50kA", 105_000), ("80kA", 176_000)])
def test_the_peak_that_an_assembly_bears(second: str, peak: float) -> None:
    """IEC 61439-1, table 7 (memory): n = 1.5, 1.7, 2, 2.1, 2.2."""
    lines = f"busbar -WB1 at=+A poles=3 current=400A short-time-withstand={second}\nwire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2\n"
    assert plant(lines, upstream="fuse-gG-400A").by_key["equipment-withstand.peak -WB1"].limit == pytest.approx(peak)


@each_of(("rated", "second"), [(63, 756), (160, 1920), (400, 4800)])
def test_a_switch_bears_twelve_times_its_rated_current(rated: int, second: float) -> None:
    """IEC 60947-3, 4.3.6.1 (memory)."""
    part = "part bare {\n  kind = isolator   letter = Q   class = II\n  terminal :1 :3 :5 line-in\n  terminal :2 :4 :6 load-out\n"
    part += "  pole :1,3,5 to :2,4,6\n}\n"
    lines = f"{part}device -Q0 bare at=+A current={rated}A\nwire -G0:L1,L2,L3 to -Q0:1,3,5 50mm2\n"
    assert plant(lines, upstream="fuse-gG-63A").by_key["equipment-withstand.short-time -Q0"].limit == second


@each_of(("rated", "level", "low"), [(63, "50kA", 9_500), (100, "50kA", 14_000), (160, "50kA", 20_000), (250, "50kA", 27_000)])
def test_the_peak_behind_a_fuse_is_not_below_the_diagrams(rated: int, level: str, low: float) -> None:
    """Cut-off diagrams of NH fuse-links gG in makers' handbooks (memory, read to about 10 %): the straight rise gives more,
    by no more than two thirds, for it takes the I²t of operation as that of melting."""
    lines = "busbar -WB1 at=+A poles=3 current=400A short-time-withstand=50kA\nwire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2\n"
    found = plant(lines, upstream=f"fuse-gG-{rated}A", level=level).by_key["equipment-withstand.peak -WB1"]
    assert low <= found.value <= low * 5 / 3
