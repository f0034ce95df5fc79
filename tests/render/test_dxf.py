"""DXF: the texts of SVG and PDF where they stand, layers by pen, the same bytes twice, nothing that another program rejects."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import read

from netdsl.cli.build import FORMATS, USUAL
from render.build import write_set
from render.layout.fonts import start_of, text_width
from render.sheet import DESIGNATION, NORMAL, WIDE, Arc, Circle, Label, Line, Sheet
from render.writers.dxf import dxf_bytes
from render.writers.svg import svg_bytes
from tests.readback import svg_texts
from tests.readings import EXAMPLES, sheets_of

PLANT = EXAMPLES / "direct-on-line" / "plant.netdsl"


def document(sheet: Sheet) -> Document:
    return read(io.StringIO(dxf_bytes(sheet).decode("utf-8")))


def of(*primitives: Line | Circle | Arc | Label, size: str = "A3") -> Sheet:
    return Sheet("key", "1", "Title", "Kind", "", primitives, size)


def test_every_text_of_the_svg_is_in_the_dxf_and_nothing_else(tmp_path: Path) -> None:
    for sheet in sheets_of(PLANT)[::5]:
        (tmp_path / "sheet.svg").write_bytes(svg_bytes(sheet))
        made = document(sheet)
        assert Counter(text.dxf.text for text in made.modelspace().query("TEXT")) == Counter(
            text.text for text in svg_texts(tmp_path / "sheet.svg")
        ), sheet.key
        assert made.audit().errors == []


def test_a_text_keeps_its_place_height_width_and_link() -> None:
    label = Label(100.0, 50.0, "Ω =RP1-T1 µ", DESIGNATION, "middle", True, "=RP1-T1", "other")
    (text,) = document(of(label)).modelspace().query("TEXT")
    start, end = text.get_placement()[1:]
    assert (start.x, start.y) == pytest.approx((start_of(label), 297.0 - 50.0))
    assert end is not None and end.x - start.x == pytest.approx(text_width(label.text, DESIGNATION, True))
    assert (text.dxf.height, text.dxf.layer, text.dxf.style) == (DESIGNATION, "TEXT-35", "DRAWING-BOLD")
    assert text.get_hyperlink()[0] == "other.dxf"


def test_geometry_stands_upright_on_layers_by_pen() -> None:
    made = document(
        of(
            Line(((10, 10), (20, 10)), WIDE),
            Line(((10, 10), (20, 10), (20, 30)), dash=(2.0, 1.0)),
            Line(((10, 10), (20, 10), (20, 30)), fill=True),
            Circle(50, 40, 3, fill=True),
            Arc(60, 40, 5, 5, 0, 90),
            Arc(60, 40, 2, 5, 0, 90),
            Arc(60, 40, 5, 5, 0, 360),
            size="A4",
        )
    )
    space = made.modelspace()
    kinds = [(entity.dxftype(), entity.dxf.layer) for entity in space]
    assert kinds == [
        *(("LINE", "LINES-050"), ("LWPOLYLINE", "DASHED-025"), ("HATCH", "FILLED"), ("LWPOLYLINE", "LINES-025")),
        *(("HATCH", "FILLED"), ("CIRCLE", "LINES-025"), ("ARC", "LINES-025"), ("ELLIPSE", "LINES-025"), ("CIRCLE", "LINES-025")),
    ]
    line = space.query("LINE").first
    assert line is not None
    assert (line.dxf.start.y, line.dxf.lineweight) == (287.0, 50)
    dashed = space.query("LWPOLYLINE").first
    assert dashed is not None and made.linetypes.get(dashed.dxf.linetype) is not None
    arc = space.query("ARC").first
    assert arc is not None and (arc.dxf.center.y, arc.dxf.start_angle, arc.dxf.end_angle) == (257.0, 0.0, 90.0)
    ellipse = space.query("ELLIPSE").first
    assert ellipse is not None
    # a quarter from the right to the top: its ends, whatever axis it is counted from
    assert {(round(point.x, 3), round(point.y, 3)) for point in (ellipse.start_point, ellipse.end_point)} == {
        (62, 257),
        (60, 262),
    }


def test_every_record_is_the_same_when_it_is_read_and_written_again() -> None:
    made = of(
        *(Line(((10, 10), (20, 10)), WIDE), Line(((10, 10), (20, 10)), 0.3, (2, 1)), Line(((10, 10), (20, 10)), fill=True)),
        *(Line(((10, 10), (20, 10), (20, 30.7)), dash=(2.0, 1.5, 0.1, 0.7)), Line(((10, 10), (20, 10), (20, 30)), closed=True)),
        *(Line(((380, 280), (381, 281), (385, 284)), fill=True), Circle(50, 40, 3.0, fill=True), Circle(50, 40, 3.25, 0.01)),
        *(Arc(60, 40, 5, 5, 0, 90), Arc(60, 40, 5, 2, 10, 90), Arc(60, 40, 2, 5, 0, 90), Arc(60, 40, 5, 5, 0, 360)),
        *(Label(100, 50, "Ω µ %s", DESIGNATION, "middle", True, "=A", "a"), Label(9, 9, "a^", link="b"), Label(380, 280, "a")),
    )
    text, read_again, again = dxf_bytes(made).decode("utf-8"), document(made), io.StringIO()
    read_again.write(again)
    tables, objects = "  2\nTABLES\n", "  2\nOBJECTS\n"  # before and behind stand time and version
    assert text.partition(tables)[2].partition(objects)[0] == again.getvalue().partition(tables)[2].partition(objects)[0]
    assert read_again.audit().errors == []


def test_frame_and_title_block_have_layers_of_their_own_and_all_is_on_the_sheet() -> None:
    sheet = sheets_of(PLANT)[2]
    made = document(sheet)
    layers = {entity.dxf.layer for entity in made.modelspace()}
    assert {"FRAME", "TITLE-BLOCK", "LINES-025"} <= layers
    said = {text.dxf.text: text.dxf.layer for text in made.modelspace().query("TEXT")}
    assert said["Technical reference"] == "TITLE-BLOCK" and said["A"] == "FRAME"
    assert made.header["$INSUNITS"] == ezdxf.units.MM
    for line in made.modelspace().query("LINE"):
        assert 0 <= line.dxf.start.x <= 420 and 0 <= line.dxf.start.y <= 297


def test_the_same_sheet_gives_the_same_bytes() -> None:
    sheet = of(Label(10, 10, "-X1", NORMAL), Line(((1, 1), (2, 2))))
    assert dxf_bytes(sheet) == dxf_bytes(sheet)


def test_a_dxf_of_each_sheet_is_written_where_it_is_asked_for(tmp_path: Path) -> None:
    sheets = sheets_of(PLANT)[:2]
    written = write_set(sheets, tmp_path, ("dxf",), "Plant").files
    assert list(written) == [tmp_path / f"{sheet.key}.dxf" for sheet in sheets]
    assert written[0].read_bytes() == dxf_bytes(sheets[0])
    assert {path.suffix for path in tmp_path.iterdir()} == {".dxf", ".txt"}
    assert "dxf" in FORMATS and "dxf" not in USUAL
