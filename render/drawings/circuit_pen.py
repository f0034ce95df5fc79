"""Draws one sheet of a circuit diagram."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from render.drawings.circuit_draft import EARTH, Text
from render.drawings.circuit_laid import Laid, Standing
from render.drawings.circuit_layout import FOOT_PITCH
from render.drawings.circuit_leads import ONWARD_WORDS, Lead, drawn_leads, height_of, lines_of
from render.drawings.circuit_pages import USUAL, Pages
from render.drawings.circuit_places import Place
from render.drawings.circuit_shelves import NUMBERS, Shelf
from render.layout.fonts import Box
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, TITLE, WIDE, Circle, Label, Line, Primitive
from render.symbols import moved

_CHAIN = (4.0, 1.0, 0.6, 1.0)  # of what stands elsewhere, and of blocks
_LINKED = (1.6, 1.0)


Where = Mapping[str, Place]


class CircuitPen:
    """One sheet. `places`: each part with where on the sheet it stands."""

    def __init__(self, area: Box, pages: Pages, shelves: Sequence[Shelf]) -> None:
        self.area = area
        self.pages = pages
        self.shelves: list[tuple[Shelf, float, list[tuple[float, float, Laid]]]] = []
        self.places: list[tuple[str, float, float]] = []
        self.numbered: list[list[tuple[float, float]]] = []  # where the numbers of paths stand, by shelf
        y = area.top
        for shelf in shelves:
            head = y + NUMBERS + shelf.rail * len(shelf.above) + 2.0 * bool(shelf.above)
            held, numbered = [], []
            for start, layout, under in shelf.layouts:
                slack = shelf.slack(layout)
                laid = layout.laid(0.0 if under else slack)
                x, top = area.left + pages.inset(shelf) + start, head + (slack if under else 0.0)
                held.append((x, top, laid))
                numbered += [(x + at, top - 1.6 if under else y + 2.8) for at in laid.paths]
                for standing in laid.standing:
                    self.places.append((standing.part.key, x + standing.x[0], top + standing.y + standing.look.height / 2))
            self.numbered.append(sorted(numbered))
            self.shelves.append((shelf, y, held))
            y += shelf.height + shelf.gap
        self.foot = y - shelves[-1].gap if shelves else y
        # where potentials lead: from which height, what, and where they are fed, if not here
        self.leads: list[tuple[float, list[tuple[Lead, str, tuple[Place, ...]]], Place | None]] = []
        self.onward: Place | None = None  # where it is said where potentials lead, if not here

    def rails(self) -> dict[str, str]:
        """Each potential on the sheet with the first part that takes from it or feeds it."""
        found: dict[str, str] = {}
        for _, _, held in self.shelves:
            for _, _, laid in held:
                for part, _, _ in laid.taps:
                    found.setdefault(part.rail, part.key)
        return found

    def room(self) -> int:
        """How many lines that say where potentials lead stand below what there is."""
        return int((self.area.bottom - self.foot - height_of(0)) / (height_of(1) - height_of(0)))

    def take(self, leads: Sequence[Lead], origin: Place | None = None) -> Sequence[Lead]:
        """Say below what stands here where potentials lead, if there is room, of those fed at `origin` as many as there is; what
        is left."""
        lines = lines_of(leads, self.area.width)
        room = self.room()
        if len(lines) > room and origin is None:
            return leads
        self.leads.append((self.foot, lines[:room], origin))
        self.foot += height_of(len(lines[:room]))
        rest: dict[str, Lead] = {}
        for lead, _, places in lines[room:]:
            before = rest[lead.rail].places if lead.rail in rest else ()
            rest[lead.rail] = Lead(lead.rail, lead.name, (*before, *places))
        return list(rest.values())

    def drawn(self, where: Where, key: str, number: str) -> tuple[Primitive, ...]:
        """The primitives of the sheet, references filled in from `where`; `key`, `number`: its own."""
        self.parts: list[Primitive] = []
        self.where, self.key, self.number = where, key, number
        count = 0
        for (shelf, y, held), numbered in zip(self.shelves, self.numbered, strict=True):
            rails = self._rails(shelf, y)
            for at, base in numbered:
                count += 1
                self.parts.append(Label(at, base, str(count), NORMAL, "middle"))
            for x, top, laid in held:
                self._circuit(x, top, laid, rails)
            self._feet(shelf, y, held)
        self.parts.append(Label(self.area.left, self.area.bottom + USUAL - 2.0, self.pages.wires.usual.words(), NORMAL))
        for top, lines, origin in self.leads:
            self.parts += drawn_leads(lines, self.area, top, key, origin)
        if self.onward is not None:
            words = f"{ONWARD_WORDS} {self.onward.number.rpartition('/')[2]} {self.onward.zone}"
            self.parts.append(Label(self.area.left, self.foot + 4.5, words, of=self.pages.group.place, link=self.onward.key))
        parts, self.parts = self.parts, []  # the pen stays, as part of its plan
        return tuple(parts)

    # --- potentials -----------------------------------------------------------------------------------------------
    def _rails(self, shelf: Shelf, y: float) -> dict[tuple[str, bool], float]:
        found: dict[tuple[str, bool], float] = {}
        for number, rail in enumerate(shelf.above):
            found[rail, True] = y + NUMBERS + shelf.rail * (number + 0.5)
        foot = y + NUMBERS + (shelf.rail * len(shelf.above) + 2.0 if shelf.above else 0.0) + shelf.upper + shelf.lower + 2.0
        for number, rail in enumerate(shelf.below):
            found[rail, False] = foot + shelf.rail * (number + 0.5)
        inset = self.area.left + self.pages.inset(shelf)
        moved = inset < self.area.left + self.pages.left
        named = self.pages.name_room([*shelf.above, *shelf.below]) if moved and found else self.pages.named
        held = {key for _, layout, _ in shelf.layouts for key in layout.circuit.parts}
        for (rail, _), at in found.items():
            left, right = inset, inset + shelf.width
            name = self.pages.names[rail]
            # name and reference on one line with the potential, or above and below it
            base, under = (at - 0.6, at + NORMAL + 0.9) if self.pages.folded else (at + NORMAL / 2, at + NORMAL / 2)
            self.parts.append(Line(((left - 1.0, at), (right + 1.0, at)), WIDE, of=rail))
            self.parts.append(Label(left - 2.0, base, name, NORMAL, "end", of=rail))
            if self.pages.right >= self.pages.named:
                self.parts.append(Label(right + 2.0, base, name, NORMAL, of=rail))
            fed = self.pages.fed[rail].key
            words, link = self._reference(fed)
            if fed not in held:  # on another sheet, or another shelf of this
                edge = left - 2.0 if self.pages.folded else left - named - 1.0
                self.parts.append(Label(edge, under, words, NORMAL, "end", of=rail, link=link))
        return found

    # --- circuits -------------------------------------------------------------------------------------------------
    def _circuit(self, x: float, y: float, laid: Laid, rails: Mapping[tuple[str, bool], float]) -> None:
        for part, tap, above in laid.taps:
            at = rails[part.rail, above]
            standing = next(each for each in laid.standing if each.part.key == part.key)
            end = y + standing.y if above else y + standing.y + standing.look.height
            self.parts.append(Line(((x + tap, at), (x + tap, end)), MEDIUM, of=part.ways[0].a))
            self.parts.append(Circle(x + tap, at, 0.7, NARROW, fill=True, of=part.ways[0].a))
        for link, points in laid.lines:
            width = WIDE if link.kind in ("bridge", "inside") else MEDIUM
            of = link.of if link.kind == "conductor" else link.key
            self.parts.append(Line(tuple((x + a, y + b) for a, b in points), width, of=of))
        for node, at, low, high in laid.stubs:
            self.parts.append(Line(((x + at, y + low), (x + at, y + high)), MEDIUM, of=node))
        for a, b in laid.dots:
            self.parts.append(Circle(x + a, y + b, 0.7, NARROW, fill=True))
        for standing in laid.standing:
            self._part(x, y, standing)

    def _part(self, x: float, y: float, standing: Standing) -> None:
        part, look = standing.part, standing.look
        top = y + standing.y
        for number, at in enumerate(standing.x):
            for shape in moved(look.shapes[number], x + at, top, part.key):
                self.parts.append(shape)
            for text in look.texts[number]:
                self._text(x + at, top, text, text.of or part.device)
            self._ends(standing, number, x + at, top, y + standing.floor)
        if look.level is not None:
            start, y = look.level
            self.parts.append(Line(((x + standing.x[0] + start, top + y), (x + standing.x[1], top + y)), MEDIUM, of=part.key))
        if look.bar is not None:
            self._bar(x, top, standing, *look.bar)
        if look.joint is not None:
            self._joint(x, top, standing, *look.joint)
        self._link(x, top, standing)
        if look.frame is not None:
            self._frame(x, top, standing)

    def _bar(self, x: float, top: float, standing: Standing, level: float, last: int) -> None:
        """What joins the ways of a part to the terminal by which they are fed."""
        node, y = standing.nodes[0][0], top + level
        self.parts.append(Line(((x + standing.x[0], y), (x + standing.x[last], y)), MEDIUM, of=node))
        self.parts += [Circle(x + at, y, 0.7, NARROW, fill=True, of=node) for at in standing.x[:last]]

    def _joint(self, x: float, top: float, standing: Standing, level: float, first: int, last: int) -> None:
        """What joins the clamps for the protective conductor inside a device, from the first to the last of them."""
        ends = x + standing.x[first] + EARTH, x + standing.x[last] - EARTH
        self.parts.append(Line(((ends[0], top + level), (ends[1], top + level)), MEDIUM, of=standing.part.device))

    def _link(self, x: float, top: float, standing: Standing) -> None:
        """The mechanical link to what moves with the part: its own poles, the contact of the same device before it."""
        if standing.look.link is None:
            return
        level, last = standing.look.link
        y, of = top + level, standing.part.device
        if last:
            ends = x + standing.x[0] - 1.6, x + standing.x[last] - 1.8
        elif standing.follows is not None:
            ends = x + standing.follows + 0.2, x + standing.x[0] - 1.8
        else:
            return
        self.parts.append(Line(((ends[0], y), (ends[1], y)), NARROW, _LINKED, of=of))

    def _ends(self, standing: Standing, number: int, x: float, top: float, floor: float) -> None:
        """The ends of a way, called by their terminals: above, and from the foot of the part to that of its row."""
        look = standing.look
        above, below = look.used[number]
        first, last = standing.nodes[number]
        if above:
            self.parts.append(Line(((x, top), (x, top + 0.4)), MEDIUM, of=first))
        if below:
            foot = top + look.height
            self.parts.append(Line(((x, foot - 0.4), (x, max(floor, foot))), MEDIUM, of=last))

    def _frame(self, x: float, top: float, standing: Standing) -> None:
        frame = standing.look.frame
        assert frame is not None
        of = standing.part.device
        left, right = x + standing.x[0] - frame.left, x + standing.x[-1] + frame.right
        low, high = top + frame.top, top + frame.bottom
        corners = ((left, low), (right, low), (right, high), (left, high))
        solid = frame.kind == "solid"
        self.parts.append(Line(corners, MEDIUM if solid else NARROW, () if solid else _CHAIN, closed=True, of=of))
        if frame.motor:
            middle = x + (standing.x[0] + standing.x[-1]) / 2
            self.parts.append(Circle(middle, high + 7.0, 7.0, WIDE, of=of))
            self.parts.append(Label(middle, high + 7.0, "M", TITLE, "middle", of=of))
            self.parts.append(Label(middle, high + 12.0, frame.motor, DESIGNATION, "middle", of=of))

    def _text(self, x: float, y: float, text: Text, of: str) -> None:
        words, link = text.text, ""
        if text.refer:
            reference, link = self._reference(text.refer)
            words = f"{words} {reference}".strip()
        if words:
            self.parts.append(Label(x + text.x, y + text.y, words, text.height, text.anchor, text.bold, of, link))

    def _reference(self, part: str) -> tuple[str, str]:
        """Where a part stands, as short as it is clear from this sheet; the key of its sheet where that is another."""
        place = self.where.get(part)
        if place is None:
            return "", ""
        return place.seen_from(self.key, self.number), place.key if place.key != self.key else ""

    def _feet(self, shelf: Shelf, y: float, held: Sequence[tuple[float, float, Laid]]) -> None:
        at = y + shelf.height - shelf.foot + 0.6
        for x, _, laid in held:
            for standing in laid.standing:
                look = standing.look
                left = x + standing.x[0] - look.left[0] + 0.5
                for number, row in enumerate(look.foot):
                    for start, line in row:
                        text = Text(start, 3.2 + number * FOOT_PITCH, line.text, line.height, "start", "", line.refer)
                        self._text(left, at, text, line.of)
