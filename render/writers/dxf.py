"""A sheet as a DXF drawing in millimetres, y up from the lower left corner: layers by what a thing is and by its pen."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from math import fsum
from typing import TYPE_CHECKING, Any

from render.layout.fonts import Box, printable, start_of, text_width
from render.layout.frame import frame_primitives, sheet_size, title_block_box
from render.sheet import Arc, Circle, Label, Line, Primitive, Sheet

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities import BoundaryPaths
    from ezdxf.layouts.layout import Modelspace

#: layers of frame and title block; lines of the drawing lie on one for each pen, `LINES-035`, texts on one for each height
FRAME, TITLE_BLOCK, FILLED = "FRAME", "TITLE-BLOCK", "FILLED"
_BLACK = 7  # colour by number: white on black, black on white
_STYLE, _STYLE_BOLD = "DRAWING", "DRAWING-BOLD"
_DASHED = "DASHED"
_WHOLE_TURN = 360.0


def dxf_bytes(sheet: Sheet) -> bytes:
    """`sheet` as a DXF file (R2010), the same bytes for the same sheet. A text is as wide as on paper, whatever the font; one
    that leads to another sheet has that sheet's file as its hyperlink."""
    from ezdxf import units
    from ezdxf.filemanagement import new

    with _fixed_data():
        document = new("R2010")
        document.units = units.MM
        width, height = sheet_size(sheet.size)
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)
        document.header["$LIMMIN"], document.header["$LIMMAX"] = (0.0, 0.0), (width, height)
        document.styles.add(_STYLE, font="SourceSansPro-Regular.ttf")
        document.styles.add(_STYLE_BOLD, font="SourceSansPro-Semibold.ttf")
        pen = _Pen(document, sheet.size)
        for primitive in sheet.primitives:
            pen.draw(primitive)
        for kind in sorted(document.entitydb.dxf_types_in_use()):  # it would name them in the order of a set
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue().encode("utf-8")


@contextmanager
def _fixed_data() -> Iterator[None]:
    """Without the time of writing and numbers made by chance, which every file else would differ by."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


class _Pen:
    """Draws on the model space of a document."""

    def __init__(self, document: Document, size: str) -> None:
        self._document = document
        self._space: Modelspace = document.modelspace()
        self._height = sheet_size(size)[1]
        self._frame = set(frame_primitives(size))
        self._block: Box = title_block_box(size).grown(0.01)

    def draw(self, primitive: Primitive) -> None:
        """Add a primitive."""
        match primitive:
            case Label():
                self._text(primitive)
            case Line():
                self._line(primitive)
            case Circle(x, y, radius, fill=fill):
                look = self._look(primitive)
                if fill:
                    edge = self._hatch(look["layer"]).add_edge_path()
                    edge.add_arc((x, self._height - y), radius, 0.0, _WHOLE_TURN)
                self._space.add_circle((x, self._height - y), radius, dxfattribs=look)
            case Arc():
                self._arc(primitive)

    def _text(self, label: Label) -> None:
        from ezdxf.enums import TextEntityAlignment

        text = printable(label.text)
        if not text:
            return
        layer = self._layer(self._place(label) or f"TEXT-{round(label.height * 10):02}")
        look = {"layer": layer, "style": _STYLE_BOLD if label.bold else _STYLE}
        entity = self._space.add_text(text, height=label.height, dxfattribs=look)
        x, y = start_of(label), self._height - label.y
        end = (x + text_width(label.text, label.height, label.bold), y)
        entity.set_placement((x, y), end, align=TextEntityAlignment.FIT)
        if label.link:
            entity.set_hyperlink(f"{label.link}.dxf")

    def _line(self, line: Line) -> None:
        look = self._look(line)
        points = [(x, self._height - y) for x, y in line.points]
        if line.fill:
            self._hatch(look["layer"]).add_polyline_path(points, is_closed=True)
        if len(points) == 2:
            self._space.add_line(points[0], points[1], dxfattribs=look)
        else:
            self._space.add_lwpolyline(points, close=line.closed or line.fill, dxfattribs=look)

    def _arc(self, arc: Arc) -> None:
        look, centre = self._look(arc), (arc.x, self._height - arc.y)
        whole = arc.end - arc.start >= _WHOLE_TURN
        if arc.rx == arc.ry:
            if whole:
                self._space.add_circle(centre, arc.rx, dxfattribs=look)
            else:
                self._space.add_arc(centre, arc.rx, arc.start, arc.end, dxfattribs=look)
            return
        self._ellipse(arc, centre, look, whole)

    def _ellipse(self, arc: Arc, centre: tuple[float, float], look: dict[str, Any], whole: bool) -> None:
        """The major axis of an ellipse leads: angles are counted from it."""
        from math import radians, tau

        upright = arc.ry > arc.rx
        axis = (0.0, arc.ry) if upright else (arc.rx, 0.0)
        ratio = min(arc.rx, arc.ry) / max(arc.rx, arc.ry)
        turn = radians(90.0) if upright else 0.0
        start, end = (0.0, tau) if whole else (radians(arc.start) - turn, radians(arc.end) - turn)
        self._space.add_ellipse(centre, axis, ratio, start, end, dxfattribs=look)

    def _hatch(self, layer: str) -> BoundaryPaths:
        """The boundary of a new filled area."""
        layer = layer if layer in (FRAME, TITLE_BLOCK) else self._layer(FILLED)
        return self._space.add_hatch(color=_BLACK, dxfattribs={"layer": layer}).paths

    # --- pens and layers ----------------------------------------------------------------------------------------------
    def _look(self, part: Line | Circle | Arc) -> dict[str, Any]:
        """Layer, weight and kind of line of a pen."""
        weight = round(part.width * 100)
        layer = self._place(part) or (f"{_DASHED}-{weight:03}" if part.dash else f"LINES-{weight:03}")
        look: dict[str, Any] = {"layer": self._layer(layer), "lineweight": _weight(weight)}
        if part.dash:
            look["linetype"] = self._dashed(part.dash)
        return look

    def _place(self, part: Primitive) -> str:
        """Whether a thing belongs to the frame or the title block; "" for what is drawn."""
        if part.of:
            return ""
        if part in self._frame:
            return FRAME
        if isinstance(part, Label):
            x, y = part.x, part.y
        elif isinstance(part, Line):
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
        if name not in self._document.layers:
            self._document.layers.add(name, color=_BLACK)
        return name

    def _dashed(self, dash: tuple[float, ...]) -> str:
        """The kind of line with these lengths on and off, mm."""
        name = "DASH-" + "-".join(f"{length:g}" for length in dash)
        if name not in self._document.linetypes:
            pattern = [length if position % 2 == 0 else -length for position, length in enumerate(dash)]
            self._document.linetypes.add(name, [fsum(dash), *pattern])
        return name


@cache
def _weight(hundredths: int) -> int:
    """The line weight that the format has nearest, hundredths of a millimetre."""
    from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

    return min((weight for weight in VALID_DXF_LINEWEIGHTS if weight >= 0), key=lambda weight: abs(weight - hundredths))
