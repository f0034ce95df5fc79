"""Of the clamps at both ends of conductors that are sized together the one that binds is named, of equal ones the first."""

from __future__ import annotations

from pathlib import Path

from netdsl.calc import Calculation
from netdsl.cli.work import connect
from netdsl.sizing.clamps import ClampLimit, largest_taken, smallest_taken
from netdsl.sizing.items import items_of
from netdsl.sizing.search import clamped
from tests.cases import each_of

PLANT = """netdsl 1
place +MCP "Panel" kind=cabinet
strip -X1 at=+MCP {{
  :1 {0}
  :2 {1}
}}
strip -X2 at=+MCP {{
  :1 {2}
  :2 {3}
}}
wire -X1:1,2 to -X2:1,2 auto
"""


@each_of(
    ("clamps", "smallest", "largest"),
    [
        (("1..4mm2", "2..6mm2", "1.5..10mm2", "1..3mm2"), ("-X1:2", 2), ("-X2:2", 3)),
        (("2..4mm2", "2..4mm2", "2..4mm2", "2..4mm2"), ("-X1:1", 2), ("-X1:1", 4)),
        (("1..4mm2", "2..10mm2", "2..4mm2", "1..4mm2"), ("-X2:1", 2), ("-X1:1", 4)),
        (("6mm2", "4mm2", "4mm2", "10mm2"), ("-X1:1", 0), ("-X2:1", 4)),
    ],
)
def test_the_clamp_that_binds_is_named(
    clamps: tuple[str, ...], smallest: tuple[str, float], largest: tuple[str, float], tmp_path: Path
) -> None:
    (tmp_path / "plant.netdsl").write_text(PLANT.format(*clamps), "utf-8")
    network = connect(tmp_path / "plant.netdsl").network
    assert network is not None
    (item,) = items_of(network, Calculation(network))
    assert len(item.conductors) == 2
    assert smallest_taken(network, item) == ClampLimit(*smallest)
    assert largest_taken(network, item) == ClampLimit(*largest)
    assert clamped(ClampLimit(*smallest)) == f"clamp of `{smallest[0]}` takes no less"


def test_wires_sized_together_are_counted_in_their_name(tmp_path: Path) -> None:
    for wires, name in (
        ("wire -X1:1 to -X2:1 auto", "wire -X1:1 -- -X2:1"),
        ("wire -X1:1,2 to -X2:1,2 auto", "wire -X1:1 -- -X2:1 and 1 more"),
    ):
        text = PLANT.format(*["1..4mm2"] * 4).replace("wire -X1:1,2 to -X2:1,2 auto", wires)
        (tmp_path / "plant.netdsl").write_text(text, "utf-8")
        network = connect(tmp_path / "plant.netdsl").network
        assert network is not None
        assert [item.name for item in items_of(network, Calculation(network))] == [name]
