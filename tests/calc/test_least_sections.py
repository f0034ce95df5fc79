"""Protective conductors with least sections of their own, and the back-up protection of arresters, worked out by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from netdsl.calc import Calculation, calculate
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.cases import each_of

FEED = """netdsl 1
place +MCP "Panel" kind=cabinet
supply -G0 "Site" system=TN-S voltage=400V fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-160A
busbar -WB1 at=+MCP poles=4 current=250A
device -XE1 earth-bar at=+MCP ways=8 section=1.5..120mm2
cable -W0 4x{line}+1G{earth} length=10m method=E {{
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
  BU -G0:N to -WB1:N
  GNYE -G0:PE to -XE1:1
}}
"""
Made = Callable[[str], Calculation]


@pytest.fixture
def made(tmp_path: Path) -> Made:
    """The calculation of a text."""

    def run(text: str) -> Calculation:
        file = tmp_path / "plant.netdsl"
        file.write_text(text, "utf-8")
        plant, findings = read_plant(file)
        assert plant is not None and not findings, findings
        return calculate(build_network(plant)[0])

    return run


@each_of(("line", "needed"), [(10, 10), (16, 16), (25, 16), (35, 16), (50, 25), (70, 35), (95, 50)])
def test_the_protective_conductor_of_a_supply_follows_the_table_of_machines(line: int, needed: int, made: Made) -> None:
    result = made(FEED.format(line=line, earth=16)).by_key["protective-conductor.supply -W0 GNYE"]
    assert (result.value, result.limit, result.holds) == (needed, 16, needed <= 16)


@each_of(
    ("bond", "needed"),
    [("wire -XE1:2 to +MCP:PE 6mm2", 2.5), ("cable -W1 1G6 length=2m {\n  GNYE -XE1:2 to +MCP:PE\n}", 2.5)],
)
def test_a_bond_inside_an_enclosure_or_in_a_cable_is_covered(bond: str, needed: float, made: Made) -> None:
    results = made(FEED.format(line=16, earth=16) + bond + "\n").by_key
    (result,) = (result for key, result in results.items() if key.startswith("protective-conductor.bond"))
    assert result.value == needed


def test_a_bond_between_enclosures_that_nothing_covers(made: Made) -> None:
    text = FEED.format(line=16, earth=16) + 'place +SUB "Second" kind=cabinet\nwire -XE1:2 to +SUB:PE 6mm2 length=2m\n'
    (result,) = (result for key, result in made(text).by_key.items() if key.startswith("protective-conductor.bond"))
    assert result.value == 4


@each_of(("fuse", "kept"), [("10A", {"most"}), ("16A", {"most", "least"}), ("32A", {"most", "least"})])
def test_the_back_up_protection_of_an_arrester(fuse: str, kept: set[str], made: Made) -> None:
    text = FEED.format(line=16, earth=16) + f"device -F1 fuse-10x38-gg at=+MCP current={fuse}\ndevice -F2 spd-t2 at=+MCP\n"
    text += "wire -WB1:L1,L2,L3 to -F1:1,3,5 6mm2 length=0.3m\nwire -F1:2,4,6 to -F2:L1,L2,L3 6mm2 length=0.3m\n"
    results = made(text).by_key
    assert {name for name in ("most", "least") if results[f"arrester-backup.{name} -F2"].holds} == kept


OWN = "wire -XE1:2 to +MCP:PE 6mm2\n"


@each_of(
    ("said", "needed"),
    [
        ("", 2.5),
        ("least-section bond=4mm2", 4),
        ("least-section bond=10mm2", 10),
        ("least-section bond=1.5mm2", 2.5),  # nobody says why
        ('least-section bond=1.5mm2 because "a strap"', 1.5),
        ('least-section bond=16mm2\nleast-section bond=1.5mm2 because "a strap"', 1.5),  # what stands later counts
        ("least-section separate=10mm2", 2.5),  # of another kind
    ],
)
def test_a_project_sets_its_own_least_section_of_bonds(said: str, needed: float, made: Made) -> None:
    results = made(FEED.format(line=16, earth=16) + OWN + said + "\n").by_key
    (result,) = (result for key, result in results.items() if key.startswith("protective-conductor.bond"))
    assert (result.value, result.holds) == (needed, needed <= 6)


def test_a_reason_makes_less_of_copper_alone(made: Made) -> None:
    wire = "wire -XE1:2 to +MCP:PE 16mm2 material=Al\n"
    said = 'least-section bond=1.5mm2 because "a strap"\n'
    results = made(FEED.format(line=16, earth=16) + wire + said).by_key
    (result,) = (result for key, result in results.items() if key.startswith("protective-conductor.bond"))
    assert result.value == 16
