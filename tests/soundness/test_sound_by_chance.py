"""Plants wired by chance as the trade wires them give no warning and no error.

A sample by default; `NETDSL_SOUND=500 pytest tests/soundness` does so many, `NETDSL_SEED=1000` begins at another. A failure names
the plant; `python -m tests.soundness.survey 17 18` prints its findings, `--text` its text.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netdsl.cli.work import judge
from netdsl.findings import Severity
from tests.soundness.plants import sound_plant

FIRST = int(os.environ.get("NETDSL_SEED", "0"))
NUMBER = int(os.environ.get("NETDSL_SOUND", "0"))
#: small ones that hold, together, every kind of feeder and of supply
SAMPLE = (154, 82, 73, 322, 430, 468, 672, 331, 586, 636)


@pytest.mark.parametrize("seed", range(FIRST, FIRST + NUMBER) if NUMBER else SAMPLE)
def test_sound_plant_is_found_sound(seed: int, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(sound_plant(seed), "utf-8")
    bad = [finding for finding in judge(file).findings if finding.severity is not Severity.NOTE]
    assert [(finding.rule, finding.message) for finding in bad] == []


def test_a_plant_is_the_same_each_time() -> None:
    assert sound_plant(7) == sound_plant(7)
    assert sound_plant(7) != sound_plant(8)
