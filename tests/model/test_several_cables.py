"""Cables of one kind in one statement, whose ends step with them."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of, sound

HEAD = """\
place +BOX "Box" kind=box material=plastic
place +HALL "Hall" kind=field
strip -X1 "Terminals" at=+BOX {
  :1..12 2.5mm2
}
device -XSH screen-bar at=+BOX ways=3
device -B1 level-switch at=+HALL
device -B2 level-switch at=+HALL
device -B3 level-switch at=+HALL
"""


def test_cores_screens_and_lengths_step_with_the_cables(tmp_path: Path) -> None:
    text = """let far=20m
cable -W1..2 -W7 2x1.5 screened "level" length=10m,12m,$far {
  BN     -X1:1..3 to -B1..3:11
  BU     -X1:7,9,12 to -B1..3:14
  screen -XSH:1..3 clamp to -B1..3 open
}
"""
    plant = sound(tmp_path, HEAD + text)
    assert [(each.id, each.length_m, each.title) for each in plant.cables.values()] == [
        ("-W1", 10.0, "level"),
        ("-W2", 12.0, "level"),
        ("-W7", 20.0, "level"),
    ]
    ends = {name: tuple(end.id for end in each.ends) for name, each in plant.conductors.items()}
    assert ends == {
        "-W1 BN": ("-X1:1", "-B1:11"),
        "-W1 BU": ("-X1:7", "-B1:14"),
        "-W2 BN": ("-X1:2", "-B2:11"),
        "-W2 BU": ("-X1:9", "-B2:14"),
        "-W7 BN": ("-X1:3", "-B3:11"),
        "-W7 BU": ("-X1:12", "-B3:14"),
    }
    screens = [[(end.device, end.terminal) for end in each.screens[0].ends] for each in plant.cables.values()]
    assert screens == [[("-XSH", str(n)), (f"-B{n}", "")] for n in (1, 2, 3)]


def test_an_end_that_is_named_once_is_that_of_all(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + "cable -W1 -W2 2x1.5 length=3m {\n  BN -X1:1 to -B1..2:11\n}\n")
    assert {each.length_m for each in plant.cables.values()} == {3.0}
    assert [each.ends[0].id for each in plant.conductors.values()] == ["-X1:1", "-X1:1"]


def test_in_a_scheme_and_a_function_they_are_as_elsewhere(tmp_path: Path) -> None:
    text = "scheme two(first, core=BN) {\n  cable -W$first..9 2x1.5 {\n    BN -X1:1..2 to -B1..2:11\n  }\n}\n"
    plant = sound(tmp_path, HEAD + text + 'function =A "A" at=+BOX {\n  use two first=8\n}\n')
    assert list(plant.cables) == ["=A-W8", "=A-W9"]


def test_cables_by_ranges_are_bounded() -> None:
    text = "".join(f"cable -W{n}000..{n}999 2x1.5 {{\n}}\n" for n in range(1, 25))
    findings = findings_of(f"netdsl 1\n{HEAD}{text}")
    assert [(finding.rule, finding.span.text) for finding in findings] == [("out-of-range", "-W21000..21999")]
