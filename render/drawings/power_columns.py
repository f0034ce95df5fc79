"""Columns of the single-line diagram: places the cells of a branch on a sheet, loads on one row at the foot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from render.drawings.cell_maker import CellMaker
from render.drawings.feeders import Branch, Step
from render.drawings.power_cells import Cell, dot, draw_cell, labels, placed_body
from render.layout.frame import zone
from render.sheet import WIDE, Label, Line, Primitive, Sheet
from render.symbols import placed, symbol
from render.words.ratings import consumes

CELL = 20.0  # height of a cell where the sheet leaves room, mm
PARTING = 5.0  # room in which a branch parts, mm
JOINING = 2.4  # room above a load in which another way to it joins, mm
_LABEL_OFF = 2.5


class Draft(Struct):
    """A sheet in the making. `anchors`: where things that references name stand; `open`: labels that wait for such a place,
    as index in `primitives`, key, and the text with `{}` for the place."""

    key: str
    number: str
    size: str
    primitives: list[Primitive] = field(default_factory=list)
    anchors: dict[str, tuple[float, float]] = field(default_factory=dict)
    open: list[tuple[int, str, str]] = field(default_factory=list)

    def refer(self, label: Label, key: str, text: str) -> None:
        """Add `label`, whose text becomes `text` with the place of `key` in it."""
        self.open.append((len(self.primitives), key, text))
        self.primitives.append(label)


def resolve(drafts: list[Draft]) -> None:
    """Fill in every reference: `sheet S2 / B3`, a link where that is another sheet."""
    # the first sheet on which a thing stands is the one referred to
    places = {key: (draft, x, y) for draft in reversed(drafts) for key, (x, y) in draft.anchors.items()}
    for draft in drafts:
        for index, key, text in draft.open:
            label = draft.primitives[index]
            found = places.get(key)
            if not isinstance(label, Label) or found is None:
                continue
            other, x, y = found
            link = other.key if other is not draft else ""
            place = f"sheet {other.number} / {zone(other.size, x, y)}"
            draft.primitives[index] = replace(label, text=text.format(place), link=link)


def sheet_of(draft: Draft, title: str, kind: str, part_of: str) -> Sheet:
    """The finished sheet of a draft."""
    return Sheet(draft.key, draft.number, title, kind, part_of, tuple(draft.primitives), draft.size)


def is_load(step: Step, maker: CellMaker) -> bool:
    """Whether a last device consumes: it stands on the row of loads."""
    return maker.cells(step)[-1].kind == "device" and consumes(maker.network.plant.devices[step.device])


def feeder_cells(branch: Branch, maker: CellMaker, first: bool) -> Iterator[Cell]:
    """Cells of a branch's chain above the load row. `first`: it begins at a bar, where its conductors are counted."""
    steps = branch.steps
    pinned = not branch.children and not branch.cut and is_load(steps[-1], maker)
    head = steps[0]
    if first and not head.wiring.cables and maker.cells(head)[0].kind != "strokes" and head.wiring.poles:
        yield Cell("strokes", head.device, strokes=head.wiring)
    for step in steps[:-1] if pinned else steps:
        yield from maker.cells(step)
    if branch.cut:
        yield Cell("end", steps[-1].device, (), ("continued",), refer=f"head {steps[-1].device}")


def pinned_cells(branch: Branch, maker: CellMaker) -> tuple[Cell, ...]:
    """Cells of the load at the foot of a chain, its cable first; none where the chain ends otherwise."""
    if branch.children or branch.cut or not is_load(branch.steps[-1], maker):
        return ()
    return maker.cells(branch.steps[-1])


def load_height(branch: Branch, maker: CellMaker) -> float:
    """Height of the row of loads that the loads of a branch need, mm."""
    if branch.children:
        return max(load_height(child, maker) for child in branch.children)
    pinned = pinned_cells(branch, maker)
    body = pinned[-1].body if pinned else None
    return max(2 * body.half, pinned[-1].label_height) if body else 0.0


def demands(branch: Branch, maker: CellMaker, first: bool = True) -> list[tuple[float, float]]:
    """For each way down to a load: the least height above the load row, and what more full cells would take, mm."""
    cells = [*feeder_cells(branch, maker, first), *(cell for cell in pinned_cells(branch, maker) if cell.kind != "device")]
    least = sum(cell.height for cell in cells) + (0.0 if branch.children else JOINING)
    more = sum(stretch(cell) for cell in cells)
    if not branch.children:
        return [(least, more)]
    return [
        (least + PARTING + below, more + further) for child in branch.children for below, further in demands(child, maker, False)
    ]


def stretch(cell: Cell) -> float:
    """What a cell takes beyond its least height where there is room, mm."""
    return 2.0 if cell.kind in ("strokes", "end") else max(CELL - cell.height, 0.0)


