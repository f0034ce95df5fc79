"""All outputs of a plant with something of everything are the same bytes, written here and in surroundings that have nothing in
common with these."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import signal_box
from tests.fuzz.same_bytes import BUILD, elsewhere, other_than, written

pytestmark = pytest.mark.forks

PLANT = Path(__file__).parents[1] / "render" / "golden" / "plant.netdsl"
OTHER = {"PYTHONHASHSEED": "3", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONUTF8": "0", "HOME": None, "USER": "other"}
# drawings for a CAD program take longest, and are made of a plant with few sheets
WORDS = ("--format", "svg,pdf")
COMMANDS = (
    *("check --format json .|calc --format xlsx -o calculation.xlsx .|compare --format html before.netdsl .".split("|")),
    "build box -o box/out --format dxf",
)


def test_nothing_depends_on_hashes_folder_home_locale_or_time_zone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NETDSL_CACHE", "")
    plant = PLANT.read_bytes()
    texts = {"plant.netdsl": plant, "before.netdsl": plant.replace(b"1.5", b"2.5"), "box/plant.netdsl": signal_box.PLANT.encode()}
    here = tmp_path / "here"
    here.mkdir()
    for name, data in texts.items():
        (here / name).parent.mkdir(exist_ok=True)
        (here / name).write_bytes(data)
    usual = written(here, " ".join((BUILD, *WORDS)), COMMANDS)
    assert {name.rpartition(".")[2] for name in usual} >= {"svg", "pdf", "dxf", "xlsx", "txt"}
    assert other_than(usual, elsewhere(texts, tmp_path, OTHER, words=WORDS, commands=COMMANDS)) == []
