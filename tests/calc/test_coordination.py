"""Selectivity by characteristics and by tables, how long a circuit may be, and the figures of what bears a short circuit."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.coordination import EquipmentWithstands, Selectivities
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Coordination" {{
  number = "1" {project}
}}
place +MCP "Panel" kind=cabinet {place}
defaults length=0.5m
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current={level} earth-fault-current={level} upstream={upstream}
{parts}
{lines}
"""


def plant(lines: str, *, upstream: str = "fuse-gG-63A", level: str = "10kA", parts: str = "", project: str = "") -> Calculation:
    return calculated(PLANT.format(lines=lines, upstream=upstream, level=level, parts=parts, project=project, place=""))


def single(lines: str, upstream: str, **more: str) -> Result:
    """The selectivity of `-F1` with what protects ahead of the supply."""
    return plant(lines + "\nwire -G0:L1,L2,L3 to -F1:1,3,5 16mm2\n", upstream=upstream, **more).by_key[
        "selectivity -F1 behind -G0"
    ]


def device(part: str, amps: float, more: str = "") -> str:
    return f"device -F1 {part} at=+MCP current={amps:g}A {more}"


def test_a_breaker_behind_a_fuse_up_to_the_current_whose_half_period_melts_it() -> None:
    """63 A gG bears 9000 A²s: sqrt(9000 / 0.01) = 948.7 A, less than the least of the standard's classes."""
    found = single(device("mcb-3p-c", 25), "fuse-gG-63A")
    assert found.value == pytest.approx(948.68, abs=0.01)
    assert found.note.startswith("behind what protects ahead of -G0 (gG 63 A): partial")
    assert found.limit is None


def test_a_breaker_behind_a_fuse_between_two_classes() -> None:
    """125 A gG bears 46000 A²s; C25 of class 3 lets 39000 A²s through at 4.5 kA and 55000 at 6 kA: 4500 + 1500 7/16 = 5156 A."""
    found = single(device("mcb-3p-c", 25), "fuse-gG-125A")
    assert found.value == pytest.approx(5156.25, abs=0.01)


def test_a_breaker_that_lets_less_through_than_melts_the_fuse_is_selective_up_to_its_breaking_capacity() -> None:
    """250 A gG bears 250000 A²s, C16 lets 84000 through at 10 kA."""
    found = single(device("mcb-3p-c", 16), "fuse-gG-250A")
    assert found.value == 10000
    assert ": total, for no more than" in found.note


def test_a_stated_let_through_and_pre_arcing_energy_count() -> None:
    lines = (
        "device -F0 fuse-nh00-gg at=+MCP current=63A pre-arcing=20kA2s\n"
        + device("mcb-3p-c", 25, "let-through=19kA2s")
        + "\nwire -G0:L1,L2,L3 to -F0:1,3,5 16mm2\nwire -F0:2,4,6 to -F1:1,3,5 16mm2\n"
    )
    results = plant(lines, upstream="fuse-gG-250A").by_key
    assert results["selectivity -F1 behind -F0"].value == 10000
    assert {key for key in results if key.startswith("selectivity ")} == {
        "selectivity -F0 behind -G0",
        "selectivity -F1 behind -F0",
        "selectivity -F1 behind -G0",
    }


def test_a_fuse_that_melts_before_the_breaker_trips_at_once_is_counted_on_at_overload_alone() -> None:
    """32 A gG may melt at 200 A within 0.1 s, C25 is certain to trip at once from 250 A: up to 1.25 times 32 A."""
    found = single(device("mcb-3p-c", 25), "fuse-gG-32A")
    assert (found.value, "partial" in found.note) == (40.0, True)


