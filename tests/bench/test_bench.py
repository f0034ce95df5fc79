"""The benchmark's plants are sound, and its figures are figures."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from netdsl.cli.work import judge
from tests.bench.generator import plant_text
from tests.bench.measure import growth, run


def test_a_generated_plant_passes_check(tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(plant_text(12), "utf-8")
    judged = judge(file)
    assert judged.checked
    assert [f"{finding.rule}: {finding.message}" for finding in judged.findings] == []
    assert judged.network is not None
    drives = [device for device in judged.network.plant.devices.values() if device.kind == "drive"]
    assert len(drives) == 12
    assert all(judged.network.cables[f"{drive.function}-W1"].drive == drive.id for drive in drives)


def test_same_number_same_text() -> None:
    assert plant_text(31) == plant_text(31)
    assert plant_text(31).count("cable -W2") == 31


def test_growth_is_the_exponent_of_a_power_law() -> None:
    assert growth([(30, 0.3), (100, 1.0), (300, 3.0)]) == pytest.approx(1.0)
    assert growth([(2, 4), (3, 9), (10, 100)]) == pytest.approx(2.0)


def test_a_process_is_measured_and_stopped_for_time() -> None:
    done = run((sys.executable, "-c", "raise SystemExit(3)"))
    assert done.code == 3
    assert done.seconds > 0
    assert done.mebibytes > 1
    assert run((sys.executable, "-c", "import time; time.sleep(30)"), limit_s=0.05).code is None
