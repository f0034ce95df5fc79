"""Lists of motors and signals by chance, over all ways of running: every one gives a plant without an error that builds.

`NETDSL_LISTS=200 pytest tests/starting/test_random_lists.py` tries as many.
"""

from __future__ import annotations

import os
from pathlib import Path
from random import Random

import pytest

from netdsl.cli import build as command
from netdsl.cli import main
from netdsl.findings import Severity
from netdsl.starting.choosing import own_parts
from netdsl.starting.practice import ways, words_of_ways
from tests.starting.written import judged, written

HEAD = "tag;description;kW;voltage;control;length;place;panel"
POWERS = (0.09, 0.25, 0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 6, 7.5, 11, 15, 18.5, 22, 30, 37, 45, 55, 75, 90)
SIGNALS = "tag;description;type;address;place;length;panel"
PLACES = ("", "Trout hall", "Well house", "2nd floor")
#: how many lists; 0: a few short ones
NUMBER = int(os.environ.get("NETDSL_LISTS", "0"))


def row(chance: Random, number: int, panels: tuple[str, ...]) -> str:
    way = chance.choice(list(ways().values()))
    powers = [kw for kw in POWERS if kw <= way.largest_kw]
    if way.parts:
        powers = [part.power / 1000 for part in own_parts(way)]
    word = chance.choice((way.name, *words_of_ways()[way.name]))
    length = chance.choice(("", f"{chance.randint(1, 20 if way.name == 'brake-motor' else 30)} m"))
    return f"M{number};Motor {number};{chance.choice(powers):g};;{word};{length};{chance.choice(PLACES)};{chance.choice(panels)}"


def signal(chance: Random, number: int) -> str:
    """It names no panel: one that feeds no motor of the list cannot be named."""
    kind, metres = chance.choice(("DI", "DO", "AI", "AO", "Pt100")), chance.randint(1, 40)
    return f"L{number};Signal {number};{kind};;{chance.choice(PLACES)};{metres};"


@pytest.mark.parametrize("seed", range(NUMBER or 6))
def test_a_list_gives_a_plant_without_an_error_that_builds(seed: int, tmp_path: Path) -> None:
    chance = Random(seed)
    panels = chance.choice((("",), ("",), ("West", "East")))
    rows = [row(chance, number, panels) for number in range(1, chance.randint(1, 20 if NUMBER else 2) + 1)]
    signals = [signal(chance, number) for number in range(chance.randint(0, 30 if NUMBER else 3))]
    (tmp_path / "m.csv").write_text("\n".join((HEAD, *rows)) + "\n")
    (tmp_path / "io.csv").write_text("\n".join((SIGNALS, *(signals or ["L0;Level;DI;;;;"]))) + "\n")
    plant = written(tmp_path / "plant", "--from", tmp_path / "m.csv", "--io", tmp_path / "io.csv")
    with pytest.MonkeyPatch.context() as patch, pytest.raises(SystemExit) as leaving:
        patch.setattr(command, "judge", lambda file, _: judged(file))
        main(["build", str(plant.parent), "--format", "svg", "--jobs", "1", "--out", str(tmp_path / "built")])
    assert leaving.value.code == 0, rows
    found = judged(plant).findings
    assert [finding.message for finding in found if finding.severity is Severity.ERROR] == [], rows