@each_of(
    ("part", "amps", "upstream", "bears"),
    [
        ("fuse-10x38-gg", 25, "fuse-gG-25A", 31.25),  # 1.25 times 25 A, below 1.6 times 25 A
        ("mcb-3p-c", 32, "mcb-C-40A", 45.2),  # 1.13 times 40 A, below 1.45 times 32 A
        ("mcb-3p-c", 50, "mccb-63A", 66.15),  # 1.05 times 63 A, below 1.45 times 50 A
    ],
)
def test_nothing_discriminates_where_an_overload_may_open_both(part: str, amps: float, upstream: str, bears: float) -> None:
    found = single(device(part, amps), upstream)
    assert found.value == pytest.approx(bears)
    assert ": none; an overload may trip the one ahead first" in found.note


@each_of(
    ("part", "amps", "upstream", "limit"),
    [
        ("mcb-3p-b", 16, "mcb-B-63A", 3 * 63),
        ("mcb-3p-c", 16, "mcb-C-63A", 5 * 63),
        ("mcb-3p-c", 16, "mcb-D-63A", 10 * 63),
        ("mcb-3p-c", 16, "mccb-160A", 0.8 * 10 * 160),
        ("fuse-10x38-gg", 32, "mccb-160A", 0.8 * 10 * 160),
    ],
)
def test_behind_a_breaker_up_to_the_lower_end_of_its_band(part: str, amps: float, upstream: str, limit: float) -> None:
    assert single(device(part, amps), upstream).value == pytest.approx(limit)


def test_a_semiconductor_fuse_that_states_nothing_is_not_judged_and_one_with_its_energy_is() -> None:
    lines = device("fuse-10x38-ar", 32) + "\nwire -G0:L1,L2,L3 to -F1:1,3,5 16mm2\n"
    calculation = plant(lines)
    assert "selectivity -F1 behind -G0" not in calculation.by_key
    ((name, why),) = calculation.of(Selectivities).not_judged()
    assert name == "-F1"
    assert why.endswith("of -F1 no current is known at which it operates")
    found = single(device("fuse-10x38-ar", 32, "let-through=1kA2s"), "fuse-gG-63A")
    assert found.value == 100_000


def test_where_no_fault_current_is_known_nothing_is_said() -> None:
    text = device("mcb-3p-c", 16) + "\nwire -G0:L1,L2,L3 to -F1:1,3,5\n"
    calculation = plant(text)
    assert not [key for key in calculation.by_key if key.startswith("selectivity")]
    assert [why.partition(": ")[2] for _, why in calculation.of(Selectivities).not_judged()] == [
        "the largest fault current behind it is not computed"
    ]


# --- tables ---------------------------------------------------------------------------------------------------------
PART = """
part own "Breaker" {{
  kind = breaker   letter = F   class = II   voltage = 400V   curve = C   breaking = 10kA
  terminal :1 :3 :5 line-in 0.75..25mm2
  terminal :2 :4 :6 load-out 0.75..25mm2
  pole :1,3,5 to :2,4,6 by=handle
  {rows}
}}
"""
CHAIN = """
device -F0 {ahead} at=+MCP current=63A
device -F1 {behind} at=+MCP current=16A
wire -G0:L1,L2,L3 to -F0:1,3,5 16mm2
wire -F0:2,4,6 to -F1:1,3,5 16mm2
"""


@each_of(
    ("rows", "limit", "word"),
    [
        ("selective behind=mcb-3p-b current=16A up-to=4kA", 4000, "partial"),
        ("selective behind=mcb-B up-to=total", 10000, "total"),
        ("selective behind=mcb up-to=none", 0, "none"),
        ("selective behind=mcb-3p-b current=10A up-to=4kA", 315, "partial"),
        ("selective behind=mcb-3p-c up-to=4kA", 315, "partial"),
        ("selective behind=mcb rated=80A up-to=4kA", 315, "partial"),
        ("selective behind=mcb rated=63A up-to=4kA\n  selective behind=mcb current=16A up-to=5kA", 5000, "partial"),
        ("selective ahead=fuse-gG up-to=4kA", 315, "partial"),
    ],
)
def test_a_row_of_the_table_of_what_is_ahead(rows: str, limit: float, word: str) -> None:
    results = plant(CHAIN.format(ahead="own", behind="mcb-3p-b"), parts=PART.format(rows=rows), upstream="fuse-gG-250A").by_key
    found = results["selectivity -F1 behind -F0"]
    assert (found.value, word in found.note) == (limit, True)


