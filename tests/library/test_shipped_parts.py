"""The shipped parts: each can be read and says what it is, and its figures follow the standards they name."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise

import pytest

from netdsl.model.desk import Desk
from netdsl.model.files import library_findings, library_index, library_part
from netdsl.model.kinds import PART_KINDS
from netdsl.model.plant import PartType, Role
from netdsl.model.statements.parts import make_part
from netdsl.quantities import Quantity
from tests.cases import each_of

NAMES = tuple(library_index())
#: kW -> A at 400 V: IEC 60947-4-1, annex G
MOTOR_CURRENT = dict(
    zip(
        (0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 7.5, 11, 15, 18.5, 22, 30, 37, 45, 55, 75, 90, 110, 132, 160, 200),
        (1.9, 2.7, 3.6, 4.9, 6.5, 8.5, 11.5, 15.5, 22, 29, 35, 41, 55, 66, 80, 97, 132, 160, 195, 230, 280, 350),
        strict=True,
    )
)
#: the same below 0.75 kW
SMALL_CURRENT = dict(zip((0.06, 0.09, 0.12, 0.18, 0.25, 0.37, 0.55), (0.2, 0.3, 0.44, 0.6, 0.85, 1.1, 1.5), strict=True))
#: what has no terminals of its own
WITHOUT = ("earth-bar", "screen-bar", "relay-socket", "interlock", "gland")
#: what a scheme may ask of a drive, each of one terminal
FUNCTIONS = (
    "supply-24v common start stop remote enable preset-1 preset-2 reset reverse reference-10v reference-voltage"
    " reference-current feedback analogue-common speed-out current-out bus-a bus-b bus-common safe-torque-off-1"
    " safe-torque-off-2 safe-torque-off-common thermistor-1 thermistor-2 screen-motor screen-control earth motor-earth"
    " motor-u motor-v motor-w supply-l1 supply-l2 supply-l3"
).split() + [f"{relay}-{arm}" for relay in ("relay-1", "relay-2", "fault", "running") for arm in ("common", "make", "break")]


@cache
def part(name: str) -> PartType:
    statement = library_part(name)
    assert statement is not None
    desk = Desk()
    made = make_part(statement, desk)
    assert desk.findings == [], name
    return made


def value(name: str, rating: str) -> float:
    """A rating in its base unit."""
    given = part(name).ratings[rating]
    assert isinstance(given, Quantity), f"{name}: {rating}"
    return given.value


def of(pattern: str) -> list[str]:
    """The parts whose whole name fits `pattern`, by rising number."""
    found = [(float(match[1]), name) for name in NAMES if (match := re.fullmatch(pattern, name))]
    assert found
    return [name for _, name in sorted(found)]


DRIVES = of(r"vsd-([\d.]+)kw")
MOTORS = [name for name in NAMES if re.fullmatch(r"motor-[\d.]+kw-[2468]p", name)]


def test_the_library_has_no_syntax_finding() -> None:
    assert library_findings() == ()


def test_a_part_says_what_it_is() -> None:
    for name in NAMES:
        made = part(name)
        assert made.kind in PART_KINDS, name
        assert made.title and made.symbol, name
        assert re.fullmatch("[A-Z]", made.letter), name
        assert made.protection_class in ("I", "II", "III") or made.kind in ("earth-bar", "screen-bar"), name
        assert made.terminals or made.kind in WITHOUT, name


def test_what_the_lines_of_a_part_join_fits_together() -> None:
    for name in NAMES:
        made = part(name)
        for terminal in made.terminals.values():
            assert terminal.common is None or terminal.common in made.terminals, name
            low, high = terminal.clamp.section or (0, 1)
            assert low < high, name
        for requirement in made.requirements:
            assert requirement.setting is None or requirement.setting in made.settings, name


def test_contact_numbers_follow_en_50005() -> None:
    for name in (name for name in NAMES if part(name).kind not in ("thermostat", "drive")):
        # EN 50005: x1-x2 and x5-x6 open, x3-x4 and x7-x8 close; a changeover is x1-x2-x4 or x5-x6-x8. A contact of a selector
        # has the number of either, as it is closed in some positions; the timer for star-delta is x7-x8 with two makes.
        numbers = {"break": {"1-2", "5-6"}, "make": {"3-4", "7-8", "1-4", "5-8"}}
        for path in part(name).paths:
            if path.kind in numbers:
                assert re.fullmatch(r"\d\d", path.a) and re.fullmatch(r"\d\d", path.b), name
                allowed = numbers[path.kind] | (numbers["break"] if path.positions else set())
                assert f"{path.a[1]}-{path.b[1]}" in allowed, f"{name}: {path.a}-{path.b} {path.kind}"


def test_main_poles_are_numbered_odd_to_even() -> None:
    for name in NAMES:
        # EN 50005 / IEC 60947-1 annex L: 1-2, 3-4, 5-6 from the supply to the load.
        for path in part(name).paths:
            if path.kind == "pole" and path.a.isdigit():
                assert int(path.a) % 2 == 1 and int(path.b) == int(path.a) + 1, name


# --- drives -------------------------------------------------------------------------------------------------------
def test_a_drive_has_each_function_once() -> None:
    for name in DRIVES:
        functions = [function for terminal in part(name).terminals.values() for function in terminal.functions]
        assert sorted(functions) == sorted(FUNCTIONS), name


def test_a_drive_has_the_terminals_a_panel_counts_on() -> None:
    for name in DRIVES:
        made = part(name)
        roles = [terminal.role for terminal in made.terminals.values()]
        assert roles.count(Role.DIGITAL_IN) >= 6, name
        assert roles.count(Role.ANALOGUE_IN) == 2 and roles.count(Role.ANALOGUE_OUT) == 2, name
        assert {"voltage", "4..20mA"} <= set(made.settings["ai1"].words) & set(made.settings["ai2"].words), name
        assert [path.kind for path in made.paths] == ["break", "make"] * 2, name
        assert roles.count(Role.SAFETY_IN) == 2 and roles.count(Role.THERMISTOR) == 2 and roles.count(Role.BUS) == 3, name
        assert made.settings["termination"].words == ("off", "on"), name


def test_a_drive_has_the_ratings_a_panel_is_planned_with() -> None:
    for name in DRIVES:
        made = part(name)
        body = made.ratings["body"]
        assert isinstance(body, Quantity) and body.form == "size" and len(body.values) == 3, name
        assert {"mass", "losses", "touch-current", "clearance-above", "clearance-below", "input-current", "frame"} <= set(
            made.ratings
        )
        for terminal in made.terminals.values():
            assert terminal.role is Role.SCREEN or (
                terminal.clamp.section is not None and terminal.clamp.torque_nm is not None
            ), name
        sources = {source.poles[0]: source for source in made.sources}
        assert all(sources[pole].voltage is not None and sources[pole].current is not None for pole in ("10V", "24V")), name


def test_drives_cover_the_powers_and_rise() -> None:
    assert [value(name, "power") for name in DRIVES] == pytest.approx([power * 1000 for power in MOTOR_CURRENT if power < 200])
    for rating in ("current", "input-current", "losses"):
        values = [value(name, rating) for name in DRIVES]
        assert values == sorted(set(values)), rating
    masses = [value(name, "mass") for name in DRIVES]
    assert masses == sorted(masses)


def test_drives_carry_the_motor_of_their_power() -> None:
    for name in DRIVES:
        assert value(name, "current") >= MOTOR_CURRENT[round(value(name, "power") / 1000, 2)], name


def test_drives_of_one_frame_are_alike() -> None:
    frames: dict[object, set[tuple[float, ...]]] = {}
    for name in DRIVES:
        body = part(name).ratings["body"]
        assert isinstance(body, Quantity)
        frames.setdefault(part(name).ratings["frame"], set()).add(body.values[:2])
    assert all(len(fronts) == 1 for fronts in frames.values())


# --- motors -------------------------------------------------------------------------------------------------------
def test_motors_of_four_poles_take_the_standard_current() -> None:
    motors = {round(value(name, "power") / 1000, 2): value(name, "current") for name in MOTORS if name.endswith("-4p")}
    assert motors == pytest.approx(SMALL_CURRENT | MOTOR_CURRENT)


def test_motors_of_each_pole_number_cover_the_powers_without_a_gap() -> None:
    for poles in (2, 4, 6, 8):
        powers = sorted(value(name, "power") / 1000 for name in MOTORS if name.endswith(f"-{poles}p"))
        assert powers == pytest.approx(sorted(SMALL_CURRENT | MOTOR_CURRENT)), poles
        currents = [
            current for _, current in sorted((value(n, "power"), value(n, "current")) for n in MOTORS if n[-2] == str(poles))
        ]
        assert currents == sorted(set(currents)), poles


def test_a_motor_s_current_follows_from_its_plate() -> None:
    for name in (*(name for name in MOTORS if not name.endswith("-4p")), *of(r"motor-brake-([\d.]+)kw")):
        power, factor, efficiency = (value(name, rating) for rating in ("power", "power-factor", "efficiency"))
        assert value(name, "current") == pytest.approx(power / (3**0.5 * 400 * factor * efficiency / 100), rel=0.03), name


def test_a_motor_turns_a_little_below_its_synchronous_speed() -> None:
    for name in MOTORS:
        synchronous = 6000 / int(name[-2])
        assert 0.9 * synchronous < value(name, "speed") < synchronous, name


# --- the other families -------------------------------------------------------------------------------------------
@each_of(
    "family",
    [
        r"contactor-(\d+)a",
        r"line-reactor-(\d+)a",
        r"emc-filter-(\d+)a",
        r"switch-disconnector-(\d+)a",
        r"mccb-(\d+)a",
        r"motor-breaker-([\d.]+)a",
        r"overload-relay-([\d.]+)a",
        r"supply-24v-([\d.]+)a",
        r"supply-24v-3ph-([\d.]+)a",
    ],
)
def test_a_family_is_named_by_its_current_and_rises(family: str) -> None:
    names = of(family)
    currents = [value(name, "current") for name in names]
    assert currents == [float(re.fullmatch(family, name)[1]) for name in names]  # type: ignore[index]
    sections = [max(t.clamp.section[1] for t in part(name).terminals.values() if t.clamp.section) for name in names]
    assert sections == sorted(sections)


@each_of("family", [r"motor-breaker-([\d.]+)a", r"overload-relay-([\d.]+)a"])
def test_setting_ranges_leave_no_gap(family: str) -> None:
    ranges = [part(name).settings["tripping-current"].range for name in of(family)]
    assert all(before is not None and after is not None and after.value <= before.last for before, after in pairwise(ranges))


def test_contactors_carry_more_in_ac_1_than_in_ac_3() -> None:
    sized = [name for name in NAMES if part(name).kind == "contactor" and "thermal-current" in part(name).ratings]
    assert len(sized) > 15
    assert all(value(name, "thermal-current") >= value(name, "current") for name in sized)


def test_contactors_carry_the_motor_they_are_named_for() -> None:
    for name in of(r"contactor-(\d+)a"):
        assert value(name, "current") >= MOTOR_CURRENT[round(value(name, "power") / 1000, 2)], name


def test_a_supply_s_source_gives_its_rated_current() -> None:
    for name in of(r"supply-24v-(?:3ph-)?([\d.]+)a"):
        (source,) = part(name).sources
        assert source.current is not None and source.current.value == value(name, "current")


def test_a_line_reactor_s_inductance_gives_its_drop() -> None:
    for name in of(r"line-reactor-(\d+)a"):
        drop = 3**0.5 * 2 * 3.14159 * 50 * value(name, "inductance") * value(name, "current") / 400
        assert drop == pytest.approx(0.04, rel=0.05), name


@each_of(
    ("kind", "at_least"),
    [
        ("breaker", 20),
        ("motor-breaker", 10),
        ("fuse", 10),
        ("isolator", 8),
        ("contactor", 15),
        ("overload", 10),
        ("reactor", 10),
        ("filter", 10),
        ("residual-device", 5),
        ("surge-protection", 2),
        ("transformer", 5),
        ("supply-24v", 8),
        ("safety-relay", 1),
        ("timer", 3),
        ("relay", 4),
        ("push-button", 3),
        ("selector", 5),
        ("emergency-stop", 1),
        ("lamp", 5),
        ("potentiometer", 2),
        ("transmitter", 5),
        ("switch", 3),
        ("level-switch", 1),
        ("controller", 5),
        ("socket", 1),
        ("heater", 1),
        ("motor", 40),
        ("earth-bar", 1),
        ("screen-bar", 1),
    ],
)
def test_there_is_a_choice_of_each_kind(kind: str, at_least: int) -> None:
    assert sum(part(name).kind == kind for name in NAMES) >= at_least


def test_residual_devices_say_their_type() -> None:
    types = {part(name).ratings["residual-type"] for name in NAMES if part(name).kind == "residual-device"}
    assert {"A", "B", "F"} <= types
