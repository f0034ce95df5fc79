"""SVG and PDF: the same bytes twice, true size, texts that can be read back, links that lead somewhere."""

from __future__ import annotations

import base64
import re
from io import BytesIO
from xml.etree import ElementTree

import pdfplumber
import pytest
from fontTools.ttLib import TTFont
from msgspec.structs import replace
from pypdf import PdfReader

from netdsl.model.project import ProjectData
from render.layout.fonts import ink_box, text_width
from render.layout.frame import framed
from render.sheet import Arc, Circle, Label, Line, Sheet
from render.symbols import placed, symbol
from render.writers.pdf import pdf_bytes
from render.writers.svg import svg_bytes
from tests.cases import each_of

SIGNS = "10 kΩ 5 µF 2.5 mm² ΔU ≤ 5 % 40 °C cos φ"
SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"


def page(key: str, size: str = "A3", link: str = "") -> Sheet:
    body = (
        *placed(symbol("frequency-converter"), 100, 60, of="=RP1-T1"),
        Label(120, 66, "=RP1-T1", 3.5, bold=True, of="=RP1-T1", link=link),
        Label(120, 72, SIGNS, of="=RP1-T1"),
        Label(120, 78, "a < b & c  d", anchor="middle"),
        Line(((50, 50), (60, 50)), dash=(1.6, 1.0)),
        Line(((50, 60), (60, 60), (55, 65)), fill=True),
        Circle(60, 80, 1, fill=True, of="=RP1-W1"),
        Arc(60, 90, 5, 3, 30, 300),
    )
    return framed(Sheet(key, "RP1.1", "Overview", "Single-line diagram", "=RP1", body, size), ProjectData("Hall", {}, (), None))


def read(svg: bytes) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


@each_of(("size", "width", "height"), [("A3", "420mm", "297mm"), ("A4", "210mm", "297mm")])
def test_svg_has_true_size(size: str, width: str, height: str) -> None:
    root = read(svg_bytes(page("overview-1", size)))
    assert (root.get("width"), root.get("height")) == (width, height)
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"


def test_svg_texts_that_another_font_would_set_much_wider_carry_their_measured_length() -> None:
    root = read(svg_bytes(page("overview-1")))
    written = {text.text: text for text in root.iter(f"{SVG}text")}
    assert SIGNS in written
    assert "a < b & c d" in written
    assert all((element.get("textLength") is None) is (len(text or "") <= 8) for text, element in written.items())
    assert float(written[SIGNS].get("textLength", "")) == pytest.approx(text_width(SIGNS), abs=0.005)


def test_svg_says_what_belongs_to_which_designation() -> None:
    root = read(svg_bytes(page("overview-1")))
    groups = [group for group in root.iter(f"{SVG}g") if group.get("data-of") == "=RP1-T1"]
    assert [text.text for group in groups for text in group.iter(f"{SVG}text")] == ["f1", "f2", "=RP1-T1", SIGNS]
    assert [element.get("data-of") for element in root.iter() if element.get("data-of")] == ["=RP1-T1", "=RP1-W1"]


def test_svg_links_to_the_sibling_sheet() -> None:
    root = read(svg_bytes(page("overview-1", link="terminals-RP1-T1")))
    assert [a.get(f"{XLINK}href") for a in root.iter(f"{SVG}a")] == ["terminals-RP1-T1.svg"]


def test_svg_finds_its_font_in_files_beside_it() -> None:
    svg = svg_bytes(page("overview-1")).decode()
    assert re.findall(r"font-weight:(\d+);src:url\((.*?)\)", svg) == [
        ("400", "SourceSansPro-Regular.ttf"),
        ("600", "SourceSansPro-Semibold.ttf"),
    ]


def test_svg_says_fill_and_stroke_as_attributes() -> None:
    root = read(svg_bytes(page("overview-1")))
    paths = list(root.iter(f"{SVG}path"))
    assert paths
    assert all(path.get("stroke") == "#000" and path.get("fill") in ("none", "#000") for path in paths)
    assert not any(element.get("class") or element.get("style") for element in root.iter())


