"""A set of more sheets than are drawn: one line says so, and what was drawn before stays as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main

PLANT = Path(__file__).parents[2] / "examples" / "direct-on-line" / "plant.netdsl"
#: so few that the plan of the sheets tells it, and that only their drawing does
MOST = (2, 9)


@pytest.mark.parametrize("most", MOST)
@pytest.mark.parametrize("command", ["build", "view", "show", "compare"])
def test_too_many_sheets_are_told_in_a_line_and_none_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str, most: int
) -> None:
    monkeypatch.setenv("NETDSL_CACHE", "")
    plant, other, out = tmp_path / "plant.netdsl", tmp_path / "other.netdsl", tmp_path / "out"
    plant.write_bytes(PLANT.read_bytes())
    other.write_text(PLANT.read_text("utf-8").replace("current=4A", "current=6A"), "utf-8")
    arguments = {
        "build": ["build", str(plant), "-o", str(out), "--format", "svg", "--jobs", "1"],
        "view": ["view", str(plant), "--export", str(out)],
        "show": ["show", str(plant), "-F1"],
        "compare": ["compare", str(other), str(plant), "--draw", str(out)],
    }[command]
    out.mkdir()
    monkeypatch.setattr("render.drawing.MAX_SHEETS", most)
    with pytest.raises(SystemExit) as leaving:
        main(arguments)
    said = capsys.readouterr()
    assert leaving.value.code == 2, said.out
    assert f"the plant has more than {most} sheets, and none is drawn: split the plant" in said.err
    assert list(out.iterdir()) == [] and len(list(tmp_path.iterdir())) == 3
