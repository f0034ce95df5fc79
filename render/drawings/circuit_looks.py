"""How each part of a circuit looks, and how much room it takes, before anything has its place."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from math import ceil

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role
from render.drawings.circuit_blocks import draw_block, draw_pin, draw_reference, draw_terminal
from render.drawings.circuit_draft import EARTH, LABEL_PITCH, NUMBER_X, Draft, Frame, Text, stacked, terminal_name
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_outputs import draw_outputs
from render.drawings.circuit_parts import Part, Way
from render.drawings.circuit_ranks import Circuit
from render.drawings.circuit_shapes import (
    ACTUATED,
    LINKS,
    POLES,
    actuator,
    contact_shape,
    interlock_shape,
    is_crowded,
    load_shape,
    pole_shape,
)
from render.drawings.circuit_words import Words
from render.layout.columns import broken
from render.sheet import MEDIUM, NORMAL, Circle
from render.symbols import symbol
from render.words.ratings import rating_lines

CONTACT, POLE = 16.0, 20.0
_LINK = 8.4  # of a contact below its head
_PLAIN = 3.6  # how far a blade reaches to the left
_FOOT, _SHORT = 28.0, 22.0  # of what a load is for; where a circuit is too wide for a sheet
_LOCKED = "mechanical interlock"
_CLAMP = 7.0  # from a clamp for the protective conductor to the end below
_COLUMN, _BETWEEN = 6, 3.0  # lines of a list below a load, above which it stands in columns; from one to the next, mm

_BARE = frozenset(
    {"terminal", "rail", "refer"}
)  # parts that have no words beside a symbol, and alone stand otherwise in less width

#: words at the ends of parts
Labels = Mapping[tuple[str, int, bool], Sequence[Mention]]


class Looks(Words):
    """Looks of the parts of one group."""

    def look(
        self,
        part: Part,
        circuit: Circuit,
        words: Labels,
        lead: bool,
        level: float = 0.0,
        narrow: bool = False,
        tight: float = 0.0,
    ) -> Draft:
        """`words`: at the conductors of each end; `lead`: whether the designation is said here; `level`: how far below its
        head at least the link of a contact is, mm; `narrow`: what is said of a terminal stands right of it, below those words;
        `tight`: words beside symbols take no more width, mm."""
        self.tighten(tight)
        ways = range(len(part.ways))
        above, below = ([words.get((part.key, n, top), ()) for n in ways] for top in (True, False))
        draft = Draft(part, [((part.key, n, True) in circuit.used, (part.key, n, False) in circuit.used) for n in ways])
        device = self.plant.devices.get(part.device)
        draft.shift, tail = (LABEL_PITCH * max(map(len, lines), default=0) for lines in (above, below))
        for number, lines in enumerate(above):
            draft.labels(number, lines, 0.0)
        if device is not None and part.kind == "contact":
            self._contact(draft, circuit, device, lead, level)
        elif device is not None and part.kind == "poles" and device.symbol == "electronic-fuse":
            draw_outputs(self, draft, circuit, device)
        elif device is not None and part.kind == "poles":
            self._poles(draft, circuit, device)
        elif device is not None and part.kind == "load":
            self._load(draft, circuit, device)
        elif device is not None and part.kind in ("through", "sink", "source"):
            draw_block(self, draft, circuit, device)
        elif device is not None and part.kind == "pin":
            draw_pin(self, draft, device, lead)
        elif part.kind == "refer":
            draw_reference(self, draft)
        else:
            draw_terminal(self, draft, lead, narrow, circuit.degree[part.key] == 1)
        for number, lines in enumerate(below):
            draft.labels(number, lines, draft.height)
            if draft.down[number]:
                draft.lead(number, draft.height, draft.height + tail)
        draft.height += tail
        if device is not None and part.kind in ("contact", "poles", "load", "through") and self.is_elsewhere(device):
            self._area(draft)
        self.tighten(0.0)
        return draft

    def _area(self, draft: Draft) -> None:
        if draft.frame is None:
            draft.left[0] += 0.6
            draft.right[-1] += 1.2
            draft.frame = Frame("place", 0.15, draft.height - 0.15, draft.left[0] - 0.2, draft.right[-1] - 0.2)

    # --- symbols --------------------------------------------------------------------------------------------------
    def _contact(self, draft: Draft, circuit: Circuit, device: Device, lead: bool, level: float) -> None:
        part, way = draft.part, draft.part.ways[0]
        assert way.path is not None
        acts = actuator(device, way.path) if lead else ""  # one that is linked to the contact before it is moved by that
        edge = ACTUATED.get(acts, ACTUATED["letter"]) if acts else _PLAIN
        lines = self.beside([*self.identity(device), *self.homes.home_line(part), *self.homes.list_of(part)]) if lead else []
        half = stacked(lines) / 2 + 0.7
        head = max(draft.shift + max(0.0, half - _LINK), level - _LINK)
        draft.height = head + max(CONTACT, _LINK + half)
        draft.left[0] = edge + 0.8
        self.words(draft, edge, head + _LINK, lines)
        for line in () if lead else self.homes.home_line(part):  # below the link, which its words would touch
            draft.texts[0].append(Text(-1.6, head + 13.4, line.text, NORMAL, "end", line.of, line.refer))
            draft.left[0] = max(draft.left[0], 2.6 + self.width(line))
        change = "" if len(part.ways) == 1 else "upright-change-under" if part.key in circuit.flipped else "upright-change"
        draft.shapes[0] += contact_shape(way.path, acts, head, part.key, change)
        draft.above(0, head)
        draft.below(0, head + CONTACT)
        draft.number(0, circuit.top(part, 0), head + 3.4)
        draft.number(0, circuit.bottom(part, 0), head + CONTACT - 0.9)
        if change:
            self._make_side(draft, symbol(change).ports["make"], head, part.ways[1].b)
        draft.right[0] = max(draft.right[0], _PLAIN)
        for number, text in enumerate(_two_lines(", ".join(way.path.positions))):
            draft.beside(0, Text(3.6, head + (7.2, 11.6)[number], text, of=part.key))
        draft.link = head + _LINK, 0

    def _make_side(self, draft: Draft, meets: tuple[float, float], head: float, node: str) -> None:
        """The line of the make side of a change-over contact, from its end to where it `meets` the symbol of the break side."""
        under = meets[1] > CONTACT / 2
        edge = head + CONTACT if under else head
        (draft.below if under else draft.above)(1, edge)
        draft.lead(1, *sorted((head + meets[1], edge)))
        draft.number(1, node, head + (CONTACT - 0.9 if under else 3.4))
        draft.right[0] = max(draft.right[0], meets[0] + 1.2)
        draft.level = meets[0], head + meets[1]

    def _poles(self, draft: Draft, circuit: Circuit, device: Device) -> None:
        part = draft.part
        name = POLES.get(device.symbol, "")
        pad = 4.0 if is_crowded(name) else 0.0
        lines = [*self.identity(device), *self.said(device, rating_lines(device)), *self.homes.home_line(part)]
        lines += () if self.homes.has_coil(part) else self.homes.list_of(part)
        locked = self.homes.interlocked(part)
        lines += (self.said(device, [_LOCKED]) if self.is_tight else [Mention(_LOCKED, NORMAL, device.id)]) if locked else []
        lines += [Mention(self.names.of(other.device), NORMAL, device.id, other.key) for other in locked]
        lines = self.beside(lines)
        height = max(POLE + 2 * pad, stacked(lines))
        head = draft.shift + (height - POLE) / 2
        draft.height = draft.shift + height
        edge, last = max(3.6, -symbol(name).box.left) + 0.2 if name else 3.6, 0
        for number, way in enumerate(part.ways):
            if way.path is None:
                self._earth(draft, number, way, device)
                continue
            draft.shapes[number] += pole_shape(name if way.path.kind == "pole" else "link", device.symbol, head, part.key)
            draft.above(number, head)
            draft.below(number, head + POLE)
            draft.number(number, circuit.top(part, number), head - pad + 3.4)
            draft.number(number, circuit.bottom(part, number), head + POLE + pad - 0.9)
            draft.left[number] = edge + 0.6
            draft.right[number] = max(draft.right[number], 7.4 if pad else 5.6)
            last = number if way.path.kind == "pole" else last
        through = [number for number, way in enumerate(part.ways) if way.path is None and _goes_through(device, way)]
        if len(through) > 1:
            draft.joint = draft.height - _CLAMP - EARTH, through[0], through[-1]
        self.words(draft, edge, draft.shift + height / 2, lines)
        if name and last:
            draft.link = head + LINKS.get(name, 6.45 if pad else 10.2), last
            if locked:
                draft.shapes[last] += interlock_shape(draft.link[0], part.key)

    def _earth(self, draft: Draft, number: int, way: Way, device: Device) -> None:
        """A clamp for the protective conductor, with nothing above it; it names its device where no frame says whose it is."""
        top = draft.height - _CLAMP
        draft.shapes[number].append(Circle(0.0, top - EARTH, EARTH, MEDIUM, of=draft.part.key))
        draft.lead(number, top, draft.height)
        name = terminal_name(way.b) if self.is_elsewhere(device) else f"{self.names.of(device.id)}:{terminal_name(way.b)}"
        draft.beside(number, Text(NUMBER_X, draft.height - 1.2, name, of=way.b))
        draft.left[number] = 2.5

    def _load(self, draft: Draft, circuit: Circuit, device: Device) -> None:
        part = draft.part
        lines, listed = [*self.identity(device), *self.homes.home_line(part)], self.homes.list_of(part)
        if device.kind == Kind.CONTROLLER:  # below a coil its contacts, beside what is more than a coil its terminals
            lines, listed = [*lines, *listed], ()
        spill = max(0.0, (stacked(lines) - POLE) / 2)  # of its words above and below the symbol
        head = draft.shift + spill
        draft.height = head + POLE + spill
        edge, right, shapes = load_shape(device, part.ways[0], head, part.key)
        draft.shapes[0] += shapes
        draft.above(0, head)
        self.words(draft, edge, head + POLE / 2, lines)
        draft.number(0, circuit.top(part, 0), head + 3.4)
        draft.number(0, circuit.bottom(part, 0), head + POLE - 0.9)
        draft.right[0] = max(draft.right[0], right + 0.8)
        purpose = [
            Mention(text, NORMAL, device.id)
            for text in broken(self.homes.purpose(part), _SHORT if self.is_tight else _FOOT, united=True)[:4]
        ]
        count = ceil(len(listed) / _COLUMN) or 1  # as many columns as keep them short
        tall = ceil(len(listed) / count)
        columns = [listed[n * tall : (n + 1) * tall] for n in range(count)]
        starts = [0.0]
        for column in columns:
            starts.append(starts[-1] + max((self.width(line) for line in column), default=-_BETWEEN) + _BETWEEN)
        rows = [
            tuple((x, column[row]) for x, column in zip(starts, columns, strict=False) if row < len(column))
            for row in range(tall)
        ]
        draft.foot = (*(((0.0, line),) for line in purpose), *rows)
        wide = max((x + self.width(line) for row in draft.foot for x, line in row), default=0.0)
        draft.right[0] = max(draft.right[0], wide + 2.0 - draft.left[0])


class Remembered:
    """Looks of the parts of one circuit while it is laid out in one way after the other: of each part one is made for what it
    depends on, and taken again, for few of the parts look otherwise in the next way."""

    def __init__(self, looks: Looks, circuit: Circuit) -> None:
        self._looks = looks
        self._ends = {
            key: [(key, way, top) for way in range(len(part.ways)) for top in (True, False)]
            for key, part in circuit.parts.items()
        }
        self._made: dict[Hashable, Draft] = {}

    def look(
        self,
        part: Part,
        circuit: Circuit,
        words: Labels,
        lead: bool,
        level: float = 0.0,
        narrow: bool = False,
        tight: float = 0.0,
    ) -> Draft:
        """As `Looks.look`, of the one circuit."""
        beside = [tuple(words[end]) if end in words else () for end in self._ends[part.key]]
        # terminals of strips and references have nothing beside them that could be tighter
        by = (narrow, 0.0) if part.kind in _BARE else (False, tight)
        key = (part.key, lead, level, by, *beside)
        if key not in self._made:
            self._made[key] = self._looks.look(part, circuit, words, lead, level, narrow, tight)
        return self._made[key]


def _goes_through(device: Device, way: Way) -> bool:
    """Whether a way is a clamp that is one with the others of its device, made to carry the protective conductor on."""
    return device.terminals[terminal_name(way.b)].role is Role.EARTH_THROUGH


def _two_lines(text: str) -> tuple[str, ...]:
    """`text` in two lines at most: above and below the link of a contact."""
    return next((lines for width in (16.0, 24.0, 40.0, 80.0, 400.0) if len(lines := broken(text, width, united=True)) <= 2), ())
