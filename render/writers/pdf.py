"""Sheets as one PDF: true size, letters embedded and searchable, bookmarks, links from sheet to sheet.

pydyf writes the file: it numbers the objects and packs all that is no stream. Pages stand in it as they were made, each read and
forgotten in its turn (`pdf_page.py`). What a PDF says besides is little: fonts, bookmarks, links (ISO 32000-1, 9.7, 12.3).
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain, groupby, pairwise
from typing import Any, BinaryIO

from pydyf import PDF, Array, Dictionary, Stream, String

from render.layout.fonts import printable
from render.layout.frame import sheet_size
from render.sheet import Sheet
from render.writers.pdf_fonts import Cut, add_font, cut_font
from render.writers.pdf_page import BOLD, POINTS, REGULAR, Leaf, page_of

_DATE = "D:20000101000000Z"  # fixed: the same sheets give the same bytes
#: longest words of a bookmark on what stands on a sheet, in characters
_LONGEST = 90
#: of the PDF, with object streams and all that pages use
_VERSION = b"1.7"
#: a link as it is written: its rectangle, and where it leads
_LINK = b"<</Type /Annot/Subtype /Link/Border [0 0 0]/F 4/Rect [%b]/Dest %b>>"
#: gives the font for regular or bold text with these characters
Fonts = Callable[[bool, str], Cut]


def pdf_bytes(sheets: Iterable[Sheet], title: str) -> bytes:
    """`sheets` in their order as one PDF called `title`, the same bytes for the same sheets. No sheets give one empty page."""
    file = io.BytesIO()
    write_pdf([_leaf(sheet) for sheet in sheets], title, file)
    return file.getvalue()


def _leaf(sheet: Sheet) -> Leaf:
    """`sheet` as it is bound, its page held."""
    page = page_of(sheet)
    return Leaf(sheet, lambda: page, page.regular, page.bold)


def write_pdf(leaves: Sequence[Leaf], title: str, file: BinaryIO, fonts: Fonts = cut_font) -> None:
    """Write `leaves` in their order into `file` as one PDF called `title`, the same bytes for the same leaves."""
    pdf = PDF()
    letters, shown = Dictionary(), Dictionary({"Type": "/Outlines", "Count": 0})
    resources = Dictionary({"Font": letters})
    pdf.add_object(resources)
    pdf.add_object(shown)
    sizes = [_points(leaf.sheet.size) for leaf in leaves] or [_points("A3")]
    pages = [_add_page(pdf, resources, size) for size in sizes]
    tops = [Array([page.reference, "/XYZ", 0, size[1], "null"]).data for page, size in zip(pages, sizes, strict=True)]
    targets = {leaf.sheet.key: top for leaf, top in zip(leaves, tops, strict=False)}
    for page, leaf in zip(pages, leaves, strict=False):
        content = _Content([leaf])  # type: ignore[no-untyped-call]  # pydyf carries no annotations
        pdf.add_object(content)
        page["Contents"] = content.reference
        if links := _links(leaf.page().links, targets):
            page["Annots"] = links
    for bold in (False, True):
        _add_font(pdf, letters, leaves, bold, fonts)
    _add_bookmarks(pdf, shown, leaves, title, tops)
    pdf.info.update(Title=String(printable(title)), Producer=String("netdsl"), CreationDate=String(_DATE))
    begin = Array([pages[0].reference, "/FitH", "null"])
    pdf.catalog.update(Outlines=shown.reference, OpenAction=begin, PageLayout="/OneColumn")
    pdf.write(file, version=_VERSION, compress=True)


class _Content(Stream):
    """What is drawn on the pages of leaves, read when it is written and not before: it is compressed already."""

    @property
    def data(self) -> Any:
        return Stream([leaf.page().content for leaf in self.stream], {"Filter": "/FlateDecode"}).data


def _points(size: str) -> tuple[str, str]:
    """Width and height of a sheet, points."""
    width, height = sheet_size(size)
    return f"{width * POINTS:.2f}", f"{height * POINTS:.2f}"


def _add_page(pdf: Any, resources: Any, size: tuple[str, str]) -> Any:
    page = Dictionary({"Type": "/Page", "Parent": pdf.pages.reference, "MediaBox": Array([0, 0, *size])})
    page["Resources"] = resources.reference
    pdf.add_page(page)
    return page


def _links(links: Iterable[tuple[str, str]], targets: Mapping[str, bytes]) -> Any:
    """The links of a page to pages that there are."""
    # as written, not as so many objects: large sets have hundreds of thousands
    return Array([_LINK % (where.encode("ascii"), targets[key]) for key, where in links if key in targets])


def _add_font(pdf: Any, letters: Any, leaves: Iterable[Leaf], bold: bool, fonts: Fonts) -> None:
    """Add a font with all that is lettered in it, where anything is, to those that pages letter with."""
    # many leaves tell of the characters of all: each text of them once
    used = {leaf.bold if bold else leaf.regular for leaf in leaves}
    characters = "".join(sorted(set(chain.from_iterable(used))))
    if characters:
        letters[BOLD if bold else REGULAR] = add_font(pdf, fonts(bold, characters)).reference


def _name(sheet: Sheet, whole: str) -> str:
    """A sheet as its bookmark says it: number, title, and what stands on it or it is part of where neither the title nor that of
    the `whole` set says so; what would not fit beside the sheets is left to them."""
    what = sheet.about if 0 < len(sheet.about) <= _LONGEST else sheet.part_of
    for other in reversed(sheet.title.split(", ")):  # of a list, what begins below another
        what = what.removesuffix(other).removesuffix(", ")
    part = "" if what in sheet.title or what == whole else f", {what}"
    return f"{sheet.number} {sheet.title}{part}"


def _add_bookmarks(pdf: Any, shown: Any, leaves: Sequence[Leaf], title: str, tops: Sequence[Any]) -> None:
    """Add a bookmark for each group of sheets of a kind to those that are `shown`, and below it one for each sheet."""
    kinds = []
    for kind, group in groupby(zip(leaves, tops, strict=False), lambda each: each[0].sheet.kind):
        members = list(group)
        own = _bookmark(pdf, shown, kind or "Sheets", members[0][1])
        _join(own, [_bookmark(pdf, own, _name(leaf.sheet, title), top) for leaf, top in members])
        kinds.append(own)
    _join(shown, kinds)
    shown["Count"] = len(kinds) + len(leaves)


def _bookmark(pdf: Any, above: Any, text: str, top: Any) -> Any:
    mark = Dictionary({"Title": String(printable(text)), "Parent": above.reference, "Dest": top})
    pdf.add_object(mark)
    return mark


def _join(above: Any, row: Sequence[Any]) -> None:
    """Have bookmarks follow one another below another."""
    for before, behind in pairwise(row):
        before["Next"], behind["Prev"] = behind.reference, before.reference
    if row:
        above.update(First=row[0].reference, Last=row[-1].reference, Count=len(row))
