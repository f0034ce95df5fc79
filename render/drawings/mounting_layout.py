"""Where things stand in an enclosure: at their stated position, in their stated row, else in rows found here, from heat above to
terminals below. Where an enclosure states its rails, the rows are those.

Rows of one zone are of one height, devices stand in order of the text function by function, each function in a block of a
whole number of modules, and terminals are stacked from the foot: one device more moves what stands right of it in its zone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise, takewhile

from netdsl.sums import sum_of
from render.drawings.mounting_bodies import Body, Zone
from render.drawings.mounting_places import Layout, Placed, Row, Spacing
from render.layout.fonts import Box

_MODULE = 20.0  # blocks of functions are widened to a multiple of this, mm
_FOOT, _NARROW_FOOT = 60.0, 40.0  # room below the lowest row, for cables that enter, mm
_EDGE, _SMALL_EDGE, _SMALL = 50.0, 25.0, 500.0  # from an enclosure's edge to its plate; of one less wide than the last
_RAIL_ENDS = 10.0  # from a duct to the first body of a row, mm
_FEW = 8  # bodies in an enclosure that has no ducts
#: enclosures tried where a size is not stated, mm
_USUAL = (
    *((300, 300), (400, 500), (600, 800), (600, 1200), (800, 1200), (800, 1800), (1000, 2000)),
    *((width, 2000) for width in (1200, 1600, 2400, 3600, 6000)),
)


#: the first that lets everything stand
_SPACINGS = (
    *(Spacing(60.0, 40.0), Spacing(40.0, 30.0)),
    *(Spacing(30.0, 20.0, shared) for shared in (0, 1, 2)),
    Spacing(20.0, 12.0, 2, True),
)
_BARE = (Spacing(0.0, 30.0), Spacing(0.0, 20.0, 2, True))


#: which zones stand in the same rows, from above, by how many share them
_SHARED = (
    ((Zone.HEAT,), (Zone.POWER,), (Zone.CONTROL,)),
    ((Zone.HEAT,), (Zone.POWER, Zone.CONTROL)),
    ((Zone.HEAT, Zone.POWER, Zone.CONTROL),),
)


def layout(bodies: Sequence[Body], size: tuple[float, float] | None, rails: Sequence[float] = ()) -> Layout:
    """`bodies` in an enclosure of `size` mm with `rails` that far below its upper edge, mm; of the first usual size that holds
    them where none is stated."""
    sizes: Iterable[tuple[float, float]] = [size] if size is not None else _USUAL
    made: Layout | None = None
    for width, height in sizes:
        for spacing in _SPACINGS if len(bodies) > _FEW else _BARE:
            made = _Filler(float(width), float(height), spacing).fill(bodies, rails)
            if not made.left_over:
                return made
    assert made is not None
    return made


class _Filler:
    def __init__(self, width: float, height: float, spacing: Spacing) -> None:
        edge = _EDGE if width >= _SMALL and not spacing.narrow else _SMALL_EDGE
        self.foot = _NARROW_FOOT if spacing.narrow else _FOOT
        self.plate = Box(edge, edge, width - edge, height - edge)
        self.made = Layout(width, height, self.plate, spacing)
        self.duct, self.gap, self.shared = spacing.duct, spacing.gap, spacing.shared
        self.left = self.plate.left + self.duct + _RAIL_ENDS
        self.right = self.plate.right - self.duct - _RAIL_ENDS
        self.fixed: list[Box] = []
        self.head, self.stacked = self.plate.top, 0

    def fill(self, bodies: Sequence[Body], rails: Sequence[float] = ()) -> Layout:
        """Put what is stated where it is, then the rest in rows, on `rails` where there are some."""
        for body in bodies:
            if body.at is not None:
                placed = Placed(body, *body.at, 0)
                self.made.placed.append(placed)
                self.fixed.append(_kept_free(placed))
        free = [body for body in bodies if body.at is None]
        if rails:
            self._on_rails(free, rails)
        else:
            lowest = self._from_foot([body for body in free if body.zone == Zone.TERMINALS and not body.row])
            self._from_head(free, lowest)
        for x in (self.plate.left, self.plate.right - self.duct) if self.duct else ():
            self.made.ducts.append(Box(x, self.plate.top, x + self.duct, self.plate.bottom))
        self.made.rows.sort(key=lambda row: row.y)
        numbers = {row.number: number for number, row in enumerate(self.made.rows, start=1)}
        self.made.rows = [_numbered(row, numbers[row.number]) for row in self.made.rows]
        self.made.placed = [Placed(p.body, p.x, p.y, numbers.get(p.row, 0)) for p in self.made.placed]
        return self.made

    def _from_foot(self, bodies: list[Body]) -> float:
        """Stack the rows of terminals from below; the height at which the uppermost begins, its duct included."""
        bottom = self.plate.bottom - self.foot
        above, below = self._extent(bodies)
        waiting = bodies
        rows: list[tuple[float, list[Body]]] = []
        while waiting:
            y = bottom - below
            if y - above - self.duct < self.plate.top:
                self.made.left_over += waiting
                break
            waiting = self._row(waiting, y, above, below, Zone.TERMINALS)
            bottom = y - above - self.duct
            self._level_duct(bottom)
            rows.append((y, waiting))
        return bottom

    def _from_head(self, free: list[Body], lowest: float) -> None:
        """Stack the other rows from above, as far as `lowest`: each stated one where its number has come, those found here in the
        numbers between."""
        stated: dict[int, list[Body]] = {}
        for body in free:
            if body.row:
                stated.setdefault(body.row, []).append(body)
        self.head = self.plate.top
        for zones in _SHARED[self.shared]:
            waiting = sorted((body for body in free if body.zone in zones and not body.row), key=lambda body: body.zone)
            above, below = self._extent(waiting)
            while waiting:
                self._stated_rows(stated, lowest, self.stacked + 1)
                zone = waiting[0].zone
                if self.shared:
                    above, below = self._extent(waiting)
                if not self._has_room(above, below, lowest):
                    self.made.left_over += waiting
                    break
                waiting = self._stack(waiting, above, below, zone)
        for number in sorted(stated):
            self._stated_rows(stated, lowest, number)

    def _stated_rows(self, stated: dict[int, list[Body]], lowest: float, number: int) -> None:
        """Stack the stated row of that number, and those that follow it without a gap; what does not fit is left over."""
        while number in stated:
            bodies = stated.pop(number)
            above, below = self._extent(bodies)
            if self._has_room(above, below, lowest):
                bodies = self._stack(bodies, above, below, bodies[0].zone)
            self.made.left_over += bodies
            number += 1

    def _has_room(self, above: float, below: float, lowest: float) -> bool:
        return self.head + self.duct + above + below <= lowest + 0.1

    def _stack(self, bodies: list[Body], above: float, below: float, zone: Zone) -> list[Body]:
        """Fill the row that comes next from above and give what waits for another."""
        rail = self.head + self.duct + above
        self._level_duct(self.head)
        self.stacked += 1
        self.head = rail + below
        return self._row(bodies, rail, above, below, zone)

    def _on_rails(self, free: list[Body], rails: Sequence[float]) -> None:
        """Put bodies on stated rails: in their row, else on the first that has room for them, terminals on the last."""
        ends = [self.plate.top, *((one + other) / 2 for one, other in pairwise(rails)), self.plate.bottom]
        for number, y in enumerate(rails, start=1):
            band = (ends[number - 1], ends[number])
            self.made.rows.append(Row(number, Zone.POWER, y, self.left - _RAIL_ENDS, self.right + _RAIL_ENDS, *band, True))
        ends_at = [self.left] * len(rails)
        lanes = range(len(rails))
        used, begin, zone = -1, 0, Zone.HEAT
        for body in sorted(free, key=lambda body: (not body.row, body.zone)):
            if body.row:
                tried: Iterable[int] = (body.row - 1,)
            elif body.zone == Zone.TERMINALS:
                tried = reversed(lanes)
            else:
                if body.zone != zone:  # each kind of row begins on a rail of its own, as long as there are some
                    begin, zone = (used + 1 if used + 1 < len(rails) else begin), body.zone
                tried = (*lanes[begin:], *lanes[:begin])
            lane = next((lane for lane in tried if lane < len(rails) and self._stands(body, lane, rails[lane], ends_at)), None)
            if lane is None:
                self.made.left_over.append(body)
            elif not body.row and body.zone != Zone.TERMINALS:
                used, begin = max(used, lane), max(begin, lane)
        for y in ends[1:-1] if self.duct else ():
            duct = Box(self.plate.left + self.duct, y - self.duct / 2, self.plate.right - self.duct, y + self.duct / 2)
            if not any(placed.box.top < duct.bottom and duct.top < placed.box.bottom for placed in self.made.placed):
                self.made.ducts.append(duct)

    def _stands(self, body: Body, lane: int, y: float, ends_at: list[float]) -> bool:
        """Whether a body finds room on a rail behind what stands there; if so, it is put there."""
        at = self._clear(ends_at[lane] + body.beside, y, body)
        top = y - body.height / 2
        if at + body.width > self.right + 0.1 or top < 0.0 or top + body.height > self.made.height:
            return False
        placed = Placed(body, at, top, lane + 1)
        self.made.placed.append(placed)
        self.fixed.append(_kept_free(placed))
        ends_at[lane] = at + body.width + body.beside
        return True

    def _level_duct(self, y: float) -> None:
        if self.duct:
            self.made.ducts.append(Box(self.plate.left + self.duct, y, self.plate.right - self.duct, y + self.duct))

    def _extent(self, bodies: Sequence[Body]) -> tuple[float, float]:
        """How far a row of `bodies` reaches above and below its rail, the room kept free included."""
        above = max((body.height / 2 + max(body.above, self.gap) for body in bodies), default=0.0)
        below = max((body.height / 2 + max(body.below, self.gap) for body in bodies), default=0.0)
        return above, below

    def _row(self, bodies: list[Body], y: float, above: float, below: float, zone: Zone) -> list[Body]:
        """Fill one row and give what waits for the next."""
        number, begun = len(self.made.rows) + 1, len(self.made.placed)
        x, beside = self.left, 0.0
        waiting: list[Body] = []
        for _, block in groupby(bodies, key=lambda body: body.device.function):
            members = list(block)
            whole = sum_of(body.width for body in members) + sum_of(2 * body.beside for body in members)
            if waiting or (x + whole > self.right and x > self.left and whole <= self.right - self.left):
                waiting += members
                continue
            start = x
            for body in members:
                at = self._clear(x + max(beside, body.beside), y, body)
                if at + body.width > self.right + 0.1 and (x > self.left or at > self.left):
                    waiting.append(body)
                    continue
                self.made.placed.append(Placed(body, at, y - body.height / 2, number))
                x, beside = at + body.width, body.beside
            if x > start:
                x = start + -(-(x - start) // _MODULE) * _MODULE
        if len(waiting) == len(bodies):  # what is wider than the plate stands over its edge, and is told
            self.made.left_over.append(waiting.pop(0))
            return waiting
        stood = self.made.placed[begun:]
        screwed = list(takewhile(lambda placed: placed.body.zone == Zone.HEAT, stood))
        left = max([self.left - _RAIL_ENDS, *(placed.box.right for placed in screwed)])
        rail = len(screwed) < len(stood)  # behind what is screwed to the plate, for the others in its row
        self.made.rows.append(Row(number, zone, y, left, self.right + _RAIL_ENDS, y - above, y + below, rail))
        return waiting

    def _clear(self, x: float, y: float, body: Body) -> float:
        """The first place from `x` on where a body stands in no stated one's way."""
        moved = True
        while moved:
            moved = False
            own = Box(x, y - body.height / 2 - body.above, x + body.width, y + body.height / 2 + body.below)
            for box in self.fixed:
                if own.left < box.right and box.left < own.right and own.top < box.bottom and box.top < own.bottom:
                    x, moved = box.right, True
        return x


def _kept_free(placed: Placed) -> Box:
    body, box = placed.body, placed.box
    return Box(box.left - body.beside, box.top - body.above, box.right + body.beside, box.bottom + body.below)


def _numbered(row: Row, number: int) -> Row:
    return Row(number, row.zone, row.y, row.left, row.right, row.top, row.bottom, row.rail)
