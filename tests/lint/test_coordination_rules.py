"""Short-circuit strength of switches, bars, terminals and assemblies, and selectivity where the project wants it."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("equipment-withstand", "selectivity-missing")

PLACES = """netdsl 1
project "Coordination" {{
  number = "1"{wanted}
}}
place +MCP "Panel" kind=cabinet{place}
defaults length=0.5m
supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz fault-current={level} earth-fault-current=4kA upstream={upstream}
"""
SWITCH = """
part switch "Switch" {{
  kind = isolator   letter = Q   class = II   {stated}
  terminal :1 :3 :5 line-in 4..50mm2
  terminal :2 :4 :6 load-out 4..50mm2
  pole :1,3,5 to :2,4,6 by=handle
}}
device -Q0 switch at=+MCP
wire -G0:L1,L2,L3 to -Q0:1,3,5 16mm2 BK
"""
SOCKET = "device -E1 socket-16a-5p at=+MCP\nwire -X1:1,2,3 to -E1:L1,L2,L3 4mm2 BK\n"
BAR = "busbar -WB1 at=+MCP poles=3{stated}\nwire -G0:L1,L2,L3 to -WB1:L1,L2,L3 16mm2 BK\n"


def plant(text: str, *, level: str = "20kA", upstream: str = "fuse-gG-63A", wanted: str = "", place: str = "") -> str:
    return PLACES.format(level=level, upstream=upstream, wanted=wanted, place=place) + text


def switch(stated: str) -> str:
    return SWITCH.format(stated=stated)


def messages(found: Found, text: str) -> list[str]:
    return [f"{finding.subjects[0]} {finding.message}" for finding in found(text, frame="")]


@each_of(
    "stated",
    [
        "conditional-current = 50kA   upstream-kind = fuse-gG   max-upstream = 63A",
        "conditional-current = 50kA   max-upstream = 63A",
        "conditional-current = 50kA   current = 63A",
        "current = 63A",
        "short-time-withstand = 1kA   peak-withstand = 9kA",
    ],
)
def test_what_bears_the_fault_is_silent(found: Found, stated: str) -> None:
    assert messages(found, plant(switch(stated))) == []


@each_of(
    ("stated", "words"),
    [
        (
            "conditional-current = 10kA   max-upstream = 63A",
            "has a conditional rating of 10 kA, but a fault at it draws up to 19.",
        ),
        (
            "conditional-current = 50kA   upstream-kind = fuse   max-upstream = 50A",
            "has its conditional rating with 50 A ahead at most, but what protects ahead of -G0 (gG 63 A) is the nearest",
        ),
        ("short-time-withstand = 0.1kA", "bears 0.1 kA for a second"),
        ("short-time-withstand = 1kA   peak-withstand = 8kA", "bears a peak of 8 kA, but a fault at it reaches up to 8.94 kA"),
        ("making = 8kA", "bears a peak of 8 kA, but a fault at it reaches up to 8.94 kA"),
    ],
)
def test_what_does_not_bear_it_is_said_with_both_numbers(found: Found, stated: str, words: str) -> None:
    (message,) = messages(found, plant(switch(stated)))
    assert f"`-Q0` {words}" in message


def test_more_than_its_standard_asks_of_a_switch_that_states_nothing_is_no_fault(found: Found) -> None:
    assert messages(found, plant(switch("current = 10A"))) == []


def test_a_device_ahead_that_states_it_cuts_the_peak_off(found: Found) -> None:
    ahead = "device -Q1 mccb at=+MCP current=63A breaking=50kA{cut}\nwire -G0:L1,L2,L3 to -Q1:1,3,5 16mm2 BK\n"
    behind = switch("peak-withstand = 20kA   short-time-withstand = 2kA").replace("-G0:L1,L2,L3", "-Q1:2,4,6")
    (message,) = messages(found, plant(ahead.format(cut="") + behind, upstream="mccb-160A"))
    assert "a peak of 20 kA" in message
    assert messages(found, plant(ahead.format(cut=" cut-off-current=8kA") + behind, upstream="mccb-160A")) == []


def test_behind_a_drive_nothing_is_held(found: Found) -> None:
    text = switch("conditional-current = 0.1kA   max-upstream = 100A").replace("-G0:L1,L2,L3", "-T1:U,V,W")
    drive = "device -T1 vsd-7.5kw at=+MCP\nwire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 BK\n"
    assert messages(found, plant(drive + text)) == []


def test_a_device_of_another_kind_ahead_leaves_a_rating_unjudged(found: Found) -> None:
    """Behind a breaker the rating with a fuse says nothing; without another statement nothing is judged."""
    stated = "conditional-current = 1kA   upstream-kind = fuse-gG   max-upstream = 63A"
    assert messages(found, plant(switch(stated), upstream="mccb-63A")) == []


def test_a_back_up_stands_for_breaking_capacity_only_where_it_is_there(found: Found) -> None:
    """The rating of a protective device counts as its breaking capacity, which another rule judges."""
    text = "device -Q1 mcb-3p at=+MCP current=16A breaking=6kA conditional-current=1kA\nwire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 BK\n"
    assert messages(found, plant(text)) == []


@each_of(("level", "stated"), [("9kA", ""), ("20kA", ""), ("20kA", " short-time-withstand=20kA")])
def test_bars_that_need_no_verification_or_bear_it_are_silent(found: Found, level: str, stated: str) -> None:
    assert messages(found, plant(BAR.format(stated=stated), level=level)) == []


def test_a_bar_and_an_assembly_that_state_too_little_are_named(found: Found) -> None:
    (bar,) = messages(found, plant(BAR.format(stated=" conditional-current=15kA max-upstream=100A")))
    assert bar.startswith("-WB1 `-WB1` has a conditional rating of 15 kA")
    (whole,) = messages(found, plant(BAR.format(stated=""), place=" conditional-current=15kA max-upstream=100A"))
    assert whole.startswith("+MCP `+MCP` has a conditional rating of 15 kA")
    (peak,) = messages(found, plant(BAR.format(stated=" short-time-withstand=10kA"), upstream="mccb-160A"))
    assert "`-WB1` bears a peak of 17 kA" in peak  # 1.7 times 10 kA


def test_a_terminal_bears_120_amperes_for_each_square_millimetre(found: Found) -> None:
    strip = "strip -X1 at=+MCP {{\n  :1..3 {size}\n}}\nwire -G0:L1,L2,L3 to -X1:1,2,3 {size} BK\n" + SOCKET
    upstream = "mccb-160A"
    assert messages(found, plant(strip.format(size="25mm2"), upstream=upstream)) == []
    (message,) = messages(found, plant(strip.format(size="6mm2"), upstream=upstream))
    assert "`-X1` bears 0.72 kA for a second" in message


@each_of(("stated", "count"), [("5kA", 1), ("30kA", 0)])
def test_a_drive_that_states_a_conditional_rating_is_held_to_it(found: Found, stated: str, count: int) -> None:
    text = f"device -T1 vsd-7.5kw at=+MCP conditional-current={stated}\nwire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 BK\n"
    said = messages(found, plant(text, upstream="fuse-gG-25A"))
    assert len(said) == count
    assert all("`-T1` has a conditional rating of 5 kA" in message for message in said)


# --- selectivity ----------------------------------------------------------------------------------------------------
FUSES = """
device -F1 fuse-nh00-gg at=+MCP current={ahead}
device -F2 fuse-10x38-gg at=+MCP current={behind}
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2 BK
wire -F1:2,4,6 to -F2:1,3,5 16mm2 BK
"""


def fuses(ahead: str, behind: str, wanted: str) -> str:
    return plant(
        FUSES.format(ahead=ahead, behind=behind), wanted=f"   selectivity = {wanted}" if wanted else "", upstream="fuse-gG-250A"
    )


@each_of("wanted", ["total", "partial", ""])
def test_fuses_in_the_ratio_of_their_standard_are_silent(found: Found, wanted: str) -> None:
    assert messages(found, fuses("40A", "25A", wanted)) == []


@each_of(("wanted", "count"), [("total", 1), ("partial", 0), ("", 0)])
def test_fuses_one_step_apart_are_named_where_selectivity_is_wanted(found: Found, wanted: str, count: int) -> None:
    assert len(messages(found, fuses("32A", "25A", wanted))) == count


def test_it_names_what_is_ahead_and_both_currents(found: Found) -> None:
    text = """
