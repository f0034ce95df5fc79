"""What a font file says of its glyphs: which characters it has, how far each moves the pen, and where its ink lies.

Read from the tables `cmap`, `hmtx` and `glyf` (ISO/IEC 14496-22) as characters are asked for. fontTools reads all tables that
there are, and takes as long to load as a tenth of a build of a small plant.
"""

from __future__ import annotations

from pathlib import Path
from struct import unpack_from

#: platform and encoding of the table of all characters of Unicode, and its format
_UNICODE, _GROUPS = (3, 10), 12


class GlyphFile:
    """The font in `file`, with its outlines in a `glyf` table. `units`: of its coordinates to the type size."""

    def __init__(self, file: Path) -> None:
        self._data = data = file.read_bytes()
        (count,) = unpack_from(">H", data, 4)
        rows = (unpack_from(">4sLLL", data, 12 + 16 * number) for number in range(count))
        self._tables = {tag.decode("ascii"): at for tag, _, at, _ in rows}
        self.units: int = unpack_from(">H", data, self._tables["head"] + 18)[0]
        self._long = unpack_from(">h", data, self._tables["head"] + 50)[0] == 1  # places of outlines in four bytes
        self._stated: int = unpack_from(">H", data, self._tables["hhea"] + 34)[0]  # advances; the last is that of all behind
        self._characters = self._read_characters()

    def number(self, character: str) -> int:
        """The number of the glyph of a character; 0, the box, where the font lacks it."""
        return self._characters.get(ord(character), 0)

    def has(self, character: str) -> bool:
        """Whether the font has a glyph for a character."""
        return ord(character) in self._characters

    def advance(self, number: int) -> int:
        """How far a glyph moves the pen, units."""
        found: int = unpack_from(">H", self._data, self._tables["hmtx"] + 4 * min(number, self._stated - 1))[0]
        return found

    def ink(self, number: int) -> tuple[int, int, int, int] | None:
        """Left, low, right and high of a glyph's outline, units; None where it has none."""
        place, size = (">LL", 4) if self._long else (">HH", 2)
        begin, end = unpack_from(place, self._data, self._tables["loca"] + size * number)
        if begin == end:
            return None
        at = self._tables["glyf"] + begin * (1 if self._long else 2)
        left, low, right, high = unpack_from(">4h", self._data, at + 2)
        return left, low, right, high

    def _read_characters(self) -> dict[int, int]:
        """Numbers of glyphs by those of characters, from the table of all planes of Unicode: rows of characters whose glyphs
        follow one another."""
        base = self._tables["cmap"]
        (count,) = unpack_from(">H", self._data, base + 2)
        rows = (unpack_from(">HHL", self._data, base + 4 + 8 * number) for number in range(count))
        at = next((base + offset for platform, encoding, offset in rows if (platform, encoding) == _UNICODE), None)
        if at is None or unpack_from(">H", self._data, at)[0] != _GROUPS:
            raise ValueError("the font has no table of all characters of Unicode")
        found: dict[int, int] = {}
        (count,) = unpack_from(">L", self._data, at + 12)
        for number in range(count):
            begin, end, glyph = unpack_from(">LLL", self._data, at + 16 + 12 * number)
            found.update(zip(range(begin, end + 1), range(glyph, glyph + end - begin + 1), strict=True))
        return found
