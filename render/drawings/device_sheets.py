"""Device sheets: every device but strips with all its terminals, what lands on each and where that leads, settings, notes.

Several devices to a sheet, in columns, as they are mounted; the devices of a function on sheets of their own, those of no
function by place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

from netdsl.model.kinds import PASSED, Category
from netdsl.model.plant import Device
from netdsl.sums import sum_of
from render.drawing import Drawing, Wired, in_set
from render.drawings.circuit_groups import short_functions
from render.drawings.device_rows import CONTACT, TITLE_GAP, Block, Row, block_of, continued, stops
from render.drawings.mounted import mounting_order
from render.drawings.terminal_plan import drawn_devices
from render.layout.fonts import Box, text_width
from render.layout.remarks import Remarks
from render.layout.writing import Writing
from render.sheet import DESIGNATION, MEDIUM, Sheet, sheet_key
from render.words.names import Names
from render.words.remarks import CAUTION, CONTACTS, MARKS, scope_words, shade_words
from render.words.terminals import contacts_of

KIND = "Device diagram"
_HEADS = ("terminal", "what it is for", "conductor", "leads to")
_SAID = (
    "Devices as mounted: row by row from the left, walls, doors, then the field. Free: nothing lands on the terminal."
    " Settings: set for this plant, or default as delivered; behind it what may be set."
)
_HEAD, _TITLE, _LINE, _BETWEEN, _GAP = 8.0, 7.0, 4.4, 3.0, 8.0  # heights of heads, of a device's title, of a line; gaps, mm
_COLUMN = 118.0  # least width of a column
_KEPT = 3  # lines that stay with a title
_SHORT = (24, 6)  # lines of a device that are not shared out to two columns; of fewer where that saves a sheet


class _Piece(Struct):
    """Rows of a device in one column. `more`: they go on from a column before."""

    block: Block
    rows: list[Row]
    more: bool

    @property
    def height(self) -> float:
        return _TITLE + sum_of(row.lines for row in self.rows) * _LINE + _BETWEEN


class _Page(Struct):
    columns: list[list[_Piece]] = field(default_factory=lambda: [[]])


class Devices(Struct, frozen=True):
    """The sheets of a function, or of the common part of a place: `key` and `number` without their own count."""

    function: str
    place: str
    key: str
    number: str
    remarks: Remarks
    area: Box
    pages: tuple[_Page, ...]


class DevicePlan:
    """All device sheets planned. `keys`: the sheet on which each device begins; `terminals`: that on which each terminal stands.
    `short`: as of `short_functions`."""

    def __init__(self, drawing: Drawing) -> None:
        plant = drawing.plant
        groups: dict[tuple[str, str], list[Device]] = {}
        short = self.short = short_functions(plant)
        landed = set(drawn_devices(drawing.network))
        for device in plant.devices.values():
            # boxes and plugs on which cables land have all that they are on their terminal drawing
            shown = device.kind in PASSED and device.id in landed
            if device.category == Category.STRIP or shown or not device.terminals:
                continue
            function = "" if device.function in short else device.function
            where = short.get(device.function) or ("" if function else _place(drawing, device))
            groups.setdefault((function, where), []).append(device)
        mounted = drawing.of(mounting_order)
        for devices in groups.values():
            devices.sort(key=lambda device: mounted[device.id])
        order = {function: number for number, function in enumerate(plant.functions)}
        taken: set[str] = set()
        self.devices = [
            _devices(drawing, function, place, groups[function, place], taken)
            for function, place in sorted(groups, key=lambda group: order.get(group[0], -1))
        ]
        self.keys: dict[str, str] = {}
        self.terminals: dict[str, str] = {}
        for group in self.devices:
            for index, page in enumerate(group.pages):
                key = f"{group.key}.{index + 1}"
                for piece in (piece for column in page.columns for piece in column):
                    self.keys.setdefault(piece.block.device.id, key)
                    for row in piece.rows:
                        if row.kind == "terminal" and not row.cells[0][0]:
                            self.terminals.setdefault(row.cells[0][1].of, key)


def _place(drawing: Drawing, device: Device) -> str:
    """The enclosure of a device of no function; of one in the field that of what it leads to, else its place."""
    plant = drawing.plant
    ring, met = [device], {device.id}
    for each in ring:  # grows while it is gone through: devices in the field lead on from one to the next
        place = plant.places.get(each.place)
        if place is not None and place.enclosure:
            return place.enclosure
        for terminal in each.terminals:
            for name in drawing.network.at_terminal.get(f"{each.id}:{terminal}", ()):
                for far in (plant.devices.get(end.device) for end in plant.conductors[name].ends):
                    if far is not None and far.id not in met:
                        met.add(far.id)
                        ring.append(far)
    return next((each.place for each in ring if each.place in plant.places), "")


def _devices(drawing: Drawing, function: str, place: str, devices: Sequence[Device], taken: set[str]) -> Devices:
    name = function or place
    contacts = (CONTACTS,) if any(contacts_of(device) for device in devices) else ()
    remarks = Remarks.of((_SAID, *contacts, MARKS, *shade_words(drawing.plant), *scope_words(function), CAUTION), drawing.notes)
    whole = drawing.area
    area = Box(whole.left, whole.top, whole.right, whole.bottom - remarks.above)
    count = int((area.width + _GAP) / (_COLUMN + _GAP))
    width = (area.width + _GAP) / count - _GAP
    names = Names(drawing.plant, function)
    blocks = [block_of(drawing, device, names, width) for device in devices]
    pages = min((_pages(blocks, area, count, short) for short in _SHORT), key=len)
    key, number = sheet_key("devices", name or "supply", taken), f"{name.lstrip('=+') or 'G'}/D"
    return Devices(function, place, key, number, remarks, area, tuple(pages))


def _pages(blocks: Sequence[Block], area: Box, count: int, short: int) -> list[_Page]:
    """Devices one after the other in `count` columns to a sheet; those of no more than `short` lines are not parted."""
    pages = [_Page()]
    free = area.height - _HEAD
    for block in blocks:
        rows, more = list(block.rows), False
        while rows or not more:
            fit = _fitting(rows, free - _TITLE - _BETWEEN)
            tall = sum_of(row.lines for row in rows)
            kept = fit < len(rows) and (sum_of(row.lines for row in rows[:fit]) < _KEPT or (tall <= short and not more))
            if (kept or free < _TITLE + _BETWEEN + _LINE) and pages[-1].columns[-1]:
                _next_column(pages, count)
                free = area.height - _HEAD
                continue
            fit = max(fit, 1)
            piece = _Piece(block, rows[:fit], more)
            pages[-1].columns[-1].append(piece)
            free -= piece.height
            rows, more = continued(rows, fit), True
    return pages


def _fitting(rows: Sequence[Row], room: float) -> int:
    """How many rows have room."""
    count = 0
    for row in rows:
        room -= row.lines * _LINE
        if room < 0:
            break
        count += 1
    return count


def _next_column(pages: list[_Page], count: int) -> None:
    if len(pages[-1].columns) < count:
        pages[-1].columns.append([])
    else:
        pages.append(_Page())


def device_keys(drawing: Drawing) -> Mapping[str, str]:
    """Key of the sheet on which each device begins."""
    return drawing.of(DevicePlan).keys


def device_wired(drawing: Drawing) -> Mapping[Wired, str]:
    """Key of the sheet that shows each terminal, and of that on which its device begins."""
    plan = drawing.of(DevicePlan)
    return {(thing, ""): key for thing, key in (*plan.keys.items(), *plan.terminals.items())}


@in_set(200, keys=device_keys, wired=device_wired, count=lambda drawing: len(drawing.of(DevicePlan).devices))
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
        self.area = area
        self.count = int((area.width + _GAP) / (_COLUMN + _GAP))
        self.width = (area.width + _GAP) / self.count - _GAP

    def page(self, page: _Page) -> None:
        """All columns."""
        for number, column in enumerate(page.columns):
            left = self.area.left + number * (self.width + _GAP)
            for stop, head in zip(stops(self.width), _HEADS, strict=True):
                self.text(left + stop, self.area.top + 3.5, head)
            self.line((left, self.area.top + 5.5), (left + self.width, self.area.top + 5.5), width=MEDIUM)
            y = self.area.top + _HEAD
            for piece in column:
                self._piece(left, y, piece)
                y += piece.height

    def _piece(self, left: float, y: float, piece: _Piece) -> None:
        device = piece.block.device
        base = y + 4.2
        self.text(left, base, piece.block.name, DESIGNATION, bold=True, of=device.id, link=self._links(device.id))
        title = "continued" if piece.more else piece.block.title
        self.text(left + text_width(piece.block.name, DESIGNATION, True) + TITLE_GAP, base, title, of=device.id)
        self.line((left, y + 5.8), (left + self.width, y + 5.8), of=device.id)
        top = y + _TITLE
        for row in piece.rows:
            if row.contacts:
                self.contact(left + stops(self.width)[1] - CONTACT / 2 - 1.0, top + 1.9, row.contacts, row.cells[0][1].of)
            for stop, cell in row.cells:
                link = self._links(cell.link) if cell.link else ""
                for number, line in enumerate(cell.lines):
                    at = top + 3.1 + number * _LINE
                    self.text(left + stop, at, line, cell.height, of=cell.of, link=link, bold=cell.bold)
            top += row.lines * _LINE
