"""Frame, symbols and the search for touching lettering, on sheets made here."""

from __future__ import annotations

from itertools import pairwise

import pytest
from msgspec.structs import replace

from netdsl.library.catalogue import entries
from netdsl.model.project import ProjectData, ProjectRevision
from render.drawings.terminal_block import Group
from render.drawings.terminal_heights import split_group
from render.layout.bounds import bounds, bounds_of
from render.layout.frame import banner_box, drawing_area, frame_box, framed, notes_area, origin_line, title_block_box, zone
from render.layout.overlap import overlaps
from render.layout.writing import PITCH, half
from render.sheet import NORMAL, WIDE, Arc, Circle, Label, Line, Primitive, Sheet
from render.symbols import conductor_count, placed, symbol, symbol_names
from render.words.cables import Tail
from tests.cases import each_of

PROJECT = ProjectData(
    "Recirculation hall",
    {"number": "RH-E-010", "owner": "Alder hatchery", "created-by": "A designer with quite a long name"},
    (ProjectRevision("A", "2026-05-04", "first issue"), ProjectRevision("B", "2026-06-11", "second pump added")),
    None,
)

#: below the least lettering of a sheet, mm
SMALL = 1.8


def sheet(*primitives: Primitive, size: str = "A3") -> Sheet:
    return Sheet("overview-1", "RP1.2", "Overview", "Single-line diagram", "=RP1 Recirculation pump 1", primitives, size)


def texts(page: Sheet) -> list[str]:
    return [p.text for p in page.primitives if isinstance(p, Label)]


@each_of("size", ["A3", "A4"])
@each_of("errors", [0, 1, 12])
def test_frame_and_title_block_read_well(size: str, errors: int) -> None:
    assert overlaps(framed(sheet(size=size), PROJECT, errors)) == []


def test_long_and_accented_values_stay_in_their_fields() -> None:
    words = ("number", "owner", "approved-by", "created-by", "status", "technical-reference", "document-language", "title2")
    attributes = dict.fromkeys(words, "ÅÄÉ a value that is far too long for any field of it")
    page = replace(sheet(), title="Åtgärder " * 20, part_of="=RP1.RP2 " * 20, kind="Åk" * 90)
    for size in ("A3", "A4"):
        assert overlaps(framed(replace(page, size=size), replace(PROJECT, attributes=attributes, title="Ågrip"), 3)) == []


@each_of("size", ["A3", "A4"])
def test_a_value_too_long_for_its_line_begins_beside_its_caption(size: str) -> None:
    page = framed(replace(sheet(size=size), part_of="+HALL.JB Junction box at the sump of the hall"), PROJECT, 0)
    (above,) = (p for p in page.primitives if isinstance(p, Label) and p.text == "+HALL.JB Junction")
    (below,) = (p for p in page.primitives if isinstance(p, Label) and p.text == "box at the sump of the hall")
    (caption,) = (p for p in page.primitives if isinstance(p, Label) and p.text == "Part of")
    assert caption.y == above.y < below.y and caption.x == below.x < above.x
    assert overlaps(page) == []


def test_title_block_says_who_what_when_and_no_total() -> None:
    written = texts(framed(sheet(), PROJECT, 0))
    for value in ("Alder hatchery", "RH-E-010", "2026-06-11", "B", "Overview", "=RP1 Recirculation pump 1", "en", "RP1.2"):
        assert value in written
    assert "of" not in written


@each_of("size", ["A3", "A4"])
def test_the_number_of_a_sheet_is_given_whole(size: str) -> None:
    long = framed(replace(sheet(size=size), number="WATER_TREATMENT_3/T.HALL.12"), PROJECT, 0)
    assert "WATER_TREATMENT_3/T.HALL.12" in texts(long)
    assert overlaps(long) == []


def test_errors_are_announced_on_the_sheet_and_move_nothing() -> None:
    clean, faulty = framed(sheet(), PROJECT, 0), framed(sheet(), PROJECT, 2)
    assert "not for construction: 2 errors" in texts(faulty)
    assert "not for construction: 1 error" in texts(framed(sheet(), PROJECT, 1))
    assert set(clean.primitives) < set(faulty.primitives)


@each_of("size", ["A3", "A4"])
def test_areas_lie_in_the_frame_and_apart(size: str) -> None:
    areas = [drawing_area(size), notes_area(size), title_block_box(size), banner_box(size)]
    assert all(frame_box(size).holds(area) for area in areas)
    assert not any(one.meets(two) for index, one in enumerate(areas) for two in areas[index + 1 :])


def test_zones_count_from_the_upper_left() -> None:
    assert zone("A3", 30, 20) == "A1"
    assert zone("A3", 400, 280) == "F8"
    assert zone("A4", 190, 280) == "F4"
    assert (zone("A3", 209.9, 148.4), zone("A3", 210, 148.5)) == ("C4", "D5"), "what lies on a border is in the field behind it"


