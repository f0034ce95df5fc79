"""What a first draft is made of fits together and is there in the library."""

from __future__ import annotations

from itertools import pairwise

import pytest

from netdsl.library.catalogue import part_entry
from netdsl.model.files import library_index, library_part
from netdsl.starting import read_motor_list
from netdsl.starting.choosing import (
    cage_motor,
    contactor_for,
    feeder_device,
    feeder_rating,
    inrush,
    motor_current,
    own_part,
    upstream_for,
)
from netdsl.starting.practice import BREAKER, CURVE_D, Infeed, bars_a, infeeds, practice, ways
from tests.cases import each_of


def test_a_way_uses_a_scheme_of_the_library_and_starts_its_largest_motor() -> None:
    schemes = library_index("scheme")
    for name, way in ways().items():
        assert way.scheme in schemes or {f"{way.scheme}-{place}" for place in ("first", "middle", "last")} <= set(schemes), name
        motor = own_part(way, way.largest_kw * 1000) if way.parts else cage_motor(way.largest_kw * 1000)
        assert motor is not None and motor.power == pytest.approx(way.largest_kw * 1000), name
        assert way.driven or way.starting in (BREAKER, CURVE_D) or way.name in ("heater", "dosing-pump"), name
        assert way.winding in ("", "400/690V", "400V") and way.cores in (4, 7), name


def test_the_largest_motor_of_a_way_is_taken_and_a_larger_one_refused() -> None:
    def read(kw: float, name: str) -> bool:
        return bool(read_motor_list(f"designation,power,way of running\nP1,{kw}kW,{name}\n", "list.csv")[0])

    for name, way in ways().items():
        assert read(way.largest_kw, name) and not read(way.largest_kw + 0.1, name), name


def test_other_words_mean_a_way_and_no_column_is_spelt_twice() -> None:
    assert set(practice()["other_words"].values()) <= set(ways())
    assert not set(practice()["other_words"]) & set(ways())
    spellings = [spelling for known in practice()["columns"].values() for spelling in known]
    assert len(spellings) == len(set(spellings))


@each_of(
    ("word", "way"),
    [
        ("VFD", "drive"),
        ("Frequency converter", "drive"),
        ("VFD + bypass", "mains-bypass"),
        ("Soft starter (bypass)", "soft-starter"),
        ("D.O.L.", "direct-on-line"),
        ("Star/Delta", "star-delta"),
        ("Fwd/Rev", "reversing"),
        ("2 speed", "two-speed"),
        ("duty/stand-by", "duty-standby"),
        ("Float switches", "level-control"),
        ("VFD with brake", "brake-motor"),
        ("Several motors on one drive", "shared-drive"),
        ("VFD + isolator", "drive-isolator"),
        ("E-stop", "emergency-stop"),
        ("Locked gate", "gate-lock"),
        ("Well pump", "submersible"),
        ("Several pumps on one drive", "alternating-pumps"),
        ("Lead and assist", "fixed-lead-pumps"),
    ],
)
def test_a_list_may_say_a_way_in_the_words_of_the_trade(word: str, way: str) -> None:
    motors, findings = read_motor_list(f"designation;power;way of running\nP1;4;{word}\n", "list.csv")
    assert findings == () and [motor.way for motor in motors] == [way]


@each_of(
    ("row", "said"),
    [
        ("P1;3;400;two-speed", "no motor with two windings of 3 kW"),
        ("P1;4;400/690V;two-speed", "have one voltage"),
        ("P1;4;230/400V;star-delta", "runs in delta"),
    ],
)
def test_what_no_motor_of_a_way_can_have_is_told(row: str, said: str) -> None:
    motors, (finding,) = read_motor_list(f"designation;power;voltage;way of running\n{row}\n", "list.csv")
    assert motors == () and said in finding.message


