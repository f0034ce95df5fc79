"""Entries of enclosures: openings that cables pass, and along which none lies."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from tests.cases import each_of

HEAD = """\
place +BOX "Box" kind=box material=plastic
route IN1 at=+BOX kind=entry
route IN2 at=+BOX kind=entry
route TRAY1 at=+BOX kind=tray
device -P1 lamp at=+BOX
device -P2 lamp at=+BOX
"""


def test_wires_and_cables_state_their_entries(tmp_path: Path) -> None:
    text = "wire -P1:X1,X2 to -P2:X1,X2 1mm2 RD along=TRAY1 entry=IN1,IN2\ncable -W1 2x1 entry=IN2 {\n  BN -P1:X1 to -P2:X2\n}\n"
    plant = sound(tmp_path, HEAD + text)
    wire = plant.conductors["-P1:X1 -- -P2:X1"]
    assert (wire.attributes.text("entry"), wire.routes) == ("IN1,IN2", ("TRAY1",))
    assert plant.cables["-W1"].attributes.text("entry") == "IN2"


@each_of(
    ("said", "words"),
    [
        ("along=IN1", "`IN1` is an entry, through which cables pass and along which none lies"),
        ("entry=TRAY1", "`TRAY1` is no entry"),
        ("entry=IN3", "no route is called `IN3` here"),
    ],
)
def test_a_way_is_no_entry(said: str, words: str, tmp_path: Path) -> None:
    _, findings = read(tmp_path, f"{HEAD}wire -P1:X1 to -P2:X1 1mm2 RD {said}\n")
    assert [finding.message for finding in findings] == [words]
