"""Drawings read back: the texts of an SVG sheet with their places in millimetres, the letters of a PDF."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

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


def pdf_letters(file: Path) -> list[str]:
    """The characters of each page of a PDF in the order in which they were written, without blanks."""
    import pdfplumber

    with pdfplumber.open(file) as pdf:
        return ["".join("".join(char["text"] for char in page.chars).split()) for page in pdf.pages]
