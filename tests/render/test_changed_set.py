"""Marked drawings: what is new or changed is marked, what only moved is not, and what is no more is struck where it was."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.calc import calculate
from netdsl.cli import main
from netdsl.cli.work import connect
from netdsl.comparing import State, compare
from render.changed_set import changed_set
from render.drawing import Drawing
from render.layout.marks import Marked, differences
from render.layout.overlap import overlaps
from render.sheet import Label, Line, MarkedSheet, Primitive, Sheet
from render.writers.pdf import pdf_bytes
from render.writers.svg import svg_bytes

BEFORE = """netdsl 1
project "Ramp" {
  number = "R-1"
  revision A 2026-01-02 "first"
}
place +P "Panel" kind=cabinet
device -T9 supply-24v at=+P
strip -X1 at=+P {
  :1..6 2.5mm2
}
function =RA1 "Ramp" at=+P {
  device -K1 relay-2co "up"
  device -K2 relay-2co "down"
  wire -T9:+ to -X1:1 0.75mm2 BU length=1m
  wire -X1:2 to -K1:A1 0.75mm2 BU length=1m
}
function =RB1 "Gate" at=+P {
  device -K1 relay-2co "gate"
  wire -X1:5 to -K1:A1 0.75mm2 BU length=1m
}
"""
NOW = BEFORE.replace('"first"', '"first"\n  revision B 2026-02-03 "relay"')


def sheet(*parts: Primitive, key: str = "x-1", kind: str = "Wire list") -> Sheet:
    return Sheet(key, key, "X", kind, "", parts)


def marked(these: Sheet, *others: Sheet, touched: tuple[str, ...] = (), lies: tuple[str, ...] = ()) -> Marked | None:
    return differences([these], others, touched, lies, str, "come").get(these.key)


def row(y: float, of: str, *words: str) -> list[Label]:
    return [Label(60.0 + 30 * number, y, word, of=of) for number, word in enumerate(words)]


def test_a_row_that_moved_within_its_sheet_or_to_the_next_is_not_marked() -> None:
    head = Label(30, 20, "no")
    one, two = row(30, "-K1", "relay", "24 V"), row(40, "-K2", "relay", "230 V")
    before = sheet(head, *one, Label(30, 30, "1", of="-K1"), *two, Label(30, 40, "2", of="-K2"))
    assert marked(sheet(head, *row(50, "-K2", "relay", "230 V"), Label(30, 50, "7", of="-K2")), before) is None
    assert marked(sheet(head, *two, key="x-2"), before) is None
    wrapped = [Label(60, 40, "relay", of="-K2"), Label(90, 40, "230", of="-K2"), Label(90, 44, "V", of="-K2")]
    assert marked(sheet(head, *wrapped), before) is None


def test_a_list_of_cores_that_breaks_elsewhere_is_not_marked() -> None:
    """Cores that went to a sheet without the running numbers above them; a heading that stands again."""
    numbers, cores = (Label(30, 20, "no"), Label(30, 30, "7", of="-K1")), Label(30, 40, "core")
    title, one, two = Label(30, 45, "-W1 2x1.5", of="-W1"), Label(30, 50, "1", of="-W1 1"), Label(30, 60, "2", of="-W1 2")
    before = sheet(*numbers, cores, title, one, two)
    first = sheet(*numbers, cores, title, one)
    again = Label(30, 25, "-W1 2x1.5 (continued)", of="-W1")
    second = sheet(Label(30, 20, "core"), again, Label(30, 30, "2", of="-W1 2"), key="x-2")
    assert differences([first, second], [before], (), (), str, "come") == {}
    other = sheet(Label(30, 20, "core"), again, Label(30, 30, "3", of="-W1 3"), key="x-2")
    assert differences([first, other], [before], (), (), str, "come").keys() == {"x-2"}


def test_a_text_that_changed_and_a_thing_that_came_are_marked_apart() -> None:
    before = sheet(*row(30, "-K1", "relay", "24 V"))
    found = marked(sheet(*row(30, "-K1", "relay", "48 V"), *row(60, "-K2", "relay")), before)
    assert found is not None
    assert sorted(tone for _, tone in found.boxes) == ["changed", "come"]
    lines = (Line(((60.0, 60.0), (70.0, 60.0)), of="-K1"),)
    come = marked(sheet(*row(80, "-K2", "relay"), Line(((60.0, 90.0), (70.0, 90.0)), of="-K2")), sheet(*lines), touched=("-K2",))
    assert come is not None and {tone for _, tone in come.boxes} == {"come"}


def test_lines_count_where_the_plant_says_something_else_of_their_thing() -> None:
    short, long = (Line(((60.0, 60.0), (60.0 + length, 60.0)), of="-W1") for length in (10.0, 30.0))
    assert marked(sheet(long), sheet(short)) is None
    assert marked(sheet(long), sheet(short), touched=("-W1",)) is not None
    moved = Line(((80.0, 90.0), (90.0, 90.0)), of="-W1")
    assert marked(sheet(moved), sheet(short), touched=("-W1",)) is None


def test_texts_of_one_thing_that_changed_places_are_marked_where_the_plant_says_something_else() -> None:
    before = sheet(*row(30, "=RP1-T1", "-W1 BN", "-W1 BK", "-W1 GY"))
    now = sheet(*row(30, "=RP1-T1", "-W1 BK", "-W1 BN", "-W1 GY"))
    found = marked(now, before, touched=("=RP1-W1",))
    assert found is not None and len(found.words) == 2
    assert marked(now, before) is None
    core = sheet(*row(30, "=RP1-W1 BN", "BN"))
    assert marked(sheet(*row(60, "=RP1-W1 BN", "BN")), core) is None
    assert marked(sheet(*row(60, "=RP1-W1 BN", "BN")), core, lies=("=RP1-W1 BN",)) is not None


def test_exchanged_cores_are_marked_on_every_sheet_that_shows_where_they_land(tmp_path: Path) -> None:
    cable = 'function =RC1 "Field" at=+P {\n  device -B1 level-switch at=+P\n  cable -W1 2x0.75 length=5m {\n'
    was, now = (
        BEFORE + cable + f"    BN -X1:{bn} to -B1:11\n    BU -X1:{bu} to -B1:14\n  }}\n}}\n" for bn, bu in ((3, 4), (4, 3))
    )
    sheets = drawn(tmp_path, now, was)
    kinds = {each.kind for each in sheets if not each.key.endswith("as-it-was")}
    assert {"Circuit diagram", "Terminal diagram", "Rework list"} <= kinds


def drawn(tmp_path: Path, text: str, before: str = BEFORE) -> tuple[Sheet, ...]:
    states = []
    for name, each in (("old", before), ("new", text)):
        file = tmp_path / f"{name}.netdsl"
        file.write_text(each)
        network = connect(file).network
        assert network is not None
        states.append(State(network, calculate(network), (), True))
    old, new = states
    later = Drawing(new.network, (), new.calculation, None, old.network)
    return changed_set(Drawing(old.network, (), old.calculation), later, compare(old, new))


def said(each: Sheet) -> str:
    return " | ".join(part.text for part in each.primitives if isinstance(part, Label))


def test_only_sheets_with_a_change_are_drawn_with_what_was_there_before_struck(tmp_path: Path) -> None:
    sheets = {
        each.key: each for each in drawn(tmp_path, NOW.replace("-X1:2 to -K1:A1", "-X1:3 to -K1:A1").replace('"down"', '"lower"'))
    }
    assert any(key.startswith("circuit") for key in sheets) and not any(
        key.startswith(("single-line", "earth")) for key in sheets
    )
    for key, each in sheets.items():
        assert overlaps(each) == [] or "as-it-was" in key or isinstance(each, MarkedSheet), key
    circuit = next(each for key, each in sheets.items() if key.startswith("circuit") and "was" not in key)
    before = sheets[f"{circuit.key}-as-it-was"]
    assert isinstance(circuit, MarkedSheet) and isinstance(before, MarkedSheet) and circuit.washes and before.washes
    assert "| B |" in said(circuit) and "| A |" in said(before)
    assert "Not to be wired from." in said(before)
    assert any(part.dash == (2.0, 1.0) and part.closed for part in circuit.primitives if isinstance(part, Line))
    assert max(part.width for part in before.primitives if isinstance(part, Line) and part.of) < 0.2
    first = next(iter(sheets.values()))
    assert first.number == "CH1" and f"| {circuit.number} |" in said(first) and f"| {before.number} |" in said(first)
    assert "wire at =RA1-K1:A1 moved from -X1:2 to -X1:3" in said(first)
    assert any(key.startswith("rework") for key in sheets)
    links = {part.link for each in sheets.values() for part in each.primitives if isinstance(part, Label) and part.link}
    assert links <= set(sheets)


def test_a_revision_an_error_and_another_name_mark_nothing(tmp_path: Path) -> None:
    assert drawn(tmp_path, NOW) == ()
    sheets = drawn(tmp_path, NOW.replace("=RB1", "=RC1").replace("# ", ""))
    assert not any(isinstance(each, MarkedSheet) for each in sheets)
    assert [each.key for each in sheets] == ["changes-1", "rework-1"]
    assert "mark anew" in said(sheets[1])


def test_a_terminal_that_came_is_marked_though_another_had_its_number(tmp_path: Path) -> None:
    text = BEFORE.replace(":1..6 2.5mm2", ':1 2.5mm2\n  :2 2.5mm2 "fresh"\n  :3..7 2.5mm2')
    text = text.replace("-X1:5", "-X1:6").replace("-X1:2", "-X1:3")
    strip = next(each for each in drawn(tmp_path, text) if each.key.startswith("terminals") and isinstance(each, MarkedSheet))
    assert isinstance(strip, MarkedSheet)
    numbers = [part for part in strip.primitives if isinstance(part, Label) and part.of == "-X1:5" and part.text == "5"]
    assert numbers and all(
        any(wash.left <= part.x <= wash.right and wash.top <= part.y <= wash.bottom + 1.0 for wash in strip.washes)
        for part in numbers
    )


def test_grounds_lie_behind_all_else_in_svg_and_pdf(tmp_path: Path) -> None:
    each = next(each for each in drawn(tmp_path, NOW.replace('"down"', '"lower"')) if isinstance(each, MarkedSheet))
    svg = svg_bytes(each).decode()
    grounds = re.findall(r'<rect[^>]*fill="#(?!fff")[0-9a-f]{6}"', svg)
    assert len(grounds) == len(each.washes) > 0
    assert svg.index("<rect") < svg.index("<path")
    assert pdf_bytes([each], "x") != pdf_bytes([Sheet(**{n: getattr(each, n) for n in Sheet.__struct_fields__})], "x")


def test_the_command_writes_them_and_nothing_where_nothing_is_drawn_otherwise(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "old.netdsl").write_text(BEFORE)
    (tmp_path / "new.netdsl").write_text(NOW.replace('"down"', '"lower"'))
    for new, there in (("old", False), ("new", True)):
        with pytest.raises(SystemExit):
            main(["compare", str(tmp_path / "old.netdsl"), str(tmp_path / f"{new}.netdsl"), "--draw", str(tmp_path / "marked")])
        assert (tmp_path / "marked" / "drawings.pdf").exists() == there
        assert ("no sheet is drawn otherwise" in capsys.readouterr().err) != there