def test_svg_says_what_it_is() -> None:
    root = read(svg_bytes(Sheet("a", "RP1/E1", "Circuits", "Circuit diagram", "=RP1 Pump", ())))
    assert root.findtext(f"{SVG}title") == "RP1/E1 Circuits"
    assert [(entry.tag.rpartition("}")[2], entry.text) for entry in root.iter() if "purl.org" in entry.tag] == [
        ("identifier", "RP1/E1"),
        ("type", "Circuit diagram"),
        ("subject", "=RP1 Pump"),
    ]


def test_what_is_drawn_alike_is_a_symbol_drawn_once() -> None:
    body = tuple(part for x in (50.5, 80.25) for part in placed(symbol("reactor"), x, 60.1, of=f"-F{x:.0f}"))
    root = read(svg_bytes(Sheet("a", "1", "Fuses", "Test", "", body)))
    (drawn,) = root.iter(f"{SVG}symbol")
    assert [(use.get("data-of"), use.get("x"), use.get("y")) for use in root.iter(f"{SVG}use")] == [
        ("-F50", "50.5", "60.1"),
        ("-F80", "80.25", "60.1"),
    ]
    assert {use.get(f"{XLINK}href") for use in root.iter(f"{SVG}use")} == {f"#{drawn.get('id')}"}
    assert len(list(root.iter(f"{SVG}path"))) == len(list(drawn))


def test_a_standalone_svg_embeds_a_font_that_has_every_letter_of_it() -> None:
    svg = svg_bytes(page("overview-1"), standalone=True)
    data = re.findall(rb"base64,([A-Za-z0-9+/=]+)", svg)
    assert len(data) == 2  # regular and semibold
    known = set(TTFont(BytesIO(base64.b64decode(data[0]))).getBestCmap())
    assert set(map(ord, SIGNS)) <= known
    assert len(data[0]) < 40_000


def test_texts_that_look_alike_say_so_once() -> None:
    looks = [(3.5, "end"), (3.5, "end"), (2.5, "start"), (3.5, "end"), (2.5, "middle")]
    texts = tuple(Label(10, 10 * at, f"{at}<", height, anchor, of="-Q1") for at, (height, anchor) in enumerate(looks))
    body = svg_bytes(Sheet("a", "1", "Texts", "Test", "", texts)).decode().partition('stroke-linecap="round">')[2]
    assert body == (
        '<g data-of="-Q1"><g font-size="5.303" text-anchor="end"><text x="10" y="0">0&lt;</text>'
        '<text x="10" y="10">1&lt;</text></g><text x="10" y="20">2&lt;</text>'
        '<text font-size="5.303" text-anchor="end" x="10" y="30">3&lt;</text>'
        '<text text-anchor="middle" x="10" y="40">4&lt;</text></g>\n</g></svg>\n'
    )


def test_names_and_texts_are_no_markup() -> None:
    texts = (Label(1, 1, '"<b>&', of='-Q"<1>&'), Label(1, 9, "x", of="-Q2", link='a"b<&'))
    root = read(svg_bytes(Sheet("a", "1", "<i>&", "T&<st", "", texts)))
    assert [(e.get("data-of"), "".join(e.itertext())) for e in root.iter() if e.get("data-of")] == [
        ('-Q"<1>&', '"<b>&'),
        ("-Q2", "x"),
    ]
    assert [a.get(f"{XLINK}href") for a in root.iter(f"{SVG}a")] == ["a%22b%3C%26.svg"]


def test_pdf_text_can_be_searched() -> None:
    reader = PdfReader(BytesIO(pdf_bytes([page("overview-1"), page("overview-2", "A4")], "Recirculation hall")))
    for sheet in reader.pages:
        text = sheet.extract_text()
        assert SIGNS in text
        assert "=RP1-T1" in text
        assert "a < b & c d" in text
    assert reader.metadata is not None
    assert reader.metadata.title == "Recirculation hall"