@each_of(
    ("faulty", "word"),
    [
        ((Label(100, 100, "-T1"), Label(102, 101, "-T2")), "touches text"),
        ((Label(100, 100, "-T1"), Line(((90, 99), (120, 99)))), "touches a line"),
        ((Label(100, 100, "-T1"), Line(((102, 90), (102, 110)))), "touches a line"),
        ((Label(100, 100, "-T1"), Line(((95, 90), (110, 105)), of="-W1")), "line of `-W1`"),
        ((Label(100, 100, "-T1"), Line(((90, 100.3), (120, 100.3)))), "touches a line"),
        ((Label(100, 100, "-T1"), Circle(100, 105, 5.5)), "touches a line"),
        ((Label(100, 100, "-T1"), Arc(100, 105, 5.5, 5.5, 0, 180)), "touches a line"),
        ((Label(100, 100, "-T1"), Line(((90, 90), (130, 90), (130, 110), (90, 110)), fill=True)), "black"),
        ((Label(100, 100, "-T1"), Circle(101, 99, 20, fill=True)), "black"),
        ((Label(100, 100, "-T1"), Line(((90, 99), (90, 150), (130, 150), (130, 99)), closed=True)), "touches a line"),
        ((Label(100, 100, "M", anchor="middle"), Circle(100, 99, 2.6, fill=True)), "black"),
        ((Label(100, 100, "-T1"), Arc(101, 105, 5.5, 5.5, 400, 500)), "touches a line"),
        ((Label(100, 100, "-T1", SMALL),), "below 2.5 mm"),
        ((Label(408, 100, "-T1:L1"),), "leaves the frame"),
        ((Line(((100, 100), (100, 290))),), "leaves the frame"),
    ],
)
def test_constructed_faults_are_found(faulty: tuple[Primitive, ...], word: str) -> None:
    found = overlaps(framed(sheet(*faulty), PROJECT, 0))
    assert any(word in fault for fault in found)


def test_lettering_with_room_passes() -> None:
    clear = (
        Label(100, 100, "-T1"),
        Label(100, 104, "15 kW"),
        Label(120, 100, "-T2"),
        Label(80, 100, "-T3"),
        Line(((90, 100.6), (120, 100.6))),
        Circle(150, 100, 8),
        Label(150, 101, "M", anchor="middle"),
        Arc(100, 120, 5, 5, 180, 360),
        Label(100, 119, "-B1", anchor="middle"),
    )
    assert overlaps(framed(sheet(*clear), PROJECT, 0)) == []


@each_of("name", symbol_names())
def test_ports_lie_on_the_geometry_of_the_symbol(name: str) -> None:
    drawn = symbol(name)
    assert drawn.ports["in"][0] == 0
    for x, y in drawn.ports.values():
        assert any(_touches(primitive, x, y) for primitive in drawn.primitives)


@each_of("name", symbol_names())
def test_symbols_read_well_where_they_are_placed(name: str) -> None:
    drawn = placed(symbol(name), 200, 120, of="=RP1-T1")
    assert {p.of for p in drawn} == {"=RP1-T1"}
    assert overlaps(framed(sheet(*drawn), PROJECT, 0)) == []
    origin, box = symbol(name).box, bounds(drawn)
    assert (box.left, box.top) == pytest.approx((origin.left + 200, origin.top + 120))


def test_cells_follow_one_another_every_20_mm() -> None:
    for name in ("circuit-breaker", "contactor", "overload-relay", "frequency-converter", "screened-cable", "fuse"):
        assert symbol(name).ports["out"] == (0, 20)
    assert "out" not in symbol("motor").ports


def test_an_unknown_name_gives_a_block_with_that_name_in_it() -> None:
    for name, words in (
        ("no-such-symbol", ["no such", "symbol"]),
        ("transmitter", ["transmitter"]),
        ("a" * 40, None),
        ("", ["device"]),
        ("-", ["device"]),
    ):
        drawn = symbol(name)
        said = [part.text for part in drawn.primitives if isinstance(part, Label)]
        assert said == words or (words is None and len(said) > 1), name
        assert all(drawn.box.holds(bounds_of(part)) for part in drawn.primitives)
        assert overlaps(framed(sheet(*placed(drawn, 200, 120, of="=RP1-T1")), PROJECT, 0)) == []
        assert drawn.ports["earth"][0] == drawn.box.left == pytest.approx(-drawn.box.right)


def test_every_shipped_part_has_a_symbol_or_a_block_with_words() -> None:
    names = {entry.part.symbol for entry in entries() if entry.part}
    blocks = {name for name in names if any(isinstance(part, Label) for part in symbol(name).primitives)}
    assert len(blocks) > 5
    for name in names:
        drawn = symbol(name).primitives
        leads = [p for p in drawn if isinstance(p, Line) and not p.closed and {x for x, _ in p.points} == {0.0}]
        rest = [part for part in drawn if part not in leads]
        assert len(rest) > 1 or bounds_of(rest[0]).width < 15, f"an empty square stands for `{name}`"


