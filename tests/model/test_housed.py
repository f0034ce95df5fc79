"""Several protective devices in one housing, as they are written; see tests/calc/test_housed_channels.py for what is computed."""

from __future__ import annotations

from pathlib import Path

from reading import read, sound

from tests.cases import each_of

HEAD = """\
place +BOX "Box" kind=box material=plastic
device -F1 electronic-fuse-2ch at=+BOX
device -P1 lamp at=+BOX
"""


@each_of(
    ("line", "rule", "words"),
    [
        ("channel -F1:1 current=12A", "out-of-range", "`-F1:1` cannot be set to 12 A: its range is 1..10 A"),
        ("channel -F1:13 current=2A", "unknown-setting", "`-F1:13` is no output that trips alone: nothing is set there"),
        ("channel -F1:1 current=2mm2", "wrong-unit", "`2mm2` is a section, `current` takes a current"),
        ("device -F1.1 lamp at=+BOX", "duplicate-name", "`-F1.1` is the channel of `-F1:1`, and the name of something else"),
    ],
)
def test_a_mistake_at_an_output_is_told(line: str, rule: str, words: str, tmp_path: Path) -> None:
    _, findings = read(tmp_path, f"{HEAD}{line}\n")
    assert [(finding.rule, finding.message) for finding in findings] == [(rule, words)]


def test_an_output_of_a_fixed_current_cannot_be_set(tmp_path: Path) -> None:
    part = """\
part fixed "Two outputs of 2 A" {
  kind = breaker   letter = F   current = 2A
  terminal :+ line-in
  terminal :1 :2 load-out
  pole :+ to :1 channel
  pole :+ to :2 channel
}
device -F2 fixed at=+BOX
"""
    assert sound(tmp_path, HEAD + part).devices["-F2.2"].ratings.amount("current") == 2
    _, findings = read(tmp_path, HEAD + part + "channel -F2:1 current=1A\n")
    assert [finding.message for finding in findings] == ["each output of `-F2` is for 2 A, which cannot be set"]


def test_a_wire_lands_on_the_housing_however_its_output_is_named(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + "wire -F1.2:2 to -P1:X1 0.75mm2 RD\n")
    assert [end.id for wire in plant.conductors.values() for end in wire.ends] == ["-F1:2", "-P1:X1"]
