"""Single-line, time-current, mounting, earth and route drawings of plants by chance, on either size: nothing touches, nothing
leaves the frame, nothing is cut. NETDSL_PLANS=200 tries so many of either kind."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from render.drawing import members
from render.layout.frame import framed
from render.layout.overlap import overlaps_of
from tests.readings import Unlinked, on_size
from tests.render.plants import drawing_in
from tests.render.random_plants import random_drawing
from tests.soundness.plants import sound_plant

KINDS = ("single_line", "time_current", "mounting", "earth", "routes")
#: in which something was wrong once: a second way from the middle of a chain, rows close together, long names on upright sheets
CHOSEN = [("sound", 0), ("sound", 10), ("sound", 104), ("random", 5), ("random", 106), ("random", 132), ("random", 171)]
MORE = [(kind, seed) for seed in range(int(os.environ.get("NETDSL_PLANS", "0"))) for kind in ("sound", "random")]


@pytest.mark.parametrize(("kind", "seed"), [*CHOSEN, *MORE])
def test_what_is_drawn_of_a_plant_by_chance_touches_nothing_and_stays_in_its_frame(kind: str, seed: int, tmp_path: Path) -> None:
    drawing = Unlinked(drawing_in(tmp_path, sound_plant(seed)).network) if kind == "sound" else random_drawing(seed)
    for size in ("A4", "A3"):
        sized = on_size(drawing, size)
        kinds = [member for member in members() if member.draw.__module__.rpartition(".")[2] in KINDS]
        sheets = [framed(sheet, sized.plant.project, 1) for member in kinds for sheet in sized.drawn(member)]
        assert overlaps_of(sheets) == [], size