@each_of(
    ("rows", "limit"),
    [
        ("selective ahead=fuse-gG current=63A up-to=3kA", 3000),
        ("selective ahead=fuse current=80A up-to=3kA", 948.68),
        ("selective ahead=fuse rated=16A up-to=3kA", 3000),
        ("selective ahead=fuse rated=10A up-to=3kA", 948.68),
    ],
)
def test_a_row_of_the_table_of_what_is_behind(rows: str, limit: float) -> None:
    results = plant(
        CHAIN.format(ahead="fuse-nh00-gg", behind="own"), parts=PART.format(rows=rows), upstream="fuse-gG-250A"
    ).by_key
    assert results["selectivity -F1 behind -F0"].value == pytest.approx(limit, rel=1e-4)


def test_what_a_device_states_is_about_the_next_ahead_alone() -> None:
    chain = CHAIN.format(ahead="fuse-nh00-gg", behind="mcb-3p-c").replace("current=16A", "current=16A selectivity-limit=2kA")
    results = plant(chain, upstream="fuse-gG-250A").by_key
    assert results["selectivity -F1 behind -F0"].value == 2000
    assert results["selectivity -F1 behind -G0"].value == 10000


@each_of(("wanted", "limit"), [("total", True), ("partial", True)])
def test_the_project_makes_a_limit_of_it(wanted: str, limit: bool) -> None:
    found = single(device("mcb-3p-c", 25), "fuse-gG-63A", project=f"selectivity = {wanted}")
    assert (found.limit is not None) is limit
    assert found.holds is (wanted == "partial")
    assert found.limit == (pytest.approx(1.45 * 25) if wanted == "partial" else pytest.approx(9900, rel=0.02))


# --- what bears a short circuit ---------------------------------------------------------------------------------------
def test_the_peak_behind_a_fuse_is_that_of_a_straight_rise() -> None:
    """63 A gG lets 27000 A²s through: i³ = 3 · √2 · 2π · 50 Hz · I_k · 27000 A²s."""
    lines = "busbar -WB1 at=+MCP poles=3 current=63A short-time-withstand=5kA\nwire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2\n"
    calculation = plant(lines)
    largest = calculation.by_key["fault-current.largest -WB1"].value
    peak = calculation.by_key["equipment-withstand.peak -WB1"]
    assert peak.value == pytest.approx((3 * sqrt(2) * 2 * pi * 50 * largest * 27000) ** (1 / 3))
    assert peak.value < calculation.by_key["fault-current.peak -WB1"].value
    assert peak.limit == 7500
    second = calculation.by_key["equipment-withstand.short-time -WB1"]
    assert second.value == pytest.approx(sqrt(27000))
    assert second.limit == 5000


def test_an_enclosure_is_judged_where_most_flows_into_it() -> None:
    lines = """
supply -G1 "Other" system=TN-S voltage=400V frequency=50Hz fault-current=3kA earth-fault-current=3kA upstream=fuse-gG-63A
busbar -WB1 at=+MCP poles=3
busbar -WB2 at=+MCP poles=3
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2
wire -G1:L1,L2,L3 to -WB2:L1,L2,L3 16mm2
"""
    results = plant(lines, level="8kA").by_key
    assert results["equipment-withstand.exempt +MCP"].value == results["fault-current.largest -WB1"].value
    assert results["equipment-withstand.exempt +MCP"].limit == 10000


