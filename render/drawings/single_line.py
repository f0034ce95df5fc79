"""The single-line diagram (overview diagram of IEC 61082-1): supply, main switch, busbar, a column per feeder, data below.

Columns fill sheets from left to right; a bar goes on to the next sheet with a reference each way. What is too wide or
too long for a sheet goes on at a place of its own, with a reference each way too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from netdsl.model.kinds import BARS
from netdsl.model.plant import Role
from netdsl.network.isolation import main_isolators
from netdsl.network.types import Network
from render.drawing import Drawing, in_set
from render.drawings.data_band import HEADING, RESERVE, Band, Column, column
from render.drawings.feeders import Branch, Feeders, Group, Step, feeders
from render.drawings.power_cells import Cell, CellMaker, dot
from render.drawings.power_columns import Columns, Draft, demands, load_height, resolve, sheet_of, stretch
from render.layout.fonts import shorten, text_width
from render.sheet import DESIGNATION, FRAME, MEDIUM, NORMAL, WIDE, Label, Line, Sheet
from render.words.ratings import kind_of_current, rating, total_lines, upstream_words

KIND = "Single-line diagram"
KEY = "single-line"
_LINE_AT = 20.0  # the line of a column, right of the column's border, mm
_WIDEST, _NARROWEST = 84.0, 66.0  # pitch of columns, mm
_LOAD_ROOM, _LOAD_GAP = 24.0, 4.0  # least height of the row of loads above the band, and what keeps them apart, mm
_BAR_DROP = 15.0  # from the head of the area to a bar without trunk, mm
_TRUNK_ROOM = 72.0  # width for the labels of the supply, mm
_TOTALS_ROOM = 32.0  # from the head of the area to a bar, where the sums of a supply stand, mm
_REFERENCE = 32.0  # room for a reference beside a bar's name, mm
_ABOVE_BAR = 8.0  # room for the bar's own label, mm
_TRUNK_SHARE = 0.3  # of the area's height that a trunk may take to stand at ease


@dataclass(slots=True)
class _Part:
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


@in_set(100)
def single_line_sheets(drawing: Drawing) -> list[Sheet]:
    """The single-line diagram of everything in the power tree, keys `single-line-1` and on; nothing for a plant without one."""
    return _Diagram(drawing).sheets()


class _Diagram:
    def __init__(self, drawing: Drawing) -> None:
        self.network, self.size, self.area = drawing.network, drawing.size, drawing.area
        self.calculation = drawing.calculation
        self.most = int((self.area.width - HEADING) // _NARROWEST)
        self.maker = CellMaker(self.network, (self.area.width - HEADING) / self.most - _LINE_AT - 1.5)
        self.trunk_maker = CellMaker(self.network, _TRUNK_ROOM)
        # what a branch may take at most: a sheet without trunk, a full band, room for partings
        self.longest = self.area.bottom - RESERVE - self.area.top - _BAR_DROP - 3 * 5.0
        self.feeders: Feeders = feeders(self.network, self.most, self.longest, self.maker.height)

    def sheets(self) -> list[Sheet]:
        """All sheets, references filled in."""
        plans = self._plan()
        drafts = [Draft(f"{KEY}-{number}", f"S{number}", self.size) for number in range(1, len(plans) + 1)]
        columns = []
        for draft, parts in zip(drafts, plans, strict=True):
            columns.append(self._draw(draft, parts))
        resolve(drafts)
        return [
            sheet_of(draft, f"Overview, sheet {number}", KIND, self._part_of(shown))
            for number, (draft, shown) in enumerate(zip(drafts, columns, strict=True), start=1)
        ]

    def _part_of(self, columns: list[Column]) -> str:
        """`=RP1 to =RP3`, the functions of the first and the last column that have one."""
        devices = self.network.plant.devices
        functions = list(dict.fromkeys(devices[shown.of].function for shown in columns if devices[shown.of].function))
        if not functions:
            return "Common part"
        return functions[0] if len(functions) == 1 else f"{functions[0]} to {functions[-1]}"

    # which branch goes on which sheet

    def _plan(self) -> list[list[_Part]]:
        sheets: list[list[_Part]] = []
        for index, group in enumerate(self.feeders.groups):
            part = _Part(group, index, True)
            if not sheets or group.trunk or not sheets[-1][-1].branches or self._used(sheets[-1]) >= self.most:
                sheets.append([])
            sheets[-1].append(part)
            for branch in group.feeders:
                if not self._fits(sheets[-1], branch):
                    if part.branches or group.trunk:
                        part = _Part(group, index, False)
                    else:
                        sheets[-1].remove(part)
                    sheets.append([part])
                part.branches.append(branch)
            part.ends = True
        return [parts for parts in sheets if parts]

    def _used(self, parts: list[_Part]) -> int:
        return sum(part.width for part in parts)

    def _fits(self, parts: list[_Part], branch: Branch) -> bool:
        """Whether `branch` may be added to the last of `parts`; to an empty sheet it may always."""
        last = parts[-1]
        width = self._used(parts) - (0 if last.branches else 1) + branch.width
        if width > self.most:
            return False
        if len(parts) == 1 and not last.branches and not (last.begins and last.group.trunk):
            return True
        added = [*(other for part in parts for other in part.branches), branch]
        shown = [self._columns_of(part, (*part.branches, *((branch,) if part is last else ()))) for part in parts]
        band = Band([data for columns in shown for data in columns], _NARROWEST)
        free = self._load_y(band, added) - self._bar_y(parts, 0.0)
        return all(least <= free for other in added for least, _ in demands(other, self.maker))

    def _columns_of(self, part: _Part, branches: Sequence[Branch]) -> list[Column]:
        loads = [leaf.device for branch in branches for leaf in branch.leaves()]
        return [column(self.calculation, self.feeders, part.group, load) for load in loads]

    def _load_y(self, band: Band, branches: Sequence[Branch]) -> float:
        """Head of the row of loads above `band`."""
        tallest = max((load_height(branch, self.maker) for branch in branches), default=0.0)
        return self.area.bottom - (band.height if band.columns else 0.0) - max(tallest + _LOAD_GAP, _LOAD_ROOM)

    # geometry

    def _trunk_cells(self, group: Group) -> list[Cell]:
        cells: list[Cell] = []
        for step in group.trunk:
            cells += self.trunk_maker.cells(step)
            if step.device in self.feeders.origins and (group.bar or step is not group.trunk[-1]):
                cells.append(Cell("tee", step.device, refer=f"head {step.device}"))
        return cells

    def _trunk_height(self, group: Group, share: float) -> float:
        cells = self._trunk_cells(group)
        return sum(cell.height + share * stretch(cell) for cell in cells) + (_ABOVE_BAR if cells else 0.0)

    def _bar_y(self, parts: list[_Part], share: float) -> float:
        tallest = max((self._trunk_height(part.group, share) for part in parts if part.begins), default=0.0)
        return self.area.top + max(_BAR_DROP, tallest, _TOTALS_ROOM if tallest else 0.0)

    def _trunk_share(self, parts: list[_Part]) -> float:
        """How far trunks may stretch: to their share of the sheet."""
        least, full = (self._bar_y(parts, share) - self.area.top for share in (0.0, 1.0))
        goal = self.area.height * _TRUNK_SHARE
        return 0.0 if full <= least else min(max((goal - least) / (full - least), 0.0), 1.0)

    def _draw(self, draft: Draft, parts: list[_Part]) -> list[Column]:
        """Draw one sheet and give the data of its columns."""
        used = self._used(parts)
        pitch = min(_WIDEST, (self.area.width - HEADING) / max(used, 1))
        shown = [data for part in parts for data in self._columns_of(part, part.branches)]
        band = Band(shown, pitch)
        branches = [branch for part in parts for branch in part.branches]
        load_y = self._load_y(band, branches)
        ways = [way for branch in branches for way in demands(branch, self.maker)]
        trunk_share = self._trunk_share(parts)
        if ways and max(least for least, _ in ways) > load_y - self._bar_y(parts, trunk_share):
            trunk_share = 0.0
        bar_y = self._bar_y(parts, trunk_share)
        free = load_y - bar_y
        share = min((max(min((free - least) / more, 1.0), 0.0) if more else 1.0 for least, more in ways), default=1.0)
        loads = {at: self.feeders.steps[data.of] for at, data in enumerate(shown)}
        columns = Columns(draft, self.maker, self.area.left + HEADING + _LINE_AT, pitch, load_y, share, loads)
        at = 0
        for part in parts:
            self._part(columns, part, at, bar_y, trunk_share)
            at += part.width
        if shown:
            draft.primitives += band.draw(self.area.left, self.area.bottom)
        return shown

    def _part(self, columns: Columns, part: _Part, at: int, bar_y: float, trunk_share: float) -> None:
        """Trunk or reference, bar and branches of one part, its first column `at`."""
        group, x = part.group, columns.x(at)
        if part.begins:
            self._head(columns, group, x, bar_y, trunk_share)
        lanes = []
        lane = at
        for branch in part.branches:
            columns.draw(branch, lane, bar_y)
            lanes.append(lane)
            lane += branch.width
        several = group.shared and (len(group.feeders) > 1 or bool(group.bar))
        parted = bool(group.trunk) and not (part.begins and part.ends)  # a single way that goes on overleaf
        if several or parted:
            self._bar(columns, part, at, lanes, bar_y)

    def _head(self, columns: Columns, group: Group, x: float, bar_y: float, share: float) -> None:
        """What leads to a bar: the trunk from its supply, or a reference to the device that feeds it."""
        draft = columns.draft
        if group.origin:
            draft.anchors[f"head {group.origin}"] = (x, bar_y)
            draft.primitives.append(Line(((x, bar_y - 14.0), (x, bar_y)), WIDE, of=group.origin))
            tip = bar_y - 1.5
            draft.primitives.append(
                Line(((x, tip), (x - 1, tip - 2.6), (x + 1, tip - 2.6)), MEDIUM, (), True, True, group.origin)
            )
            switch = self._switch_below(group.origin)
            before = f", live with {switch} off" if switch else ""
            text = shorten(f"from {group.origin}{before}", columns.pitch - 6.0)
            draft.primitives.append(Label(x + 2.5, bar_y - 11.5, text, of=group.origin))
            draft.refer(Label(x + 2.5, bar_y - 7.5, "", of=group.origin), f"at {group.origin}", "{}")
            return
        if not group.trunk:
            draft.primitives.append(Label(x, bar_y - 2.5, "not fed from any supply"))
            return
        trunk = Columns(draft, self.trunk_maker, x, 0.0, 0.0, share)
        y = self.area.top
        for cell in self._trunk_cells(group):
            y = self._tee(trunk, cell, x, y) if cell.kind == "tee" else trunk.cell(cell, x, y)
        draft.primitives.append(Line(((x, y), (x, bar_y)), WIDE, of=group.trunk[-1].device))
        self._totals(draft, group, x)

    def _switch_below(self, origin: str) -> str:
        """The main isolator that a way leaving a trunk at `origin` passes by; "" where there is none."""
        for group in self.feeders.groups:
            names = [step.device for step in group.trunk]
            if origin in names:
                below, mains = names[names.index(origin) + 1 :], main_isolators(self.network, names[0])
                return next((name for name in below if name in mains), "")
        return ""

    def _tee(self, trunk: Columns, cell: Cell, x: float, y: float) -> float:
        """A way that leaves the trunk above the bar: an arrow and where it goes on."""
        height = cell.height + trunk.share * stretch(cell)
        draft, middle = trunk.draft, y + height / 2
        tip = x + 12.0
        draft.primitives += [
            Line(((x, y), (x, y + height)), WIDE, of=cell.of),
            Line(((x, middle), (tip - 2.6, middle)), WIDE, of=cell.of),
            Line(((tip, middle), (tip - 2.6, middle - 1), (tip - 2.6, middle + 1)), MEDIUM, (), True, True, cell.of),
            dot(x, middle, cell.of),
        ]
        draft.refer(Label(tip + 1.5, middle + NORMAL / 2, "", of=cell.of), cell.refer, "{}")
        return y + height

    def _totals(self, draft: Draft, group: Group, x: float) -> None:
        """Total load and largest motor of a supply, right of its labels."""
        supply = group.trunk[0].device
        loads = [name for name in self.feeders.steps if self.feeders.path(name)[0] == supply]
        left = x + _TRUNK_ROOM + 12.0
        upstream = upstream_words(self.network.plant.devices[supply])
        lines = (*total_lines(self.network, loads), *((upstream,) if upstream else ()))
        for index, line in enumerate(lines):
            draft.primitives.append(Label(left, self.area.top + 4.0 + 5.0 * index, line, of=supply))

    def _bar(self, columns: Columns, part: _Part, at: int, lanes: list[int], y: float) -> None:
        """The bar with its taps, its name, and references where it comes from and goes on."""
        draft, group = columns.draft, part.group
        name = group.bar or group.origin or group.trunk[-1].device
        left = columns.x(at) - 12.0
        last = lanes[-1] if lanes else at
        right = columns.x(last) + 12.0 if part.ends else columns.x(at + part.width - 1) + columns.pitch - _LINE_AT - 2.0
        draft.primitives.append(Line(((left, y), (right, y)), FRAME if self._is_bar(name) else WIDE, of=name))
        draft.primitives += [dot(columns.x(lane), y, name) for lane in lanes]
        if part.begins and not group.origin:
            draft.primitives.append(dot(columns.x(at), y, name))
        number = int(draft.key.rsplit("-", 1)[1])
        draft.anchors[f"bar {part.index} {number} left"] = (left, y)
        draft.anchors[f"bar {part.index} {number} right"] = (right, y)
        start, end = columns.x(at) + 3.0, columns.x(at + part.width) - 14.0
        if not part.begins:
            draft.refer(Label(left, y - 2.2, "", of=name), f"bar {part.index} {number - 1} right", "← {}")
            start = left + _REFERENCE
        if not part.ends:
            draft.refer(Label(right, y - 2.2, "", anchor="end", of=name), f"bar {part.index} {number + 1} left", "→ {}")
            end = right - _REFERENCE
        self._bar_name(draft, name, start, y - 2.2, end - start)

    def _is_bar(self, name: str) -> bool:
        return self.network.plant.devices[name].kind in BARS

    def _has_neutral(self, name: str) -> bool:
        """Whether a neutral is wired to a bar, by its own way past the switch as a rule."""
        terminals = self.network.plant.devices[name].terminals
        neutrals = [key for key, terminal in terminals.items() if key == "N" or terminal.role is Role.NEUTRAL]
        return any(self.network.at_terminal.get(f"{name}:{key}") for key in neutrals)

    def _bar_name(self, draft: Draft, name: str, x: float, y: float, room: float) -> None:
        """Designation of a bar, kind of current behind `name`, rating and place of the bar."""
        devices = self.network.plant.devices
        words = [kind_of_current([devices[above] for above in self.feeders.path(name)], self._has_neutral(name))]
        if self._is_bar(name):
            words += [rating(devices[name], "current"), devices[name].place]
            used = text_width(name, DESIGNATION) + 3.0
            if used > room:  # its name stands on the sheets before and behind
                return
            draft.primitives.append(Label(x, y, name, DESIGNATION, of=name))
            draft.anchors.setdefault(f"at {name}", (x, y))
            x, room = x + used, room - used
        text = shorten(", ".join(word for word in words if word), room)
        if text:
            draft.primitives.append(Label(x, y, text, of=name))


def power_devices(network: Network) -> tuple[Step, ...]:
    """Every device the single-line diagram shows in its power path, from the supplies on."""
    return tuple(feeders(network, 1, 1e9, lambda _: 0.0).steps.values())
