"""The single-line diagram (overview diagram of IEC 61082-1): supply, main switch, busbar, a column per feeder, data below.

Columns fill sheets from left to right; a bar goes on to the next sheet with a reference each way. What is too wide or
too long for a sheet goes on at a place of its own, with a reference each way too.
"""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.model.kinds import BARS
from netdsl.model.plant import Role
from netdsl.network.isolation import main_isolators
from render.drawing import Drawing, in_set
from render.drawings.data_band import HEADING, Column
from render.drawings.feeder_units import stretch
from render.drawings.feeders import Group
from render.drawings.power_cells import Cell, dot
from render.drawings.power_columns import FOLD, Columns, Draft, resolve, sheet_of
from render.drawings.single_line_bars import earth_bar, neutral_bar
from render.drawings.single_line_plan import BELOW_BAR, LINE_AT, Part, SingleLinePlan
from render.layout.fonts import shorten, text_width
from render.sheet import DESIGNATION, FRAME, MEDIUM, NORMAL, WIDE, Label, Line, Sheet
from render.words.computed import bar_words
from render.words.ratings import kind_of_current, rating
from render.words.remarks import live_words

KIND = "Single-line diagram"
KEY = "single-line"
_WIDEST = 84.0  # pitch of columns, mm
_REFERENCE = 32.0  # room for a reference beside a bar's name, mm


@in_set(100)
def single_line_sheets(drawing: Drawing) -> list[Sheet]:
    """The single-line diagram of everything in the power tree, keys `single-line-1` and on; nothing for a plant without one."""
    return _Diagram(drawing).sheets()