def test_a_back_up_raises_the_breaking_capacity_where_it_is_ahead() -> None:
    backed = "breaking=6kA conditional-current=25kA max-upstream={most}A upstream-kind=fuse-gG"
    for most, limit in ((63, 25000), (50, 6000)):
        lines = device("mcb-3p-c", 16, backed.format(most=most)) + "\nwire -G0:L1,L2,L3 to -F1:1,3,5 16mm2\n"
        assert plant(lines).by_key["breaking-capacity -F1"].limit == limit


# --- by time ----------------------------------------------------------------------------------------------------------
MAIN = """
device -F0 mccb at=+MCP current=160A instantaneous=1000A breaking=25kA {stated}
device -F1 {behind} at=+MCP
wire -G0:L1,L2,L3 to -F0:1,3,5 70mm2
wire -F0:2,4,6 to -F1:1,3,5 70mm2
"""


@each_of(
    ("stated", "behind", "limit", "word"),
    [
        ("", "mcb-3p-c current=16A", 800, "partial"),
        ("delay=100ms short-time-withstand=8kA", "mcb-3p-c current=16A", 8000, "partial"),
        ("delay=100ms short-time-withstand=12kA", "mcb-3p-c current=16A", 10000, "total"),
        ("delay=100ms", "mcb-3p-c current=16A", 800, "partial"),  # what it bears is not stated
        ("delay=90ms short-time-withstand=12kA", "mcb-3p-c current=16A", 800, "partial"),  # the other takes up to 0.1 s
        ("delay=300ms short-time-withstand=8kA", "mccb current=63A instantaneous=500A", 8000, "partial"),
        (
            "delay=300ms short-time-withstand=8kA",
            "mccb current=63A instantaneous=800A",
            800,
            "partial",
        ),  # up to 960 A not at once
        ("delay=300ms short-time-withstand=8kA", "fuse-nh00-gg current=63A", 8000, "partial"),  # 0.11 s at 800 A
        ("delay=300ms short-time-withstand=8kA", "fuse-nh00-gg current=80A", 800, "partial"),  # more than 0.4 s there
    ],
)
def test_a_release_that_waits_longer_than_the_other_takes_discriminates_by_time(
    stated: str, behind: str, limit: float, word: str
) -> None:
    found = plant(MAIN.format(stated=stated, behind=behind), upstream="fuse-gG-400A").by_key["selectivity -F1 behind -F0"]
    assert (found.value, word in found.note) == (pytest.approx(limit), True), found.note


@each_of(
    ("instantaneous", "limit"),
    [
        (100, 538.8),  # sqrt(90 kA²s / 0.31 s); 120 A is below the 460 A that a fuse of 160 A bears for 10 s
        (400, 200.0),  # 480 A is not: 1.25 times 160 A
    ],
)
def test_a_release_that_waits_behind_a_fuse_lets_more_through(instantaneous: int, limit: float) -> None:
    lines = f"""
device -F0 fuse-nh00-gg at=+MCP current=160A pre-arcing=90kA2s
device -F1 mccb at=+MCP current=40A instantaneous={instantaneous}A delay=300ms breaking=25kA
wire -G0:L1,L2,L3 to -F0:1,3,5 70mm2
wire -F0:2,4,6 to -F1:1,3,5 70mm2
"""
    found = plant(lines, upstream="fuse-gG-400A").by_key["selectivity -F1 behind -F0"]
    assert found.value == pytest.approx(limit, abs=0.05), found.note


def test_a_release_that_waits_lets_more_through_and_disconnects_later() -> None:
    """In 0.01 s after 0.3 s: I sqrt(0.31) for a second."""
    lines = MAIN.format(stated="delay=300ms", behind="switch-disconnector-160a short-time-withstand=10kA")
    results = plant(lines, upstream="mccb-400A", level="4kA").by_key
    largest = results["fault-current.largest -F1"].value
    assert results["equipment-withstand.short-time -F1"].value == pytest.approx(largest * sqrt(0.31), rel=1e-3)


