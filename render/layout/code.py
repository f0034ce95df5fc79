"""A QR code as lines: black squares, those beside each other drawn as one."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby

from render.sheet import NARROW, Line

#: side of a code, mm
CODE = 21.0


# a cover is laid out again where its contents need another page, and again while the text is written
@lru_cache(maxsize=16)
def code_lines(text: str, left: float, top: float) -> tuple[Line, ...]:
    """`text` of digits, capitals and blanks, at most 20 of them, as a code of `CODE` mm with its upper left corner there."""
    import segno

    matrix = segno.make(text, error="m", boost_error=False, micro=False).matrix
    module = CODE / len(matrix)
    lines = []
    for row, cells in enumerate(matrix):
        column = 0
        for black, run in groupby(cells):
            length = len(list(run))
            if black:
                lines.append(_bar(left + column * module, top + row * module, length * module, module))
            column += length
    return tuple(lines)


def _bar(left: float, top: float, width: float, height: float) -> Line:
    """A black bar: filled, and so much smaller as the line round it is wide."""
    edge = NARROW / 2
    x1, y1, x2, y2 = left + edge, top + edge, left + width - edge, top + height - edge
    return Line(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), NARROW, closed=True, fill=True)