class _Diagram:
    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self.network, self.size, self.area = drawing.network, drawing.size, drawing.whole
        self._neutral_from = 0.0
        self._told_at: tuple[float, float, float] | None = None
        self.plan = drawing.of(SingleLinePlan)
        self.feeders, self.maker = self.plan.feeders, self.plan.maker

    def sheets(self) -> list[Sheet]:
        """All sheets, references filled in."""
        plans = self.plan.sheets
        drafts = [Draft(f"{KEY}-{number}", f"S{number}", self.size) for number in range(1, len(plans) + 1)]
        columns = [self._draw(draft, parts) for draft, parts in zip(drafts, plans, strict=True)]
        resolve(drafts)
        return [
            sheet_of(draft, f"Overview, sheet {number}", KIND, self._part_of(parts, shown))
            for number, (draft, parts, shown) in enumerate(zip(drafts, plans, columns, strict=True), start=1)
        ]

    def _part_of(self, parts: list[Part], columns: list[Column]) -> str:
        """`=RP1 to =RP3`, the first and the last function of what is drawn."""
        devices = self.network.plant.devices
        drawn = [step.device for part in parts for branch in part.branches for step in branch.every()]
        names = (*drawn, *(shown.of for shown in columns))
        functions = list(dict.fromkeys(devices[name].function for name in names if devices[name].function))
        if not functions:
            return "Common part"
        return functions[0] if len(functions) == 1 else f"{functions[0]} to {functions[-1]}"

    def _draw(self, draft: Draft, parts: list[Part]) -> list[Column]:
        """Draw one sheet and give the data of its columns."""
        pitch = min(_WIDEST, (self.area.width - HEADING) / max(self.plan.used(parts), 1))
        rows = self.plan.rows(parts)
        ways = ((self.plan.trunk_share(parts), False, False), (0.0, False, False), (0.0, True, False), (0.0, True, True))
        for trunk_share, close, short in ways:
            band = self.plan.band(parts, pitch, short)
            load_y, bar_y = self.plan.load_y(band, parts), self.plan.bar_y(parts, trunk_share, close)
            if rows.place(bar_y + BELOW_BAR, load_y):
                break
        earth_y = self.plan.earth_y(band) if band.columns else 0.0
        first_x, isolators = self.area.left + HEADING + LINE_AT, self.drawing.live.isolators
        columns = Columns(draft, first_x, pitch, bar_y, load_y, rows, earth_y, isolators)
        chains = iter(rows.chains)
        at, self._told_at = 0, None
        for part in parts:
            self._part(columns, part, at, chains, trunk_share, part is parts[-1])
            at += part.width
        self._live(draft)
        columns.joins()
        earth_bar(self.network, columns, self.area.left)
        if band.columns:
            draft.primitives += band.draw(self.area.left, self.area.bottom)
        return list(band.columns)

    def _part(self, columns: Columns, part: Part, at: int, chains: Iterator[list[int]], share: float, final: bool) -> None:
        """Trunk or reference, bar and branches of one part, its first column `at`; `final`: nothing stands right of it."""
        group, x, y = part.group, columns.x(at), columns.top
        several = group.shared and (len(group.feeders) > 1 or bool(group.bar))
        parted = bool(group.trunk) and not (part.begins and part.ends)  # a single way that goes on overleaf
        if part.begins:
            self._head(columns, part, x, y, share, several or parted)
        lanes = []
        if part.beside:
            at += 1
            x = columns.x(at)
        lane = at
        for branch in part.branches:
            columns.draw(branch, lane, chains, y)
            lanes.append(lane)
            lane += branch.width
        if several or parted:
            right = self._bar(columns, part, at, lanes, final)
            neutral_bar(columns, part, at, self._neutral_from, right if self._neutral_goes_on(part) else 0.0)

    def _neutral_goes_on(self, part: Part) -> bool:
        """Whether feeders of the bar on sheets behind have a neutral."""
        parts = [other for sheet in self.plan.sheets for other in sheet if other.index == part.index]
        behind = parts[next(number for number, other in enumerate(parts) if other is part) + 1 :]
        return any(step.wiring.neutral for other in behind for branch in other.branches for step in branch.every())

    def _head(self, columns: Columns, part: Part, x: float, bar_y: float, share: float, bar: bool) -> None:
        """What leads to a bar, or without one to the only way: the trunk from its supply, or a reference to what feeds it."""
        draft, group = columns.draft, part.group
        if group.origin:
            draft.anchors[f"head {group.origin}"] = (x, bar_y)
            reach = 10.2 if self.plan.small else 14.0
            draft.primitives.append(Line(((x, bar_y - reach), (x, bar_y)), WIDE, of=group.origin))
            tip = bar_y - 1.5
            draft.primitives.append(
                Line(((x, tip), (x - 1, tip - 2.6), (x + 1, tip - 2.6)), MEDIUM, (), True, True, group.origin)
            )
            switch = self._switch_below(group.origin)
            before = f", live with {switch} off" if switch else ""
            text = shorten(f"from {group.origin}{before}", columns.pitch - 6.0)
            if self.plan.small:  # in one line: there is no room for two above the bar
                text = shorten(text, columns.pitch - 30.0)
                draft.refer(Label(x + 2.5, bar_y - 6.8, "", of=group.origin), f"at {group.origin}", f"{text}, {{}}")
                return
            draft.primitives.append(Label(x + 2.5, bar_y - 11.5, text, of=group.origin))
            draft.refer(Label(x + 2.5, bar_y - 7.5, "", of=group.origin), f"at {group.origin}", "{}")
            return
        if not group.trunk:
            draft.primitives.append(Label(x, bar_y - 2.5, "not fed from any supply"))
            return
        y = self.area.top
        self._neutral_from = 0.0
        carrying = {step.device for step in group.trunk if step.wiring.neutral or step is group.trunk[0]}
        for cell in self.plan.trunk_cells(group):
            height = cell.height + share * stretch(cell)
            y = self._tee(columns, cell, x, y, height) if cell.kind == "tee" else columns.cell(cell, x, y, height)
            if cell.kind == "device" and cell.of in carrying:
                self._neutral_from = y
        if part.beside:
            draft.foot = below = y + 3.0
            lane = x + columns.pitch - FOLD
            way = ((x, y), (x, below), (lane, below), (lane, bar_y), (x + columns.pitch - (12.0 if bar else 0.0), bar_y))
            draft.primitives.append(Line(way, WIDE, of=group.trunk[-1].device))
            self._told_at = (x - LINE_AT + 2.0, below + 8.0, columns.pitch - 4.0)
            return
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

    def _tee(self, trunk: Columns, cell: Cell, x: float, y: float, height: float) -> float:
        """A way that leaves the trunk above the bar: an arrow and where it goes on."""
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
        supply, left, lines = group.trunk[0].device, x + self.plan.totals_at, self.plan.totals(group)
        for index, line in enumerate(lines):
            draft.primitives.append(Label(left, self.area.top + 4.0 + 5.0 * index, line, of=supply))
        self._told_at = (left, self.area.top + 4.0 + 5.0 * len(lines), self.area.right - left)

    def _live(self, draft: Draft) -> None:
        """What LIVE means, where it stands on the sheet, beside the last trunk that begins there."""
        if draft.live and self._told_at:
            x, y, room = self._told_at
            draft.primitives.append(Label(x, y, shorten(live_words(draft.live), room), of=draft.live[0]))

    def _bar(self, columns: Columns, part: Part, at: int, lanes: list[int], final: bool) -> float:
        """The bar with its taps, its name, and references where it comes from and goes on; gives where it ends."""
        draft, group, y = columns.draft, part.group, columns.top
        name = group.bar or group.origin or group.trunk[-1].device
        left = columns.x(at) - 12.0
        last = lanes[-1] if lanes else at
        start = columns.x(at) + 3.0 if part.begins else left + _REFERENCE
        following = at + part.width - part.beside
        right = columns.x(last) + 12.0 if part.ends else columns.x(following - 1) + columns.pitch - LINE_AT - 2.0
        whole = end = self.area.right - 1.0 if final else columns.x(following) - 14.0
        if not part.ends:
            right = max(right, min(start + self._name_width(name) + _REFERENCE, end))
            end = right - _REFERENCE
        draft.primitives.append(Line(((left, y), (right, y)), FRAME if self._is_bar(name) else WIDE, of=name))
        draft.primitives += [dot(columns.x(lane), y, name) for lane in lanes]
        if part.begins and not group.origin and not part.beside:
            draft.primitives.append(dot(columns.x(at), y, name))
        number = int(draft.key.rsplit("-", 1)[1])
        draft.anchors[f"bar {part.index} {number} left"] = (left, y)
        draft.anchors[f"bar {part.index} {number} right"] = (right, y)
        if not part.begins:
            draft.refer(Label(left, y - 2.2, "", of=name), f"bar {part.index} {number - 1} right", "← {}")
        if not part.ends:
            draft.refer(Label(right, y - 2.2, "", anchor="end", of=name), f"bar {part.index} {number + 1} left", "→ {}")
        one_line = self.plan.small and part.begins and bool(group.origin)
        if not part.ends and not self._is_bar(name) and self._name_width(name) > end - start:
            return right  # said whole where it goes on
        headed = part.begins and bool(group.origin)  # names what it comes from
        if self._is_bar(name) and not headed and self._own_width(name) > end - start:
            self._bar_above(draft, name, left, y - 5.9, whole - left)  # no room beside the reference
        else:
            # the upper line begins right of a reference at the head, of a symbol above the bar, or above a reference in the lower
            free = _REFERENCE if not part.begins else -_REFERENCE if group.origin else -2.0
            self._bar_name(draft, name, start, y - 2.2, end - start, one_line, free)
        return right

    def _is_bar(self, name: str) -> bool:
        return self.network.plant.devices[name].kind in BARS

    def _has_neutral(self, name: str) -> bool:
        """Whether a neutral is wired to a bar, by its own way past the switch as a rule."""
        terminals = self.network.plant.devices[name].terminals
        neutrals = [key for key, terminal in terminals.items() if key == "N" or terminal.role is Role.NEUTRAL]
        return any(self.network.at_terminal.get(f"{name}:{key}") for key in neutrals)

    def _words(self, name: str) -> list[str]:
        """What is said of a bar: kind of current behind `name`, rating and place; what it has to bear, and bears."""
        devices = self.network.plant.devices
        kind = kind_of_current([devices[above] for above in self.feeders.path(name)], self._has_neutral(name))
        if not self._is_bar(name):
            return [kind]
        device = devices[name]
        said = ", ".join(word for word in (kind, rating(device, "current"), device.place) if word)
        return [said, bar_words(self.drawing.calculation, name)]

    def _name_width(self, name: str) -> float:
        """Room for the name of a bar and what is said first of it, mm."""
        return (self._own_width(name) if self._is_bar(name) else 0.0) + text_width(self._words(name)[0])

    @staticmethod
    def _own_width(name: str) -> float:
        """Room for the designation of a bar and the gap behind it, mm."""
        return text_width(name, DESIGNATION) + 3.0

    def _bar_above(self, draft: Draft, name: str, x: float, y: float, room: float) -> None:
        """The designation of a bar in a line above its reference, with as much of what is said of it as goes there whole."""
        text, link = shorten(name, room, DESIGNATION), self.drawing.key_of(name)
        draft.primitives.append(Label(x, y, text, DESIGNATION, of=name, link=link))
        draft.anchors.setdefault(f"at {name}", (x, y))
        said = _whole(", ".join(words for words in self._words(name) if words), room - self._own_width(name))
        if said:
            draft.primitives.append(Label(x + self._own_width(name), y, said, of=name))

    def _bar_name(self, draft: Draft, name: str, x: float, y: float, room: float, one_line: bool, free: float) -> None:
        """Designation of a bar and what is said of it, in one line or two; `free`: room left of it in the upper, negative for
        what begins further right, mm."""
        words = self._words(name)
        if self._is_bar(name):
            used = self._own_width(name)
            if used > room:  # its name stands on the sheets before and behind
                return
            link = self.drawing.key_of(name)
            draft.primitives.append(Label(x, y, name, DESIGNATION, of=name, link=link))
            draft.anchors.setdefault(f"at {name}", (x, y))
            whole = ", ".join(word for word in words if word)
            if text_width(whole) <= room - used:
                words = [whole]
            elif words[1:] and words[1] and not one_line:
                said = _whole(words[1], room + free)
                draft.primitives += [Label(x - free, y - 5.4, said, of=name)] if said else []
            x, room = x + used, room - used
        text = _whole(words[0], room)
        if text:
            draft.primitives.append(Label(x, y, text, of=name))


def _whole(words: str, room: float) -> str:
    """Of `words` with commas between them the first ones that have room, none of them cut."""
    parts = words.split(", ")
    while parts and text_width(", ".join(parts)) > room:
        parts.pop()
    return ", ".join(parts)
