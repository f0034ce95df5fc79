"""What control sources have to give. Numbers worked out by hand from Ohm's and Kirchhoff's laws."""

from __future__ import annotations

from pathlib import Path

import pytest
from control_plants import BASE, SUPPLY, by_key, computed

from netdsl.calc.basis import Result
from netdsl.calc.control.branches import ControlBranches
from netdsl.calc.control.contacts import ContactLoads
from netdsl.calc.control.drops import ControlDrops
from netdsl.calc.control.sources import SourceLoads
from netdsl.calc.sheet.leaning import leaning
from tests.cases import each_of

LAMPS = """\
device -P1 bulb at=+MCP
device -P2 bulb at=+MCP
wire -T9:+ to -P1:X1 to -P2:X1 0.75mm2
wire -T9:- to -P1:X2 to -P2:X2 0.75mm2
"""


def test_the_load_is_the_sum_of_what_hangs_on_the_source(tmp_path: Path) -> None:
    loads = by_key(computed(tmp_path, SUPPLY + LAMPS).of(SourceLoads).results())
    load = loads["source-load -T9:+"]
    assert load.value == pytest.approx(2 * 12 / 24)
    assert load.limit == 1
    assert load.holds
    assert load.inserted == "2 · 12 W / 24 V"


def test_what_contacts_switch_counts_as_on(tmp_path: Path) -> None:
    text = (
        SUPPLY
        + LAMPS
        + """\
device -S1 contact at=+MCP
device -K1 relay at=+MCP
wire -T9:+ to -S1:13 0.75mm2
wire -S1:14 to -K1:A1 0.75mm2
wire -K1:A2 to -T9:- 0.75mm2
"""
    )
    load = by_key(computed(tmp_path, text).of(SourceLoads).results())["source-load -T9:+"]
    assert load.value == pytest.approx(1.1)
    assert not load.holds
    assert load.margin_percent == pytest.approx(-10)


def test_a_consumer_of_unknown_power_leaves_a_gap_and_no_number(tmp_path: Path) -> None:
    bare = BASE.replace(" power=12W", "")
    calculation = computed(tmp_path, SUPPLY + LAMPS, bare)
    assert list(calculation.of(SourceLoads).results()) == []
    assert [(gap.kind, gap.things) for gap in calculation.missing] == [("power", ("-P1",)), ("power", ("-P2",))]


def test_a_source_without_a_current_leaves_a_gap(tmp_path: Path) -> None:
    bare = BASE.replace(" current=1A\n}\npart bulb", "\n}\npart bulb")
    calculation = computed(tmp_path, SUPPLY + LAMPS, bare)
    assert list(calculation.of(SourceLoads).results()) == []
    assert [gap.kind for gap in calculation.missing] == ["rated current"]


DRIVE = """\
device -T1 vsd-4kw at=+MCP
device -S1 contact at=+MCP
device -B1 transmitter-4-20ma at=+HALL
device -R1 potentiometer at=+MCP
wire -T1:24V to -S1:13 0.75mm2
wire -S1:14 to -T1:DI1 0.75mm2
wire -T1:AGND to -T1:COM 0.75mm2
cable -W1 1x2x0.75 screened length=20m {
  1a -T1:24V to -B1:+
  1b -T1:AI2 to -B1:-
}
wire -T1:10V to -R1:3 0.75mm2
wire -T1:AGND to -R1:1 0.75mm2
"""


def test_inputs_transmitters_and_potentiometers_load_a_drive(tmp_path: Path) -> None:
    calculation = computed(tmp_path, DRIVE)
    loads = by_key(calculation.of(SourceLoads).results())
    assert loads["source-load -T1:24V"].value == pytest.approx(0.010 + 0.020)
    assert loads["source-load -T1:10V"].value == pytest.approx(10 / 4700)
    assert "digital-input-current" in {assumption.name for assumption in calculation.assumptions}


