"""The fonts of a PDF, cut down to the characters that its pages letter. The code of a character is its number in Unicode."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from typing import Any

from msgspec import Struct
from pydyf import Array, Dictionary, Stream, String

from render.layout.fonts import font_file
from render.writers.lettering import cut

_LEVEL = 6  # of compression: fixed, as the bytes follow from it
_EM = 1000  # units of a font in a PDF
_SYMBOLIC = 4  # it has other characters than those of standard Latin
_MOST = 100  # ranges that are said at a time
_TABLES = frozenset({"glyf", "head", "hhea", "hmtx", "loca", "maxp"})
_BEGIN = """/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000> <FFFF>
endcodespacerange
"""
_END = """endcmap
CMapName currentdict /CMap defineresource pop
end
end
"""


class Cut(Struct, frozen=True):
    """A font cut down. `glyphs`: its file, and `places`, which glyph stands under which code, both compressed; `length`: bytes of
    the file as it was; `widths` of the characters and of all others (`missing`), `says`: measures of the font, as a PDF has them;
    `unicode`: compressed, how codes are read."""

    name: str
    glyphs: bytes
    length: int
    places: bytes
    widths: str
    missing: int
    says: dict[str, str]
    unicode: bytes


@lru_cache(maxsize=8)
def cut_font(bold: bool, characters: str) -> Cut:
    """The font that letters regular or bold text with `characters` alone, the same for the same: the last are kept, for a plant
    that is drawn again is lettered with the same ones."""
    codes = sorted(map(ord, characters))
    font: Any
    with cut(bold, codes) as font:
        names, outlines = font.getBestCmap(), font["glyf"]
        glyphs = {code: font.getGlyphID(names[code]) for code in codes if code in names}
        unit = _EM / font["head"].unitsPerEm
        widths = {code: round(font["hmtx"][names[code]][0] * unit) for code in glyphs}
        missing = round(font["hmtx"][".notdef"][0] * unit)
        stem = outlines[names[ord("I")]] if ord("I") in names else outlines[".notdef"]
        head, lines = font["head"], font["hhea"]
        box = " ".join(f"{side * unit:.0f}" for side in (head.xMin, head.yMin, head.xMax, head.yMax))
        capital = font["OS/2"].sCapHeight
        heights = {"Ascent": lines.ascent, "Descent": lines.descent, "CapHeight": capital, "StemV": stem.xMax - stem.xMin}
        says = {"Flags": str(_SYMBOLIC), "FontBBox": f"[{box}]", "ItalicAngle": f"{font['post'].italicAngle:g}"}
        says.update({name: f"{value * unit:.0f}" for name, value in heights.items()})
        for table in set(font.keys()) - _TABLES - {"GlyphOrder"}:
            del font[table]
        data = BytesIO()
        font.save(data)
    places = b"".join(glyphs.get(code, 0).to_bytes(2, "big") for code in range(max(codes) + 1))
    own = "".join(chr(ord("A") + byte % 26) for byte in sha256(data.getvalue()).digest()[:6])
    file = zlib.compress(data.getvalue(), _LEVEL)
    said = zlib.compress(_readable(list(glyphs)).encode("ascii"), _LEVEL)
    packed = zlib.compress(places, _LEVEL)
    return Cut(f"{own}+{font_file(bold).stem}", file, len(data.getvalue()), packed, _listed(widths), missing, says, said)


def add_font(pdf: Any, font: Cut) -> Any:
    """Add `font` to a PDF; what pages letter with."""
    packed = {"Filter": "/FlateDecode"}
    glyphs = Stream([font.glyphs], {**packed, "Length1": font.length})
    places, unicode = Stream([font.places], packed), Stream([font.unicode], packed)
    name = f"/{font.name}"
    measures = Dictionary({"Type": "/FontDescriptor", "FontName": name, **font.says})
    within = Dictionary(
        {"Type": "/Font", "Subtype": "/CIDFontType2", "BaseFont": name, "DW": font.missing, "W": f"[{font.widths}]"}
    )
    whole = Dictionary({"Type": "/Font", "Subtype": "/Type0", "BaseFont": name, "Encoding": "/Identity-H"})
    for each in (whole, within, measures, glyphs, places, unicode):
        pdf.add_object(each)
    measures["FontFile2"] = glyphs.reference
    collection = Dictionary({"Registry": String("Adobe"), "Ordering": String("UCS"), "Supplement": 0})
    within.update(CIDSystemInfo=collection, FontDescriptor=measures.reference, CIDToGIDMap=places.reference)
    whole.update(DescendantFonts=Array([within.reference]), ToUnicode=unicode.reference)
    return whole


def _rows(codes: list[int]) -> Iterator[tuple[int, int]]:
    """First and last of each row of codes that follow one another and have the same first byte."""
    begin = 0
    for at in range(1, len(codes) + 1):
        if at == len(codes) or codes[at] != codes[at - 1] + 1 or codes[at] >> 8 != codes[begin] >> 8:
            yield codes[begin], codes[at - 1]
            begin = at


def _listed(widths: dict[int, int]) -> str:
    """Widths by code as a PDF lists them."""
    rows = _rows(list(widths))
    return "".join(f"{one}[{' '.join(str(widths[code]) for code in range(one, last + 1))}]" for one, last in rows)


def _readable(codes: list[int]) -> str:
    """How codes are read as characters (ISO 32000-1, 9.10.3): as their numbers."""
    rows = [f"<{one:04X}> <{last:04X}> <{one:04X}>\n" for one, last in _rows(codes)]
    parts = [rows[at : at + _MOST] for at in range(0, len(rows), _MOST)]
    said = [f"{len(part)} beginbfrange\n{''.join(part)}endbfrange\n" for part in parts]
    return f"{_BEGIN}{''.join(said)}{_END}"
