"""Measures of lettering: how wide a text runs and where its ink lies, in millimetres.

One family letters every drawing: Source Sans Pro, in regular and semibold. Advances and glyph boxes come from the font
files themselves, kerning and ligatures are off in every writer, so a text is as wide on paper as it is here. Loaded at
the first question and kept.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from importlib.util import find_spec
from itertools import chain, repeat
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from netdsl.kept import Answers
from render.sheet import NORMAL, Label

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy as np
    from numpy.typing import NDArray

#: family name the writers announce
FAMILY = "Source Sans Pro"
#: height of capitals as a share of the type size (OS/2 sCapHeight 660 of 1000 units)
CAPITAL = 0.66
#: printed where the font lacks a character
SUBSTITUTE = "\ufffd"
#: signs that a text may use although the font lacks them, with what stands for them
_STAND_INS = {"∼": "~", "↔": "–", "□": "☐", "\u2011": "-", "\u202f": " "}
_ELLIPSIS = "…"
#: how much of a text stands before the point that it is set to
_BEFORE = {"start": 0.0, "middle": 0.5, "end": 1.0}


class Box(NamedTuple):
    """A rectangle on the sheet, mm, y down."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Extent along x, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Extent along y, mm."""
        return self.bottom - self.top

    def grown(self, by: float) -> Box:
        """The box with `by` mm more on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom

    def holds(self, other: Box) -> bool:
        """Whether `other` lies inside, edges included."""
        return self.left <= other.left and other.right <= self.right and self.top <= other.top and other.bottom <= self.bottom


class _Ink(NamedTuple):
    """Ink for a type size of 1, y up from the base line; `left` lies above `right` where there is none. `advance`: how wide the
    text runs."""

    left: float
    low: float
    right: float
    high: float
    advance: float


_NO_INK = _Ink(inf, inf, -inf, -inf, 0.0)


@cache
def font_file(bold: bool) -> Path:
    """Where the font file lies that letters regular or bold text."""
    spec = find_spec("font_source_sans_pro")
    if spec is None or spec.origin is None:
        raise RuntimeError("the package `font-source-sans-pro` is not installed")
    return Path(spec.origin).parent / "files" / f"SourceSansPro-{'Semibold' if bold else 'Regular'}.ttf"


class _Face:
    """Glyph measures of one font file. `advances` and `inks` give those of a character for a type size of 1, looked up once, of
    the font's stand-in box where it lacks the character."""

    def __init__(self, bold: bool) -> None:
        from fontTools.ttLib import TTFont

        font: Any
        with TTFont(font_file(bold), lazy=True) as font:
            self._names: dict[int, str] = font.getBestCmap()
            self._metrics: dict[str, tuple[int, int]] = font["hmtx"].metrics
            self._outlines: Any = font["glyf"]
            self._units: int = font["head"].unitsPerEm
        self.advances = Answers(self._advance)
        self.inks = Answers(self._ink)

    def has(self, character: str) -> bool:
        """Whether the font draws `character`."""
        return ord(character) in self._names

    def _name(self, character: str) -> str:
        return self._names.get(ord(character), ".notdef")

    def _advance(self, character: str) -> float:
        return self._metrics[self._name(character)][0] / self._units

    def _ink(self, character: str) -> _Ink:
        shape, units = self._outlines[self._name(character)], self._units
        if shape.numberOfContours == 0:
            return _NO_INK
        return _Ink(shape.xMin / units, shape.yMin / units, shape.xMax / units, shape.yMax / units, self._advance(character))


@cache
def _face(bold: bool) -> _Face:
    return _Face(bold)


def _shown(code: int) -> str:
    """What a text prints for a character: itself, what stands for it, or that it is missing."""
    character = _STAND_INS.get(chr(code), chr(code))
    return character if character.isspace() or _face(False).has(character) else SUBSTITUTE


_SHOWN = Answers(_shown)


# the sheets of a hundred drives ask for a width eleven times as often as they have texts
@lru_cache(maxsize=1 << 14)
def printable(text: str) -> str:
    """`text` as every writer prints it: composed, blanks single, no control characters, and only what the font has."""
    composed = text
    if not text.isascii():
        composed = unicodedata.normalize("NFC", text).translate(_SHOWN)
    if not composed.isprintable():
        composed = "".join(c if c.isprintable() or c == SUBSTITUTE else " " for c in composed)
    return " ".join(composed.split())


@lru_cache(maxsize=1 << 14)
def _advance(text: str, bold: bool) -> float:
    """How wide a text runs for a type size of 1."""
    pen = 0.0
    for advance in map(_face(bold).advances.__getitem__, printable(text)):
        pen += advance
    return pen


@lru_cache(maxsize=1 << 14)
def _ink(text: str, bold: bool) -> _Ink:
    face, shown = _face(bold), printable(text)
    pen, (left, low, right, high, _) = 0.0, _NO_INK
    inks, advances = map(face.inks.__getitem__, shown), map(face.advances.__getitem__, shown)
    for (glyph_left, glyph_low, glyph_right, glyph_high, _), advance in zip(inks, advances, strict=True):
        if pen + glyph_left < left:  # compared without `min` and `max`: a large plant has millions of letters
            left = pen + glyph_left
        if pen + glyph_right > right:
            right = pen + glyph_right
        if glyph_low < low:
            low = glyph_low
        if glyph_high > high:
            high = glyph_high
        pen += advance
    return _Ink(left, low, right, high, pen)


