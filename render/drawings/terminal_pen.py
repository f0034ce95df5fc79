"""Draws the pieces of a terminal drawing: terminal boxes, row halves, gathering marks, brackets, screens, bridges."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from render.drawings.terminal_block import Entry, Group, Point
from render.drawings.terminal_columns import CONTACT, INNER, LANE, Columns
from render.drawings.terminal_heights import far_height
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.layout.writing import DASH, LIFT, PITCH, WIDE_PITCH, Writing
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, WIDE, Anchor, Arc, Circle, Line
from render.words.cables import Tail

_CIRCLE = 0.9
_BELOW = 3.4  # base line of a text below the line it belongs to, mm
LEVEL = (2.0, 1.0)  # dashes between the levels of one terminal
_TICK = 3.0
_JOINT = 2.0  # from the edge of the box to where two conductors in one ferrule meet, mm
_ANCHORS: tuple[Anchor, Anchor] = ("end", "start")  # of texts left and right, both read outward from the box
_OVAL = 2.0  # half the width of a gathering mark
_STUB = 4.0  # a spare core begins this far off the terminal


class Pen(Writing):
    """Draws rows beside terminal boxes. Side 0 is left, 1 right; `u` is measured outward from the edge of the box, mm. `sheet`:
    for a terminal and a conductor on it key and number of the sheet with that end, "" where it is this one."""

    def __init__(self, columns: Columns, links: Callable[[str], str], sheet: Callable[[str, str], tuple[str, str]]) -> None:
        super().__init__(links)
        self.columns = columns
        self.sheet = sheet
        self._edges = (columns.x, columns.x + columns.box)

    def x(self, side: int, u: float) -> float:
        """Place on the sheet of `u` on a side."""
        return self._edges[side] + (u if side else -u)

    def box(self, top: float, y: float, bottom: float, point: Point, whole: bool, levels: tuple[bool, bool]) -> None:
        """The box of a terminal from `top` to `bottom`, its data on the line `y`; one that goes on from another sheet, not
        `whole`, does not repeat its text. `levels`: a further level of the same terminal stands above, or below it."""
        columns, left = self.columns, self._edges[0]
        right = self._edges[1]
        if any(levels):
            self.line((left, top), (left, bottom), width=WIDE, of=point.id)
            self.line((right, top), (right, bottom), width=WIDE, of=point.id)
            width, dash = (NARROW, LEVEL) if levels[0] else (WIDE, ())
            self.line((left, top), (right, top), width=width, dash=dash, of=point.id)
            if not levels[1]:
                self.line((left, bottom), (right, bottom), width=WIDE, of=point.id)
        else:
            outline = ((left, top), (right, top), (right, bottom), (left, bottom))
            self.parts.append(Line(outline, WIDE, closed=True, of=point.id))
        self.stacked(left + 2.5, y, broken(point.number, columns.number, DESIGNATION), DESIGNATION, "start", point.id)
        core = left + columns.core
        if point.size:
            self.stacked(core - 2.0, y, broken(columns.size_of(point), columns.size), NORMAL, "end", point.id)
        end = core - (columns.size + 2.0 if columns.size else 2.0)
        if point.contacts:
            self.contact(end - CONTACT / 2, y, point.contacts, point.id)
        if point.kind:
            taken = CONTACT if point.contacts else 0.0
            self._kind(end - taken - (columns.kind - taken) / 2, y, point)
        if columns.text:
            self.line((core, top), (core, bottom), of=point.id)
            self._words(core + 2.0, y, point, broken(point.text if whole else "", columns.text, united=True))

    def _words(self, x: float, y: float, point: Point, lines: Sequence[str]) -> None:
        base = y - (len(lines) + point.live - 1) * PITCH / 2 + NORMAL / 2
        if point.live:
            self.text(x, base, "LIVE", NORMAL, bold=True, of=point.id)
            base += PITCH
        for number, line in enumerate(lines):
            self.text(x, base + number * PITCH, line, of=point.id)

    def _kind(self, x: float, y: float, point: Point) -> None:
        """What marks the kind of terminal, centred on `x`, `y`."""
        if point.kind == "earth":
            self.line((x, y - 2.2), (x, y), of=point.id)
            for drop, reach in ((0.0, 2.0), (0.8, 1.3), (1.6, 0.6)):
                self.line((x - reach, y + drop), (x + reach, y + drop), width=MEDIUM, of=point.id)
        elif point.kind == "fused":
            self.line((x - 3.2, y), (x + 3.2, y), of=point.id)
            corners = ((x - 2.0, y - 0.9), (x + 2.0, y - 0.9), (x + 2.0, y + 0.9), (x - 2.0, y + 0.9))
            self.parts.append(Line(corners, MEDIUM, closed=True, of=point.id))
        elif point.kind == "diode":
            self.line((x - 3.2, y), (x + 3.2, y), of=point.id)
            self.parts.append(Line(((x - 1.2, y - 1.2), (x + 1.2, y), (x - 1.2, y + 1.2)), MEDIUM, closed=True, of=point.id))
            self.line((x + 1.2, y - 1.2), (x + 1.2, y + 1.2), width=MEDIUM, of=point.id)
        elif point.kind == "disconnect":
            self.line((x - 3.2, y), (x - 1.6, y), (x + 1.5, y - 1.6), of=point.id)
            self.line((x + 1.6, y), (x + 3.2, y), of=point.id)
            self.line((x + 1.6, y - 0.8), (x + 1.6, y + 0.8), width=MEDIUM, of=point.id)
        else:
            self.text(x, y + NORMAL / 2, point.kind, NORMAL, "middle", of=point.id)

    def open_ends(self, y: float, used: tuple[bool, bool], of: str) -> None:
        """The clamping points left and right of a row, drawn where something lands or the terminal begins."""
        for side in (0, 1):
            if used[side]:
                self.parts.append(Circle(self._edges[side], y, _CIRCLE, MEDIUM, of=of))

    def ticks(self, side: int, u: float, y: float, of: str) -> None:
        """Two boxes to tick, wired and checked, beginning at `u`."""
        for start in (u, u + _TICK + 1.0):
            one, two = sorted((self.x(side, start), self.x(side, start + _TICK)))
            top, bottom = y - _TICK / 2, y + _TICK / 2
            self.parts.append(Line(((one, top), (two, top), (two, bottom), (one, bottom)), NARROW, closed=True, of=of))

    def entry(self, side: int, y: float, entry: Entry, joined: bool = False) -> None:
        """Half a row: line, what stands on it, where it goes, boxes to tick; `joined`: in one ferrule with the row above."""
        held = self.columns.sides[side]
        start = _STUB if entry.spare else _JOINT if joined else _CIRCLE
        self.line((self.x(side, start), y), (self.x(side, held.line_end), y), width=MEDIUM, of=entry.of)
        if entry.spare:
            end = self.x(side, start)
            self.line((end, y - 0.8), (end, y + 0.8), width=MEDIUM, of=entry.of)
        anchor = _ANCHORS[side]
        for name in INNER:
            text = getattr(entry, name)
            if text:
                lines = broken(text, held.width[name])
                u = max(held.at[name], _STUB + 1.5) if entry.spare else held.at[name]
                for number, line in enumerate(reversed(lines)):
                    self.text(self.x(side, u), y - LIFT - number * PITCH, line, NORMAL, anchor, of=entry.of)
        height = far_height(entry)
        far = broken(entry.far, held.width["far"], height)
        link = self._links(entry.far_id) if entry.far_id else ""
        self.stacked(self.x(side, held.at["far"]), y, far, height, anchor, entry.far_id or entry.of, link)
        if not entry.spare:
            self.ticks(side, held.at["ticks"], y - LIFT - _TICK / 2 + 0.4, entry.of)
        if not entry.cable and not entry.spare:
            self._lead(side, y, entry)

    def _lead(self, side: int, y: float, entry: Entry) -> None:
        """The sheet with the other end of a wire, below its line at the outer end; inside where cables are gathered there."""
        held, (key, number) = self.columns.sides[side], self.sheet(entry.far_id, entry.of)
        u, anchor = (held.at["ticks"], _ANCHORS[side]) if held.cables else (held.line_end - 1.0, _ANCHORS[1 - side])
        if number:
            self.text(self.x(side, u), y + _BELOW, number, NORMAL, anchor, of=entry.of, link=key)

    def joint(self, side: int, first: float, second: float, of: str) -> None:
        """Two conductors in one ferrule: their lines meet before the clamp."""
        x = self.x(side, _JOINT)
        self.line((x, first), (x, second), width=MEDIUM, of=of)

    def gather(self, side: int, first: float, last: float, group: Group) -> None:
        """The mark round a cable's cores, from the line `first` to the line `last`; dashed where the cable is screened."""
        x = self.x(side, self.columns.sides[side].gather)
        top, bottom = first - 1.0, last + 0.4
        dash = DASH if group.screened else ()
        for edge in (x - _OVAL, x + _OVAL):
            self.line((edge, top), (edge, bottom), dash=dash, of=group.cable)
        self.parts.append(Arc(x, top, _OVAL, _OVAL, 0.0, 180.0, NARROW, dash, group.cable))
        self.parts.append(Arc(x, bottom, _OVAL, _OVAL, 180.0, 360.0, NARROW, dash, group.cable))

    def tails(self, side: int, last: float, drops: Sequence[float], tails: Sequence[Tail]) -> None:
        """The screens of a cable below its last core's line `last`, each `drops` below it, saying how both ends are made."""
        held = self.columns.sides[side]
        x, anchor, inner = self.x(side, held.gather), _ANCHORS[side], _ANCHORS[1 - side]
        above = last + 0.4 + _OVAL
        for drop, tail in zip(drops, tails, strict=True):
            y = last + drop
            self.line((x, above), (x, y), dash=DASH, of=tail.of)
            above = y
            self.parts.append(Circle(x, y, 0.6, fill=True, of=tail.of))
            self.line((self.x(side, held.gather - 3.0), y), (self.x(side, held.line_end), y), dash=DASH, of=tail.of)
            here = broken(tail.here, held.width["tail"], united=True)
            end = held.gather - 4.0
            self.stacked(self.x(side, end), y, here, NORMAL, inner, tail.here_id or tail.of)
            longest = max(text_width(line) for line in here)
            self.ticks(side, end - longest - 9.0, y, tail.of)
            far, link = broken(tail.far, held.width["far"], united=True), self._links(tail.far_id) if tail.far_id else ""
            self.stacked(self.x(side, held.at["far"]), y, far, NORMAL, anchor, tail.far_id or tail.of, link)

    def bracket(self, side: int, top: float, bottom: float, of: str) -> None:
        """The bracket round the rows of one cable."""
        u = self.columns.sides[side].at["bracket"]
        arm, back = self.x(side, u - 1.8), self.x(side, u)
        self.line((arm, top), (back, top), (back, bottom), (arm, bottom), of=of)

    def cable(self, side: int, middle: float, head: Sequence[str], lines: Sequence[str], of: str) -> None:
        """A cable's designation and what is said of it, centred on `middle`."""
        x, anchor = self.x(side, self.columns.sides[side].at["text"]), _ANCHORS[side]
        y = middle - (len(head) * WIDE_PITCH + len(lines) * PITCH) / 2
        for text in head:
            self.text(x, y + 4.4, text, DESIGNATION, anchor, of=of)
            y += WIDE_PITCH
        for text in lines:
            self.text(x, y + 3.0, text, NORMAL, anchor, of=of)
            y += PITCH

    def bridge(self, lane: int, ways: Sequence[float], ends: tuple[float, float], of: str) -> None:
        """A bridge in its lane: a line over `ends` with a dot at each of its `ways` (y of the terminals it joins)."""
        x = self._edges[0] + 2.5 + self.columns.number + 2.0 + LANE * (lane + 0.5)
        self.line((x, ends[0]), (x, ends[1]), width=WIDE, of=of)
        for y in ways:
            self.parts.append(Circle(x, y, 0.8, fill=True, of=of))

    def heads(self, y: float, middle: str) -> None:
        """Names of the columns with their base line at `y`."""
        for side in (0, 1):
            held = self.columns.sides[side]
            anchor = _ANCHORS[side]
            for name, u in held.at.items():
                head = {"ticks": "here", "text": "cable", "bracket": ""}.get(name, held.heads.get(name, ""))
                lines = broken(head, held.width[name]) if name in (*INNER, "far") else (head,)
                for number, line in enumerate(reversed(lines)):
                    self.text(self.x(side, u), y - number * PITCH, line, NORMAL, anchor)
        self.text((self._edges[0] + self._edges[1]) / 2, y, middle, NORMAL, "middle")