# --- points -----------------------------------------------------------------------------------------------------------
POINT = """
busbar -WB1 at=+MCP poles=3 {bar}
device -F1 mcb-3p-c at=+MCP current=16A breaking={one}
device -F2 mcb-3p-c at=+MCP current=16A breaking={other}
device -K1 {switch} at=+MCP
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2
wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2
wire -WB1:L1,L2,L3 to -F2:1,3,5 4mm2
wire -WB1:L1,L2,L3 to -K1:1,3,5 4mm2
"""


@each_of(
    ("bar", "one", "other", "switch", "level"),
    [
        ("", "6kA", "25kA", "contactor-32a", 6000),
        ("", "15kA", "25kA", "contactor-32a", 10000),  # the bar that states nothing
        ("conditional-current=20kA max-upstream=63A", "25kA", "25kA", "contactor-32a", 20000),
        ("conditional-current=60kA max-upstream=63A", "100kA", "100kA", "contactor-32a", 50000),
        ("", "6kA", "25kA", "contactor-9a upstream-kind=mccb", None),  # a contactor that is not judged
    ],
)
def test_a_point_bears_what_the_weakest_thing_there_bears(
    bar: str, one: str, other: str, switch: str, level: float | None
) -> None:
    results = plant(POINT.format(bar=bar, one=one, other=other, switch=switch), level="5kA").by_key
    found = results.get("fault-level-borne -WB1")
    assert (found.value if found is not None else None) == level
    assert found is None or (found.limit is None and "can flow there" in found.note)


@each_of(
    ("upstream", "stated", "why"),
    [
        ("fuse-gG-63A", "conditional-current=20kA", "its conditional rating names no largest protection ahead (`max-upstream`)"),
        (
            "fuse-gG-63A",
            "conditional-current=20kA max-upstream=63A upstream-kind=mccb/mcb-C",
            "its conditional rating is for mccb or mcb-C up to 63 A ahead, which is not there",
        ),
        ("fuse-aR-63A", "short-time-withstand=5kA", "nothing ahead of it is known to break the fault in time"),
        ("fuse-gG-63A", "", "it states no conditional rating and no current that it bears for a second"),
    ],
)
def test_what_cannot_be_judged_says_why(upstream: str, stated: str, why: str) -> None:
    lines = f"busbar -WB1 at=+MCP poles=3 {stated}\nwire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2\n"
    calculation = plant(lines, upstream=upstream, level="90kA")
    left = dict(calculation.of(EquipmentWithstands).not_judged())
    exempt = [key for key in calculation.by_key if key.startswith("equipment-withstand") and "-WB1" in key]
    if not stated:  # the fuse cuts the peak off below that of the standard
        assert exempt == ["equipment-withstand.peak -WB1"]
        return
    assert left["-WB1"].startswith(why)
    assert exempt == []


@each_of(("stated", "limit"), [("", None), ("instantaneous=1000A", 800.0), ("selectivity-limit=3kA", 3000.0)])
def test_behind_a_release_that_is_not_set_nothing_is_said(stated: str, limit: float | None) -> None:
    """It is taken to trip at the upper end of its range wherever it is to trip, and may well trip at the lower."""
    own, other = (stated, "") if stated.startswith("inst") else ("", stated)
    lines = f"""
device -F0 mccb-160a at=+MCP {own}
device -F1 mcb-3p-c at=+MCP current=16A {other}
wire -G0:L1,L2,L3 to -F0:1,3,5 70mm2
wire -F0:2,4,6 to -F1:1,3,5 25mm2
"""
    calculation = plant(lines, upstream="fuse-gG-400A")
    found = calculation.by_key.get("selectivity -F1 behind -F0")
    assert (found.value if found is not None else None) == limit
    left = [why for name, why in calculation.of(Selectivities).not_judged() if name == "-F1" and "-F0" in why]
    assert left == ([] if stated else ["behind -F0 (160 A): at which current its release trips at once is not set"])
