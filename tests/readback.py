"""Drawings read back: the texts of an SVG sheet with their places in millimetres, the texts of a PDF, a sheet as text."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from render.sheet import Arc, Circle, Label, Line, Primitive, Sheet

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class Written:
    """A text as it stands on a sheet; `x` left, `y` base line, mm from the top left. `of`: the designation it belongs to."""

    text: str
    x: float
    y: float
    of: str = ""


def svg_texts(file: Path) -> list[Written]:
    """All texts of an SVG sheet. An anchor other than the start leaves `x` at the anchor."""
    result: list[Written] = []

    def walk(element: ElementTree.Element, of: str) -> None:
        of = element.get("data-of", of)
        if element.tag == f"{SVG}text":
            result.append(Written("".join(element.itertext()), float(element.get("x", 0)), float(element.get("y", 0)), of))
        for child in element:
            walk(child, of)

    walk(ElementTree.fromstring(file.read_bytes()), "")
    return result


def pdf_texts(file: Path) -> list[list[str]]:
    """The texts of each page of a PDF as they were written one by one, without blanks. What is written twice at one place is told
    as nothing the second time."""
    # of pdfplumber the reader below it that is compiled: what stands where is not asked
    from pypdfium2 import PdfDocument, raw

    document = PdfDocument(file)
    try:
        found = []
        for page in document:
            written = page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], textpage=page.get_textpage())
            # a hyphen at the end of a line is told as a control character
            found.append(["".join(text.extract().replace("\x02", "-").split()) for text in written])
        return found
    finally:
        document.close()


def display_list(sheet: Sheet) -> Iterator[str]:
    """A sheet as text: what it is, then a line for each primitive, in hundredths of a millimetre."""
    yield f"=== {sheet.key} | {sheet.number} | {sheet.title} | {sheet.kind} | {sheet.part_of} | {sheet.size}"
    yield from map(as_text, sheet.primitives)


def as_text(primitive: Primitive) -> str:
    """A primitive as one line: what, how wide or high, where, how, and to what it belongs."""
    match primitive:  # what a sheet has most of first
        case Label(x, y, text, height, anchor, bold, _, link):
            how = "" if anchor == "start" else f" {anchor}"
            line = f"text {_number(height)} {_at(x, y)}{how}{' bold' * bold} {text!r}{f' -> {link}' if link else ''}"
        case Line(points, width, dash, closed, fill):
            places = " ".join([_at(x, y) for x, y in points])
            line = f"line {_number(width)} {places}{' closed' * closed}{' black' * fill}{_dash(dash)}"
        case Circle(x, y, radius, width, dash, fill):
            line = f"circle {_number(width)} {_at(x, y)} r{_number(radius)}{' black' * fill}{_dash(dash)}"
        case Arc(x, y, rx, ry, start, end, width, dash):
            turn = f"{_number(start)}..{_number(end)}°"
            line = f"arc {_number(width)} {_at(x, y)} r{_number(rx)}x{_number(ry)} {turn}{_dash(dash)}"
    return f"{line} [{primitive.of}]" if primitive.of else line


# the sheets of a plant have the same few thousand numbers over and over
@cache
def _number(value: float) -> str:
    return f"{round(value, 2) + 0.0:g}"


def _at(x: float, y: float) -> str:
    return f"{_number(x)},{_number(y)}"


@cache
def _dash(dash: tuple[float, ...]) -> str:
    lengths = "/".join(map(_number, dash))
    return f" dash {lengths}" if lengths else ""
