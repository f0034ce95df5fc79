"""A sheet as a DXF drawing in millimetres, y up from the lower left corner: layers by what a thing is and by its pen."""

from __future__ import annotations

from functools import cache
from math import fsum, radians, tau

from render.layout.fonts import printable, start_of, text_width
from render.layout.frame import frame_primitives, sheet_size, title_block_box
from render.sheet import Arc, Circle, Label, Line, Primitive, Sheet
from render.writers.dxf_document import BLACK, STYLE, STYLE_BOLD, Document, form

#: layers of frame and title block; lines of the drawing lie on one for each pen, `LINES-035`, texts on one for each height
FRAME, TITLE_BLOCK, FILLED = "FRAME", "TITLE-BLOCK", "FILLED"
_DASHED = "DASHED"
_WHOLE_TURN = 360.0


def _entity(kind: str, *tags: tuple[int, object]) -> str:
    """The form of an entity: for its number, what it belongs to, its look, and what `tags` leave open."""
    return form((0, kind), (5, "%s"), (330, "%s"), (100, "AcDbEntity")) + "%s" + form(*tags)


#: codes of the coordinates of a place, and of another
_AT, _TO = ((10, "%s"), (20, "%s"), (30, "0.0")), ((11, "%s"), (21, "%s"), (31, "0.0"))
_LINE = _entity("LINE", (100, "AcDbLine"), *_AT, *_TO)
_CIRCLE = _entity("CIRCLE", (100, "AcDbCircle"), *_AT, (40, "%s"))
_ARC = _CIRCLE.replace("CIRCLE", "ARC", 1) + form((100, "AcDbArc"), (50, "%s"), (51, "%s"))
_ELLIPSE = _entity("ELLIPSE", (100, "AcDbEllipse"), *_AT, *_TO, (40, "%s"), (41, "%s"), (42, "%s"))
_POLYLINE = _entity("LWPOLYLINE", (100, "AcDbPolyline"), (90, "%s"), (70, "%s"))
_POINT = form((10, "%s"), (20, "%s"))
_UPRIGHT = ((10, "0.0"), (20, "0.0"), (30, "0.0"), (210, "0.0"), (220, "0.0"), (230, "1.0"))
_HATCH = _entity("HATCH", (62, BLACK), (100, "AcDbHatch"), *_UPRIGHT, (2, "SOLID"), (70, 1), (71, 0), (91, 1))
_HATCH_END = form((97, 0), (75, 0), (76, 1), (98, 0))
#: the edge of what is filled: points, or a whole circle
_POINTED = form((92, 3), (72, 0), (73, 1), (93, "%s"))
_ROUND = form((92, 1), (93, 1), (72, 2), (10, "%s"), (20, "%s"), (40, "%s"), (50, "0.0"), (51, _WHOLE_TURN), (73, 1))
#: 72: between two places, so that the text is as wide as from one to the other
_TEXT = _entity("TEXT", (100, "AcDbText"), *_AT, (40, "%s"), (1, "%s"), (7, "%s"), (72, 5), *_TO, (100, "AcDbText"))


def dxf_bytes(sheet: Sheet) -> bytes:
    """`sheet` as a DXF file (R2010), the same bytes for the same sheet. A text is as wide as on paper, whatever the font; one
    that leads to another sheet has that sheet's file as its hyperlink."""
    pen = _Pen(sheet.size)
    for primitive in sheet.primitives:
        pen.draw(primitive)
    return pen.document.text().encode("utf-8")


