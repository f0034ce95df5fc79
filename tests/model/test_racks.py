"""Cards in the places of a head station."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from tests.cases import each_of

HEAD = """\
place +BOX "Box" kind=box material=plastic
place +DESK "Desk" kind=desk
device -A1 bus-coupler-network at=+BOX slots=4
"""


def test_a_card_stands_where_its_station_stands(tmp_path: Path) -> None:
    text = 'device -A1.2 card-8di "inputs"\n' + HEAD + "function =P1 at=+DESK {\n  device -A1.3 card-8di at=+BOX\n}\n"
    text += "device -A1.4 card-8do at=+DESK\n"
    devices = sound(tmp_path, text).devices
    assert [(name, device.place) for name, device in devices.items()] == [
        ("-A1.2", "+BOX"),
        ("-A1", "+BOX"),
        ("=P1-A1.3", "+BOX"),
        ("-A1.4", "+DESK"),
    ]


@each_of(
    ("line", "rule", "words"),
    [
        ("device -A1.5 card-8di", "out-of-range", "`-A1.5` stands in no place of `-A1`, which has 4"),
        ("device -A1.0 card-8di", "out-of-range", "`-A1.0` stands in no place of `-A1`, which has 4"),
        ("device -A1.x card-8di", "out-of-range", "`-A1.x` stands in no place of `-A1`, which has 4"),
        ("device -A1.2 card-8di\ndevice -A1.2 card-8do", "duplicate-name", "`-A1.2` is declared twice"),
        ("device -A2.1 card-8di", "missing-value", "`-A2.1` does not say where it stands"),
    ],
)
def test_a_card_in_no_place_is_told(line: str, rule: str, words: str, tmp_path: Path) -> None:
    _, findings = read(tmp_path, f"{HEAD}{line}\n")
    assert [(finding.rule, finding.message) for finding in findings] == [(rule, words)]


def test_what_is_called_after_a_device_without_places_is_left_alone(tmp_path: Path) -> None:
    text = HEAD + "device -K1 relay-1co at=+BOX\ndevice -K1.12 relay-1co at=+BOX\n"
    assert sound(tmp_path, text).devices["-K1.12"].place == "+BOX"
