"""All outputs of a plant with something of everything are the same bytes, written here and in surroundings that have nothing in
common with these."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.same_bytes import elsewhere, other_than, written

pytestmark = pytest.mark.forks

PLANT = Path(__file__).parents[1] / "render" / "golden" / "plant.netdsl"
OTHER = {"PYTHONHASHSEED": "3", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONUTF8": "0", "HOME": None, "USER": "other"}
COMMANDS = ("check --format json .", "calc --format xlsx -o calculation.xlsx .", "compare --format html before.netdsl .")


def test_nothing_depends_on_hashes_folder_home_locale_or_time_zone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NETDSL_CACHE", "")
    plant = PLANT.read_bytes()
    texts = {"plant.netdsl": plant, "before.netdsl": plant.replace(b"1.5", b"2.5")}
    here = tmp_path / "here"
    here.mkdir()
    for name, data in texts.items():
        (here / name).write_bytes(data)
    usual = written(here, commands=COMMANDS)
    assert {name.rpartition(".")[2] for name in usual} >= {"svg", "pdf", "dxf", "xlsx", "txt"}
    assert other_than(usual, elsewhere(texts, tmp_path, OTHER, commands=COMMANDS)) == []