class Columns(Struct, frozen=True):
    """Draws branches on one sheet. `first_x`, `pitch`: line of the first column and distance of columns; `load_y`: head
    of the load row; `share`: how much of the full cells' extra height there is, 0 to 1."""

    draft: Draft
    maker: CellMaker
    first_x: float
    pitch: float
    load_y: float
    share: float
    loads: Mapping[int, Step] = field(default_factory=dict)  # load at the foot of each column

    def x(self, column: int) -> float:
        """Line of a column, mm."""
        return self.first_x + column * self.pitch

    def draw(self, branch: Branch, column: int, top: float, first: bool = True) -> None:
        """Draw `branch` from `top` down, its leftmost load in `column`."""
        x = self.x(column)
        y = top
        cells = list(feeder_cells(branch, self.maker, first))
        beside = self._beside(cells, column)
        for cell in [cell for cell in cells[:-1] if not cell.shared] if beside is not None else cells:
            y = self.cell(cell, x, y)
        if beside is not None:
            self._join(cells, x, y, beside)
        pinned = pinned_cells(branch, self.maker)
        if pinned:
            self._load(pinned, x, y)
        elif branch.children:
            self._part(branch, column, y)

    def _beside(self, cells: list[Cell], column: int) -> int | None:
        """The next column left or right, where a chain ends in a way to the load at its foot."""
        target = cells[-1].refer.removeprefix("at ") if cells and cells[-1].refer.startswith("at ") else ""
        return next((near for near in (column - 1, column + 1) if target and self._foot(near) == target), None)

    def _foot(self, column: int) -> str:
        step = self.loads.get(column)
        return step.device if step is not None else ""

    def _join(self, cells: list[Cell], x: float, y: float, beside: int) -> None:
        """Lead the line down and over to the load of the next column, joining right above it; where both ways go on in one
        cable, above that."""
        of, other_x = cells[-1].of, self.x(beside)
        held = [cell for cell in self.maker.cells(self.loads[beside]) if cell.kind != "device"]
        at = self.load_y - JOINING / 2
        if any(cell.shared for cell in cells):
            at -= JOINING / 2 + sum(cell.height + self.share * stretch(cell) for cell in held)
        self.draft.primitives.append(Line(((x, y), (x, at), (other_x, at)), WIDE, of=of))
        self.draft.primitives.append(dot(other_x, at, of))

    def cell(self, cell: Cell, x: float, y: float) -> float:
        """Draw one cell and give where the next begins."""
        height = cell.height + self.share * stretch(cell)
        parts, texts = draw_cell(cell, x, y, height)
        self.draft.primitives += parts
        if cell.kind == "device":
            self.draft.anchors[f"at {cell.of}"] = (x, y + height / 2)
        self._texts(cell, texts)
        return y + height

    def _texts(self, cell: Cell, texts: list[Label]) -> None:
        if cell.refer:
            self.draft.primitives += texts[:-1]
            self.draft.refer(texts[-1], cell.refer, "{}")
        else:
            self.draft.primitives += texts

    def _part(self, branch: Branch, column: int, y: float) -> None:
        """Part the line: the first child goes on below, the others to the right of it."""
        at = y + PARTING / 2
        of = branch.steps[-1].device
        x = self.x(column)
        self.draft.primitives.append(Line(((x, y), (x, y + PARTING)), WIDE, of=of))
        first, last = True, x
        lane = column
        for child in branch.children:
            child_x = self.x(lane)
            if not first:
                self.draft.primitives.append(Line(((last, at), (child_x, at)), WIDE, of=of))
                self.draft.primitives.append(Line(((child_x, at), (child_x, y + PARTING)), WIDE, of=of))
                self.draft.primitives.append(dot(last, at, of))
            last, first = child_x, False
            self.draw(child, lane, y + PARTING, False)
            lane += child.width

    def _load(self, cells: tuple[Cell, ...], x: float, y: float) -> None:
        """Draw a load on its row, its cables right above it, the line led down to them."""
        above = [cell for cell in cells if cell.kind != "device"]
        device = cells[-1]
        top = self.load_y - JOINING - sum(cell.height + self.share * stretch(cell) for cell in above)
        if top > y:
            self.draft.primitives.append(Line(((x, y), (x, top)), WIDE, of=device.of))
        for cell in above:
            top = self.cell(cell, x, top)
        self.draft.primitives.append(Line(((x, top), (x, self.load_y)), WIDE, of=device.of))
        body = device.body
        if body is None:
            return
        middle = self.load_y + body.half
        self.draft.anchors[f"at {device.of}"] = (x, middle)
        self.draft.primitives += placed_body(body, x, middle, device.of)
        if device.earth:
            self.draft.primitives += placed(symbol("earth-tail"), x - body.left, middle, device.of)
        start = max(self.load_y, middle - device.label_height / 2)
        self.draft.primitives += labels(device, x + body.right + _LABEL_OFF, start)
