"""One panel with a part of nearly every family: what they join, feed and are found to be."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from netdsl.cli.work import judge
from netdsl.network.queries import feeds
from netdsl.network.types import Network
from render.words.ratings import rating_lines

PANEL = Path(__file__).parent / "wired" / "plant.netdsl"


@cache
def network() -> Network:
    judged = judge(PANEL)
    assert judged.network is not None
    return judged.network


def test_the_panel_has_no_finding() -> None:
    judged = judge(PANEL)
    assert judged.checked
    assert [finding.message for finding in judged.findings] == []


@pytest.mark.parametrize(
    ("cable", "klass"),
    [
        ("-W0", "mains"),
        ("-W1", "motor"),
        ("-W2", "thermistor"),
        ("-W3", "analogue"),
        ("-W4", "analogue"),
        ("-W5", "control"),
        ("-W6", "mains"),
        ("-W7", "thermistor"),
    ],
)
def test_cables_have_the_class_of_the_parts_at_their_ends(cable: str, klass: str) -> None:
    assert network().cables[cable].klass.value == klass


def test_power_goes_on_through_filters_and_reactors_to_the_motor() -> None:
    chain = ["-Q1", "-L1", "-L2", "-T1", "-L3", "-M1"]
    assert all(feeds(network(), before, after) for before, after in pairwise(chain))
    assert network().cables["-W1"].drive == "-T1" and network().cables["-W1"].load == "-M1"


def test_power_reaches_what_only_takes_it() -> None:
    for source, taker in (("-WB1", "-F1"), ("-F2", "-X9"), ("-F3", "-T3"), ("-F4", "-T4"), ("-Q5", "-K5"), ("-K6", "-M2")):
        assert feeds(network(), source, taker), taker


@pytest.mark.parametrize(
    ("device", "lines"),
    [
        ("-F2", ("C 16 A, IΔn 30 mA", "type A")),
        ("-F1", ("Uc 275 V", "Up 1.5 kV")),
        ("-Q5", ("10..16 A, set 11.5 A", "Icu 50 kA")),
    ],
)
def test_what_the_drawing_says_beside_a_part(device: str, lines: tuple[str, ...]) -> None:
    assert rating_lines(network().plant.devices[device]) == lines
