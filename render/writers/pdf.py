"""Sheets as one PDF: true size, letters embedded and searchable, bookmarks, links from sheet to sheet.

Pages stand in it as they were made (`pdf_page.py`), each read and forgotten in its turn. What a PDF needs besides is little:
fonts, bookmarks, the list of pages (ISO 32000-1, 7.7, 9.7, 12.3). A library for it has to be loaded by every build, which takes
longer than to draw a small plant.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain, groupby
from typing import BinaryIO

from render.layout.fonts import printable
from render.layout.frame import sheet_size
from render.sheet import Sheet
from render.writers.pdf_file import ObjectFile, string
from render.writers.pdf_fonts import OBJECTS, Cut, cut_font, write_font
from render.writers.pdf_page import BOLD, POINTS, REGULAR, Leaf, page_of

_DATE = "D:20000101000000Z"  # fixed: the same sheets give the same bytes
#: numbers of the objects that every document has
_CATALOG, _PAGES, _INFO, _RESOURCES, _BOOKMARKS, _REGULAR = range(1, 7)
_BOLD = _REGULAR + OBJECTS
_FIRST = _BOLD + OBJECTS
#: longest words of a bookmark on what stands on a sheet, in characters
_LONGEST = 90
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
    pages = max(1, len(leaves))
    groups = [(kind, list(group)) for kind, group in groupby(range(len(leaves)), lambda at: leaves[at].sheet.kind)]
    count = _FIRST - 1 + 2 * pages + len(groups) + len(leaves)
    pdf = ObjectFile(file, count)
    sizes = [_points(leaf.sheet.size) for leaf in leaves] or [_points("A3")]
    tops = [f"[{_page(at)} 0 R/XYZ 0 {height} null]" for at, (_, height) in enumerate(sizes)]
    targets = {leaf.sheet.key: top for leaf, top in zip(leaves, tops, strict=False)}
    for at, leaf in enumerate(leaves):
        page = leaf.page()
        pdf.stream(_page(at) + 1, page.content)
        pdf.put(_page(at), _as_page(sizes[at], f"/Contents {_page(at) + 1} 0 R{_links(page.links, targets)}"))
    if not leaves:
        pdf.put(_page(0), _as_page(sizes[0], ""))
        pdf.put(_page(0) + 1, "null")
    named = [_font(pdf, leaves, bold, fonts) for bold in (False, True)]
    pdf.put(_RESOURCES, f"<</Font<<{''.join(named)}>>>>")
    kids = " ".join(f"{_page(at)} 0 R" for at in range(pages))
    pdf.put(_PAGES, f"<</Type/Pages/Count {pages}/Kids[{kids}]>>")
    _write_bookmarks(pdf, _FIRST + 2 * pages, groups, [_name(leaf.sheet, title) for leaf in leaves], tops)
    pdf.put(_INFO, f"<</Title{string(printable(title))}/Producer(netdsl)/CreationDate({_DATE})>>")
    begin = f"/OpenAction[{_page(0)} 0 R/FitH null]/PageLayout/OneColumn"
    pdf.put(_CATALOG, f"<</Type/Catalog/Pages {_PAGES} 0 R/Outlines {_BOOKMARKS} 0 R{begin}>>")
    pdf.end(f"/Root {_CATALOG} 0 R/Info {_INFO} 0 R")


def _page(at: int) -> int:
    """The number of a page among the objects, the first being 0; behind it comes that of its content."""
    return _FIRST + 2 * at


def _points(size: str) -> tuple[str, str]:
    """Width and height of a sheet, points."""
    width, height = sheet_size(size)
    return f"{width * POINTS:.2f}", f"{height * POINTS:.2f}"


def _as_page(size: tuple[str, str], said: str) -> str:
    return f"<</Type/Page/Parent {_PAGES} 0 R/MediaBox[0 0 {size[0]} {size[1]}]/Resources {_RESOURCES} 0 R{said}>>"


def _links(links: Iterable[tuple[str, str]], targets: Mapping[str, str]) -> str:
    """The links of a page to pages that there are."""
    notes = [
        f"<</Type/Annot/Subtype/Link/Rect[{where}]/Border[0 0 0]/F 4/Dest{targets[key]}>>"
        for key, where in links
        if key in targets
    ]
    return f"/Annots[{''.join(notes)}]" if notes else ""


def _font(pdf: ObjectFile, leaves: Iterable[Leaf], bold: bool, fonts: Fonts) -> str:
    """Write a font with all that is lettered in it; its name for the pages with its number, "" where nothing is."""
    # many leaves tell of the characters of all: each text of them once
    used = {leaf.bold if bold else leaf.regular for leaf in leaves}
    characters = "".join(sorted(set(chain.from_iterable(used))))
    first = _BOLD if bold else _REGULAR
    if not characters:
        for number in range(first, first + OBJECTS):
            pdf.put(number, "null")
        return ""
    write_font(pdf, first, fonts(bold, characters))
    return f"/{BOLD if bold else REGULAR} {first} 0 R"


def _name(sheet: Sheet, whole: str) -> str:
    """A sheet as its bookmark says it: number, title, and what stands on it or it is part of where neither the title nor that of
    the `whole` set says so; what would not fit beside the sheets is left to them."""
    what = sheet.about if 0 < len(sheet.about) <= _LONGEST else sheet.part_of
    for other in reversed(sheet.title.split(", ")):  # of a list, what begins below another
        what = what.removesuffix(other).removesuffix(", ")
    part = "" if what in sheet.title or what == whole else f", {what}"
    return f"{sheet.number} {sheet.title}{part}"


def _write_bookmarks(
    pdf: ObjectFile, first: int, groups: Sequence[tuple[str, Sequence[int]]], names: Sequence[str], tops: Sequence[str]
) -> None:
    """Write a bookmark for each group of sheets of a kind and below it one for each sheet, with the numbers from `first` on."""
    below = first + len(groups)  # those of the sheets come behind those of the groups
    all_groups = range(first, below)
    for number, (kind, members) in zip(all_groups, groups, strict=True):
        inside = range(below + members[0], below + members[-1] + 1)
        open_below = f"/Count {len(inside)}/First {inside[0]} 0 R/Last {inside[-1]} 0 R"
        _put_bookmark(pdf, number, all_groups, _BOOKMARKS, kind or "Sheets", tops[members[0]] + open_below)
        for at in members:
            _put_bookmark(pdf, below + at, inside, number, names[at], tops[at])
    ends = f"/First {all_groups[0]} 0 R/Last {all_groups[-1]} 0 R" if groups else ""
    pdf.put(_BOOKMARKS, f"<</Type/Outlines/Count {len(groups) + len(names)}{ends}>>")


def _put_bookmark(pdf: ObjectFile, number: int, row: range, above: int, text: str, said: str) -> None:
    """A bookmark among those of its `row`; `said`: where it leads, and what is below."""
    before = f"/Prev {number - 1} 0 R" if number > row[0] else ""
    after = f"/Next {number + 1} 0 R" if number < row[-1] else ""
    pdf.put(number, f"<</Title{string(printable(text))}/Parent {above} 0 R{before}{after}/Dest{said}>>")
