"""Circuits side by side on shelves, shelves below each other on sheets: the fewest sheets that a few ways of filling give.

Power stands above control. The circuits of a shelf share their potentials and their row of loads.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct, field

from netdsl.sums import sum_of
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_leads import ONWARD, height_of
from render.drawings.circuit_together import Together

RAIL, NUMBERS, GAP = 5.0, 5.0, 5.0
FOLDED = 8.0  # room for a potential whose name stands above where it is fed, mm
#: room for a potential, by what it is else, and below a shelf where a sheet less comes of it, mm
_CLOSE, _CLOSE_GAP = {RAIL: 4.2, FOLDED: 7.8}, 2.0
_APART = 5.0
_NEVER = -1000.0
_LEAST, _EASE = 0.35, 1.6  # of the area of a sheet, below which it stays nearly empty; of that, below which there is room
#: by how much of its height a shelf may grow, and by how many mm one of power for control: tried one after the other
_GROWTH, _MIXED = (0.35, 1.0), (8.0, 40.0, 100.0, _NEVER)
_OPEN = 8  # shelves and sheets that are still filled


class Shelf(Struct):
    """Circuits side by side. `layouts` with where each begins, and whether it stands below the cards of a rack; `above`, `below`:
    rails in order; `rail`: room for one, `gap`: below the shelf, mm; `loose`: their rows of loads stand at several heights where
    they take less so; `racks`: those of cards alone, each with where it begins."""

    layouts: list[tuple[float, Layout, bool]] = field(default_factory=list)
    power: bool = False
    above: list[str] = field(default_factory=list)
    below: list[str] = field(default_factory=list)
    width: float = 0.0
    upper: float = 0.0
    lower: float = 0.0
    foot: float = 0.0
    rail: float = RAIL
    gap: float = GAP
    loose: bool = False
    racks: list[tuple[float, Layout]] = field(default_factory=list)

    @property
    def height(self) -> float:
        """With numbers of paths, potentials and what is said below, mm."""
        return self._height(len(self.above), len(self.below), self.upper, self.lower, self.foot)

    def height_with(self, layout: Layout) -> float:
        """Its height with one circuit more, mm."""
        counts = [len(self.below), len(self.above)]
        for rail, is_above in layout.rails:
            counts[is_above] += rail not in (self.above if is_above else self.below)
        return self._height(counts[1], counts[0], *self._reach_with(layout))

    def _height(self, above: int, below: int, upper: float, lower: float, foot: float) -> float:
        rails = self.rail * (above + below) + 2.0 * (bool(above) + bool(below))
        return NUMBERS + rails + upper + lower + foot

    def _reach_with(self, layout: Layout) -> tuple[float, float, float]:
        """How far circuits reach above and below their loads with one more, and what is said below them, mm."""
        upper, lower = max(self.upper, layout.upper), max(self.lower, layout.lower)
        if self.loose:
            lower = max(self.upper + self.lower, layout.upper + layout.lower) - upper
        return upper, lower, max(self.foot, layout.foot)

    def with_(self, layout: Layout) -> Shelf:
        """The shelf with one circuit more."""
        above, below = list(self.above), list(self.below)
        for rail, is_above in layout.rails:
            side = above if is_above else below
            if rail not in side:
                side.append(rail)
        under = None if not self.racks or any(is_above for _, is_above in layout.rails) else self._under(layout)
        start = self.width + _APART if self.layouts else 0.0
        upper, lower, foot = self._reach_with(layout)
        return Shelf(
            [*self.layouts, (start if under is None else under, layout, under is not None)],
            self.power,
            above,
            below,
            start + layout.width if under is None else self.width,
            upper,
            lower,
            foot,
            self.rail,
            self.gap,
            self.loose,
            [*self.racks, (start if under is None else under, layout)] if layout.is_rack else self.racks,
        )

    def slack(self, layout: Layout) -> float:
        """How far below the head of the shelf a circuit begins, mm: with its loads in the row of all, unless it is too high below
        them for a `loose` shelf."""
        return min(self.upper - layout.upper, self.upper + self.lower - layout.upper - layout.lower)

    def _under(self, layout: Layout) -> float | None:
        """Where a circuit that takes from no potential above stands below the cards of a rack, if there is room."""
        for start, cards in self.racks:
            ends = [at + held.width + _APART for at, held, under in self.layouts if under and start <= at < start + cards.width]
            at = max(ends, default=start)
            if at + layout.width <= start + cards.width and cards.upper + NUMBERS + 1.0 <= self.upper - layout.upper:
                return at
        return None


class Room(Struct, frozen=True):
    """What a sheet has for circuits. `width`; `named`: left and right of it for names of potentials; `height`; `rail`: of a
    potential, mm; `leads`: for where potentials lead, said below them, mm; `steady`: circuits stand as they
    come, so that one more moves none before it."""

    width: float
    named: float
    height: float
    rail: float
    leads: float
    steady: bool


class Shelves:
    """Fills the sheets of one group. `least`: the area below which a sheet stays nearly empty, mm²."""

    def __init__(self, room: Room, least: float, together: Together, is_power: Callable[[Layout], bool]) -> None:
        self.room = room
        self.least = _LEAST * least
        self.together = together
        self.is_power = is_power
        self.rail, self.gap, self.loose = room.rail, GAP, False

    def sheets(self, layouts: Sequence[Layout]) -> list[list[Shelf]]:
        """The fewest sheets that a few ways of filling give; of as many those of which most are full, then those on which what
        moves together stands together, that it is understood from one sheet; then the first, in which heights differ least."""
        kinds = [(layout, self.is_power(layout)) for layout in layouts]
        self.of_power = {id(layout) for layout, power in kinds if power}
        if self.room.steady:  # as they come: one more moves none before it
            return self._at_ease(self._stacked(self._shelves(kinds, _GROWTH[-1], _MIXED[-2], 1), apart=False))
        power, control = ([each for each in kinds if each[1] == wanted] for wanted in (True, False))
        # what is as high beside each other leaves room for one shelf more
        orders = [
            power + control,
            power + self.together.sorted(control),
            power + sorted(control, key=lambda each: -each[0].upper),
        ]
        found = self._best(orders)
        # where potentials lead is said on the last sheet: without room for that it takes one more
        ways = ((_CLOSE[self.room.rail], _CLOSE_GAP, loose) for loose in (False, True))
        for way in ways if len(found) > 1 or not self._says_all(found) else ():
            if way[-1] and any(layout.is_rack for layout in layouts):
                continue  # below its cards others stand by their loads
            self.rail, self.gap, self.loose = way
            closer = self._best(orders)
            fewer = len(closer) < len(found) or (len(closer) == len(found) and not self._says_all(found))
            if fewer and self._says_all(closer):
                return self._at_ease(closer)
        self.rail, self.gap, self.loose = self.room.rail, GAP, False
        return self._at_ease(found)

    def _says_all(self, sheets: Sequence[Sequence[Shelf]]) -> bool:
        """Whether there is room on the last sheet for where potentials lead, where that is to be said: of several sheets also
        for what others feed."""
        last = sum_of(shelf.height + shelf.gap for shelf in sheets[-1]) if sheets else 0.0
        leads = self.room.leads + (height_of(1) if len(sheets) > 1 else 0.0)
        return not self.room.leads or last + leads <= self.room.height + ONWARD + self.gap

    def _best(self, orders: Sequence[Sequence[tuple[Layout, bool]]]) -> list[list[Shelf]]:
        # many of these ways come to the same
        distinct: dict[tuple[int, ...], Sequence[tuple[Layout, bool]]] = {}
        for order in orders:
            distinct.setdefault(tuple(id(layout) for layout, _ in order), order)
        mixing = _MIXED if len({power for _, power in orders[0]}) > 1 else _MIXED[:1]
        shelves: dict[tuple[tuple[int, ...], ...], list[Shelf]] = {}
        for order in distinct.values():
            for own in _GROWTH:
                for mixed in mixing:
                    each = self._shelves(order, own, mixed)
                    shelves.setdefault(tuple(tuple(id(layout) for _, layout, _ in shelf.layouts) for shelf in each), each)
        return min((self._stacked(each, apart) for each in shelves.values() for apart in (False, True)), key=self._measure)

    def _at_ease(self, sheets: Sequence[Sequence[Shelf]]) -> list[list[Shelf]]:
        """Sheets with the shelves of those that have much room as wide as there is room."""
        return [[self._wider(shelf) if self._area(sheet) < _EASE * self.least else shelf for shelf in sheet] for sheet in sheets]

    def _wider(self, shelf: Shelf) -> Shelf:
        wider = self._empty(shelf.power)
        for _, layout, under in shelf.layouts:
            if not under:
                layout.widen(layout.width + (self.room.width - shelf.width) * layout.width / shelf.width)
            wider = wider.with_(layout)
        return wider

    def _area(self, sheet: Sequence[Shelf]) -> float:
        """What the shelves of a sheet take with the names of their potentials, mm²."""
        return sum_of((shelf.width + self.room.named) * shelf.height for shelf in sheet)

    def _measure(self, sheets: list[list[Shelf]]) -> tuple[int, int, int, float]:
        """Of a way of filling its sheets, those that stay nearly empty but the last, the devices spread over several, and where
        room is wanted below for where potentials lead, the height of the last."""
        sparse = sum(self._area(sheet) < self.least for sheet in sheets[:-1])
        held = [[layout for shelf in sheet for _, layout, _ in shelf.layouts] for sheet in sheets]
        spread = self.together.spread([layout for layout in each if id(layout) not in self.of_power] for each in held)
        last = sum_of(shelf.height for shelf in sheets[-1]) if self.room.leads and sheets else 0.0
        return len(sheets), sparse, spread, last

    def _shelves(self, order: Sequence[tuple[Layout, bool]], own: float, mixed: float, still: int = _OPEN) -> list[Shelf]:
        """Circuits on shelves: on one of the last `still` if that makes it no more than `own` of its height higher, control on
        one of power no more than `mixed` mm."""
        shelves: list[Shelf] = []
        for layout, power in order:
            for number in range(max(len(shelves) - still, 0), len(shelves)):
                shelf = shelves[number]
                if not shelf.racks and shelf.width + _APART + layout.width > self.room.width:
                    continue
                height = shelf.height
                growth = own * height if shelf.power == power else mixed
                if shelf.height_with(layout) > min(self.room.height, height + growth):
                    continue
                wider = shelf.with_(layout)
                if wider.width <= self.room.width:
                    shelves[number] = wider
                    break
            else:
                shelves.append(self._empty(power).with_(layout))
        return shelves

    def _empty(self, power: bool) -> Shelf:
        return Shelf(power=power, rail=self.rail, gap=self.gap, loose=self.loose)

    def _stacked(self, shelves: Sequence[Shelf], apart: bool) -> list[list[Shelf]]:
        """Shelves below each other; `apart`: those of control on no sheet of power."""
        sheets: list[list[Shelf]] = []
        taken: list[float] = []  # what the shelves of each sheet take of its height
        for shelf in shelves:
            height = shelf.height
            for number in range(max(len(sheets) - _OPEN, 0), len(sheets)):
                sheet = sheets[number]
                if apart and sheet[0].power != shelf.power:
                    continue
                if taken[number] + height <= self.room.height:
                    sheet.append(shelf)
                    taken[number] += height + shelf.gap
                    break
            else:
                sheets.append([shelf])
                taken.append(height + shelf.gap)
        return sheets
