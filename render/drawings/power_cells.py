"""Cells of the single-line diagram: a symbol or a cable in the run of a line, with its labels, ready to be placed.

A cell hangs on a vertical line. Its symbol is centred on it, labels stand right of it, the earth left.
"""

from __future__ import annotations

from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from netdsl.sums import sum_of
from render.drawings.feeder_steps import Wiring
from render.layout.bounds import bounds
from render.sheet import DESIGNATION, MEDIUM, NORMAL, WIDE, Arc, Circle, Label, Line, Primitive
from render.symbols import conductor_count, moved, placed, symbol

#: distance of base lines below a designation and between ratings, mm
_NAME_PITCH, _LINE_PITCH = 5.4, 4.0
_GAP = 2.4  # between a label and the cell's border
LABEL_OFF = 2.5  # between a symbol and its label
WAY = 7.0  # from a line to the tip of an arrow that leaves it, mm
TAP_LEAD = 3.0  # from a line to a device that lies beside it, mm
STROKE_REACH = 3.2  # right of a line, strokes and the screen's oval included


class Body(Struct, frozen=True):
    """A symbol without its leads, centred on 0, 0: `half` its height / 2, `left` and `right` its extent, mm."""

    primitives: tuple[Primitive, ...]
    half: float
    left: float
    right: float
    open: bool  # the line goes on below it


#: the screen round a cable; the catalogue's oval is higher than a full column allows
OVAL = Body((Arc(0.0, 0.0, 2.4, 4.0, 0.0, 360.0, MEDIUM, (1.6, 1.0)),), 4.0, 2.4, 2.4, True)


class Cell(Struct, frozen=True):
    """One thing on the line.

    `of`: designation. `names`: lines in 3.5 mm, `lines` in 2.5 mm. `body`: symbol, None for a label beside the plain line.
    `strokes`: wiring whose conductors are counted on the line here. `refer`: key of the place that its last line refers to.
    """

    kind: str  # "device", "cable", "strokes", "end", "way" (one that leaves a line that goes on), "taps"
    of: str
    names: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    body: Body | None = None
    earth: bool = False
    source: bool = False  # nothing leads to it
    strokes: Wiring | None = None
    refer: str = ""
    referring: str = "{}"  # the text of its last line with the place that it refers to
    leads: str = ""  # of a cable: the device it leads to
    taps: tuple[Cell, ...] = ()  # devices that leave the line one below the other
    links: str = ""  # the key of the sheet that its designation leads to

    @property
    def label_height(self) -> float:
        """Height of its labels, mm."""
        first = DESIGNATION if self.names else NORMAL
        below = len(self.lines) if self.names else len(self.lines) - 1
        return first + max(len(self.names) - 1, 0) * _NAME_PITCH + max(below, 0) * _LINE_PITCH + 0.9 if self.of else 0.0

    @property
    def height(self) -> float:
        """Least height it takes where it stands at ease, mm."""
        return self._height(1.5, _GAP)

    @property
    def tight(self) -> float:
        """Least height it takes at all, mm."""
        return self._height(1.2, 1.3)

    def _height(self, round_symbol: float, round_label: float) -> float:
        if self.kind == "strokes":
            return _strokes_height(self.strokes) + 2.2
        if self.kind == "taps":
            return sum_of(tap.height for tap in self.taps)
        symbol_height = 2 * self.body.half if self.body else 0.0
        symbol_height += _strokes_height(self.strokes)
        return max(symbol_height + round_symbol, self.label_height + round_label, 6.0)


def _strokes_height(wiring: Wiring | None) -> float:
    count = _stroke_count(wiring)
    return 1.4 * (count - 1) + 3.0 if count else 0.0


def _stroke_count(wiring: Wiring | None) -> int:
    return 0 if wiring is None else wiring.poles + wiring.neutral + wiring.earth


