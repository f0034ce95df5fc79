"""The desk: what is drawn anew, what a click means, what is said where nothing can be drawn."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.model.includes import files_of
from netdsl.viewing.desk import Desk, Reading, State
from netdsl.viewing.following import stamps
from netdsl.viewing.hits import BOX, CLOSED, OPEN, hits_of
from netdsl.viewing.things import Lines, name_among
from render.sheet import Circle, Label, Line, Sheet
from tests.viewing.desks import PLANT, read

WIRE = "-X1:2 -- =P2-H1:X1"


@pytest.fixture(scope="module")
def plant(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("desk") / "plant.netdsl"
    file.write_text(PLANT, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def state(plant: Path) -> State:
    return Desk().take(read(plant))


def lines_of(state: State, name: str) -> list[str]:
    """The lines of text that the desk gives for a designation."""
    return [line for at in state.shown.things[name].lines for line in state.texts[at.file].splitlines()[at.line - 1 : at.last]]


def test_only_the_sheets_that_something_changed_on_are_made_anew(tmp_path: Path) -> None:
    file, desk = tmp_path / "plant.netdsl", Desk()
    file.write_text(PLANT, encoding="utf-8")
    before = desk.take(read(file)).sheets
    drawn = {key: each.svg for key, each in before.items()}
    # the line moves and the colour of one wire changes
    file.write_text(
        "# a remark\n" + PLANT.replace("to -H1:X1 1mm2 BU\n}\nfunction =P2", "to -H1:X1 1mm2 BK\n}\nfunction =P2"),
        encoding="utf-8",
    )
    after = desk.take(read(file))
    anew = {key for key, each in after.sheets.items() if each is not before[key]}
    assert {key for key in anew if "P1" in key} == {"circuit-P1.1", "devices-P1.1"}
    assert not {key for key in anew if "P2" in key}
    # what is kept is what a desk that knows nothing draws from the same text, byte for byte
    fresh = Desk().take(read(file))
    assert {key: each.svg for key, each in after.sheets.items()} == {key: each.svg for key, each in fresh.sheets.items()}
    assert after.shown.things == fresh.shown.things
    assert {key for key, each in after.sheets.items() if each.svg != drawn[key]} == anew


def test_every_designation_leads_to_its_lines(state: State) -> None:
    assert lines_of(state, WIRE) == ["  wire -X1:2 to -H1:X1 1mm2 BU"]
    assert lines_of(state, "-X1") == ["strip -X1 at=+MCP {", "  :1..2 2.5mm2", "}"]
    assert lines_of(state, "-X1:2") == ["  :1..2 2.5mm2"]
    assert lines_of(state, "=P1-H1:X2") == ["  device -H1 lamp"]
    assert lines_of(state, "=P2") == ['function =P2 "Pump two" at=+MCP {']
    assert lines_of(state, "+MCP") == ['place +MCP box "Panel"']
    assert state.shown.things["-X1:2"].near == ("-X1", WIRE)


def test_everything_drawn_belongs_to_something_in_the_text(state: State) -> None:
    for drawn in state.sheets.values():
        # rows of these two lists are of no thing: of sheets, and of tests that the plant as a whole passes
        if drawn.page.kind in ("Register", "Test record"):
            continue
        for name in drawn.hits.names:
            of = name if name in state.shown.things else state.shown.called.get(name, "")
            assert lines_of(state, of), f"{name} on {drawn.page.key}"


def test_a_designation_knows_the_sheets_that_show_it(state: State) -> None:
    for name, thing in state.shown.things.items():
        assert thing.sheets, name
        for number in thing.sheets:
            names = state.sheets[state.shown.pages[number].key].hits.names
            of = {name_among(state.shown.things, each) for each in names}
            shown = {each.partition(":")[0] for each in of} | of | {state.shown.pages[number].part_of.partition(" ")[0]}
            assert {name, *thing.marks} & shown, f"{name} on {state.shown.pages[number].key}"
    keys = [state.shown.pages[number].key for number in state.shown.things["=P2-H1"].sheets]
    assert {"circuit-P2.1", "devices-P2.1", "terminals-at-MCP"} <= set(keys)
    assert "circuit-P1.1" not in keys


def test_names_of_what_is_drawn_come_down_to_designations(state: State) -> None:
    known = state.shown.things
    assert name_among(known, "=P1-H1 poles") == "=P1-H1"
    assert name_among(known, f"{WIRE} tap 1") == WIRE
    assert name_among(known, "-X1:1 in +MCP") == "-X1:1"
    assert name_among(known, "-X1:1-2") == "-X1"
    assert name_among(known, "-X9:1") == ""


def test_hits_are_where_the_sheet_is_drawn() -> None:
    parts = (
        Line(((10.0, 10.0), (20.0, 10.0)), of="-K1"),
        Line(((0.0, 0.0), (5.0, 0.0), (5.0, 5.0)), closed=True, of="-K2"),
        Circle(50.0, 50.0, 2.0, of="-K1"),
        Label(30.0, 30.0, "K", link="other"),
        Label(30.0, 40.0, "nothing"),
    )
    hits = hits_of(Sheet("s", "1", "", "", "", parts, "A4"))
    assert (hits.width, hits.height, hits.names) == (210.0, 297.0, ("-K1", "-K2"))
    assert [(hit.of, hit.kind, hit.link) for hit in hits.hits] == [
        (0, OPEN, ""),
        (1, CLOSED, ""),
        (0, BOX, ""),
        (-1, BOX, "other"),
    ]
    assert hits.hits[0].at == (10.0, 10.0, 20.0, 10.0)
    assert hits.hits[2].at == (48.0, 48.0, 52.0, 52.0)


def test_without_a_plant_the_last_sheets_stand_as_old_ones(tmp_path: Path) -> None:
    file, desk = tmp_path / "plant.netdsl", Desk()
    file.write_text(PLANT, encoding="utf-8")
    good = desk.take(read(file))
    file.unlink()
    left = desk.take(read(file))
    assert left.sheets == good.sheets
    assert (left.shown.old, left.shown.trouble) == (
        True,
        "the text gives no plant to draw: `plant.netdsl` cannot be read: no such file or directory",
    )
    assert [each.rule for each in left.shown.findings] == ["include-missing"]
    assert all(thing.lines == () for thing in left.shown.things.values())
    file.write_text(PLANT, encoding="utf-8")
    again = desk.take(read(file))
    assert (again.shown.old, again.shown.trouble, again.shown.number) == (False, "", 3)


def test_text_with_errors_is_drawn_as_far_as_it_goes_and_said(tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(PLANT + "wire -X1:1 to\n", encoding="utf-8")
    shown = Desk().take(read(file)).shown
    assert not shown.old
    assert shown.trouble == "the text has errors: what they are about is missing or wrong on the sheets"
    assert "circuit-P1.1" in {page.key for page in shown.pages}
    assert shown.findings[0].severity == "error"
    assert shown.findings[0].lines.line == len(PLANT.splitlines()) + 1


def test_a_fault_of_the_program_is_said_and_leaves_the_last_sheets(plant: Path) -> None:
    def faulty() -> Reading:
        raise KeyError("x")

    desk = Desk()
    good = desk.take(read(plant))
    left = desk.read(faulty)
    assert left.sheets == good.sheets
    assert left.shown.old
    assert left.shown.trouble.startswith("a fault in netdsl itself, nothing can be concluded: KeyError")
    assert left.shown.number == 2


def test_findings_say_what_they_are_about_and_where(tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(PLANT.replace("-X1:2 to -H1:X1 1mm2", "-X1:2 to -H1:X1 4mm2"), encoding="utf-8")
    shown = Desk().take(read(file)).shown
    findings = [each for each in shown.findings if each.severity == "error"]
    assert [each.rule for each in findings] == ["clamp-range", "clamp-range"]
    assert [each.lines for each in findings] == [Lines(0, 17, 3, 17)] * 2
    assert [each.about[:2] for each in findings] == [("-X1", "-X1:2"), ("=P2-H1", "=P2-H1:X1")]


def test_all_files_of_a_plant_are_followed_those_too_that_are_not_there(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    plant, places = tmp_path / "plant.netdsl", tmp_path / "site" / "places.netdsl"
    plant.write_text('include "site/places.netdsl"\ninclude "../outside.netdsl"\n', encoding="utf-8")
    places.write_text('include "more.netdsl"\n', encoding="utf-8")
    files = files_of(plant)
    assert set(files) == {plant, places, tmp_path / "site" / "more.netdsl"}
    before = stamps(files)
    (tmp_path / "site" / "more.netdsl").write_text("", encoding="utf-8")
    assert stamps(files) != before
