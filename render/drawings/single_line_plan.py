"""Which feeders stand on which sheet of the single-line diagram, and how high its bars and loads lie there."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from msgspec import Struct, field
from msgspec.structs import replace

from netdsl.sums import sum_of
from render.drawing import Drawing
from render.drawings.cell_maker import CellMaker
from render.drawings.data_band import HEADING, Band, Column, column, reserve, trunk_column
from render.drawings.feeder_bundles import Bundle, bundles, drawn_joins
from render.drawings.feeder_cells import load_height
from render.drawings.feeder_rows import Rows
from render.drawings.feeder_steps import Branch
from render.drawings.feeder_units import JOINING, LOAD_ROOM, TIGHT, stretch
from render.drawings.feeders import Feeders, Group, feeders
from render.drawings.power_cells import Cell
from render.layout.fonts import text_width
from render.sheet import DESIGNATION, NORMAL
from render.words.ratings import total_lines, upstream_words

LINE_AT = 20.0  # the line of a column, right of the column's border, mm
TRUNK_ROOM = 72.0  # width for the labels of the supply, mm
_NARROWEST = 66.0  # least pitch of columns, mm
_LOAD_GAP = 0.5  # what keeps loads off the bar below, mm
_BAR_DROP, _SMALL_DROP = 15.0, 10.6  # from the head of the area to a bar without trunk, on A3 and A4, mm
_COUNT = 7.2  # height of the strokes that count the conductors at the head of a feeder, mm
_TOTALS_ROOM = 32.0  # from the head of the area to a bar, where the sums of a supply stand, mm
_ABOVE_BAR = 12.0  # room for the bar's own labels, mm
_TRUNK_SHARE = 0.3  # of the area's height that a trunk may take to stand at ease
_EARTH_ROOM = 5.0  # below the loads, for the bar of protective conductors, mm
BELOW_BAR = 4.0  # from a bar to the first row of its feeders: the bar of the neutral, mm
_TOTALS_BESIDE, _SYMBOL = 56.0, 9.0  # on a small sheet from a trunk to its totals, and to the words at its symbols, mm
_TRUNK_FOOT = 8.0  # below a trunk that stands in a column of its own, mm


class Part(Struct):
    """Some feeders of a group on one sheet; `begins` and `ends`: they hold its first and last. `above`: on a small sheet too
    its trunk stands above its only way."""

    group: Group
    index: int
    begins: bool
    ends: bool = False
    branches: list[Branch] = field(default_factory=list)
    small: bool = False
    above: bool = False

    @property
    def beside(self) -> int:
        """Columns that its trunk takes: one on a small sheet, where feeders have no room below it."""
        return int(self.small and self.begins and bool(self.group.trunk) and not self.above)

    @property
    def width(self) -> int:
        """Columns it takes, at least one."""
        return max(self.beside + sum_of(branch.width for branch in self.branches), 1)


class SingleLinePlan:
    """The single-line diagram shared out. `sheets`: the parts of groups on each. `maker`, `trunk_maker`: cells of columns and
    trunks."""

    def __init__(self, drawing: Drawing) -> None:
        self.area = drawing.whole
        self._calculation, self._network = drawing.calculation, drawing.network
        self.small = drawing.size == "A4"
        self.most = int((self.area.width - HEADING) // _NARROWEST)
        self.maker = CellMaker(drawing.network, (self.area.width - HEADING) / self.most - LINE_AT - 1.5, drawing.key_of)
        self.trunk_maker = CellMaker(drawing.network, TRUNK_ROOM, drawing.key_of)
        # what a branch may take at most, its load included: a sheet without trunk, with a short band
        band = reserve(True) + _EARTH_ROOM
        self.bar_drop = _BAR_DROP if not self.small else _SMALL_DROP
        longest = self.area.height - band - self.bar_drop - BELOW_BAR - JOINING - _LOAD_GAP - _COUNT
        trunk = self.area.height - band - _TRUNK_FOOT if self.small else longest
        self.feeders: Feeders = feeders(drawing.network, self.most, longest, self.maker.height, trunk)
        # a branch is tried with all that stand before it on the sheet: what is said of each is worked out once
        self._column = cache(lambda group, load: column(drawing.calculation, self.feeders, self.feeders.groups[group], load))
        self._bundles = [bundles(group.feeders, self.most) for group in self.feeders.groups]
        self._tell()
        free = longest + JOINING + _COUNT - LOAD_ROOM
        self._bundles = [[part for bundle in found for part in self._held(bundle, free)] for found in self._bundles]
        self._tell()
        self.sheets = self._plan()

    def _tell(self) -> None:
        """Say which second ways are lines, and at what the others lead to that they do."""
        drawn: frozenset[tuple[str, str]] = frozenset().union(*(drawn_joins(found) for found in self._bundles))
        also: dict[str, list[str]] = {}
        for step in self.feeders.steps.values():
            for join in step.joins:
                if (step.device, join.device) not in drawn:
                    also.setdefault(join.device, []).append(step.device)
        self.maker.tell(drawn, also)
        self.trunk_maker.tell(drawn, also)

    def _held(self, bundle: Bundle, free: float) -> list[Bundle]:
        """A bundle whole, or each of its branches for itself where joined they are too long for a sheet."""
        if len(bundle) < 2 or self._rows_of(bundle).has_room(free, TIGHT):
            return [bundle]
        return [(branch,) for branch in bundle]

    def _rows_of(self, bundle: Bundle) -> Rows:
        made = Rows(self.maker)
        lane = 0
        for branch in bundle:
            made.add(branch, lane)
            lane += branch.width
        made.close()
        return made

    def _plan(self) -> list[list[Part]]:
        sheets: list[list[Part]] = []
        for index, group in enumerate(self.feeders.groups):
            part = Part(group, index, True, small=self.small)
            if not sheets or group.trunk or not sheets[-1][-1].branches or self.used(sheets[-1]) >= self.most:
                sheets.append([])
            sheets[-1].append(part)
            for bundle in self._bundles[index]:
                if not self._fits(sheets[-1], bundle):
                    if part.branches or group.trunk:
                        part = Part(group, index, False, small=self.small)
                    else:
                        sheets[-1].remove(part)
                    sheets.append([part])
                part.branches += bundle
            part.ends = True
            if len(sheets[-1]) == 1 and self._has_room_above(part):
                part.above = True
        return [parts for parts in sheets if parts]

    def totals(self, group: Group) -> tuple[str, ...]:
        """Total load and largest motor of a supply, and what protects it."""
        supply = group.trunk[0].device
        loads = [name for name in self.feeders.steps if self.feeders.path(name)[0] == supply]
        upstream = upstream_words(self._network.plant.devices[supply])
        return (*total_lines(self._network, loads), *((upstream,) if upstream else ()))

    @property
    def totals_at(self) -> float:
        """How far right of a trunk its totals stand, mm."""
        return _TOTALS_BESIDE if self.small else TRUNK_ROOM + 12.0

    def _has_room_above(self, part: Part) -> bool:
        """Whether the trunk of a part has room above its only way, with its totals beside it."""
        if not (
            part.begins and part.beside and len(part.branches) == 1 and part.branches[0].width == 1 and not part.group.shared
        ):
            return False
        cells = self.trunk_cells(part.group)
        texts = [(line, DESIGNATION) for cell in cells for line in cell.names] + [
            (line, NORMAL) for cell in cells for line in cell.lines
        ]
        words = max(text_width(line, height) for line, height in texts)
        told = self.area.right - self.area.left - HEADING - LINE_AT - self.totals_at
        if words > self.totals_at - _SYMBOL or any(text_width(line) > told for line in self.totals(part.group)):
            return False
        trial = [replace(part, above=True)]
        band = self.band(trial, self.area.width - HEADING, False)
        free = self.load_y(band, trial) - self.bar_y(trial, 0.0) - BELOW_BAR
        return self.rows(trial).has_room(free)

    def used(self, parts: list[Part]) -> int:
        """Columns that parts take."""
        return sum_of(part.width for part in parts)

    def _fits(self, parts: list[Part], bundle: Bundle) -> bool:
        """Whether `bundle` may be added to the last of `parts`; to an empty sheet it may always."""
        last = parts[-1]
        width = self.used(parts) - (0 if last.branches or last.beside else 1) + sum_of(branch.width for branch in bundle)
        if width > self.most:
            return False
        if len(parts) == 1 and not last.branches and not (last.begins and last.group.trunk):
            return True
        trial = [part if part is not last else replace(part, branches=[*part.branches, *bundle]) for part in parts]
        free = self.load_y(self.band(trial, _NARROWEST, self.small), trial) - self.bar_y(parts, 0.0) - BELOW_BAR
        return self.rows(trial).has_room(free, TIGHT)  # rather close together than on a sheet more

    def rows(self, parts: list[Part]) -> Rows:
        """The rows of a sheet, lanes counted from its left."""
        made = Rows(self.maker)
        lane = 0
        for part in parts:
            at = lane
            for branch in part.branches:
                made.add(branch, at + part.beside)
                at += branch.width
            lane += part.width
        made.close()
        return made

    def band(self, parts: list[Part], pitch: float, short: bool = False) -> Band:
        """The data under the columns of a sheet; `short`: with a line to a row."""
        return Band([data for part in parts for data in self._data(part)], pitch, short)

    def _data(self, part: Part) -> list[Column]:
        head = [trunk_column(self._calculation, self.feeders, part.group)] if part.beside else []
        return [*head, *self.columns_of(part, part.branches)]

    def columns_of(self, part: Part, branches: Sequence[Branch]) -> list[Column]:
        """Data below the columns of `branches`."""
        return [self._column(part.index, leaf.device) for branch in branches for leaf in branch.leaves()]

    def load_y(self, band: Band, parts: list[Part]) -> float:
        """Head of the row of loads above `band`."""
        tallest = max((load_height(branch, self.maker) for part in parts for branch in part.branches), default=0.0)
        return self.earth_y(band) - _EARTH_ROOM / 2 - max(tallest + _LOAD_GAP, LOAD_ROOM)

    def earth_y(self, band: Band) -> float:
        """Height of the bar of protective conductors, between loads and `band`."""
        return self.area.bottom - (band.height if band.columns else 0.0) - _EARTH_ROOM / 2

    def trunk_cells(self, group: Group) -> list[Cell]:
        """Cells of a trunk; where it feeds another group, one of kind "tee" that refers to that."""
        cells: list[Cell] = []
        for step in group.trunk:
            cells += self.trunk_maker.cells(step)
            if step.device in self.feeders.origins and (group.bar or step is not group.trunk[-1]):
                cells.append(Cell("tee", step.device, refer=f"head {step.device}"))
        return cells

    def _trunk_height(self, group: Group, share: float) -> float:
        cells = self.trunk_cells(group)
        return sum_of(cell.height + share * stretch(cell) for cell in cells) + (_ABOVE_BAR if cells else 0.0)

    def bar_y(self, parts: list[Part], share: float, close: bool = False) -> float:
        """Height of the bars of a sheet; `share`: how much of full cells' extra height its trunks take, 0 to 1; `close`: as near
        to the head of the sheet as on a small one, where nothing above says what a bar comes from."""
        tallest = max((self._trunk_height(part.group, share) for part in parts if part.begins and not part.beside), default=0.0)
        close = close and not any(part.begins and part.group.origin for part in parts)
        return self.area.top + max(_SMALL_DROP if close else self.bar_drop, tallest, _TOTALS_ROOM if tallest else 0.0)

    def trunk_share(self, parts: list[Part]) -> float:
        """How far trunks may stretch: to their share of the sheet."""
        least, full = (self.bar_y(parts, share) - self.area.top for share in (0.0, 1.0))
        goal = self.area.height * _TRUNK_SHARE
        return 0.0 if full <= least else min(max((goal - least) / (full - least), 0.0), 1.0)
