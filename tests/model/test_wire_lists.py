"""A colour, a section or a length for each conductor of a wire."""

from __future__ import annotations

from pathlib import Path

from reading import sound

from tests.cases import each_of

HEAD = """\
place +BOX "Box" kind=box material=plastic
strip -X1 "Terminals" at=+BOX {
  :1..12 4mm2
}
shade DBU = BU
let colours=BN,BK,DBU first=BN runs=1m,1.2m,1.4m
"""
EACH = [("BN", 2.5, 1.0), ("BK", 2.5, 1.2), ("DBU", 2.5, 1.4)]


@each_of(
    ("line", "wanted"),
    [
        ("2.5mm2 BN,BK,DBU length=1m,1.2m,1.4m", EACH),
        ("2.5mm2 $colours length=$runs", EACH),
        ("2.5mm2 $first,BK,DBU length=1m,1.2m,1.4m", EACH),
        ("2.5mm2,4mm2,1mm2 RD length=1m", [("RD", 2.5, 1.0), ("RD", 4.0, 1.0), ("RD", 1.0, 1.0)]),
        ("auto BN,BK,DBU", [("BN", None, None), ("BK", None, None), ("DBU", None, None)]),
    ],
)
def test_one_for_each_conductor(tmp_path: Path, line: str, wanted: list[object]) -> None:
    plant = sound(tmp_path, f"{HEAD}wire -X1:1,2,3 to -X1:5,6,7 {line}\n")
    assert [(each.colour, each.section_mm2, each.length_m) for each in plant.conductors.values()] == wanted


def test_each_piece_of_a_chain_has_what_its_conductor_has(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + "wire -X1:1,2 to -X1:5,6 to -X1:9,10 1mm2 BN,BK\n")
    assert [(each.id.split(" ")[0], each.colour) for each in plant.conductors.values()] == [
        ("-X1:1", "BN"),
        ("-X1:5", "BN"),
        ("-X1:2", "BK"),
        ("-X1:6", "BK"),
    ]
