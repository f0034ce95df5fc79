"""A file that is only included leads to the plant that includes it."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.model import read_plant
from netdsl.model.including import including
from tests.cases import each_of

ROOT = Path(__file__).parents[2]
HATCHERY = ROOT / "examples" / "hatchery"


@each_of("file", ["parts/site.netdsl", "site/places.netdsl"])
def test_a_part_of_an_example_leads_to_its_plant(file: str) -> None:
    assert including(HATCHERY / file) == HATCHERY / "plant.netdsl"


def test_a_whole_plant_and_a_file_of_nobody_lead_nowhere(tmp_path: Path) -> None:
    alone = tmp_path / "alone.netdsl"
    alone.write_text("netdsl 1\nplace +HALL kind=field\n", "utf-8")
    assert including(HATCHERY / "plant.netdsl") is None
    assert including(alone) is None


def test_through_another_file_and_past_what_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "a.netdsl").write_bytes(b"\xff\xfe\x00\x00")
    (tmp_path / "plant.netdsl").write_text('netdsl 1\nproject "Plant" {\n}\ninclude "parts/one.netdsl"\n', "utf-8")
    (tmp_path / "parts" / "deep").mkdir(parents=True)
    (tmp_path / "parts" / "one.netdsl").write_text('include "deep/two.netdsl"\n', "utf-8")
    two = tmp_path / "parts" / "deep" / "two.netdsl"
    two.write_text("place +HALL kind=field\n", "utf-8")
    assert including(two) == (tmp_path / "plant.netdsl").resolve()


def test_the_check_of_a_part_is_that_of_its_plant(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        main(["check", str(HATCHERY / "site" / "places.netdsl")])
    said = capsys.readouterr()
    assert leaving.value.code == 0
    assert "is a part of" in said.err and "plant.netdsl" in said.err
    assert "no finding" in said.out


@pytest.mark.parametrize(("deep", "found"), [("a/b/c/d", True), ("a/b/c/d/e", False)])
def test_a_plant_is_looked_for_four_folders_up(tmp_path: Path, deep: str, found: bool) -> None:
    (tmp_path / deep).mkdir(parents=True)
    inner = tmp_path / deep / "wires.netdsl"
    inner.write_text("netdsl 1\n")
    whole = tmp_path / "plant.netdsl"
    whole.write_text(f'netdsl 1\nproject "P" {{\n}}\ninclude "{deep}/wires.netdsl"\n')
    assert including(inner) == (whole if found else None)


def test_no_more_files_are_read_than_a_plant_may_have(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("netdsl.model.files.MAX_FILES", 3)
    for name in "abc":
        (tmp_path / f"{name}.netdsl").write_text(f"netdsl 1\nplace +{name.upper()} kind=field\n")
    (tmp_path / "plant.netdsl").write_text("netdsl 1\n" + "".join(f'include "{name}.netdsl"\n' for name in "abc"))
    plant, (finding,) = read_plant(tmp_path)
    assert plant is not None and list(plant.places) == ["+A", "+B"], "the third file would be the fourth that is read"
    assert (finding.rule, finding.message) == ("include-missing", "more than 3 files are included")
    assert finding.span.begin[0] == 4


def test_plants_that_lie_beside_a_file_are_not_read_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("netdsl.model.files.parse", None)
    alone = tmp_path / "alone.netdsl"
    alone.write_text("netdsl 1\nplace +HALL kind=field\n", "utf-8")
    for number in range(9):
        named = 'include "alone.netdsl"\n' if number == 8 else ""
        (tmp_path / f"plant{number}.netdsl").write_text(f'netdsl 1\nproject "Plant" {{\n}}\n{named}', "utf-8")
    assert including(alone) == tmp_path / "plant8.netdsl"
    monkeypatch.setattr("netdsl.model.including.MAX_BYTES", 200)
    assert including(alone) is None, "no more of them is looked at than a plant may have"
