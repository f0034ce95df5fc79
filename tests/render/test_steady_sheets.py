"""What one change of the text changes on paper: the sheets of what it is about, those it touches, lists; no other."""

from __future__ import annotations

import pytest

from netdsl.cli.work import connect
from render.build import changed_sheets, drawing_set
from render.drawing import Drawing
from render.tables.register import Fingerprints
from tests.readings import EXAMPLES, drawing_of

BOOSTER_FEEDER = """
function =XF1 "Hoist" at=+BP {
  device -Q1 motor-breaker current=4A setting-range=2.5..4A
  device -K1 contactor-12a
  device -M1 motor at=+PH power=1.1kW current=2.6A power-factor=0.8 winding=230/400V
  connect -M1 star
  set -Q1 tripping-current=2.6A
  wire -WB1:L1,L2,L3 to -Q1:1,3,5
  wire -Q1:2,4,6 to -K1:1,3,5
  cable -W1 4G1.5 "motor cable" length=9m method=E along=TRAY2 {
    BN   -K1:2    to -M1:U1
    BK   -K1:4    to -M1:V1
    GY   -K1:6    to -M1:W1
    GNYE -XE1:19  to -M1:PE
  }
}
"""
HATCHERY_FEEDER = BOOSTER_FEEDER.replace("+BP", "+MCP").replace("+PH", "+HALL").replace("-XE1:19", "-XE1:16")


def edited(name: str, *edits: tuple[str, str]) -> Drawing:
    """An example with places of its text written otherwise; what is found in it stands on the cover alone."""
    file = EXAMPLES / name / "plant.netdsl"
    text = file.read_text("utf-8")
    for before, after in edits:
        assert text.count(before) == 1
        text = text.replace(before, after)
    found = connect(file, {file.name: text})
    assert found.network is not None
    return Drawing(found.network, (), found.calculation)


def moved(name: str, now: Drawing) -> dict[str, str]:
    """Key and kind of each sheet that is new or drawn otherwise."""
    before = drawing_of(EXAMPLES / name / "plant.netdsl").of(Fingerprints).by_key
    return {sheet.key: sheet.kind for sheet, each in now.of(Fingerprints).sheets if before.get(sheet.key, (None, ""))[1] != each}


@pytest.mark.parametrize(
    ("name", "feeder", "own"),
    [("booster", BOOSTER_FEEDER, "BP"), ("hatchery", HATCHERY_FEEDER, "MCP")],
    ids=("booster", "hatchery"),
)
def test_one_feeder_more_leaves_the_sheets_of_the_others_as_they_are(name: str, feeder: str, own: str) -> None:
    text = (EXAMPLES / name / "plant.netdsl").read_text("utf-8")
    found = moved(name, edited(name, (text[-400:], text[-400:] + feeder)))
    diagrams = {key for key, kind in found.items() if kind in ("Circuit diagram", "Device diagram", "Terminal diagram")}
    shared = {f"circuit-{own}.", f"devices-{own}.", f"terminals-at-{own}"}
    assert any(key.startswith(f"circuit-{own}.F") for key in diagrams)
    assert [key for key in diagrams if "XF1" not in key and not any(key.startswith(each) for each in shared)] == []
    assert all(f"-{own}." in key for key, kind in found.items() if kind == "Mounting drawing")


def test_one_line_and_a_new_revision_change_the_sheets_concerned_and_the_cover() -> None:
    earlier = drawing_of(EXAMPLES / "hatchery" / "plant.netdsl")
    line = 'cable -W1 4G4 screened "motor cable" length=31m'
    longer = line, line.replace("31m", "32m")
    issued = 'pump added"\n', 'pump added"\n  revision C 2026-07-01 "pump 2 stands further off"\n'
    now, revised = edited("hatchery", longer), edited("hatchery", longer, issued)
    # the letter alone changes no sheet but cover and register
    assert changed_sheets(revised, now) == []
    changed = moved("hatchery", revised)
    for key, kind in changed.items():
        if kind in ("Circuit diagram", "Device diagram", "Terminal diagram"):
            assert "RP2" in key, key
    assert any(kind == "Terminal diagram" for kind in changed.values())
    numbers = set(changed_sheets(revised, earlier))
    dated = [
        sheet for sheet in drawing_set(revised, earlier) if any(getattr(p, "text", "") == "2026-07-01" for p in sheet.primitives)
    ]
    assert {sheet.number for sheet in dated if sheet.kind not in ("Cover", "Register")} == numbers
