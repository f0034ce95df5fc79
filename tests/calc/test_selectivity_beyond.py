"""Selectivity across a transformer and behind a 24 V supply. Currents worked out by hand from the bands of IEC 60898-1."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from control_plants import BASE, by_key, computed

from netdsl.calc.control.branch_selectivity import BranchSelectivities
from netdsl.calc.coordination import Selectivities
from netdsl.calc.coordination.referring import WORST_SHARE
from tests.cases import each_of
from tests.reference.plants import calculated

TRANSFORMER = """
place +A "Board" kind=cabinet
defaults within=+A class=mains section=1.5mm2 length=1m
defaults within=+A class=control section=1.5mm2 length=1m
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
device -F1 {ahead} at=+A
device -T1 control-transformer-400va at=+A short-circuit-voltage=5%
device -F2 mcb-1p-b at=+A current=1A
device -P1 lamp-230v at=+A
wire -G0:L1,L2 to -F1:1,3 1.5mm2 length=1m
wire -F1:2,4 to -T1:1,3
wire -T1:2 to -F2:1 length=1m
wire -F2:2 to -P1:X1
wire -T1:4 to -P1:X2
"""


@each_of(("ahead", "amps"), [("mcb-2p-c current=4A", 20 * 400 / 230), ("mcb-2p-d current=2A", 20 * 400 / 230)])
def test_a_breaker_ahead_of_a_transformer_sees_less(ahead: str, amps: float) -> None:
    """5 times 4 A, or 10 times 2 A, at 400 V are 34.8 A at 230 V."""
    found = by_key(calculated(TRANSFORMER.format(ahead=ahead)).of(Selectivities).results())["selectivity -F2 behind -F1"]
    assert found.value == pytest.approx(amps)
    assert "partial" in found.note


def test_with_three_lines_ahead_a_fault_between_two_conductors_counts() -> None:
    assert {lines: pytest.approx(share) for lines, share in WORST_SHARE.items()} == {2: 1.0, 3: sqrt(3) / 2}


BRANCHES = """\
device -T9 supply at=+MCP
device -F1 {ahead} at=+MCP voltage=60V
device -F2 {behind} at=+MCP voltage=60V
device -P1 bulb at=+HALL
wire -T9:+ to -F1:1 0.75mm2
wire -F1:2 to -F2:1 0.75mm2
wire -F2:2 to -P1:X1 0.75mm2
wire -P1:X2 to -T9:- 0.75mm2
"""


@each_of(
    ("ahead", "behind", "amps", "word"),
    [
        ("mcb-1p-c current=4A", "mcb-1p-b current=1A", 20, "total, for its supply gives no more than 15 A"),
        ("mcb-1p-b current=4A", "mcb-1p-b current=1A", 12, "partial: beyond it -F1 may operate too"),
        ("mcb-1p-b current=6A", "electronic-breaker-1p current=2A", 18, "total"),
        ("mcb-1p-b current=1A", "mcb-1p-b current=1A", 1.13, "none"),
    ],
)
def test_devices_behind_a_supply(tmp_path: Path, ahead: str, behind: str, amps: float, word: str) -> None:
    """The lower end of the band of the one ahead, beside the 15 A that the supply gives."""
    results = by_key(computed(tmp_path, BRANCHES.format(ahead=ahead, behind=behind), BASE).of(BranchSelectivities).results())
    found = results["selectivity.branch -F2 behind -F1"]
    assert found.value == pytest.approx(amps)
    assert word in found.note
    assert found.limit is None
