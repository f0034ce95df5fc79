"""The page as a list of primitives in millimetres, y down from the top left corner of the trimmed sheet.

Drawings make Sheets, writers turn them into files; neither knows the other.
"""

from __future__ import annotations

from hashlib import sha256
from typing import Literal

from msgspec import Struct

Anchor = Literal["start", "middle", "end"]

#: letters of a name that stand in the name of its sheets
MAX_NAME = 150
#: line widths of ISO 128-20, mm
NARROW, MEDIUM, WIDE, FRAME = 0.25, 0.35, 0.5, 0.7
#: text heights of ISO 3098, mm (height of capitals)
NORMAL, DESIGNATION, TITLE = 2.5, 3.5, 5.0


class Line(Struct, frozen=True):
    """A polyline through `points`. `dash`: lengths on and off, mm; empty for a solid line. `fill` closes and fills it black."""

    points: tuple[tuple[float, float], ...]
    width: float = NARROW
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: bool = False
    of: str = ""  # designation it belongs to


class Circle(Struct, frozen=True):
    """A circle round `x, y`."""

    x: float
    y: float
    radius: float
    width: float = NARROW
    dash: tuple[float, ...] = ()
    fill: bool = False
    of: str = ""


class Arc(Struct, frozen=True):
    """Part of an ellipse round `x, y`, from `start` to `end` degrees, counted anticlockwise as seen, 0 to the right."""

    x: float
    y: float
    rx: float
    ry: float
    start: float
    end: float
    width: float = NARROW
    dash: tuple[float, ...] = ()
    of: str = ""


class Label(Struct, frozen=True):
    """One line of text, its base line at `y`, `height` of its capitals. `link`: the key of the sheet it leads to."""

    x: float
    y: float
    text: str
    height: float = NORMAL
    anchor: Anchor = "start"
    bold: bool = False
    of: str = ""
    link: str = ""


Primitive = Line | Circle | Arc | Label


class Sheet(Struct, frozen=True):
    """One page. `key`: stable file stem and link target (`single-line-1`, `terminals-RP1-T1`), `number`: printed sheet number,
    `title`, `kind` (document kind), `part_of`: function or place it belongs to. `size`: "A3", lying, or "A4", upright, trimmed.
    `about`: what of a list stands on it, for contents and bookmarks."""

    key: str
    number: str
    title: str
    kind: str
    part_of: str
    primitives: tuple[Primitive, ...]
    size: str = "A3"
    about: str = ""


Tone = Literal["come", "changed", "gone"]
#: red, green and blue of the ground behind what is marked, 0 to 1: light enough that lines and texts on it keep their contrast
TONES: dict[Tone, tuple[float, float, float]] = {
    "come": (0.80, 0.94, 0.80),
    "changed": (1.00, 0.92, 0.66),
    "gone": (0.98, 0.82, 0.80),
}


class Wash(Struct, frozen=True):
    """A coloured ground behind a part of a sheet, for the screen; black and white paper shows next to nothing of it."""

    left: float
    top: float
    right: float
    bottom: float
    tone: Tone


class MarkedSheet(Sheet, frozen=True):
    """A sheet with `washes` behind all that is drawn on it."""

    washes: tuple[Wash, ...] = ()


def sheet_key(kind: str, name: str, taken: set[str]) -> str:
    """A key made of `kind` and `name`, with a number behind it where one of `taken` is the same already but for the size of
    letters; added to `taken`. No longer than a name of a file may be, whatever stands behind it."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "_" for c in name.lstrip("=+-"))
    if len(plain) > MAX_NAME:
        plain = f"{plain[:MAX_NAME]}_{sha256(name.encode()).hexdigest()[:12]}"
    key, number = f"{kind}-{plain}", 2
    while key.casefold() in taken:
        key, number = f"{kind}-{plain}_{number}", number + 1
    taken.add(key.casefold())
    return key
