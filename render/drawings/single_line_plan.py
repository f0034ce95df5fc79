"""Which feeders stand on which sheet of the single-line diagram, and how high its bars and loads lie there."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from msgspec import Struct, field

from render.drawing import Drawing
from render.drawings.cell_maker import CellMaker
from render.drawings.data_band import HEADING, RESERVE, Band, Column, column
from render.drawings.feeders import Branch, Feeders, Group, feeders
from render.drawings.power_cells import Cell
from render.drawings.power_columns import PARTING, demands, load_height, stretch

LINE_AT = 20.0  # the line of a column, right of the column's border, mm
TRUNK_ROOM = 72.0  # width for the labels of the supply, mm
_NARROWEST = 66.0  # least pitch of columns, mm
_LOAD_ROOM, _LOAD_GAP = 24.0, 4.0  # least height of the row of loads above the band, and what keeps them apart, mm
_BAR_DROP = 15.0  # from the head of the area to a bar without trunk, mm
_TOTALS_ROOM = 32.0  # from the head of the area to a bar, where the sums of a supply stand, mm
_ABOVE_BAR = 8.0  # room for the bar's own label, mm
_TRUNK_SHARE = 0.3  # of the area's height that a trunk may take to stand at ease
_PARTINGS = 3  # partings for which a branch is left room


class Part(Struct):
    """Some feeders of a group on one sheet; `begins` and `ends`: they hold its first and last."""

    group: Group
    index: int
    begins: bool
    ends: bool = False
    branches: list[Branch] = field(default_factory=list)

    @property
    def width(self) -> int:
        """Columns it takes, at least one."""
        return max(sum(branch.width for branch in self.branches), 1)


class SingleLinePlan:
    """The single-line diagram shared out. `sheets`: the parts of groups on each. `maker`, `trunk_maker`: cells of columns and
    trunks."""

    def __init__(self, drawing: Drawing) -> None:
        self.area = drawing.area
        self.most = int((self.area.width - HEADING) // _NARROWEST)
        self.maker = CellMaker(drawing.network, (self.area.width - HEADING) / self.most - LINE_AT - 1.5)
        self.trunk_maker = CellMaker(drawing.network, TRUNK_ROOM)
        # what a branch may take at most: a sheet without trunk, a full band, room for partings
        longest = self.area.bottom - RESERVE - self.area.top - _BAR_DROP - _PARTINGS * PARTING
        self.feeders: Feeders = feeders(drawing.network, self.most, longest, self.maker.height)
        # a branch is tried with all that stand before it on the sheet: what is said of each is worked out once
        self._column = cache(lambda group, load: column(drawing.calculation, self.feeders, self.feeders.groups[group], load))
        self.sheets = self._plan()

    def _plan(self) -> list[list[Part]]:
        sheets: list[list[Part]] = []
        for index, group in enumerate(self.feeders.groups):
            part = Part(group, index, True)
            if not sheets or group.trunk or not sheets[-1][-1].branches or self.used(sheets[-1]) >= self.most:
                sheets.append([])
            sheets[-1].append(part)
            for branch in group.feeders:
                if not self._fits(sheets[-1], branch):
                    if part.branches or group.trunk:
                        part = Part(group, index, False)
                    else:
                        sheets[-1].remove(part)
                    sheets.append([part])
                part.branches.append(branch)
            part.ends = True
        return [parts for parts in sheets if parts]

    def used(self, parts: list[Part]) -> int:
        """Columns that parts take."""
        return sum(part.width for part in parts)

    def _fits(self, parts: list[Part], branch: Branch) -> bool:
        """Whether `branch` may be added to the last of `parts`; to an empty sheet it may always."""
        last = parts[-1]
        width = self.used(parts) - (0 if last.branches else 1) + branch.width
        if width > self.most:
            return False
        if len(parts) == 1 and not last.branches and not (last.begins and last.group.trunk):
            return True
        added = [*(other for part in parts for other in part.branches), branch]
        shown = [self.columns_of(part, (*part.branches, *((branch,) if part is last else ()))) for part in parts]
        band = Band([data for columns in shown for data in columns], _NARROWEST)
        free = self.load_y(band, added) - self.bar_y(parts, 0.0)
        return all(least <= free for other in added for least, _ in demands(other, self.maker))

    def columns_of(self, part: Part, branches: Sequence[Branch]) -> list[Column]:
        """Data below the columns of `branches`."""
        return [self._column(part.index, leaf.device) for branch in branches for leaf in branch.leaves()]

    def load_y(self, band: Band, branches: Sequence[Branch]) -> float:
        """Head of the row of loads above `band`."""
        tallest = max((load_height(branch, self.maker) for branch in branches), default=0.0)
        return self.area.bottom - (band.height if band.columns else 0.0) - max(tallest + _LOAD_GAP, _LOAD_ROOM)

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
        return sum(cell.height + share * stretch(cell) for cell in cells) + (_ABOVE_BAR if cells else 0.0)

    def bar_y(self, parts: list[Part], share: float) -> float:
        """Height of the bars of a sheet; `share`: how much of full cells' extra height its trunks take, 0 to 1."""
        tallest = max((self._trunk_height(part.group, share) for part in parts if part.begins), default=0.0)
        return self.area.top + max(_BAR_DROP, tallest, _TOTALS_ROOM if tallest else 0.0)

    def trunk_share(self, parts: list[Part]) -> float:
        """How far trunks may stretch: to their share of the sheet."""
        least, full = (self.bar_y(parts, share) - self.area.top for share in (0.0, 1.0))
        goal = self.area.height * _TRUNK_SHARE
        return 0.0 if full <= least else min(max((goal - least) / (full - least), 0.0), 1.0)
