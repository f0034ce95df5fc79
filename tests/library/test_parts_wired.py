"""Panels with a part of every family: what they join, feed and are found to be."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from netdsl.model.files import library_index
from netdsl.model.part_type import PartType
from netdsl.model.statements.parts import shipped_part
from netdsl.network.queries import feeds
from netdsl.network.types import Network
from render.layout.overlap import overlaps_of
from render.words.ratings import rating_lines
from tests.cases import each_of
from tests.readings import PLANTS, judged, network_of, sheets_of

PANELS = sorted((Path(__file__).parent / "wired").glob("*.netdsl"))
PANEL = Path(__file__).parent / "wired" / "plant.netdsl"


def network() -> Network:
    return network_of(PANEL)


@pytest.mark.parametrize("panel", PANELS, ids=lambda panel: panel.stem)
def test_a_panel_has_no_finding(panel: Path) -> None:
    found = judged(panel)
    assert found.checked
    assert [finding.message for finding in found.findings] == []


@pytest.mark.parametrize("panel", PANELS, ids=lambda panel: panel.stem)
def test_nothing_touches_on_the_drawings_of_a_panel(panel: Path) -> None:
    assert overlaps_of(sheets_of(panel)) == []


def test_of_every_part_one_that_differs_in_figures_alone_is_wired() -> None:
    families: dict[object, list[str]] = {}
    for name in library_index():
        part = shipped_part(name)
        assert part is not None
        families.setdefault(_form(part), []).append(name)
    wired = {form for plant in (*PANELS, *PLANTS) for form in _forms(network_of(plant))}
    assert [names for form, names in families.items() if form not in wired] == []


def _forms(network: Network) -> Iterator[object]:
    """The forms of the parts on which conductors land, and of what is fitted on them."""
    landed = {end.device for conductor in network.plant.conductors.values() for end in conductor.ends}
    for device in network.plant.devices.values():
        fitted = [accessory.part for accessory in device.accessories]
        if device.id in landed or device.kind in ("earth-bar", "screen-bar"):
            yield from (_form(part) for part in (device.part, *fitted) if part is not None)


def _form(part: PartType) -> object:
    """All of a part but its figures: its terminals with what they do, and what lies between them."""
    terminals = tuple((t.name, t.role, t.functions, t.common) for t in part.terminals.values())
    paths = tuple((path.a, path.b, path.kind, path.certain, path.by, path.marks, path.positions) for path in part.paths)
    consumers = tuple((each.a, each.b, each.kind, each.voltage and each.voltage.value) for each in part.consumers)
    return part.kind, terminals, paths, consumers, tuple(source.poles for source in part.sources)


@each_of(
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


@each_of(
    ("device", "lines"),
    [
        ("-F2", ("C 16 A, IΔn 30 mA", "type A, Icn 6 kA")),
        ("-F1", ("Uc 275 V", "Up 1.5 kV")),
        ("-Q5", ("10..16 A, set 11.5 A", "Icu 50 kA")),
    ],
)
def test_what_the_drawing_says_beside_a_part(device: str, lines: tuple[str, ...]) -> None:
    assert rating_lines(network().plant.devices[device]) == lines
