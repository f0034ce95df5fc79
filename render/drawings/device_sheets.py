"""Device sheets: every device but strips with all its terminals, what lands on each and where that leads, settings, notes.

Several devices to a sheet, in columns, as they are mounted; the devices of a function on sheets of their own, those of no
function by place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netdsl.sums import sum_of
from render.drawing import Drawing, Wired, in_set
from render.drawings.device_plan import GAP, HEAD, LINE, TITLE, TITLE_LIFT, DevicePlan, Page, Piece, columns_of
from render.drawings.device_rows import CONTACT, SHARES, TITLE_GAP, Cell, stops
from render.drawings.far_sheets import FarSheets
from render.layout.columns import broken
from render.layout.fonts import Box, text_width
from render.layout.writing import Writing
from render.sheet import DESIGNATION, MEDIUM, Sheet

KIND = "Device diagram"
_HEADS = ("terminal", "what it is for", "conductor", "leads to", "on sheet")


def device_keys(drawing: Drawing) -> Mapping[str, str]:
    """Key of the sheet on which each device begins."""
    return drawing.of(DevicePlan).keys


def device_wired(drawing: Drawing) -> Mapping[Wired, str]:
    """Key of the sheet that shows each terminal, and of that on which its device begins."""
    plan = drawing.of(DevicePlan)
    return {(thing, ""): key for thing, key in (*plan.keys.items(), *plan.terminals.items())}


@in_set(200, keys=device_keys, wired=device_wired, count=lambda drawing: len(drawing.of(DevicePlan).devices), plan=DevicePlan)
def device_sheets(drawing: Drawing, share: slice = slice(None)) -> Iterator[Sheet]:
    """The device sheets of the whole plant, or of a share of its groups, without frames."""
    for group in drawing.of(DevicePlan).devices[share]:
        part_of = drawing.part_of(group.function, group.place)
        short = drawing.of(DevicePlan).short
        also = [function for function, place in short.items() if not group.function and place == group.place]
        title = f"Devices {', '.join((group.function or group.place, *also))}".strip()
        for index, page in enumerate(group.pages):
            key = f"{group.key}.{index + 1}"
            pen = _Pen(drawing, group.area, key)
            pen.page(page)
            parts = (*pen.parts, *group.remarks.labels)
            yield Sheet(key, f"{group.number}{index + 1}", title, KIND, part_of, parts, drawing.size)


class _Pen(Writing):
    def __init__(self, drawing: Drawing, area: Box, key: str) -> None:
        def link(identity: str) -> str:
            found = drawing.key_of(identity)
            return found if found != key else ""

        super().__init__(link)
        self.area, self._key, self._far = area, key, drawing.of(FarSheets)
        self.width = columns_of(area)[1]

    def page(self, page: Page) -> None:
        """All columns."""
        for number, column in enumerate(page.columns):
            left = self.area.left + number * (self.width + GAP)
            for stop, head in zip(stops(self.width), _HEADS, strict=True):
                self.text(left + stop, self.area.top + 3.5, head)
            self.line((left, self.area.top + 5.5), (left + self.width, self.area.top + 5.5), width=MEDIUM)
            y = self.area.top + HEAD
            for piece in column:
                self._piece(left, y, piece)
                y += piece.height

    def _piece(self, left: float, y: float, piece: Piece) -> None:
        device = piece.block.device
        base = y + 4.2
        self.text(left, base, piece.block.name, DESIGNATION, bold=True, of=device.id, link=self._links(device.id))
        title = "continued" if piece.more else piece.block.title
        self.text(left + text_width(piece.block.name, DESIGNATION, True) + TITLE_GAP, base, title, of=device.id)
        titles = sum_of(row.lines for row in piece.rows if row.kind == "title")
        rule = y + 5.8 + titles * LINE
        self.line((left, rule), (left + self.width, rule), of=device.id)
        top = y + TITLE
        for row in piece.rows:
            lift = TITLE_LIFT if row.kind == "title" else 0.0
            if row.contacts:
                self.contact(left + stops(self.width)[1] - CONTACT / 2 - 1.0, top + 1.9, row.contacts, row.cells[0][1].of)
            for stop, cell in row.cells:
                lines, link = self._said(cell)
                for number, line in enumerate(lines):
                    at = top + 3.1 - lift + number * LINE
                    self.text(left + stop, at, line, cell.height, of=cell.of, link=link, bold=cell.bold)
            top += row.lines * LINE

    def _said(self, cell: Cell) -> tuple[tuple[str, ...], str]:
        """Lines of a cell and the key of the sheet they lead to; the number of this sheet is not said."""
        if not cell.along:
            return cell.lines, self._links(cell.link) if cell.link else ""
        key, number = self._far.at(cell.link, cell.along)
        return (broken(number, self.width * SHARES[-1]), key) if key != self._key else ((), "")
