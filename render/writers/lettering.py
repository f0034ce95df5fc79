"""The font as it is embedded: cut down to the characters that drawings use.

Every sheet gets the same cut, with its own rare characters added, so that one sheet's words never change another's file.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from importlib import import_module
from io import BytesIO
from typing import Any

from render.layout.fonts import SUBSTITUTE, font_file

_COMMON = frozenset(map(chr, range(0x20, 0x7F))) | frozenset("°²³µ·×½Ωµ→←–—…≤≥±Δφ√äöüÄÖÜßéèáàåøæÅØÆ☐✓" + SUBSTITUTE)
_UNUSED = frozenset({"GPOS", "GSUB", "GDEF", "BASE", "DSIG"})


def rare(texts: Iterable[str]) -> str:
    """Characters of `texts` that the common cut lacks, sorted."""
    return "".join(sorted(set().union(*texts) - _COMMON))


@cache
def embedded(bold: bool, extra: str = "") -> str:
    """The font with the common characters and `extra`, compressed, as a data URI. Glyphs alone: no kerning, no ligatures,
    no dates."""
    data = BytesIO()
    with cut(bold, sorted(map(ord, _COMMON | set(extra)))) as font:
        font.flavor = "woff"
        font.save(data)
    return "data:font/woff;base64," + base64.b64encode(data.getvalue()).decode("ascii")


@contextmanager
def cut(bold: bool, codes: Iterable[int]) -> Iterator[Any]:
    """The font, open, with the characters of these numbers alone: no kerning, no ligatures, no dates."""
    from fontTools.ttLib import TTFont

    tool: Any = import_module("fontTools.subset")  # carries no annotations
    options = tool.Options(layout_features=[], hinting=False, notdef_outline=True, glyph_names=False, name_IDs=[1, 2])
    font: Any
    with TTFont(font_file(bold), recalcTimestamp=False) as font:
        for table in _UNUSED.intersection(font.keys()):  # dropped by the subsetter, they are read first, which takes longest
            del font[table]
        subsetter = tool.Subsetter(options)
        subsetter.populate(unicodes=codes)
        subsetter.subset(font)
        yield font