@cache
def body_of(name: str) -> Body:
    """The symbol called `name` without the leads at its head and foot."""
    drawn = symbol(name)
    foot = drawn.ports["out"][1] if "out" in drawn.ports else None
    top, bottom = 0.0, foot if foot is not None else drawn.box.bottom
    kept: list[Primitive] = []
    for part in drawn.primitives:
        if isinstance(part, Line) and len(part.points) == 2 and part.points[0][0] == part.points[1][0] == 0.0:
            first, last = sorted(point[1] for point in part.points)
            if first == 0.0 and last == foot:
                continue
            if first == 0.0:
                top = max(top, last)
                continue
            if last == foot:
                bottom = min(bottom, first)
                continue
        kept.append(part)
    return _centred(kept, top, bottom, foot is not None, through=top == 0.0 and foot == bottom)


def _centred(parts: list[Primitive], top: float, bottom: float, is_open: bool, through: bool) -> Body:

    box = bounds(tuple(parts))
    if through:  # the line runs on behind the symbol
        top, bottom = box.top, box.bottom
        parts = [*parts, Line(((0.0, top), (0.0, bottom)), WIDE)]
    shift = -(top + bottom) / 2
    half = max((bottom - top) / 2, 0.0)
    return Body(moved(parts, 0.0, shift), half, max(-box.left, 0.0), max(box.right, 0.0), is_open)


def draw_cell(cell: Cell, x: float, top: float, height: float) -> tuple[list[Primitive], list[Label]]:
    """Primitives of `cell` whose line runs at `x` from `top` on for `height` mm; labels apart, the referring one first."""
    middle = top + height / 2
    if cell.kind == "strokes":
        return [_run(x, top, top + height, cell.of), *strokes(cell.strokes, x, middle, cell.of)], []
    if cell.kind == "end":
        return _draw_end(cell, x, top, height)
    if cell.kind == "way":
        return _draw_way(cell, x, top, height)
    if cell.kind == "taps":
        return _draw_taps(cell, x, top)
    parts: list[Primitive] = []
    right, left = STROKE_REACH, 0.0
    if cell.kind == "cable":
        parts += _cable(cell, x, top, height)
    elif cell.body is not None:
        half, right, left = cell.body.half, cell.body.right, cell.body.left
        parts += placed_body(cell.body, x, middle, cell.of)
        if not cell.source:
            parts.append(_run(x, top, middle - half, cell.of))
        if cell.body.open:
            parts.append(_run(x, middle + half, top + height, cell.of))
    if cell.earth:
        parts += placed(symbol("earth-tail"), x - left, middle, cell.of)
    return parts, labels(cell, x + right + LABEL_OFF, middle - cell.label_height / 2)


def _cable(cell: Cell, x: float, top: float, height: float) -> list[Primitive]:
    """The line of a cable: the oval of its screen, below it a stroke for each conductor."""
    counted = _strokes_height(cell.strokes)
    half = cell.body.half if cell.body else 0.0
    spare = max(height - counted - 2 * half, 0.0) / (3 if cell.body else 2)
    parts: list[Primitive] = [_run(x, top, top + height, cell.of)]
    if cell.body:
        parts += placed_body(cell.body, x, top + spare + half, cell.of)
    return parts + strokes(cell.strokes, x, top + height - spare - counted / 2, cell.of)


def placed_body(body: Body, x: float, y: float, of: str) -> list[Primitive]:
    """The symbol with its centre at `x, y`."""

    return list(moved(body.primitives, x, y, of))


def labels(cell: Cell, x: float, top: float) -> list[Label]:
    """Names and lines of a cell, the first one's capitals at `top`."""
    made = []
    y = top + (DESIGNATION if cell.names else NORMAL)
    for index, name in enumerate(cell.names):
        made.append(Label(x, y + index * _NAME_PITCH, name, DESIGNATION, of=cell.of, link=cell.links))
    y += max(len(cell.names) - 1, 0) * _NAME_PITCH + (_LINE_PITCH if cell.names else 0.0)
    made += [Label(x, y + index * _LINE_PITCH, line, of=cell.of) for index, line in enumerate(cell.lines)]
    return made


