"""Columns of the single-line diagram: places the cells of a branch on a sheet, loads on one row at the foot."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from msgspec import Struct, field
from msgspec.structs import replace

from netdsl.sums import sum_of
from render.drawings.feeder_rows import Rows
from render.drawings.feeder_steps import Branch
from render.drawings.feeder_units import JOINING, PARTING, Foot, Unit
from render.drawings.power_cells import Cell, dot, draw_cell, labels, placed_body
from render.layout.frame import zone
from render.sheet import MEDIUM, WIDE, Label, Line, Primitive, Sheet
from render.symbols import placed, symbol

FOLD, ABOVE_FOLD = 19.2, 6.5  # where a line that goes on in the next column is led up, left of it, and over, below the bar, mm
EARTH_DASH = (3.0, 1.0, 0.6, 1.0)  # of protective conductors
_LABEL_OFF = 2.5
_ASIDE = 2.5  # of a way that leaves a drive beside its output, left of its symbol's right edge, mm


class Draft(Struct):
    """A sheet in the making. `anchors`: where things that references name stand; `open`: labels that wait for such a place,
    as index in `primitives`, key, and the text with `{}` for the place."""

    key: str
    number: str
    size: str
    primitives: list[Primitive] = field(default_factory=list)
    anchors: dict[str, tuple[float, float]] = field(default_factory=dict)
    open: list[tuple[int, str, str]] = field(default_factory=list)
    foot: float = 0.0  # of a trunk in a column of its own, mm
    live: list[str] = field(default_factory=list)  # isolators ahead of which LIVE stands

    def refer(self, label: Label, key: str, text: str) -> None:
        """Add `label`, whose text becomes `text` with the place of `key` in it."""
        self.open.append((len(self.primitives), key, text))
        self.primitives.append(label)


def resolve(drafts: list[Draft]) -> None:
    """Fill in every reference: `sheet S2 / B3` with a link, on the sheet itself `zone B3`."""
    # the first sheet on which a thing stands is the one referred to
    places = {key: (draft, x, y) for draft in reversed(drafts) for key, (x, y) in draft.anchors.items()}
    for draft in drafts:
        for index, key, text in draft.open:
            label = draft.primitives[index]
            found = places.get(key)
            if not isinstance(label, Label) or found is None:
                continue
            other, x, y = found
            here, at = other is draft, zone(other.size, x, y)
            link, place = ("", f"zone {at}") if here else (other.key, f"sheet {other.number} / {at}")
            draft.primitives[index] = replace(label, text=text.format(place), link=link)


def sheet_of(draft: Draft, title: str, kind: str, part_of: str) -> Sheet:
    """The finished sheet of a draft."""
    return Sheet(draft.key, draft.number, title, kind, part_of, tuple(draft.primitives), draft.size)


class Columns(Struct, frozen=True):
    """Draws branches on one sheet. `first_x`, `pitch`: line of the first column and distance of columns; `top`: where feeders
    begin; `load_y`: head of the load row; `rows`: where their cells stand; `isolators`: with which off something stays live."""

    draft: Draft
    first_x: float
    pitch: float
    top: float = 0.0
    load_y: float = 0.0
    rows: Rows | None = None
    earth_y: float = 0.0
    isolators: Collection[str] = ()

    def x(self, column: int) -> float:
        """Line of a column, mm."""
        return self.first_x + column * self.pitch

    def draw(self, branch: Branch, column: int, chains: Iterator[list[int]], y: float) -> None:
        """Draw `branch` from `y` down, its leftmost load in `column`; `chains`: the units of it and what follows, in order."""
        assert self.rows is not None
        x = self.x(column)
        for index in next(chains):
            y = self._unit(self.rows.units[index], x, y)
        if branch.fold:
            self._fold(branch, column, chains, y)
        elif branch.children:
            self._part(branch, column, chains, y)
        elif column in self.rows.feet and self.rows.feet[column].cells[-1].of == branch.steps[-1].device:
            self._load(self.rows.feet[column], x, y)

    def joins(self) -> None:
        """Lead the second ways over to what they feed, once everything stands."""
        assert self.rows is not None
        rows = self.rows
        for index, of, device, shared in rows.joining:
            unit = rows.units[index]
            if device in rows.loads:
                lane = rows.loads[device]
                foot = rows.feet[lane]
                at = self.load_y - JOINING / 2 - (foot.cables + JOINING / 2 if shared else 0.0)
            elif device in rows.entries:
                target = rows.units[rows.entries[device][0 if shared else 1]]
                lane, at = target.lane, target.top + JOINING / 2
            else:
                continue
            x, other = self.x(unit.lane), self.x(lane)
            self.draft.primitives.append(Line(((x, unit.bottom), (x, at), (other, at)), WIDE, of=of))
            self.draft.primitives.append(dot(other, at, of))

    def _unit(self, unit: Unit, x: float, y: float) -> float:
        """Draw the cells of one row, the line led down to them, and give where they end."""
        top = unit.top + unit.head
        of = unit.cells[0].of
        if top > y + 1e-6:
            self.draft.primitives.append(Line(((x, y), (x, top)), WIDE, of=of))
        spare = unit.bottom - top - sum_of(cell.height for cell in unit.cells)
        for cell in unit.cells:
            height = cell.tight if spare < 0.0 else cell.height + (spare if cell is unit.cells[-1] else 0.0)
            top = self.cell(cell, x, top, height)
        return top

    def cell(self, cell: Cell, x: float, y: float, height: float) -> float:
        """Draw one cell and give where the next begins."""
        parts, texts = draw_cell(cell, x, y, height)
        self.draft.primitives += parts
        if cell.kind == "device":
            self.draft.anchors[f"at {cell.of}"] = (x, y + height / 2)
        if cell.kind == "device" and cell.of in self.isolators:
            self.draft.primitives.append(Label(x - 6.0, y + 1.6, "LIVE", anchor="end", bold=True, of=cell.of))
            self.draft.live.append(cell.of)
        for tap in cell.taps:
            self.draft.anchors[f"at {tap.of}"] = (x, y)
        self._texts(cell, texts)
        return y + height

    def _texts(self, cell: Cell, texts: list[Label]) -> None:
        if cell.refer and texts:
            self.draft.primitives += texts[:-1]
            self.draft.refer(texts[-1], cell.refer, cell.referring)
        else:
            self.draft.primitives += texts

    def _part(self, branch: Branch, column: int, chains: Iterator[list[int]], y: float) -> None:
        """Part the line: the first child goes on below, the others to the right of it."""
        at = y + PARTING / 2
        of = branch.steps[-1].device
        x = self.x(column)
        self.draft.primitives.append(Line(((x, y), (x, y + PARTING)), WIDE, of=of))
        first, last = True, x
        lane = column
        for child in branch.children:
            child_x = self.x(lane)
            if not first and child.steps[0].wiring.aside:
                self._aside(branch, child, child_x, y)
            elif not first:
                self.draft.primitives.append(Line(((last, at), (child_x, at)), WIDE, of=of))
                self.draft.primitives.append(Line(((child_x, at), (child_x, y + PARTING)), WIDE, of=of))
                self.draft.primitives.append(dot(last, at, of))
            last, first = last if child.steps[0].wiring.aside else child_x, False
            self.draw(child, lane, chains, y + PARTING)
            lane += child.width

    def _aside(self, branch: Branch, child: Branch, child_x: float, y: float) -> None:
        """Lead a way from terminals of a drive that are not its output, which are named there, over to its own column."""
        assert self.rows is not None
        of, terminals = branch.steps[-1].device, child.steps[0].wiring.aside
        x, middle = self.draft.anchors[f"at {of}"]
        body = next(cell.body for cell in self.rows.maker.cells(branch.steps[-1]) if cell.of == of and cell.body is not None)
        start, at = x + body.right - _ASIDE, y + PARTING / 2
        way = ((start, middle + body.half), (start, at), (child_x, at), (child_x, y + PARTING))
        self.draft.primitives.append(Line(way, WIDE, of=of))
        self.draft.primitives.append(Label(x + body.right + _LABEL_OFF, at - 1.2, " ".join(terminals), of=of))

    def _fold(self, branch: Branch, column: int, chains: Iterator[list[int]], y: float) -> None:
        """Lead the line from the foot of its column up and over to the next one, where it goes on."""
        of = branch.steps[-1].device
        x, lane = self.x(column), self.x(column + 1) - FOLD
        below, above = y + 2.0, self.top + ABOVE_FOLD
        last = self.x(column + branch.width - 1)
        over = last if len(branch.children) > 1 else self.x(column + 1)
        self.draft.primitives.append(Line(((x, y), (x, below), (lane, below), (lane, above), (over, above)), WIDE, of=of))
        at = column + 1
        for child in branch.children:
            if at > column + 1:
                self.draft.primitives.append(dot(self.x(at), above, of))
            self.draw(child, at, chains, above)
            at += child.width

    def _load(self, foot: Foot, x: float, y: float) -> None:
        """Draw a load on its row, its cables right above it, the line led down to them."""
        above = [cell for cell in foot.cells if cell.kind != "device"]
        device = foot.cells[-1]
        top = self.load_y - JOINING - foot.cables
        if top > y:
            self.draft.primitives.append(Line(((x, y), (x, top)), WIDE, of=device.of))
        for cell in above:
            top = self.cell(cell, x, top, foot.height(cell))
        self.draft.primitives.append(Line(((x, top), (x, self.load_y)), WIDE, of=device.of))
        body = device.body
        if body is None:
            return
        middle = self.load_y + body.half
        self.draft.anchors[f"at {device.of}"] = (x, middle)
        self.draft.primitives += placed_body(body, x, middle, device.of)
        if device.earth and self.earth_y:
            below = self.load_y + 2 * body.half
            self.draft.primitives += [
                Line(((x, below), (x, self.earth_y)), MEDIUM, EARTH_DASH, of=device.of),
                dot(x, self.earth_y, device.of),
            ]
        elif device.earth:
            self.draft.primitives += placed(symbol("earth-tail"), x - body.left, middle, device.of)
        start = max(self.load_y, middle - device.label_height / 2)
        self._texts(device, labels(device, x + body.right + _LABEL_OFF, start))
