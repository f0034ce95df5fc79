"""Sheets as one PDF: true size, letters embedded and searchable, bookmarks, links from sheet to sheet.

fpdf2 has the document: fonts, bookmarks, page tree and cross references. Pages are handed to it as they are to stand in the
file; its own calls, text by text and link by link, take ten times as long, and it would hold all pages at once.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from hashlib import md5
from typing import Any, BinaryIO, Self

from fpdf import FPDF
from fpdf.fonts import TTFFont
from fpdf.output import PDFPage
from fpdf.syntax import PDFArray, PDFContentStream

from render.layout.fonts import font_file, printable
from render.layout.frame import sheet_size
from render.sheet import Sheet
from render.writers.pdf_packed import VERSION, PackingProducer
from render.writers.pdf_page import Leaf, Page, page_of

_DATE = datetime(2000, 1, 1, tzinfo=UTC)  # fixed: the same sheets give the same bytes
_FAMILY = "drawing"
#: longest words of a bookmark on what stands on a sheet, in characters
_LONGEST = 90


def pdf_bytes(sheets: Iterable[Sheet], title: str) -> bytes:
    """`sheets` in their order as one PDF called `title`, the same bytes for the same sheets. No sheets give one empty page."""
    file = io.BytesIO()
    write_pdf([_leaf(sheet) for sheet in sheets], title, file)
    return file.getvalue()


def _leaf(sheet: Sheet) -> Leaf:
    """`sheet` as it is bound, its page held."""
    page = page_of(sheet)
    return Leaf(sheet, lambda: page, page.regular, page.bold)


def write_pdf(leaves: Sequence[Leaf], title: str, file: BinaryIO) -> None:
    """Write `leaves` in their order into `file` as one PDF called `title`, the same bytes for the same leaves."""
    pdf = _Document(printable(title))
    if not leaves:
        pdf.add_page(format=sheet_size("A3"))
    kind = None
    numbers = {leaf.sheet.key: number for number, leaf in enumerate(leaves, start=1)}
    for leaf in leaves:
        pdf.add_page(format=sheet_size(leaf.sheet.size))
        if leaf.sheet.kind != kind:
            kind = leaf.sheet.kind
            pdf.start_section(printable(kind) or "Sheets", level=0)
        pdf.start_section(printable(_name(leaf.sheet, title)), level=1)
    pdf.letters("", {leaf.regular for leaf in leaves})
    pdf.letters("B", {leaf.bold for leaf in leaves})
    for number, leaf in enumerate(leaves, start=1):
        pdf.contents.append(_Ready(leaf))
        pdf.pages[number].annots = _Links(pdf, pdf.contents[-1], numbers)
    pdf.written = _Written(file)
    pdf.output(output_producer_class=_Producer)


def _name(sheet: Sheet, whole: str) -> str:
    """A sheet as its bookmark says it: number, title, and what stands on it or it is part of where neither the title nor that of
    the `whole` set says so; what would not fit beside the sheets is left to them."""
    what = sheet.about if 0 < len(sheet.about) <= _LONGEST else sheet.part_of
    for other in reversed(sheet.title.split(", ")):  # of a list, what begins below another
        what = what.removesuffix(other).removesuffix(", ")
    part = "" if what in sheet.title or what == whole else f", {what}"
    return f"{sheet.number} {sheet.title}{part}"


class _Document(FPDF):
    """A document of pages that are ready, with their `contents` in order."""

    def __init__(self, title: str) -> None:
        # the subsetter reports every table it drops
        logging.getLogger("fontTools").setLevel(logging.ERROR)
        super().__init__(unit="mm")
        self.contents: list[_Ready] = []
        self.written: _Written
        self.single_resources_object = True
        self.allow_images_transparency = False  # nothing is, and each page would say so
        self.pdf_version = VERSION
        self.set_compression(False)  # the pages are, and fonts always
        self.set_creation_date(_DATE)
        self.set_producer("netdsl")
        self.set_title(title)
        self.set_auto_page_break(False)
        self.set_margin(0)
        for style, bold in (("", False), ("B", True)):
            self.add_font(_FAMILY, style, font_file(bold))

    def letters(self, style: str, used: Iterable[str]) -> None:
        """Give the font of a style the characters `used`, each under its number in Unicode."""
        font = self.fonts[f"{_FAMILY}{style}"]
        assert isinstance(font, TTFFont)  # as `add_font` makes of a file
        subset = font.subset
        for character in sorted(set().union(*used)):
            subset._char_id_per_glyph[subset.get_glyph(unicode=ord(character))] = ord(character)

    def file_id(self) -> str:
        """As fpdf2's own: what the file came to so far, which it takes from a file in memory."""
        return self.written.identity