def _run(x: float, top: float, bottom: float, of: str) -> Line:
    return Line(((x, top), (x, bottom)), WIDE, of=of)


def _draw_end(cell: Cell, x: float, top: float, height: float) -> tuple[list[Primitive], list[Label]]:
    """A line that ends in an arrow, with what it leads to beside it."""
    tip = top + height - 1.0
    head = Line(((x, tip), (x - 1.0, tip - 2.6), (x + 1.0, tip - 2.6)), MEDIUM, closed=True, fill=True, of=cell.of)
    return [_run(x, top, tip - 2.6, cell.of), head], labels(cell, x + LABEL_OFF, top + height / 2 - cell.label_height / 2)


def _draw_way(cell: Cell, x: float, top: float, height: float) -> tuple[list[Primitive], list[Label]]:
    """A line that goes on, and an arrow that leaves it, with what that leads to beside it."""
    middle, tip = top + height / 2, x + WAY
    head = Line(((tip, middle), (tip - 2.6, middle - 1.0), (tip - 2.6, middle + 1.0)), MEDIUM, closed=True, fill=True, of=cell.of)
    out = Line(((x, middle), (tip - 2.6, middle)), WIDE, of=cell.of)
    parts: list[Primitive] = [_run(x, top, top + height, cell.of), dot(x, middle, cell.of), out, head]
    return parts, labels(cell, tip + 1.4, middle - cell.label_height / 2)


def _draw_taps(cell: Cell, x: float, top: float) -> tuple[list[Primitive], list[Label]]:
    """A line from which devices leave to the right, one below the other, each lying, its labels right of it."""
    parts: list[Primitive] = []
    texts: list[Label] = []
    y = top
    for tap in cell.taps:
        middle = y + tap.height / 2
        body = _lying(tap.body) if tap.body is not None else ()
        half = tap.body.half if tap.body is not None else 0.0
        centre, end = x + TAP_LEAD + half, x + TAP_LEAD + 2 * half
        parts += [
            dot(x, middle, tap.of),
            Line(((x, middle), (x + TAP_LEAD, middle)), WIDE, of=tap.of),
            *moved(body, centre, middle, tap.of),
            Line(((end, middle), (end + 1.0, middle)), WIDE, of=tap.of),
            Line(((end + 3.6, middle), (end + 1.0, middle - 1.0), (end + 1.0, middle + 1.0)), MEDIUM, (), True, True, tap.of),
        ]
        texts += labels(tap, end + 3.6 + 1.4, middle - tap.label_height / 2)
        y += tap.height
    parts.append(_run(x, top, y - cell.taps[-1].height / 2, cell.of))
    return parts, texts


def _lying(body: Body) -> list[Primitive]:
    """A symbol turned so that its line runs from left to right."""
    made: list[Primitive] = []
    for part in body.primitives:
        match part:
            case Line():
                made.append(replace(part, points=tuple((y, x) for x, y in part.points)))
            case Circle():
                made.append(replace(part, x=part.y, y=part.x))
            case Arc():
                made.append(replace(part, x=part.y, y=part.x, rx=part.ry, ry=part.rx, start=-90 - part.end, end=-90 - part.start))
            case Label():
                made.append(replace(part, x=part.y - part.height / 2, y=part.x + part.height / 2))
    return made


def strokes(wiring: Wiring | None, x: float, y: float, of: str) -> list[Primitive]:
    """Slant strokes round `y` on a line, one a conductor: neutral with a dot, protective with a bar at its tip."""
    if wiring is None or not _stroke_count(wiring):
        return []
    counted = conductor_count(wiring.poles, wiring.neutral, wiring.earth)
    kept = [part for part in counted.primitives if not _is_run(part)]

    return list(moved(kept, x, y - 5.0, of))


def _is_run(part: Primitive) -> bool:
    return isinstance(part, Line) and part.points[0][0] == part.points[-1][0]


def dot(x: float, y: float, of: str = "") -> Circle:
    """Where a line parts."""
    return Circle(x, y, 0.8, WIDE, fill=True, of=of)
