"""Columns of rows of text: words broken where designations may break, widths that give way when a sheet is too narrow."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from functools import lru_cache

from netdsl.sums import sum_of
from render.layout.fonts import blank_width, fits, printable, text_width, widest
from render.sheet import NORMAL

_BLANK = re.compile(" ")
_SLACK = 1e-9  # of a sum of widths, mm
#: blanks at which formulas and sources break: none between a number and its unit, nor between a standard's body and number,
#: nor beside an equals sign, nor within N m and cos φ, nor between a count and the place it is of, nor before the amperes of a
#: device in brackets, nor between numbers
_UNITED = re.compile(
    r"(?<![0-9]) (?<!IEC )(?<![0-9] N )(?<!ISO )(?<!EN )(?<!= )(?!= )(?!φ)(?<!φ )(?![0-9.]+ A\))"
    r"|(?<=[0-9]) (?:(?=screened)|(?![A-Za-zµΩ°%=0-9]|1/|\+[A-Z]))"
)
#: a designation may break before an aspect sign and behind a comma or slash, never losing a character, a hyphened word behind its
#: hyphen
_SOFT = re.compile(r"(?<=[^\s=+\-:/(])(?=[=+(]|-(?![a-z0-9]))|(?<=[A-Za-z0-9]-)(?=[a-z0-9])|(?<=[,/;_])(?=\S)")
#: a terminal leaves its device, and a name what a point sets before it, only where a line does not hold both; a number breaks at
#: no point, nor what a point sets before one: the last part of a sheet's number says nothing alone
_TERMINAL = re.compile(r"(?<=[^\s=+\-:/(])(?=:)|(?<=\.)(?<![0-9]\.)(?![0-9])(?=\S)")


@lru_cache(maxsize=1 << 15)
def broken(text: str, width: float, height: float = NORMAL, bold: bool = False, united: bool = False) -> tuple[str, ...]:
    """`text` in lines no wider than `width` mm: broken at blanks, else within a designation, else anywhere; all of it.

    `united`: a number keeps its unit beside it. No text gives no line.
    """
    clean = printable(text)
    if not clean:
        return ()
    if fits(clean, width, height, bold):
        return (clean,)
    lines: list[str] = []
    current, used, blank = "", 0.0, blank_width(height, bold)
    for word in _words(clean, width, height, bold, united):
        extent = text_width(word, height, bold)
        if extent > width + _SLACK:
            current = _pieces(lines, current, word, width, height, bold)
            used = text_width(current, height, bold)
        elif current and used + blank + extent <= width + _SLACK:
            current, used = f"{current} {word}", used + blank + extent
        else:
            if current:
                lines.append(current)
            current, used = word, extent
    return (*lines, current) if current else tuple(lines)


def balanced(text: str, width: float) -> tuple[str, ...]:
    """`text` in as few lines of at most `width` mm as hold it, none longer than need be: no last word stands alone."""
    lines = broken(text, width, united=True)
    if len(lines) < 2:
        return lines
    low, high = widest(words(text, united=True)), width
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (middle, high) if len(broken(text, middle, united=True)) > len(lines) else (low, middle)
    return broken(text, high, united=True)


def _words(text: str, width: float, height: float, bold: bool, united: bool) -> Iterator[str]:
    """Words between blanks; `united`: what belongs together is one, if a line holds it."""
    for word in (_UNITED if united else _BLANK).split(text):
        if united and " " in word and text_width(word, height, bold) > width + _SLACK:
            yield from word.split(" ")
        else:
            yield word


def _pieces(lines: list[str], current: str, word: str, width: float, height: float, bold: bool) -> str:
    """Break a word that is wider than a line, behind what stands on the line so far; the line it ends on."""
    glue = " " if current else ""
    parts = (part for whole in _SOFT.split(word) for part in _parts(whole, width, height, bold))
    for piece in parts:
        if current and not fits(current + glue + piece, width, height, bold):
            lines.append(current)
            current, glue = "", ""
        current += glue + piece
        glue = ""
        while len(current) > 1 and not fits(current, width, height, bold):
            cut = _cut(current, width, height, bold)
            lines.append(current[:cut])
            current = current[cut:]
    return current


def _parts(piece: str, width: float, height: float, bold: bool) -> Sequence[str]:
    """A part of a designation whole, or device and terminal where a line does not hold it."""
    return (piece,) if fits(piece, width, height, bold) else _TERMINAL.split(piece)


def _cut(text: str, width: float, height: float, bold: bool) -> int:
    """How many characters of `text` fit, one at least and not all."""
    return bisect_left(range(2, len(text)), True, key=lambda cut: not fits(text[:cut], width, height, bold)) + 1


# the lists of a plant say the same few things in row after row
@lru_cache(maxsize=1 << 14)
def words(text: str, united: bool) -> tuple[str, ...]:
    """What of `text` a line breaks at no blank; `united`: a number keeps its unit beside it."""
    return tuple(word for word in (_UNITED if united else _BLANK).split(printable(text)) if word)


@lru_cache(maxsize=1 << 14)
def pieces(text: str, united: bool = False, joined: bool = False) -> tuple[str, ...]:
    """What of `text` a line never breaks where it can be helped: words, and the parts of designations; `joined`: a terminal
    stays with its device."""
    found = tuple(piece for word in words(text, united) for piece in _SOFT.split(word))
    return found if joined else tuple(part for piece in found for part in _TERMINAL.split(piece))


@lru_cache(maxsize=1 << 14)
def unbroken(text: str, height: float = NORMAL, united: bool = False, joined: bool = False) -> float:
    """Width in mm of the widest of those pieces of `text`."""
    return widest(pieces(text, united, joined), height)


@lru_cache(maxsize=1 << 14)
def widest_word(text: str) -> float:
    """Width in mm of the widest word of `text`, a number with its unit being one."""
    return widest(words(text, True))


def given_way(natural: Sequence[float], least: Sequence[float], available: float) -> list[float]:
    """Widths that sum to at most `available` mm: `natural` ones where they fit, else each gives way in proportion to what
    it can spare down to `least`; where even those are too wide, all shrink alike."""
    total, floor = sum_of(natural), sum_of(least)
    if total <= available:
        return list(natural)
    if floor >= available:
        return [width * available / floor for width in least] if floor else list(least)
    share = (total - available) / (total - floor)
    return [width - (width - low) * share for width, low in zip(natural, least, strict=True)]
