"""A sheet as the page of a PDF: its drawing operators, ready to stand in any document, and its links by the keys of other sheets.

A page depends on its sheet alone, so that pages can be made in any order, side by side, or be those of the last build. So the
code of a character is its number in Unicode, in every document; which characters a font must have is said beside.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable
from functools import lru_cache
from math import cos, radians, sin, tan

from msgspec import Struct

from render.layout.fonts import ink_box, printable, start_of, type_size
from render.layout.frame import frame_primitives, sheet_size
from render.sheet import TONES, Arc, Circle, Label, Line, MarkedSheet, Primitive, Sheet, Wash

POINTS = 72 / 25.4  # points in a millimetre
#: names of the regular and the bold font in a page's operators
REGULAR, BOLD = "F1", "F2"
_CIRCLE = 360.0
_FINE = 100  # texts stand on hundredths of a millimetre
_LEVEL = 6  # of compression: fixed, as the bytes follow from it


class Page(Struct, frozen=True):
    """`content`: compressed operators. `links`: keys of sheets with the rectangles that lead there, points as PDF writes them.
    `regular`, `bold`: the characters that each font letters."""

    content: bytes
    links: tuple[tuple[str, str], ...]
    regular: str
    bold: str


class Leaf(Struct, frozen=True):
    """A page as it is bound: of which `sheet`, which may come without what is drawn on it; how to get its `page`, asked for
    its links, and again when it is written; the characters that each font letters on it, and perhaps others."""

    sheet: Sheet
    page: Callable[[], Page]
    regular: str
    bold: str


def page_of(sheet: Sheet) -> Page:
    """`sheet` as a page, the same for the same sheet."""
    height = sheet_size(sheet.size)[1]
    labels = [part for part in sheet.primitives if isinstance(part, Label)]
    content = f"{_drawn(sheet, height)}{_lettered(labels, height)}".encode("latin-1")
    used = {bold: "".join(sorted(set().union(*(printable(p.text) for p in labels if p.bold is bold)))) for bold in (False, True)}
    return Page(zlib.compress(content, _LEVEL), _links(labels, height), used[False], used[True])


def _links(labels: Iterable[Label], height: float) -> tuple[tuple[str, str], ...]:
    """Where a text leads to another sheet: its key and the rectangle round the text, from the lower left corner of the page."""
    links = []
    for label in labels:
        if label.link and printable(label.text):
            box = ink_box(label).grown(0.5)
            corners = (box.left, height - box.bottom, box.right, height - box.top)
            links.append((label.link, " ".join([f"{corner * POINTS:.2f}" for corner in corners])))
    return tuple(links)


def _drawn(sheet: Sheet, height: float) -> str:
    """All geometry, under a matrix that turns points into millimetres with y down."""
    frame = frame_primitives(sheet.size)
    begin = f"q {POINTS:.6f} 0 0 {-POINTS:.6f} 0 {height * POINTS:.4f} cm 1 J 0 j\n"
    if isinstance(sheet, MarkedSheet):
        begin += _washed(sheet.washes)
    if sheet.primitives[: len(frame)] == frame:  # of most sheets: worked out once
        drawn, pen = _frame(sheet.size)
        return f"{begin}{drawn}{_shapes(sheet.primitives[len(frame) :], pen)[0]}Q\n"
    return f"{begin}{_shapes(sheet.primitives, _NO_PEN)[0]}Q\n"


def _washed(washes: Iterable[Wash]) -> str:
    """The coloured grounds of a page, before all else."""
    operators = []
    for wash in washes:
        colour = " ".join(f"{part:g}" for part in TONES[wash.tone])
        extent = wash.right - wash.left, wash.bottom - wash.top
        operators.append(f"{colour} rg {wash.left:.3f} {wash.top:.3f} {extent[0]:.3f} {extent[1]:.3f} re f\n")
    return "".join([*operators, "0 g\n"])


_Pen = tuple[float, tuple[float, ...]]
_NO_PEN: _Pen = (-1.0, ())


@lru_cache(maxsize=4)
def _frame(size: str) -> tuple[str, _Pen]:
    return _shapes(frame_primitives(size), _NO_PEN)


def _shapes(primitives: Iterable[Primitive], pen: _Pen) -> tuple[str, _Pen]:
    """Operators of all but the texts, and width and dashes in force behind them; a pen is written only where it changes."""
    operators = []
    width, dash = pen
    for p in primitives:
        if isinstance(p, Label):
            continue
        if p.width != width:
            width = p.width
            operators.append(f"{width:g} w")
        if p.dash != dash:
            dash = p.dash
            # round caps would fill the gaps
            operators.append(f"[{' '.join(f'{length:g}' for length in dash)}] 0 d {0 if dash else 1} J")
        operators.append(_shape(p))
    return "\n".join(operators) + "\n" * bool(operators), (width, dash)


def _shape(p: Line | Circle | Arc) -> str:
    if isinstance(p, Circle):
        return _curve(Arc(p.x, p.y, p.radius, p.radius, 0.0, _CIRCLE)) + (" b" if p.fill else " s")
    if isinstance(p, Arc):
        return _curve(p) + (" s" if p.end - p.start >= _CIRCLE else " S")
    points = p.points
    if len(points) == 2 and not p.fill and not p.closed:
        (x1, y1), (x2, y2) = points
        return f"{x1:g} {y1:g} m {x2:g} {y2:g} l S"
    path = " l ".join([f"{x:g} {y:g}" for x, y in points]).replace(" l ", " m ", 1)
    return f"{path} l {'b' if p.fill else 's' if p.closed else 'S'}"


def _curve(arc: Arc) -> str:
    """Cubic curves along `arc`, each of a quarter turn at most."""
    reach, pieces = _pieces(arc.start, min(arc.end - arc.start, _CIRCLE))
    x, y, rx, ry = arc.x, arc.y, arc.rx, arc.ry
    cos_a, sin_a, _, _ = pieces[0]
    operators = [f"{x + rx * cos_a:.3f} {y - ry * sin_a:.3f} m"]
    for cos_a, sin_a, cos_b, sin_b in pieces:
        x1, y1 = x + rx * (cos_a - reach * sin_a), y - ry * (sin_a + reach * cos_a)
        x2, y2 = x + rx * (cos_b + reach * sin_b), y - ry * (sin_b - reach * cos_b)
        operators.append(f"{x1:.3f} {y1:.3f} {x2:.3f} {y2:.3f} {x + rx * cos_b:.3f} {y - ry * sin_b:.3f} c")
    return " ".join(operators)


@lru_cache(maxsize=1 << 10)
def _pieces(start: float, span: float) -> tuple[float, tuple[tuple[float, float, float, float], ...]]:
    """How far control points lie from the ends of the pieces of a turn from `start` over `span` degrees, in radii; cosine and
    sine at the ends of each piece."""
    count = max(1, int(-(-span // 90)))
    step = radians(span / count)
    begins = [radians(start) + index * step for index in range(count)]
    return 4 / 3 * tan(step / 4), tuple((cos(a), sin(a), cos(a + step), sin(a + step)) for a in begins)


def _lettered(labels: Iterable[Label], height: float) -> str:
    """All texts as one text object in hundredths of a millimetre, each placed from where the one before began."""
    scale = f"{POINTS / _FINE:.8f}"
    operators = [f"BT {scale} 0 0 {scale} 0 0 Tm"]
    current: tuple[bool, float] | None = None
    at_x = at_y = 0
    for label in labels:
        shown = _encoded(label.text)
        if not shown:
            continue
        if (label.bold, label.height) != current:
            current = (label.bold, label.height)
            operators.append(f"/{BOLD if label.bold else REGULAR} {type_size(label.height) * _FINE:g} Tf")
        x, y = round(start_of(label) * _FINE), round((height - label.y) * _FINE)
        operators.append(f"{x - at_x} {y - at_y} Td({shown})Tj")
        at_x, at_y = x, y
    operators.append("ET\n")
    return "\n".join(operators)


@lru_cache(maxsize=1 << 14)
def _encoded(text: str) -> str:
    """`text` as a string of PDF holds it, two bytes a character, each of them as a character; "" where nothing is printed."""
    raw = printable(text).encode("utf-16-be").decode("latin-1")
    return raw.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)").replace("\r", "\\r")