device -Q1 mcb-3p at=+MCP current=25A
wire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
"""
    (message,) = messages(found, plant(text, level="6kA", wanted="   selectivity = total"))
    assert message.startswith(
        "-Q1 `-Q1` behind what protects ahead of -G0 (gG 63 A) is selective up to 948.7 A, wanted is up to 5"
    )
    assert messages(found, plant(text, level="6kA", wanted="   selectivity = partial")) == []


def test_what_the_maker_states_of_the_next_device_counts(found: Found) -> None:
    text = "device -Q1 mcb-3p at=+MCP current=25A selectivity-limit=6kA\nwire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 BK\n"
    assert messages(found, plant(text, level="6kA", wanted="   selectivity = total")) == []


RESIDUAL = """
device -F1 rcd-4p-b-300 at=+MCP current=63A residual-current={ahead}
device -F2 rcd-4p-a at=+MCP current=40A
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2 BK
wire -G0:N to -F1:N1 16mm2 BU
wire -F1:2,4,6 to -F2:1,3,5 16mm2 BK
wire -F1:N2 to -F2:N1 16mm2 BU
"""


@each_of(("ahead", "count"), [("300mA", 0), ("90mA", 0), ("80mA", 1)])
def test_residual_devices_want_three_times_the_residual_current(found: Found, ahead: str, count: int) -> None:
    found_ = messages(found, plant(RESIDUAL.format(ahead=ahead), level="6kA", wanted="   selectivity = total"))
    assert len(found_) == count