def test_conductor_count_draws_a_stroke_for_each() -> None:
    def strokes(phases: int, neutral: bool = False, earth: bool = False) -> int:
        return sum(isinstance(p, Line) for p in conductor_count(phases, neutral, earth).primitives) - 1

    assert strokes(0) == 0
    assert strokes(1) == 1
    assert strokes(3) == 3
    assert strokes(3, neutral=True) == 4
    assert strokes(3, neutral=True, earth=True) == 6  # and the bar of the protective one


def _touches(primitive: Primitive, x: float, y: float) -> bool:
    """Whether the point lies on a stroke of the primitive, within 0.01 mm."""
    if isinstance(primitive, Label):
        return False
    if not bounds_of(primitive).grown(0.01).holds(bounds_of(Circle(x, y, 0))):
        return False
    if isinstance(primitive, Circle):
        return abs(((x - primitive.x) ** 2 + (y - primitive.y) ** 2) ** 0.5 - primitive.radius) < 0.01
    if isinstance(primitive, Arc):
        return abs(((x - primitive.x) / primitive.rx) ** 2 + ((y - primitive.y) / primitive.ry) ** 2 - 1) < 0.01
    points = (*primitive.points, primitive.points[0]) if primitive.closed else primitive.points
    return any(_distance(x, y, one, two) < 0.01 for one, two in pairwise(points))


def _distance(x: float, y: float, one: tuple[float, float], two: tuple[float, float]) -> float:
    dx, dy = two[0] - one[0], two[1] - one[1]
    share = max(0.0, min(1.0, ((x - one[0]) * dx + (y - one[1]) * dy) / (dx * dx + dy * dy)))
    return float(((one[0] + share * dx - x) ** 2 + (one[1] + share * dy - y) ** 2) ** 0.5)


def test_normal_text_is_the_least_everywhere_the_title_block_included() -> None:
    assert overlaps(framed(sheet(Label(100, 100, "2.5 mm²", NORMAL)), PROJECT, 0)) == []
    block = title_block_box("A3")
    written = framed(sheet(), PROJECT, 1)
    assert min(part.height for part in written.primitives if isinstance(part, Label)) == NORMAL
    empty = replace(written, primitives=tuple(part for part in written.primitives if not isinstance(part, Label)))
    small = Label(block.left + 10, block.top + 5, "small", SMALL)
    assert any("below 2.5 mm" in fault for fault in overlaps(replace(empty, primitives=(*empty.primitives, small))))


@each_of("gap", [0.2, 0.3])
def test_a_gap_of_a_quarter_millimetre_is_none(gap: float) -> None:
    """Between texts, and between a text and the edge of a line beside, above or below it."""
    text = Label(100, 100, "H")
    box, half = bounds_of(text), WIDE / 2
    neighbours = (
        Label(100, box.bottom + gap + NORMAL, "H"),
        Line(((90, box.top - gap - half), (130, box.top - gap - half)), WIDE),
        Line(((90, box.bottom + gap + half), (130, box.bottom + gap + half)), WIDE),
        Line(((box.left - gap - half, 90), (box.left - gap - half, 110)), WIDE),
        Line(((box.right + gap + half, 90), (box.right + gap + half, 110)), WIDE),
    )
    for neighbour in neighbours:
        assert bool(overlaps(framed(sheet(text, neighbour), PROJECT, 0))) == (gap < 0.25), neighbour


@each_of(("start", "end"), [(-90, 90), (270, 450), (630, 810), (-450, -270)])
def test_an_arc_reaches_as_far_however_its_angles_are_counted(start: float, end: float) -> None:
    box = bounds_of(Arc(100, 50, 10, 10, start, end))
    assert (box.left, box.top, box.right, box.bottom) == pytest.approx((100, 40, 110, 60))


def test_lines_of_text_take_a_margin_and_none_take_nothing() -> None:
    assert (half(0, PITCH), half(2, PITCH)) == (0.0, pytest.approx(PITCH + 0.8))


def test_a_cable_over_two_sheets_ends_its_screens_on_the_last() -> None:
    tail = Tail("-W1", "clamp -X2:S", "-X2:S", "clamp -T1:SH", "-T1:SH")
    whole = Group("-W1", 2, 7, "-W1", ("5G10",), (tail,), True)
    first, last = split_group(whole, 0, 5, "3", "5"), split_group(whole, 5, 9, "4", "6")
    assert (first.first, first.last, first.lines, first.tails) == (2, 4, ("continues on sheet 5",), ())
    assert (last.first, last.last, last.lines, last.tails) == (5, 7, ("continued from sheet 4", "5G10"), (tail,))


def test_the_line_above_a_drawing_names_the_files_that_have_room_and_counts_the_others() -> None:
    files = ["plant.netdsl", "site.netdsl", "parts/pumps.netdsl"]
    assert origin_line("0123abcd", files, "A3") == "Fingerprint 0123abcd, from plant.netdsl, site.netdsl, parts/pumps.netdsl"
    assert origin_line("0123abcd", files, "A4") == "Fingerprint 0123abcd, from plant.netdsl, 2 more"
    assert origin_line("0123abcd", ["p" * 90, "site.netdsl"], "A4") == "Fingerprint 0123abcd, from 2 files"
    assert origin_line("0123abcd", [], "A4") == "Fingerprint 0123abcd"