def type_size(height: float) -> float:
    """Type size in mm that gives capitals of `height` mm."""
    return height / CAPITAL


def text_width(text: str, height: float = NORMAL, bold: bool = False) -> float:
    """Advance width of `text` in mm, with capitals of `height` mm."""
    return _advance(text, bold) * height / CAPITAL


def widest(texts: Iterable[str], height: float = NORMAL, bold: bool = False) -> float:
    """Width in mm of the widest of `texts`, 0 for none."""
    # in one call of C: what a list holds is measured again for each way in which it may be fitted
    return max(map(_advance, set(texts), repeat(bold)), default=0.0) * height / CAPITAL


def blank_width(height: float = NORMAL, bold: bool = False) -> float:
    """Width in mm of a blank between words."""
    return _face(bold).advances[" "] * height / CAPITAL


def _before(label: Label) -> float:
    """How much of a text stands before its anchor, for a type size of 1."""
    return 0.0 if label.anchor == "start" else _advance(label.text, label.bold) * _BEFORE[label.anchor]


def start_of(label: Label) -> float:
    """x in mm where the pen starts to write `label`, whatever its anchor."""
    return label.x - _before(label) * label.height / CAPITAL


def ink_boxes(labels: Sequence[Label]) -> NDArray[np.float64]:
    """Where the ink of each label lies, as `ink_box` gives it: the left edges of all, the tops, the right edges, the bottoms."""
    import numpy as np

    rows = ((each.x, each.y, each.height, _BEFORE[each.anchor], *_ink(each.text, each.bold)) for each in labels)
    flat = np.fromiter(chain.from_iterable(rows), np.float64, 9 * len(labels))
    x, y, height, before, left, low, right, high, advance = flat.reshape(-1, 9).T
    inked, size = left <= right, height / CAPITAL
    start = x - advance * before * size
    # what has no ink lies at its anchor
    return np.where(inked, [start + left * size, y - high * size, start + right * size, y - low * size], [x, y, x, y])


def ink_box(label: Label) -> Box:
    """Where the ink of `label` lies; a box without extent at its anchor if it has none."""
    ink = _ink(label.text, label.bold)
    if ink.left > ink.right:
        return Box(label.x, label.y, label.x, label.y)
    size = label.height / CAPITAL
    start = label.x - _before(label) * size
    return Box(start + ink.left * size, label.y - ink.high * size, start + ink.right * size, label.y - ink.low * size)


@cache
def line_pitch(height: float) -> float:
    """Distance of base lines in mm for lines of `height` mm that do not touch (ISO 3098: 1.4 to 1.7 times the height)."""
    return round(1.6 * height, 2)


def fits(text: str, width: float, height: float = NORMAL, bold: bool = False) -> bool:
    """Whether `text` runs no wider than `width` mm."""
    return _advance(text, bold) * height / CAPITAL <= width + 1e-9


def fit_height(text: str, width: float, heights: Sequence[float], bold: bool = False) -> float:
    """The first of `heights` (mm, largest first) at which `text` runs no wider than `width` mm, else the last."""
    return next((height for height in heights if fits(text, width, height, bold)), heights[-1])


def shorten(text: str, width: float, height: float = NORMAL, bold: bool = False) -> str:
    """`text`, or as much of its beginning as fits `width` mm with an ellipsis behind; "" where not even that fits."""
    text = printable(text)
    if fits(text, width, height, bold):
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if fits(text[:middle].rstrip() + _ELLIPSIS, width, height, bold):
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + _ELLIPSIS if low else ""


# a plan asks the same for each arrangement that it tries
@lru_cache(maxsize=1 << 13)
def wrap(text: str, width: float, height: float = NORMAL, bold: bool = False, lines: int = 0) -> tuple[str, ...]:
    """`text` broken at blanks into lines no wider than `width` mm; a longer word is cut. `lines` above 0 is the most
    allowed: the last one is then shortened. No text gives no line."""
    clean = printable(text)
    if fits(clean, width, height, bold):
        return (clean,) if clean else ()
    result: list[str] = []
    current, used, blank = "", 0.0, blank_width(height, bold)
    for piece in _pieces(clean.split(), width, height, bold):
        extent = text_width(piece, height, bold)
        if current and used + blank + extent <= width + 1e-9:
            current, used = f"{current} {piece}", used + blank + extent
        else:
            result += [current] if current else []
            current, used = piece, extent
    if current:
        result.append(current)
    if lines and len(result) > lines:
        result[lines - 1 :] = [shorten(" ".join(result[lines - 1 :]), width, height, bold)]
    return tuple(result)


def _pieces(words: Iterable[str], width: float, height: float, bold: bool) -> Iterable[str]:
    """`words`, those wider than a line cut into pieces that fit (one character at least)."""
    for word in words:
        if fits(word, width, height, bold):
            yield word
            continue
        begin = 0
        while begin < len(word):
            tried = 1  # doubled as long as it fits: a word may be thousands of times as wide as a line
            while begin + tried < len(word) and fits(word[begin : begin + 2 * tried], width, height, bold):
                tried *= 2
            low, high = tried, min(2 * tried, len(word) - begin)
            while low < high:
                middle = (low + high + 1) // 2
                low, high = (middle, high) if fits(word[begin : begin + middle], width, height, bold) else (low, middle - 1)
            yield word[begin : begin + low]
            begin += low
