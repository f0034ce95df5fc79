"""Sheets as one PDF: true size, letters embedded and searchable, bookmarks, links from sheet to sheet.

Geometry goes into the page as one block of drawing operators under a matrix that turns points into millimetres with y down;
fpdf2's own line by line calls take several times as long. Texts, links and bookmarks go through fpdf2.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from math import cos, radians, sin, tan
from typing import TYPE_CHECKING

from render.layout.bounds import arc_point
from render.layout.fonts import font_file, ink_box, printable, start_of, type_size
from render.layout.frame import sheet_size
from render.sheet import Arc, Circle, Label, Line, Primitive, Sheet

if TYPE_CHECKING:
    from fpdf import FPDF

_POINTS = 72 / 25.4  # points in a millimetre
_DATE = datetime(2000, 1, 1, tzinfo=UTC)  # fixed: the same sheets give the same bytes
_FAMILY = "drawing"
_CIRCLE = 360.0


def pdf_bytes(sheets: Sequence[Sheet], title: str) -> bytes:
    """`sheets` in their order as one PDF called `title`, the same bytes for the same sheets. No sheets give one empty page."""
    pdf = _document(printable(title))
    pages = {sheet.key: number for number, sheet in enumerate(sheets, start=1)}
    if not sheets:
        pdf.add_page(format=_format("A3"))
    kind = None
    for sheet in sheets:
        pdf.add_page(format=_format(sheet.size))
        if sheet.kind != kind:
            kind = sheet.kind
            pdf.start_section(printable(kind) or "Sheets", level=0)
        pdf.start_section(printable(_name(sheet, title)), level=1)
        _draw(pdf, sheet.primitives, sheet_size(sheet.size)[1])
        _letter(pdf, [p for p in sheet.primitives if isinstance(p, Label)], pages)
    return bytes(pdf.output())


#: longest words of a bookmark on what stands on a sheet, in characters
_LONGEST = 90


def _name(sheet: Sheet, whole: str) -> str:
    """A sheet as its bookmark says it: number, title, and what stands on it or it is part of where neither the title nor that of
    the `whole` set says so; what would not fit beside the sheets is left to them."""
    what = sheet.about if 0 < len(sheet.about) <= _LONGEST else sheet.part_of
    part = "" if what in sheet.title or what == whole else f", {what}"
    return f"{sheet.number} {sheet.title}{part}"


def _document(title: str) -> FPDF:
    from fpdf import FPDF

    # the subsetter reports every table it drops
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    pdf = FPDF(unit="mm")
    pdf.set_creation_date(_DATE)
    pdf.set_producer("netdsl")
    pdf.set_title(title)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.add_font(_FAMILY, "", font_file(False))
    pdf.add_font(_FAMILY, "B", font_file(True))
    return pdf


def _format(size: str) -> tuple[float, float]:
    """Width and height in mm, as fpdf2 takes them for a page that stands as it is."""
    return sheet_size(size)


def _draw(pdf: FPDF, primitives: Iterable[Primitive], height: float) -> None:
    """All geometry of a page; pen changes are written only where the pen changes."""
    operators = [f"q {_POINTS:.6f} 0 0 {-_POINTS:.6f} 0 {height * _POINTS:.4f} cm 1 J 0 j"]
    width = -1.0
    dash: tuple[float, ...] = ()
    for p in primitives:
        if isinstance(p, Label):
            continue
        if p.width != width:
            width = p.width
            operators.append(f"{width:g} w")
        if p.dash != dash:
            dash = p.dash
            # round caps would fill the gaps
            operators.append(f"[{' '.join(f'{length:g}' for length in dash)}] 0 d {0 if dash else 1} J")
        operators.append(_shape(p))
    operators.append("Q")
    contents = pdf.pages[pdf.page].contents
    assert isinstance(contents, bytearray)  # it becomes a stream when the document is finished
    contents += ("\n".join(operators) + "\n").encode("ascii")


def _shape(p: Line | Circle | Arc) -> str:
    if isinstance(p, Circle):
        return _curve(Arc(p.x, p.y, p.radius, p.radius, 0.0, _CIRCLE)) + (" b" if p.fill else " s")
    if isinstance(p, Arc):
        return _curve(p) + (" s" if p.end - p.start >= _CIRCLE else " S")
    path = " l ".join([f"{x:g} {y:g}" for x, y in p.points]).replace(" l ", " m ", 1)
    return f"{path} l {'b' if p.fill else 's' if p.closed else 'S'}"


def _curve(arc: Arc) -> str:
    """Cubic curves along `arc`, each of a quarter turn at most."""
    span = min(arc.end - arc.start, _CIRCLE)
    pieces = max(1, int(-(-span // 90)))
    step = radians(span / pieces)
    reach = 4 / 3 * tan(step / 4)
    x, y = arc_point(arc, arc.start)
    operators = [f"{x:.3f} {y:.3f} m"]
    for index in range(pieces):
        a = radians(arc.start) + index * step
        b = a + step
        x1, y1 = arc.x + arc.rx * (cos(a) - reach * sin(a)), arc.y - arc.ry * (sin(a) + reach * cos(a))
        x2, y2 = arc.x + arc.rx * (cos(b) + reach * sin(b)), arc.y - arc.ry * (sin(b) - reach * cos(b))
        x3, y3 = arc.x + arc.rx * cos(b), arc.y - arc.ry * sin(b)
        operators.append(f"{x1:.3f} {y1:.3f} {x2:.3f} {y2:.3f} {x3:.3f} {y3:.3f} c")
    return " ".join(operators)


def _letter(pdf: FPDF, labels: Iterable[Label], pages: Mapping[str, int]) -> None:
    """The texts of a page, and the links that lie on them."""
    current: tuple[bool, float] | None = None
    for label in labels:
        text = printable(label.text)
        if not text:
            continue
        if (label.bold, label.height) != current:
            current = (label.bold, label.height)
            pdf.set_font(_FAMILY, "B" if label.bold else "", type_size(label.height) * _POINTS)
        pdf.text(start_of(label), label.y, text)
        if label.link in pages:
            box = ink_box(label).grown(0.5)
            target = pdf.add_link(page=pages[label.link])
            pdf.link(box.left, box.top, box.width, box.height, target)