def test_pdf_pages_have_true_size() -> None:
    reader = PdfReader(BytesIO(pdf_bytes([page("overview-1"), page("overview-2", "A4")], "Hall")))
    sizes = [(float(p.mediabox.width) * 25.4 / 72, float(p.mediabox.height) * 25.4 / 72) for p in reader.pages]
    assert sizes[0] == pytest.approx((420, 297), abs=0.01)
    assert sizes[1] == pytest.approx((210, 297), abs=0.01)


SHAPES = (
    Line(((50, 40), (60, 50)), 0.5, dash=(1.6, 1.0)),
    Line(((50, 60), (60, 60), (55, 65)), fill=True, of="-Q1"),
    Line(((10, 10), (20, 10), (20, 30)), closed=True, of="-Q1"),
    Circle(60, 80, 1, fill=True, of="=A-T1:1"),
    Circle(70, 80, 4, 0.35, (2.0, 1.0)),
    Arc(60, 90, 5, 3, 30, 300, of="-Q1"),
    Arc(60, 90, 5, 3, 0, 120, 0.5),
    Arc(60, 100, 5, 3, 0, 360),
    Label(70, 90, "7 < 8", 3.5, "end", of="-Q1", link="other sheet"),
    Label(70, 95, "U", anchor="middle", bold=True),
)


def test_svg_has_every_shape_where_it_is() -> None:
    body = svg_bytes(Sheet("a", "1", "Shapes", "Test", "", SHAPES)).decode().partition('stroke-linecap="round">')[2]
    black, line = 'fill="#000" stroke="#000"', 'fill="none" stroke="#000"'
    assert body.splitlines() == [
        f'<path d="M50 40l10 10" {line} stroke-width="0.5" stroke-linecap="butt" stroke-dasharray="1.6 1"/>',
        f'<path d="M66 80a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z" {line} stroke-width="0.35" stroke-linecap="butt" '
        'stroke-dasharray="2 1"/>',
        f'<path d="M65 90a5 3 0 0 0 -7.5 -2.6" {line} stroke-width="0.5"/>',
        f'<path d="M55 100a5 3 0 1 0 10 0a5 3 0 1 0 -10 0z" {line}/>',
        '<text font-weight="600" text-anchor="middle" x="70" y="95">U</text>',
        f'<g data-of="-Q1"><path d="M50 60h10l-5 5z" {black}/>'
        f'<path d="M10 10h10v20zM64.33 88.5a5 3 0 1 0 -1.83 4.1" {line}/>'
        '<a xlink:href="other%20sheet.svg"><text font-size="5.303" text-anchor="end" x="70" y="90">7 &lt; 8</text></a></g>',
        f'<path data-of="=A-T1:1" d="M59 80a1 1 0 1 0 2 0a1 1 0 1 0 -2 0z" {black}/>',
        "</g></svg>",
    ]


def test_pdf_has_every_shape_where_it_is() -> None:
    """As another program reads them back: ends in mm, line width in mm, filled or not, dash in mm."""
    millimetre = 72 / 25.4
    with pdfplumber.open(BytesIO(pdf_bytes([Sheet("a", "1", "Shapes", "Test", "", SHAPES)], "Shapes"))) as pdf:
        drawn = [*pdf.pages[0].lines, *pdf.pages[0].curves]
    found = {
        tuple((round(x / millimetre, 1), round(y / millimetre, 1)) for x, y in shape["pts"]): (
            round(shape["linewidth"] / millimetre, 2),
            shape["fill"],
            shape["dash"][0],
        )
        for shape in drawn
    }
    assert found == {
        ((50, 40), (60, 50)): (0.5, False, [1.6, 1]),
        ((50, 60), (60, 60), (55, 65), (50, 60)): (0.25, True, []),
        ((10, 10), (20, 10), (20, 30), (10, 10)): (0.25, False, []),
        ((61, 80), (60, 79), (59, 80), (60, 81), (61, 80), (61, 80)): (0.25, True, []),
        ((74, 80), (70, 76), (66, 80), (70, 84), (74, 80), (74, 80)): (0.35, False, [2, 1]),
        ((64.3, 88.5), (57.5, 87.4), (55.7, 91.5), (62.5, 92.6)): (0.25, False, []),
        ((65, 90), (62.5, 87.4), (57.5, 87.4)): (0.5, False, []),
        ((65, 100), (60, 97), (55, 100), (60, 103), (65, 100), (65, 100)): (0.25, False, []),
    }


