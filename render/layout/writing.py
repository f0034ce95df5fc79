"""Lines and texts put on a sheet one by one, and how far apart lines of text stand."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from render.layout.fonts import line_pitch
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, Anchor, Arc, Label, Line, Primitive

#: distance of base lines of words and of designations, mm
PITCH = line_pitch(NORMAL)
WIDE_PITCH = line_pitch(DESIGNATION)
LIFT = 1.35  # base line of a text above the line it stands on: descenders keep off it
DASH = (2.0, 1.0)  # of a screen


def half(lines: int, pitch: float) -> float:
    """Half the height of `lines` of text centred on a line, with a margin."""
    return lines * pitch / 2 + 0.8 if lines else 0.0


class Writing:
    """Collects the lines and texts of a sheet. `links`: key of the sheet that shows a designation."""

    def __init__(self, links: Callable[[str], str]) -> None:
        self.parts: list[Primitive] = []
        self._links = links

    def line(self, *points: tuple[float, float], width: float = NARROW, dash: tuple[float, ...] = (), of: str = "") -> None:
        """A line through `points`."""
        self.parts.append(Line(points, width, dash, of=of))

    def text(self, x: float, y: float, text: str, height: float = NORMAL, anchor: Anchor = "start", **more: str | bool) -> None:
        """A text with its base line at `y`; `more`: bold, of, link."""
        bold, of, link = bool(more.get("bold")), str(more.get("of", "")), str(more.get("link", ""))
        self.parts.append(Label(x, y, text, height, anchor, bold, of, link))

    def contact(self, x: float, y: float, contacts: str, of: str) -> None:
        """The contact of half a plug connection (IEC 60617, plug and socket), 6 mm wide, centred on `x`, `y`; `contacts`: "pins",
        drawn as a bar, or "sockets", the half circle that takes it."""
        if contacts == "pins":
            self.line((x - 3.0, y), (x - 0.6, y), of=of)
            corners = ((x - 0.6, y - 0.6), (x + 3.0, y - 0.6), (x + 3.0, y + 0.6), (x - 0.6, y + 0.6))
            self.parts.append(Line(corners, NARROW, closed=True, fill=True, of=of))
        else:
            self.line((x - 3.0, y), (x - 0.2, y), of=of)
            self.parts.append(Arc(x + 1.6, y, 1.8, 1.8, 90.0, 270.0, MEDIUM, of=of))

    def stacked(
        self, x: float, y: float, lines: Sequence[str], height: float, anchor: Anchor, of: str, link: str = "", pitch: float = 0.0
    ) -> None:
        """Lines of text centred on `y`; `pitch`: distance of their base lines where it is not that of the height, mm."""
        pitch = pitch or (WIDE_PITCH if height == DESIGNATION else PITCH)
        base = y - (len(lines) - 1) * pitch / 2 + height / 2
        for number, line in enumerate(lines):
            self.text(x, base + number * pitch, line, height, anchor, of=of, link=link)