def test_infeeds_rise_and_each_part_carries_the_fuse() -> None:
    for before, after in pairwise(infeeds()):
        assert before.fuse < after.fuse
        for column in ("panel", "bonding", "isolator", "clamp"):
            assert getattr(before, column) <= getattr(after, column), (after.fuse, column)
        assert before.cable <= after.cable or (after.doubled and not before.doubled)
    for infeed in infeeds():
        assert infeed.isolator >= infeed.fuse and infeed.clamp >= infeed.cable and infeed.clamp >= infeed.panel
        assert library_part(f"switch-disconnector-{infeed.isolator}a") is not None
        assert bars_a() >= infeed.fuse or not infeed.bars
    assert next(infeed.fuse for infeed in infeeds() if infeed.doubled) == 250
    assert next(infeed.fuse for infeed in infeeds() if infeed.bars) == 200


@each_of(("fuse", "currents"), [(160, ("6kA", "3kA")), (200, ("8kA", "7kA")), (630, ("8kA", "7kA")), (25, ("6kA", "3kA"))])
def test_a_large_supply_has_the_larger_fault_currents(fuse: int, currents: tuple[str, str]) -> None:
    infeed = _infeed(fuse)
    assert (infeed.fault_current, infeed.earth_fault_current) == currents


def _infeed(fuse: int) -> Infeed:
    return next(infeed for infeed in infeeds() if infeed.fuse == fuse)


def test_feeders_have_the_margin_of_an_inrush_and_a_base_that_takes_them() -> None:
    factor, least = inrush()
    assert feeder_rating(0.1) == least
    assert feeder_rating(16 / factor) == 16 and feeder_rating(16.1 / factor) == 20
    assert feeder_device(63 / factor) == ("-Q1", "mcb-3p")
    for amps, base in (
        (63.1, "fuse-nh00-gg"),
        (160, "fuse-nh00-gg"),
        (160.1, "fuse-nh1-gg"),
        (251, "fuse-nh2-gg"),
        (400, "fuse-nh2-gg"),
    ):
        assert feeder_device(amps / factor) == ("-F1", base)
        assert library_part(base) is not None


@each_of(
    ("amps", "largest", "fuse"),
    [
        (20, 10, 25),
        (20, 16, 32),
        (25, 10, 25),
        (25.1, 10, 32),
        (100, 100, 160),
        (20, 20, 32),
        (600, 400, 630),
        (401, 400, 630),  # none is selective: the largest
        (20, 100, 160),
        (20, 25, 40),
        (631, 10, None),
        (10, 630, None),
    ],
)
def test_the_fuse_at_the_origin_carries_all_and_stays_ahead_of_the_largest_behind_it(
    amps: float, largest: float, fuse: int | None
) -> None:
    assert upstream_for(amps, largest) == fuse


@each_of("kw", [0.09, 0.3, 1.2, 4.5, 6, 10, 17.5, 50, 100, 159])
def test_a_motor_takes_current_in_proportion_and_no_less(kw: float) -> None:
    part = cage_motor(kw * 1000)
    assert part is not None
    exact = part.current * kw * 1000 / part.power
    assert exact - 1e-9 <= motor_current(kw * 1000) < exact + 0.01


def test_a_contactor_is_the_smallest_that_does() -> None:
    found = [contactor_for(kw * 1000, motor_current(kw * 1000)) for kw in (0.09, 4, 5.5, 7.5, 11, 15)]
    currents = [amount for name in found if (amount := _amount(name, "current")) is not None]
    assert currents == sorted(currents) and len(currents) == len(found) and currents[0] == 9
    for kw, name in zip((0.09, 4, 5.5, 7.5, 11, 15), found, strict=True):
        power, current = _amount(name, "power"), _amount(name, "current")
        assert power is not None and current is not None and power >= kw * 1000 and current >= motor_current(kw * 1000)


def _amount(name: str, rating: str) -> float | None:
    entry = part_entry(name)
    return entry.part.ratings.amount(rating) if entry and entry.part else None
