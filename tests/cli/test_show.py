"""`netdsl show`: everything about one thing, held to the letter for one small plant.

`python -m tests.refresh tests/cli` refreshes the golden file.
"""

from __future__ import annotations

import json
import sys
from functools import cache
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.cli.show_data import about, known_things
from netdsl.cli.show_text import show_lines
from netdsl.cli.work import Judged, judge
from render.build import drawing_set
from render.drawing import Drawing
from render.sheet import Sheet

HERE = Path(__file__).parent
PLANT = HERE / "show-plant.netdsl"
GOLDEN = HERE / "golden" / "show.txt"
THINGS = ("-X1", "-G1", "=LA1-K1", "=LA1-W2", "TRAY1", "TRAY2", "+BOX", "=LA1", "-X1:1", "-X1:2/out", "=LA1-K1:21")


@cache
def shown() -> tuple[Judged, tuple[Sheet, ...]]:
    judged = judge(PLANT)
    assert judged.network is not None
    return judged, drawing_set(Drawing(judged.network, judged.findings, judged.calculation))


def text() -> str:
    judged, sheets = shown()
    assert judged.network is not None
    lines = []
    for thing in THINGS:
        facts = about(judged, judged.network, thing, sheets)
        assert facts is not None and json.loads(json.dumps(facts)) == facts
        lines += [*show_lines(facts), "", ""]
    return "\n".join(lines)


def test_all_that_is_known() -> None:
    assert text() == GOLDEN.read_text(encoding="utf-8"), "look at what moved, then run python -m tests.refresh tests/cli"


def test_everything_that_has_a_name_can_be_shown() -> None:
    judged, sheets = shown()
    assert judged.network is not None
    for thing in known_things(judged.network):
        assert about(judged, judged.network, thing, sheets) is not None
    for terminal in ("-X1:6", "-X7:1", "=LA1-W2:BN", "TRAY1:1"):
        assert about(judged, judged.network, terminal, sheets) is None


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["show", str(PLANT), *arguments])
    return int(ended.value.code or 0)


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("-X1", "--format", "json") == 0
    facts = json.loads(capsys.readouterr().out)
    assert [row["free"] for row in facts["terminals"]][:2] == [{"in": 0, "out": 0}, {"in": 2, "out": 1}]
    assert facts["findings"][0]["rule"] == "clamp-overfilled"
    assert run("=LA1-K2") == 2
    assert "`=LA1-K2` is not in this plant: did you mean `=LA1-" in capsys.readouterr().err
    assert run("-X1:9") == 2
    assert "`9` is no terminal of `-X1`: it has 1, 2, 3, 4, 5" in capsys.readouterr().err
    assert run("=LA1-W2:1") == 2
    assert "which has no terminals" in capsys.readouterr().err


if __name__ == "__main__":
    GOLDEN.write_text(text(), encoding="utf-8")
    print(f"{GOLDEN.name} refreshed", file=sys.stderr)
