"""Measures of layout at their limits: boxes that share an edge, arcs, zones at their borders, remarks that fill their room."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from netdsl.model.project import ProjectData
from render.layout.bounds import arc_point, bounds, bounds_of
from render.layout.columns import given_way
from render.layout.fonts import Box, fit_height, fits, ink_box, line_pitch, shorten, start_of, text_width, wrap
from render.layout.frame import (
    banner_box,
    drawing_area,
    framed,
    notes_area,
    sheet_size,
    size_of,
    title_block_box,
    whole_area,
    zone,
)
from render.layout.overlap import GAP, overlaps, overlaps_of
from render.layout.remarks import Remarks
from render.layout.writing import PITCH, WIDE_PITCH, Writing, half
from render.sheet import DESIGNATION, NORMAL, TITLE, Arc, Circle, Label, Line, Primitive, Sheet
from tests.cases import each_of

SMALL = 1.8  # below the least lettering of a sheet, mm
PROJECT = ProjectData("Plant", {}, (), None)
ROOM = Box(10.0, 20.0, 30.0, 50.0)


def sheet(*primitives: Primitive, size: str = "A3") -> Sheet:
    return Sheet("key", "K1", "Title", "Kind", "Part", primitives, size)


def test_boxes_that_share_an_edge_do_not_meet_and_hold_each_other_with_their_edges() -> None:
    assert (ROOM.width, ROOM.height) == (20, 30)
    assert ROOM.grown(1.5) == Box(8.5, 18.5, 31.5, 51.5)
    for beside in (Box(30, 20, 40, 50), Box(0, 20, 10, 50), Box(10, 50, 30, 60), Box(10, 0, 30, 20)):
        nearer = Box(*(at + step for at, step in zip(beside, (-0.1, -0.1, 0.1, 0.1), strict=True)))
        assert not ROOM.meets(beside) and not beside.meets(ROOM)
        assert ROOM.meets(nearer) and nearer.meets(ROOM)
    assert ROOM.holds(ROOM)
    for side in range(4):
        larger = list(ROOM)
        larger[side] += -0.1 if side < 2 else 0.1
        assert not ROOM.holds(Box(*larger)) and Box(*larger).holds(ROOM)


@each_of(
    ("start", "end", "box"),
    [
        (0, 90, (10, 15, 14, 20)),
        (90, 180, (6, 15, 10, 20)),
        (180, 270, (6, 20, 10, 25)),
        (-90, 90, (10, 15, 14, 25)),
        (45, 135, (10 - 8**0.5, 15, 10 + 8**0.5, 20 - 12.5**0.5)),
        (315, 405, (10 + 8**0.5, 20 - 12.5**0.5, 14, 20 + 12.5**0.5)),
        (0, 360, (6, 15, 14, 25)),
        (100, 170, (10 + 4 * -0.984808, 20 - 5 * 0.984808, 10 + 4 * -0.173648, 20 - 5 * 0.173648)),
    ],
)
def test_an_arc_reaches_as_far_as_its_ends_and_the_extremes_that_lie_on_it(
    start: float, end: float, box: tuple[float, ...]
) -> None:
    assert bounds_of(Arc(10, 20, 4, 5, start, end)) == pytest.approx(box, abs=1e-5)


def test_the_extent_of_several_is_that_of_all_of_them() -> None:
    assert arc_point(Arc(10, 20, 4, 5, 0, 0), 90) == pytest.approx((10, 15))
    assert bounds_of(Circle(10, 20, 3)) == (7, 17, 13, 23)
    assert bounds_of(Line(((3, 9), (1, 7), (2, 8)))) == (1, 7, 3, 9)
    assert bounds([Circle(10, 20, 3), Line(((12, 30), (15, 21)))]) == (7, 17, 15, 30)
    label = Label(10, 20, "-T1")
    assert bounds([label]) == ink_box(label)


def test_areas_of_a_sheet_are_where_they_were() -> None:
    assert sheet_size("A3") == sheet_size("other") == (420, 297)
    assert sheet_size("A4") == (210, 297)
    assert drawing_area("A3") == (26, 16, 404, 257)
    assert (notes_area("A3"), banner_box("A3")) == ((26, 261, 226, 276.5), (20, 278, 230, 287))
    # upright, the title block is as wide as the frame, and what else stands at the foot lies above it
    assert title_block_box("A4") == (20, 260, 200, 287)
    assert banner_box("A4") == (20, 251, 200, 260)
    assert notes_area("A4") == (26, 234, 194, 249.5)
    assert drawing_area("A4") == (26, 19, 194, 230)
    assert (whole_area("A4"), whole_area("A3")) == ((26, 19, 194, 249.5), drawing_area("A3"))
    assert [size_of(ProjectData("x", {"sheet-size": size}, (), None)) for size in ("A4", "A3", "A0")] == ["A4", "A3", "A3"]
    assert size_of(PROJECT) == "A3"


@each_of(
    ("size", "x", "y", "expected"),
    [
        ("A3", 59.9, 48.4, "A1"),
        ("A3", 60, 48.5, "B2"),
        ("A3", 209.9, 148.4, "C4"),
        ("A3", 210, 148.5, "D5"),
        ("A3", 359.9, 248.4, "E7"),
        ("A3", 360, 248.5, "F8"),
        ("A4", 104.9, 148.4, "C2"),
        ("A4", 105, 148.5, "D3"),
    ],
)
def test_a_zone_begins_at_its_border(size: str, x: float, y: float, expected: str) -> None:
    assert zone(size, x, y) == expected


def test_errors_are_counted_in_words_and_none_is_not_said() -> None:
    def said(errors: int) -> list[Label]:
        drawn = framed(sheet(), PROJECT, errors).primitives
        return [part for part in drawn if isinstance(part, Label) and "construction" in part.text]

    assert said(0) == said(-1) == []
    assert [(part.text, part.height, part.anchor, part.bold, part.x) for part in said(1)] == [
        ("not for construction: 1 error", TITLE, "middle", True, 125)
    ]
    assert [part.text for part in said(2)] == ["not for construction: 2 errors"]


def test_the_title_block_gives_what_the_project_states_and_a_dash_for_the_rest() -> None:
    words = ("owner", "number", "created-by", "technical-reference", "approved-by", "title2", "document-language", "status")
    stated = framed(sheet(), ProjectData("Plant", {word: f"the {word[:9]}" for word in words}, (), None)).primitives
    bare = framed(sheet(), PROJECT).primitives
    block = title_block_box("A3")

    def fields(drawn: tuple[Primitive, ...]) -> list[str]:
        return [part.text for part in drawn if isinstance(part, Label) and block.holds(ink_box(part))]

    captions = ("Owner", "Document kind", "Date", "Number", "Status", "Title", "Part of", "Created by", "Revision", "Language")
    values = ("the owner", "Kind", "—", "the number", "the status", "Title", "Part", "the created-b", "—", "the doc…")
    below = ("Project", "Technical reference", "Approved by", "Sheet")
    stating = ("Plant, the title2", "the technical", "the approved-", "K1")
    assert fields(stated) == [word for pair in zip((*captions, *below), (*values, *stating), strict=True) for word in pair]
    assert fields(bare)[1::2] == ["—", "Kind", "—", "—", "—", "Title", "Part", "—", "—", "en", "Plant", "—", "—", "K1"]


def test_remarks_stand_one_below_the_other_and_rise_by_what_their_area_does_not_hold() -> None:
    area = Box(10.0, 100.0, 90.0, 100.0 + 3.5 + PITCH)
    for count, above in ((1, 0), (2, 0), (3, PITCH), (5, 3 * PITCH)):
        made = Remarks.of([f"remark {number}" for number in range(count)], area)
        assert made.above == pytest.approx(above)
        assert [(label.text, label.x) for label in made.labels] == [(f"remark {number}", 10) for number in range(count)]
        ys = [label.y for label in made.labels]
        assert ys == pytest.approx([103 - above + number * PITCH for number in range(count)])
    flat = Remarks.of(["one"], area._replace(bottom=103.4))
    assert flat.above == 0
    assert Remarks.of([], area).labels == () and Remarks.of(["", "x"], area).lines == ("x",)


def test_lines_of_text_are_centred_on_a_height() -> None:
    assert (PITCH, WIDE_PITCH) == (line_pitch(NORMAL), line_pitch(DESIGNATION)) == (4.0, 5.6)
    assert [half(lines, 4.0) for lines in (0, 1, 3)] == [0, 2.8, 6.8]
    writing = Writing(lambda name: name)
    writing.stacked(5, 50, ["a", "b", "c"], NORMAL, "end", "-T1", "key")
    writing.stacked(5, 50, ["a", "b"], DESIGNATION, "start", "-T1")
    writing.stacked(5, 50, ["a", "b"], NORMAL, "start", "-T1", pitch=3.0)
    writing.text(1, 2, "bold", bold=True)
    writing.line((1, 2), (3, 4), dash=(1.0,), of="-W1")
    assert writing.parts == [
        *(Label(5, 47.25 + 4 * n, text, NORMAL, "end", False, "-T1", "key") for n, text in enumerate("abc")),
        *(Label(5, 50 - 2.8 + 1.75 + 5.6 * n, text, DESIGNATION, "start", False, "-T1") for n, text in enumerate("ab")),
        *(Label(5, 49.75 + 3 * n, text, NORMAL, "start", False, "-T1") for n, text in enumerate("ab")),
        Label(1, 2, "bold", NORMAL, bold=True),
        Line(((1, 2), (3, 4)), dash=(1.0,), of="-W1"),
    ]


def test_what_just_fits_is_whole_and_what_does_not_loses_as_little_as_it_can() -> None:
    room = text_width("Pump 12")
    assert fits("Pump 12", room) and not fits("Pump 12", room - 0.01)
    assert shorten("Pump 12", room) == "Pump 12"
    assert shorten("Pump 12", room - 0.01) == "Pump…"
    assert shorten("Recirculation", text_width("Recirc…")) == "Recirc…"
    assert shorten("Recirculation", text_width("Recirc…") - 0.01) == "Recir…"
    assert shorten("Pump", text_width("…") - 0.01) == ""
    assert wrap("one two", text_width("one two")) == ("one two",)
    assert wrap("one two", text_width("one two") - 0.01) == ("one", "two")
    assert wrap("abcdef gh", text_width("abcd")) == ("abcd", "ef gh")
    assert wrap("abcd", 0.1) == ("a", "b", "c", "d")
    assert fit_height("Pump", text_width("Pump", TITLE), (TITLE, NORMAL, SMALL)) == TITLE
    assert fit_height("Pump", text_width("Pump", TITLE) - 0.01, (TITLE, NORMAL, SMALL)) == NORMAL
    assert fit_height("Pump", 0.1, (TITLE, NORMAL, SMALL)) == SMALL


def test_a_text_begins_where_its_anchor_puts_it() -> None:
    width = text_width("-T1", DESIGNATION, bold=True)
    starts = [start_of(Label(50, 0, "-T1", DESIGNATION, anchor, bold=True)) for anchor in ("start", "middle", "end")]
    assert starts == pytest.approx([50, 50 - width / 2, 50 - width])


def test_columns_give_way_from_both_sides_of_what_there_is() -> None:
    assert given_way([30, 20], [10, 20], 50) == [30, 20]
    assert given_way([30, 20], [10, 20], 40) == [20, 20]
    assert given_way([30, 20], [10, 20], 30) == [10, 20]
    assert given_way([30, 20], [10, 20], 15) == [5, 10]
    assert given_way([30, 20], [0, 0], 0) == [0, 0]


def test_faults_of_lettering_are_told_in_order_with_where_and_whose() -> None:
    faulty = (
        Label(100, 100, "-T2"),
        Label(101, 101, "-T1"),
        Line(((98, 99), (120, 99)), of="-W1"),
        Label(200, 100, "small", SMALL),
        Label(406, 150, "wide out"),
        Line(((150, 288), (150, 287.1)), of="-W2"),
        Circle(160, 283, 5),
        Label(250, 100, "dark"),
        Circle(252, 99, 20, fill=True),
        Label(252, 140, "shade"),
        Line(((250, 130), (270, 130), (270, 145), (250, 145)), fill=True),
    )
    assert overlaps(framed(sheet(*faulty), PROJECT, 0)) == [
        "text `small` at 200.0, 100.0 is 1.8 mm high, below 2.5 mm",
        "text `wide out` at 406.0, 150.0 leaves the frame",
        "a line of `-W2` at 150.0, 287.1 leaves the frame",
        "a line at 155.0, 278.0 leaves the frame",
        "text `-T2` at 100.0, 100.0 touches text `-T1` at 101.0, 101.0",
        "text `-T2` at 100.0, 100.0 touches a line of `-W1` at 98.0, 99.0",
        "text `-T1` at 101.0, 101.0 touches a line of `-W1` at 98.0, 99.0",
        "text `wide out` at 406.0, 150.0 touches a line at 405.0, 148.5",
        "text `wide out` at 406.0, 150.0 touches a line at 410.0, 148.5",
        "text `wide out` at 406.0, 150.0 touches a line at 410.0, 10.0",
        "text `wide out` at 406.0, 150.0 touches a line at 415.0, 5.0",
        "text `dark` at 250.0, 100.0 lies on a black shape",
        "text `shade` at 252.0, 140.0 lies on a black shape",
    ]


@each_of(("gap", "touching"), [(GAP - 0.01, True), (GAP + 0.01, False)])
def test_a_slanted_line_and_a_curve_touch_as_a_straight_one_does(gap: float, touching: bool) -> None:
    text = Label(100, 100, "H")
    box = bounds_of(text)
    right = box.right + gap
    slanted = Line(((right + 0.1, box.top), (right + 5.1, box.top - 5)), 0.2)
    curve = Circle(right + 0.1 + 4, (box.top + box.bottom) / 2, 4, 0.2)
    for part in (slanted, curve):
        assert bool(overlaps(framed(sheet(text, part), PROJECT, 0))) is touching, part


def test_all_that_cannot_be_read_is_told_in_order() -> None:
    """Texts by their tops, of each first the lines that lie level, then what slants, then what stands upright."""
    faulty = sheet(
        Label(100, 140, "low", NORMAL),
        Label(60, 60, "one", NORMAL),
        Label(62, 61, "other", NORMAL),
        Label(60, 90, "small", 1.0),
        Label(300, 100, "beyond the frame of this sheet, far to the right of it", NORMAL),
        Line(((101, 150), (101, 130)), 0.25, of="-W2"),
        Line(((99, 139), (110, 139)), 0.25, of="-W1"),
        Line(((99, 138), (110, 138)), 0.25),
        Line(((98, 130), (106, 148)), 0.25, of="-W3"),
        Line(((59, 58), (70, 64)), 0.25, of="-W4"),
        Circle(63, 59, 2, 0.25, of="-K1"),
        Line(((40, 1), (41, 1)), 0.25, of="-W5"),
        Circle(200, 200, 3, 0.25, fill=True),
        Label(200, 201, "n", NORMAL, "middle"),
        Line(((120, 138), (130, 138)), 0.25),
        Line(((120, 130), (120, 150)), 0.25),
    )
    assert overlaps(faulty) == [
        "text `small` at 60.0, 90.0 is 1 mm high, below 2.5 mm",
        "a line of `-W5` at 40.0, 1.0 leaves the frame",
        "text `one` at 60.0, 60.0 touches text `other` at 62.0, 61.0",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 62.0, 57.3",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 64.8, 58.2",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 61.4, 57.8",
        "text `one` at 60.0, 60.0 touches a line of `-W4` at 59.0, 58.0",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 65.0, 59.0",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 64.8, 59.8",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 61.0, 59.4",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 64.3, 60.5",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 61.4, 60.2",
        "text `one` at 60.0, 60.0 touches a line of `-K1` at 61.0, 58.6",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 64.8, 58.2",
        "text `other` at 62.0, 61.0 touches a line of `-W4` at 59.0, 58.0",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 65.0, 59.0",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 64.8, 59.8",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 64.3, 60.5",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 61.4, 60.2",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 63.6, 60.9",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 62.0, 60.7",
        "text `other` at 62.0, 61.0 touches a line of `-K1` at 62.8, 61.0",
        "text `low` at 100.0, 140.0 touches a line at 99.0, 138.0",
        "text `low` at 100.0, 140.0 touches a line of `-W1` at 99.0, 139.0",
        "text `low` at 100.0, 140.0 touches a line of `-W3` at 98.0, 130.0",
        "text `low` at 100.0, 140.0 touches a line of `-W2` at 101.0, 150.0",
        "text `n` at 200.0, 201.0 lies on a black shape",
    ]


def test_of_many_sheets_each_has_the_faults_that_it_has_alone() -> None:
    text, beside, below = Label(100, 100, "M8x16"), Label(101, 101, "M6"), Label(100, 20_100, "M4")
    line, ground = Line(((90, 99), (120, 99))), Line(((90, 80), (130, 80), (130, 120), (90, 120)), fill=True)
    of = [
        (text, beside),
        (line, text),
        (below, Label(100, 60, " ")),
        (ground, text),
        (text,),
        (beside, Arc(5, 5, 3, 3, 0, 90)),
        (),
    ]
    sheets = [framed(replace(sheet(*of[at % 7]), key=f"drawn-{at}", size=("A3", "A4")[at % 2]), PROJECT) for at in range(70)]
    found = overlaps_of(sheets)
    assert found == [(each.key, fault) for each in sheets for fault in overlaps(each)]
    assert {key for key, _ in found} == {f"drawn-{at}" for at in range(70) if at % 7 not in (4, 6)}
    assert overlaps_of(()) == []