class _Pen:
    """Draws on the model space of a document."""

    def __init__(self, size: str) -> None:
        width, self._height = sheet_size(size)
        self.document = Document(width, self._height)
        self._frame = _frame(size)
        self._block = title_block_box(size).grown(0.01)

    def draw(self, primitive: Primitive) -> None:
        """Add a primitive."""
        match primitive:
            case Label():
                self._text(primitive)
            case Line():
                self._line(primitive)
            case Circle():
                self._circle(primitive)
            case Arc():
                self._arc(primitive)

    def _text(self, label: Label) -> None:
        text = printable(label.text)
        if not text:
            return
        layer = self._layer(self._place(label) or f"TEXT-{round(label.height * 10):02}")
        x, y = start_of(label), self._height - label.y
        end = x + text_width(label.text, label.height, label.bold)
        style = STYLE_BOLD if label.bold else STYLE
        # a caret at the end would take the line's end for a sign
        said = text.rstrip("^")
        self.document.add(_TEXT, layer, float(x), y, float(label.height), said, style, float(end), y)
        if label.link:
            self.document.link(f"{label.link}.dxf")

    def _line(self, line: Line) -> None:
        layer, pen = self._look(line)
        places = [(float(x), self._height - y) for x, y in line.points]
        if line.fill:
            self._hatch(layer, _POINTED % len(places) + _points(places))
        if len(places) == 2:
            self.document.add(_LINE, layer + pen, *places[0], *places[1])
        else:
            self.document.add(_POLYLINE + _points(places), layer + pen, len(places), int(line.closed or line.fill))

    def _circle(self, circle: Circle) -> None:
        layer, pen = self._look(circle)
        x, y = float(circle.x), self._height - circle.y
        if circle.fill:
            self._hatch(layer, _ROUND % (x, y, circle.radius))
        self.document.add(_CIRCLE, layer + pen, x, y, float(circle.radius))

    def _arc(self, arc: Arc) -> None:
        look, x, y = "".join(self._look(arc)), float(arc.x), self._height - arc.y
        whole = arc.end - arc.start >= _WHOLE_TURN
        if arc.rx != arc.ry:
            self._ellipse(arc, (look, x, y), whole)
        elif whole:
            self.document.add(_CIRCLE, look, x, y, float(arc.rx))
        else:
            self.document.add(_ARC, look, x, y, float(arc.rx), float(arc.start), float(arc.end))

    def _ellipse(self, arc: Arc, begin: tuple[str, float, float], whole: bool) -> None:
        """The major axis of an ellipse leads: angles are counted from it."""
        upright = arc.ry > arc.rx
        axis = (0.0, float(arc.ry)) if upright else (float(arc.rx), 0.0)
        ratio = min(arc.rx, arc.ry) / max(arc.rx, arc.ry)
        turn = radians(90.0) if upright else 0.0
        start, end = (0.0, tau) if whole else (radians(arc.start) - turn, radians(arc.end) - turn)
        self.document.add(_ELLIPSE, *begin, *axis, ratio, start, end)

    def _hatch(self, layer: str, edge: str) -> None:
        """A filled area within an edge, on a layer of its own but for what has the layer of its place."""
        self.document.add(_HATCH + edge + _HATCH_END, layer if layer in _PLACES else self._layer(FILLED))

    # --- pens and layers ----------------------------------------------------------------------------------------------
    def _look(self, part: Line | Circle | Arc) -> tuple[str, str]:
        """The layer of a pen; its kind of line and weight."""
        weight = round(part.width * 100)
        layer = self._layer(self._place(part) or (f"{_DASHED}-{weight:03}" if part.dash else f"LINES-{weight:03}"))
        return layer, (self._dashed(part.dash) if part.dash else "") + _weight(weight)

    def _place(self, part: Primitive) -> str:
        """Whether a thing belongs to the frame or the title block; "" for what is drawn."""
        if part.of:
            return ""
        if part in self._frame:
            return FRAME
        if isinstance(part, Line):
            if not all(self._holds(*point) for point in part.points):
                return ""
            x, y = part.points[0]
        else:
            x, y = part.x, part.y
        return TITLE_BLOCK if self._holds(x, y) else ""

    def _holds(self, x: float, y: float) -> bool:
        block = self._block
        return block.left <= x <= block.right and block.top <= y <= block.bottom

    def _layer(self, name: str) -> str:
        self.document.layer(name)
        return _on(name)

    def _dashed(self, dash: tuple[float, ...]) -> str:
        """The kind of line with these lengths on and off, mm."""
        name = "DASH-" + "-".join(f"{length:g}" for length in dash)
        steps = [float(length if position % 2 == 0 else -length) for position, length in enumerate(dash)]
        self.document.linetype(name, fsum(dash), steps)
        return form((6, name))


def _points(places: list[tuple[float, float]]) -> str:
    return "".join([_POINT % place for place in places])


@cache
def _frame(size: str) -> frozenset[Primitive]:
    return frozenset(frame_primitives(size))


@cache
def _on(layer: str) -> str:
    return form((8, layer))


_PLACES = (_on(FRAME), _on(TITLE_BLOCK))


@cache
def _weight(hundredths: int) -> str:
    """The line weight that the format has nearest, hundredths of a millimetre."""
    from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

    known = (weight for weight in VALID_DXF_LINEWEIGHTS if weight >= 0)
    return form((370, min(known, key=lambda weight: abs(weight - hundredths))))
