"""The shipped parts and the example plants: what they say of themselves is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from lint.rules import rules
from netdsl.model import Plant, read_plant
from netdsl.model.files import library_index
from tests.cases import each_of
from tests.readings import HATCHERY, PLANTS, judged, network_of

ROOT = Path(__file__).parent.parent.parent
LIBRARY = sorted((ROOT / "netdsl" / "library").glob("*.netdsl"))
FAULTS = sorted(folder for folder in (ROOT / "examples" / "faults").iterdir() if (folder / "plant.netdsl").exists())


def fitted(folder: Path, *parts: str) -> tuple[Plant, list[str]]:
    """A plant with a device of each part, `-A1` and so on, and what was found in reading it."""
    devices = "".join(f"device -A{number} {part} at=+A\n" for number, part in enumerate(parts, 1))
    (folder / "plant.netdsl").write_text(f"netdsl 1\nplace +A kind=cabinet\n{devices}", "utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None
    return plant, [f"{finding.span.text}: {finding.rule}: {finding.message}" for finding in findings]


def test_each_part_can_be_a_device(tmp_path: Path) -> None:
    parts = sorted(library_index())
    plant, found = fitted(tmp_path, *parts)
    assert found == []
    for number, part in enumerate(parts, 1):
        device = plant.devices[f"-A{number}"]
        earths = [name for name, terminal in device.terminals.items() if terminal.role.value in ("earth", "earth-through")]
        if device.kind not in ("earth-bar", "screen-bar"):
            assert device.protection_class in ("I", "II", "III"), part
            assert bool(earths) == (device.protection_class == "I"), part


def test_each_file_says_that_its_ratings_are_typical() -> None:
    said = "typical values, to be checked against the data of the manufacturer"
    assert [file.name for file in LIBRARY if said not in file.read_text("utf-8").splitlines()[0]] == []


@each_of("power", ["0.75", "1.5", "2.2", "4", "5.5", "7.5", "11", "15", "22", "30"])
def test_drives_carry_the_current_of_a_motor_of_their_power(power: str, tmp_path: Path) -> None:
    # Motor currents at 400 V: IEC 60947-4-1, annex G.
    currents = dict(
        zip("0.75 1.5 2.2 4 5.5 7.5 11 15 22 30".split(), (1.9, 3.6, 4.9, 8.5, 11.5, 15.5, 22, 29, 41, 55), strict=True)
    )
    drive = fitted(tmp_path, f"vsd-{power}kw")[0].devices["-A1"]
    current, rated = drive.ratings["current"], drive.ratings["power"]
    assert not isinstance(current, str) and not isinstance(rated, str)
    assert current.value >= currents[power]
    assert rated.value == pytest.approx(float(power) * 1000)


@each_of("plant", PLANTS)
def test_an_example_has_no_finding(plant: Path) -> None:
    found = judged(plant)
    assert found.checked
    assert found.findings == ()


def test_the_hatchery_is_the_plant_it_is_said_to_be() -> None:
    plant = network_of(HATCHERY).plant
    kinds = [device.kind for device in plant.devices.values()]
    assert kinds.count("drive") == 3 and kinds.count("motor") == 4
    assert {"safety-relay", "emergency-stop", "level-switch", "transmitter", "fan", "thermostat", "busbar", "outside"} <= set(
        kinds
    )
    assert kinds.count("strip") >= 3
    assert len(plant.cables) >= 15
    assert any(device.accessories for device in plant.devices.values())


def test_every_rule_has_its_fault_and_every_fault_its_rule() -> None:
    assert {folder.name for folder in FAULTS} == rules().keys() - {"internal-error"}  # no plant shows a fault of the program


@each_of("plant", PLANTS)
def test_no_wire_of_a_door_lies_in_its_hinge_or_in_a_duct_of_the_panel_or_is_longer_than_a_door_is_wide(plant: Path) -> None:
    network = network_of(plant)
    devices, places = network.plant.devices, network.plant.places
    for run in network.runs.values():
        standing = {devices[end.device].place for end in run.conductor.ends if end.device in devices}
        if run.conductor.cable is None and len(standing) == 1 and places[place := standing.pop()].kind == "door":
            assert all(network.plant.routes[way].place == place for way in run.routes), run.id
            assert run.length_m is not None and run.length_m <= 1.0, run.id


@each_of("plant", PLANTS)
def test_a_wire_lies_in_the_hinge_loop_where_it_goes_to_a_door_and_nowhere_else(plant: Path) -> None:
    network = network_of(plant)
    devices, places, routes = network.plant.devices, network.plant.places, network.plant.routes
    for run in network.runs.values():
        ends = [end.device for end in run.conductor.ends]
        standing = {devices[end].place if end in devices else end for end in ends} - {""}
        by_hinge = any(routes[way.partition("/")[0]].kind == "hinge" for way in run.routes)
        assert by_hinge == (len(standing) > 1 and any(places[place].kind == "door" for place in standing)), run.id


@each_of("plant", PLANTS)
def test_every_relay_that_is_plugged_in_has_its_socket(plant: Path) -> None:
    for device in network_of(plant).plant.devices.values():
        if device.kind == "relay" and device.part is not None and re.match(r"relay-\dco", device.part.name):
            assert any(fitted.part.name == "relay-socket" for fitted in device.accessories), device.id