def test_an_input_that_states_its_current_needs_no_assumption(tmp_path: Path) -> None:
    text = """\
part card "Card" {
  kind = controller   letter = K   class = III
  terminal :1 digital-in common=:M current=6mA
  terminal :M digital-common
}
device -K2 card at=+MCP
device -S1 contact at=+MCP
wire -T9:+ to -S1:13 0.75mm2
wire -S1:14 to -K2:1 0.75mm2
wire -K2:M to -T9:- 0.75mm2
"""
    calculation = computed(tmp_path, SUPPLY + text)
    assert by_key(calculation.of(SourceLoads).results())["source-load -T9:+"].value == pytest.approx(0.006)
    assert "digital-input-current" not in {assumption.name for assumption in calculation.assumptions}


def test_what_an_output_card_switches_loads_its_supply(tmp_path: Path) -> None:
    text = """\
device -K2 card-16do at=+MCP
device -K1 relay at=+MCP
wire -T9:+ to -K2:L+ 0.75mm2
wire -K2:M to -T9:- 0.75mm2
wire -K2:3 to -K1:A1 0.75mm2
wire -K1:A2 to -T9:- 0.75mm2
"""
    calculation = computed(tmp_path, SUPPLY + text)
    assert by_key(calculation.of(SourceLoads).results())["source-load -T9:+"].value == pytest.approx(0.1)
    contact = by_key(calculation.of(ContactLoads).results())["contact-load -K2:3"]
    assert contact.value == pytest.approx(0.1)
    assert contact.limit == 0.5


def test_outside_equipment_takes_what_it_states(tmp_path: Path) -> None:
    text = """\
outside -A1 "Gateway" at=+HALL {
  current = 300mA
  terminal :L+ supply-in common=:M
  terminal :M supply-common
}
wire -T9:+ to -A1:L+ 0.75mm2
wire -T9:- to -A1:M 0.75mm2
"""
    assert by_key(computed(tmp_path, SUPPLY + text).of(SourceLoads).results())["source-load -T9:+"].value == pytest.approx(0.3)


BRANCH = """\
device -T9 supply at=+MCP
device -F1 mcb-1p at=+MCP current=2A curve=B voltage=60V
device -P1 bulb at=+HALL
wire -T9:+ to -F1:1 resistance=0ohm
cable -W1 2x1.5 resistance={ohms}ohm {{
  BN -F1:2 to -P1:X1
  BU -T9:- to -P1:X2
}}
"""


def test_a_supply_trips_by_what_it_gives_at_most(tmp_path: Path) -> None:
    trip = by_key(computed(tmp_path, BRANCH.format(ohms="0.1")).of(SourceLoads).results())["supply-trip -F1"]
    assert trip.value == 15  # 24 V / 0.2 ohm would be 120 A: the supply gives 15 A
    assert trip.limit == pytest.approx(1.5 * 5 * 2)  # curve B, 5 times 2 A, half as much again on direct current
    assert trip.holds


def test_long_conductors_keep_a_supply_from_tripping(tmp_path: Path) -> None:
    trip = by_key(computed(tmp_path, BRANCH.format(ohms=4)).of(SourceLoads).results())["supply-trip -F1"]
    assert trip.value == pytest.approx(24 / (8 + 0.6))  # with the pole of the breaker
    assert not trip.holds