def test_pdf_links_lie_on_their_texts() -> None:
    sheets = [Sheet(key, "1", "Links", "Test", "", SHAPES) for key in ("here", "other sheet")]
    (link,) = PdfReader(BytesIO(pdf_bytes(sheets, "Links"))).pages[0]["/Annots"]
    left, low, right, high = (float(value) * 25.4 / 72 for value in link.get_object()["/Rect"])
    box = ink_box(SHAPES[-2])
    assert (left, right) == pytest.approx((box.left - 0.5, box.right + 0.5), abs=0.01)
    assert (297 - high, 297 - low) == pytest.approx((box.top - 0.5, box.bottom + 0.5), abs=0.01)


def test_pdf_has_bookmarks_and_links_between_its_sheets() -> None:
    sheets = [page("overview-1", link="overview-2"), page("overview-2", link="nowhere")]
    reader = PdfReader(BytesIO(pdf_bytes(sheets, "Hall")))
    kind, entries = reader.outline
    assert kind["/Title"] == "Single-line diagram"
    assert [entry["/Title"] for entry in entries] == ["RP1.1 Overview, =RP1", "RP1.1 Overview, =RP1"]
    links = [a.get_object() for a in reader.pages[0].get("/Annots", [])]
    assert len(links) == 1
    assert links[0]["/Dest"][0].idnum == reader.pages[1].indirect_reference.idnum
    assert "/Annots" not in reader.pages[1]


def test_pdf_embeds_cut_fonts() -> None:
    reader = PdfReader(BytesIO(pdf_bytes([page("overview-1")], "Hall")))
    fonts = reader.pages[0]["/Resources"]["/Font"]
    for font in fonts.values():
        descendant = font.get_object()["/DescendantFonts"][0].get_object()
        assert "/FontFile2" in descendant["/FontDescriptor"]
    assert len(pdf_bytes([page("overview-1")], "Hall")) < 60_000


def test_no_sheets_still_give_a_readable_pdf() -> None:
    reader = PdfReader(BytesIO(pdf_bytes([], "Hall")), strict=True)
    assert (len(reader.pages), reader.outline) == (1, [])


def test_a_pdf_of_many_sheets_is_read_strictly() -> None:
    sheets = [
        replace(page(f"s-{at}", link=f"s-{(at * 7 + 1) % 500}"), title=f"(Ω) \\ {at}", kind=f"Part {at // 200}")
        for at in range(500)
    ]
    reader = PdfReader(BytesIO(pdf_bytes(sheets, "Pumps (ΔT)")), strict=True)
    assert reader.metadata is not None and reader.metadata.title == "Pumps (ΔT)"
    number = {each.indirect_reference.idnum: at for at, each in enumerate(reader.pages)}
    (link_of,) = zip(*(each["/Annots"] for each in reader.pages), strict=True)
    assert [number[link.get_object()["/Dest"][0].idnum] for link in link_of] == [(at * 7 + 1) % 500 for at in range(500)]
    named = [entry for entry in reader.outline if not isinstance(entry, list)]
    below = [entry for entries in reader.outline if isinstance(entries, list) for entry in entries]
    assert [entry["/Title"] for entry in named] == ["Part 0", "Part 1", "Part 2"]
    assert [entry["/Title"] for entry in below] == [f"RP1.1 (Ω) \\ {at}, =RP1" for at in range(500)]
    assert [number[entry["/Page"].indirect_reference.idnum] for entry in below] == list(range(500))


def test_a_font_that_letters_nothing_is_left_out() -> None:
    sheet = Sheet("a", "1", "Shapes", "Test", "", (Label(70, 90, "pump"),))
    reader = PdfReader(BytesIO(pdf_bytes([sheet], "Hall")), strict=True)
    assert list(reader.pages[0]["/Resources"]["/Font"]) == ["/F1"]
    assert reader.pages[0].extract_text() == "pump"