class _Written:
    """A file as fpdf2 takes it for its growing bytes: it can be added to, and has a length."""

    def __init__(self, file: BinaryIO) -> None:
        self._file, self._length, self._hash = file, 0, md5(usedforsecurity=False)

    def __len__(self) -> int:
        return self._length

    def __iadd__(self, data: bytes) -> Self:
        self._file.write(data)
        self._length += len(data)
        self._hash.update(data)
        return self

    @property
    def identity(self) -> str:
        """The two halves of a file's identity, which are one until it is changed."""
        return f"<{self._hash.hexdigest().upper()}>" * 2


class _Producer(PackingProducer):
    """Serialises the document into its file."""

    fpdf: _Document

    def __init__(self, fpdf: _Document) -> None:
        super().__init__(fpdf)
        self.buffer: Any = fpdf.written

    def _add_pages(self, _slice: slice = slice(0, None)) -> list[PDFPage]:
        pages: list[PDFPage] = super()._add_pages(_slice)
        for page, ready in zip(pages, self.fpdf.contents, strict=False):
            empty = page.contents
            assert isinstance(empty, PDFContentStream)
            ready.id = empty.id
            self.pdf_objs[self.pdf_objs.index(empty, ready.id)] = ready
            page.contents = ready
        return pages


class _Ready(PDFContentStream):
    """The operators of a page, compressed. Its links are written shortly before: what is read for them is kept until then."""

    def __init__(self, leaf: Leaf) -> None:
        super().__init__(b"")
        self._leaf = leaf
        self._read: Page | None = None

    def links(self) -> tuple[tuple[str, str], ...]:
        """Keys of sheets with the rectangles that lead there."""
        self._read = self._leaf.page()
        return self._read.links

    def serialize(self, *_of_others: object, **_named: object) -> Any:
        """The whole object, in bytes: as text, which it is not, they would be copied twice."""
        content = (self._read or self._leaf.page()).content
        self._read = None
        head = f"{self.id} 0 obj\n<</Filter/FlateDecode/Length {len(content)}>>\nstream\n"
        return b"".join((head.encode("ascii"), content, b"\nendstream\nendobj"))


class _Links(PDFArray):
    """The links of a page to those of the pages with the `numbers`, by key. Empty for whoever goes through it: fpdf2 looks for
    what else a note may have, one after the other."""

    def __init__(self, pdf: _Document, ready: _Ready, numbers: Mapping[str, int]) -> None:
        super().__init__()
        self._pdf, self._ready, self._numbers = pdf, ready, numbers

    def __bool__(self) -> bool:
        return True

    def serialize(self, _security_handler: object = None, _obj_id: object = None) -> str:
        """All of them; asked for when every page has its number."""
        pages, numbers = self._pdf.pages, self._numbers
        links = []
        for key, where in self._ready.links():
            number = numbers.get(key)
            if number is not None:
                page = pages[number]
                to = f"{page.id} 0 R/XYZ 0 {page.dimensions()[1]:.2f} null"
                links.append(f"<</Type/Annot/Subtype/Link/Rect[{where}]/Border[0 0 0]/F 4/Dest[{to}]>>")
        return f"[{''.join(links)}]"