@each_of(("more", "ohms", "assumed"), [("", 0.6, True), ("resistance=0.9ohm", 0.9, False), ("resistance=0ohm", 0.0, False)])
def test_the_pole_of_a_small_breaker_is_in_the_way_of_a_short_circuit(
    tmp_path: Path, more: str, ohms: float, assumed: bool
) -> None:
    """24 V over 1.6 ohm of cable alone are 15 A, no less than it takes: with the pole of a 2 A breaker it is not enough."""
    text = BRANCH.format(ohms="0.8").replace("voltage=60V", f"voltage=60V {more}")
    calculation = computed(tmp_path, text)
    trip = by_key(calculation.of(SourceLoads).results())["supply-trip -F1"]
    assert trip.value == pytest.approx(24 / (1.6 + ohms))
    assert trip.holds == (ohms == 0)
    assert ("pole-resistance" in {each.name for each in calculation.assumptions}) == assumed
    assert trip.note.endswith("resistance of contacts not included")
    drop = by_key(calculation.of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    assert drop.value == pytest.approx(100 * 12 / 24 * (1.6 + ohms) / 24)


def test_a_narrow_margin_says_what_it_rests_on(tmp_path: Path) -> None:
    calculation = computed(tmp_path, BRANCH.format(ohms="0.1"))
    trip = by_key(calculation.of(SourceLoads).results())["supply-trip -F1"]
    assert trip.margin_percent == 0
    assert leaning(calculation, trip) == (
        "margin below 10 %, resting on what is assumed: resistance of a pole of -F1, typical for 2 A (0.6 Ω);"
        " 1.5 times the upper end of its instantaneous band, 10 A (15 A)"
    )
    wide = by_key(computed(tmp_path, BRANCH.format(ohms="0.1").replace("2A", "1A")).of(SourceLoads).results())["supply-trip -F1"]
    assert wide.holds
    assert leaning(calculation, wide) == ""


def test_a_project_states_its_own_factor_for_direct_current(tmp_path: Path) -> None:
    text = 'project "Test" {\n  dc-trip-factor = 1\n}\n' + BRANCH.format(ohms="0.1")
    trip = by_key(computed(tmp_path, text).of(SourceLoads).results())["supply-trip -F1"]
    assert trip.limit == 10
    assert trip.limit_given is not None and trip.limit_given.span is not None


def test_a_supply_without_a_peak_current_is_a_gap(tmp_path: Path) -> None:
    bare = BASE.replace("   peak-current = 15A", "")
    calculation = computed(tmp_path, BRANCH.format(ohms=1), bare)
    assert not [key for key in by_key(calculation.of(SourceLoads).results()) if key.startswith("supply-trip")]
    assert [gap.kind for gap in calculation.missing] == ["peak current"]


def test_a_branch_is_held_against_its_own_protective_device(tmp_path: Path) -> None:
    text = (
        SUPPLY
        + """
device -F1 fuse-1p at=+MCP current=0.8A
device -P1 bulb at=+MCP
device -P2 bulb at=+MCP
wire -T9:+ to -F1:1 1mm2 length=1m
wire -F1:2 to -P1:X1 to -P2:X1 1mm2 length=1m
wire -P2:X2 to -P1:X2 to -T9:- 1mm2 length=1m
"""
    )
    calculation = computed(tmp_path, text)
    branch = by_key(calculation.of(ControlBranches).results())["overload.branch -F1"]
    assert branch.value == pytest.approx(2 * 12 / 24) and branch.limit == 0.8 and not branch.holds


@each_of(("near", "far"), [("-P1", "-P2"), ("-P2", "-P1")])
def test_a_short_circuit_at_the_far_end_is_the_hardest_to_break(tmp_path: Path, near: str, far: str) -> None:
    text = f"""{SUPPLY}
device -F1 mcb-1p at=+MCP current=2A curve=B voltage=60V
device -P1 bulb at=+HALL
device -P2 bulb at=+HALL
wire -T9:+ to -F1:1 resistance=0ohm
cable -W1 2x1.5 resistance=1ohm {{
  BN -F1:2 to {near}:X1
  BU -T9:- to {near}:X2
}}
cable -W2 2x1.5 resistance=3ohm {{
  BN -F1:2 to {far}:X1
  BU -T9:- to {far}:X2
}}
"""
    trip = by_key(computed(tmp_path, text).of(SourceLoads).results())["supply-trip -F1"]
    assert trip.value == pytest.approx(24 / (6 + 0.6))
    assert f"short circuit at {far}" in trip.note


@each_of("poles", [("1", "2", "3", "4"), ("3", "4", "1", "2")])
def test_of_two_sources_at_a_breaker_the_one_that_loads_it_more_counts(tmp_path: Path, poles: tuple[str, str, str, str]) -> None:
    """One pole of it for one lamp, another for two of another supply."""
    a, b, c, d = poles
    text = f"""{SUPPLY}
device -T8 supply at=+MCP
device -F1 mcb-3p at=+MCP current=2A curve=B voltage=60V
device -P1 bulb at=+MCP
device -P2 bulb at=+MCP
device -P3 bulb at=+MCP
wire -T9:+ to -F1:{a} 0.75mm2
wire -F1:{b} to -P1:X1 0.75mm2
wire -P1:X2 to -T9:- 0.75mm2
wire -T8:+ to -F1:{c} 0.75mm2
wire -F1:{d} to -P2:X1 to -P3:X1 0.75mm2
wire -P2:X2 to -P3:X2 to -T8:- 0.75mm2
"""
    branch = by_key(computed(tmp_path, text).of(ControlBranches).results())["overload.branch -F1"]
    assert branch.value == pytest.approx(1.0)


def test_a_fuse_of_a_branch_has_five_seconds(tmp_path: Path) -> None:
    text = BRANCH.format(ohms="0.1").replace("mcb-1p at=+MCP current=2A curve=B voltage=60V", "fuse-1p at=+MCP current=2A")
    trip = by_key(computed(tmp_path, text).of(SourceLoads).results())["supply-trip -F1"]
    assert trip.limit == pytest.approx(9.2)
    assert trip.limit_given is not None and "within 5 s" in trip.limit_given.words


def trip(tmp_path: Path, text: str, *, base: str = BASE) -> Result:
    return by_key(computed(tmp_path, text, base).of(SourceLoads).results())["supply-trip -F1"]


ELECTRONIC = BRANCH.replace("mcb-1p at=+MCP current=2A curve=B voltage=60V", "electronic-breaker-1p at=+MCP current=4A {more}")


@each_of(("more", "amps", "holds"), [("", 6, True), ("instantaneous=14A", 14, True), ("instantaneous=16A", 16, False)])
def test_an_electronic_breaker_acts_on_direct_current_at_its_own(tmp_path: Path, more: str, amps: float, holds: bool) -> None:
    """1.5 times 4 A where it states nothing, and no factor for direct current; the supply gives 15 A."""
    found = trip(tmp_path, ELECTRONIC.format(ohms="0", more=f"resistance=0ohm {more}"))
    assert (found.value, found.limit, found.holds) == (pytest.approx(15), pytest.approx(amps), holds)


@each_of(("time", "amps"), [("5s", 15), ("0.05s", 1)])
def test_a_peak_that_is_over_before_the_breaker_acts_does_not_count(tmp_path: Path, time: str, amps: float) -> None:
    """A breaker is certain to act within 0.1 s; later the supply limits itself to 1 A."""
    base = BASE.replace("peak-current = 15A", f"peak-current = 15A   peak-time = {time}")
    assert trip(tmp_path, BRANCH.format(ohms="0"), base=base).value == pytest.approx(amps)


def test_a_breaker_ahead_of_others_has_to_trip_for_a_fault_at_the_next(tmp_path: Path) -> None:
    """Fault at -F2: 0.5 ohm there and as much back, two poles of 0.1 ohm; the cable behind -F2 is no part of it."""
    text = """\
device -T9 supply at=+MCP
device -F1 mcb-1p at=+MCP current=4A curve=B voltage=60V resistance=0.1ohm
device -F2 mcb-1p at=+MCP current=1A curve=B voltage=60V resistance=0.1ohm
device -P1 bulb at=+HALL
wire -T9:+ to -F1:1 resistance=0.2ohm
wire -F1:2 to -F2:1 resistance=0.3ohm
cable -W1 2x1.5 resistance=5ohm {
  BN -F2:2 to -P1:X1
  BU -T9:- to -P1:X2
}
"""
    base = BASE.replace("peak-current = 15A", "peak-current = 100A")
    found = by_key(computed(tmp_path, text, base).of(SourceLoads).results())
    assert found["supply-trip -F1"].value == pytest.approx(24 / (2 * 0.5 + 0.1))
    assert found["supply-trip -F2"].value == pytest.approx(24 / (0.5 + 10 + 0.2))


def test_a_breaker_of_an_unknown_curve_is_not_judged(tmp_path: Path) -> None:
    loads = computed(tmp_path, BRANCH.format(ohms="0").replace("curve=B", "curve=K")).of(SourceLoads)
    assert [name for name, _ in loads.not_judged()] == ["-F1"]
    assert "supply-trip -F1" not in by_key(loads.results())
