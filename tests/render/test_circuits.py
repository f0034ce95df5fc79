"""Circuit diagrams read back from their lines: every conductor, contact and load once, between its own terminals."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace

from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.circuit_shapes import actuator
from render.drawings.circuits import circuit_sheets
from render.layout.frame import framed, zone
from render.layout.overlap import overlaps
from render.sheet import Label, Sheet
from tests.render.circuit_readback import Found, read
from tests.render.plants import EXAMPLES, drawing_in, example, labels, texts
from tests.render.random_plants import plant_text
from tests.soundness.plants import sound_plant

#: plants by chance: NETDSL_CIRCUITS=200 tries 200 of either kind
COUNT = int(os.environ.get("NETDSL_CIRCUITS", "6"))
_PLACE = re.compile(r"(?:^| )(?:(\S+/)?E(\d+) )?([A-H]\d)$")


@cache
def drawn(folder: Path) -> tuple[Sheet, ...]:
    """The circuit diagrams of an example."""
    return tuple(circuit_sheets(example(folder)))


def on_size(network: Network, size: str) -> Drawing:
    """A plant on sheets of another size."""
    project = replace(network.plant.project, attributes={**network.plant.project.attributes, "sheet-size": size})
    return Drawing(replace(network, plant=replace(network.plant, project=project)))


def wrong(found: Found, network: Network) -> list[str]:
    """What a reading lacks, has twice, or has otherwise than the network."""
    faults = list(found.faults)
    counts = Counter(name for name, _ in found.conductors)
    faults += [f"{name} is drawn {counts[name]} times" for name in network.runs if counts[name] != 1]
    for name, ends in found.conductors:
        if ends != frozenset(network.runs[name].nodes):
            faults.append(f"{name} joins {sorted(ends)}")
    between = Counter((name, frozenset(ends)) for name, ends in found.between)
    faults += [f"{name} is drawn {between[name, ends]} times" for name, ends in _wanted(network) if between[name, ends] != 1]
    return faults


def _wanted(network: Network) -> Iterable[tuple[str, frozenset[str]]]:
    """Contacts, poles and loads with a conductor at both ends."""
    wired = {node for run in network.runs.values() for node in run.nodes}
    for device in network.plant.devices.values():
        ways = [(path.a, path.b, f"{device.id}:{path.a}-{path.b}") for path in device.paths if path.kind in ("make", "break")]
        ways += [(path.a, path.b, f"{device.id} poles") for path in device.paths if path.kind == "pole"]
        ways += [(load.a, load.b, f"{device.id}:{load.a}-{load.b}") for load in device.consumers]
        for a, b, name in ways:
            ends = frozenset((f"{device.id}:{a}", f"{device.id}:{b}"))
            if ends <= wired:
                yield name, ends


def illegible(drawing: Drawing, sheets: Sequence[Sheet]) -> list[tuple[str, str]]:
    """Texts that touch something or leave the frame."""
    return [(sheet.key, fault) for sheet in sheets for fault in overlaps(framed(sheet, drawing.plant.project, 1))]


def unanswered(sheets: Sequence[Sheet]) -> list[str]:
    """References at whose place nothing refers back."""
    made: list[tuple[str, str, str, str]] = []
    for sheet in sheets:
        for label in labels(sheet):
            place = _PLACE.search(label.text)
            if place is not None and label.of:
                mark = place.group(1) or sheet.number.rpartition("/")[0] + "/"
                number = f"{mark}E{place.group(2)}" if place.group(2) else sheet.number
                made.append((sheet.number, _near(sheet, label), number, place.group(3)))
    numbers = {sheet.number for sheet in sheets}
    back = {(source, target) for source, _, target, _ in made}
    faults = [f"{source} names {target}, which is no sheet" for source, _, target, _ in made if target not in numbers]
    # where a sheet has no room to say where its potentials lead, it names the sheet that does
    on = {(source, target) for source, target in back if source.rpartition("/")[0] == target.rpartition("/")[0]}
    also = {sheet.number: {sheet.number} for sheet in sheets}
    for one, other in on:
        also[one].add(other)
        also[other].add(one)
    for source, _, target, at in made:
        if not any((answer, asked) in back for answer in also[target] for asked in also[source]):
            faults.append(f"{source} names {target} {at}")
    return faults


def _near(sheet: Sheet, label: Label) -> str:
    return zone(sheet.size, label.x, label.y)


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_every_conductor_contact_and_load_is_drawn_once_between_its_terminals(folder: Path) -> None:
    network = example(folder).network
    assert wrong(read(drawn(folder), network), network) == []


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_no_text_touches_anything_on_either_size(folder: Path) -> None:
    drawing = example(folder)
    assert illegible(drawing, drawn(folder)) == []
    small = on_size(drawing.network, "A4")
    assert illegible(small, list(circuit_sheets(small))) == []


@pytest.mark.parametrize("seed", range(COUNT))
def test_plants_by_chance_are_read_back_whole(seed: int, tmp_path: Path) -> None:
    for number, text in enumerate((sound_plant(seed), plant_text(seed))):
        folder = tmp_path / str(number)
        folder.mkdir()
        drawing = drawing_in(folder, text)
        sheets = list(circuit_sheets(drawing))
        assert wrong(read(sheets, drawing.network), drawing.network) == []
        assert illegible(drawing, sheets) == []


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_what_a_reference_names_refers_back(folder: Path) -> None:
    assert unanswered(drawn(folder)) == []


def sheet_with(folder: str, *words: str) -> Sheet:
    """The one circuit diagram of an example on which all of some words stand."""
    root = next(each for each in EXAMPLES if each.name == folder)
    (found,) = [sheet for sheet in drawn(root) if set(words) <= set(texts(sheet))]
    return found


def test_star_delta_is_explained_by_one_sheet() -> None:
    sheet = sheet_with("star-delta", "Star", "Delta", "Mains", "Star to delta")
    between = {name for name, _ in read([sheet], example_named("star-delta")).between}
    assert {"=WP1-S1:13-14", "=WP1-K1:13-14", "=WP1-S2:21-22", "=WP1-B1:95-96"} <= between


def example_named(name: str) -> Network:
    """The network of an example."""
    return example(next(each for each in EXAMPLES if each.name == name)).network


def test_a_seal_in_contact_stands_beside_the_button_it_holds() -> None:
    network = example_named("star-delta")
    sheet = sheet_with("star-delta", "Star", "Delta")
    ends = dict(read([sheet], network).between)
    button, seal = ends["=WP1-S1:13-14"], ends["=WP1-K1:13-14"]
    assert network.net_of[button[0]] == network.net_of[seal[0]]
    assert network.net_of[button[1]] == network.net_of[seal[1]]


MOVED = """\
netdsl 1
place +MCP "Panel" kind=cabinet
device -S1 push-button-start at=+MCP
device -S2 selector-2 at=+MCP
device -S3 emergency-stop at=+MCP
device -S4 key-transfer-switch at=+MCP
device -K1 timer-on-delay-230v at=+MCP
device -K2 timer-off-delay-230v at=+MCP
device -B1 overload-relay at=+MCP
"""


def test_a_contact_says_what_moves_it(tmp_path: Path) -> None:
    plant = drawing_in(tmp_path, MOVED).plant
    moved = {
        device.id: {actuator(device, path) for path in device.paths if path.kind in ("make", "break")}
        for device in plant.devices.values()
    }
    assert moved == {
        "-S1": {"by-push"},
        "-S2": {"by-turn"},
        "-S3": {"by-mushroom"},
        "-S4": {"by-positive"},
        "-K1": {"by-on-delay"},
        "-K2": {"by-off-delay"},
        "-B1": {"by-thermal"},
    }


def test_below_a_coil_each_contact_has_its_place_and_free_ones_are_said() -> None:
    found = texts(sheet_with("star-delta", "Star", "Delta"))
    assert "21-22 free" in found and any(text.startswith("13-14 ") for text in found)
