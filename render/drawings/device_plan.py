"""What is on each device sheet, before anything is drawn: devices as mounted, in columns."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct, field

from netdsl.model.kinds import PASSED, Category
from netdsl.model.plant import Device
from netdsl.sums import sum_of
from render.drawing import Drawing
from render.drawings.circuit_groups import short_functions
from render.drawings.device_rows import Block, Row, block_of, continued, goes_on
from render.drawings.mounted import mounting_order
from render.drawings.terminal_plan import TerminalPlan, drawn_devices
from render.layout.fonts import Box
from render.layout.remarks import Remarks
from render.sheet import sheet_key
from render.words.names import Names
from render.words.remarks import CAUTION, CONTACTS, MARKS, scope_words, shade_words
from render.words.terminals import contacts_of

_SAID = (
    "Devices as mounted: row by row from the left, walls, doors, then the field. Free: nothing lands on the terminal."
    " Settings: set for this plant, or default as delivered; behind it what may be set."
)
HEAD, TITLE, LINE, BETWEEN, GAP = 8.0, 7.0, 4.4, 3.0, 8.0  # heights of heads, of a device's title, of a line; gaps, mm
TITLE_LIFT = 1.6  # of further lines of a title, which stand above the rule
_COLUMN = 118.0  # least width of a column
_KEPT = 3  # lines that stay with a title
_SHORT = (24, 6)  # lines of a device that are not shared out to two columns; of fewer where that saves a sheet
_MANY = 88  # sheets of a function that numbers have room for
#: number of the sheet on which a conductor lands on a terminal
Sample = Callable[[str, str], str]


class Piece(Struct):
    """Rows of a device in one column. `more`: they go on from a column before."""

    block: Block
    rows: list[Row]
    more: bool

    @property
    def height(self) -> float:
        return TITLE + sum_of(row.lines for row in self.rows) * LINE + BETWEEN


class Page(Struct):
    columns: list[list[Piece]] = field(default_factory=lambda: [[]])


class Devices(Struct, frozen=True):
    """The sheets of a function, or of the common part of a place: `key` and `number` without their own count."""

    function: str
    place: str
    key: str
    number: str
    remarks: Remarks
    area: Box
    pages: tuple[Page, ...]


class DevicePlan:
    """All device sheets planned. `keys`: the sheet on which each device begins; `terminals`: that on which each terminal stands;
    `numbers`: of the sheets by their keys. `short`: as of `short_functions`."""

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
        sample = _samples(drawing, groups)
        self.devices = [
            _devices(drawing, function, place, groups[function, place], taken, sample)
            for function, place in sorted(groups, key=lambda group: order.get(group[0], -1))
        ]
        self.keys: dict[str, str] = {}
        self.terminals: dict[str, str] = {}
        self.numbers: dict[str, str] = {}
        for group in self.devices:
            for index, page in enumerate(group.pages):
                key = f"{group.key}.{index + 1}"
                self.numbers[key] = f"{group.number}{index + 1}"
                for piece in (piece for column in page.columns for piece in column):
                    self.keys.setdefault(piece.block.device.id, key)
                    for row in piece.rows:
                        if row.kind == "terminal" and not row.cells[0][0]:
                            self.terminals.setdefault(row.cells[0][1].of, key)


def _number(name: str) -> str:
    """Number of the sheets of a function or place without their count."""
    return f"{name.lstrip('=+') or 'G'}/D"


def _samples(drawing: Drawing, groups: Mapping[tuple[str, str], Sequence[Device]]) -> Sample:
    """Numbers as long as those that device sheets will have, of terminal drawings as they are: rows have room for them."""
    plan = drawing.of(TerminalPlan)
    own = {device.id: f"{_number(group[0] or group[1])}{_MANY}" for group, devices in groups.items() for device in devices}

    def sample(terminal: str, conductor: str) -> str:
        key = plan.key(terminal, conductor)
        return plan.numbers[key] if key else own.get(terminal.partition(":")[0], "")

    return sample


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


def columns_of(area: Box) -> tuple[int, float]:
    """How many columns a sheet has, and how wide they are, mm."""
    count = int((area.width + GAP) / (_COLUMN + GAP))
    return count, (area.width + GAP) / count - GAP


def _devices(drawing: Drawing, function: str, place: str, devices: Sequence[Device], taken: set[str], sample: Sample) -> Devices:
    name = function or place
    contacts = (CONTACTS,) if any(contacts_of(device) for device in devices) else ()
    remarks = Remarks.of((_SAID, *contacts, MARKS, *shade_words(drawing.plant), *scope_words(function), CAUTION), drawing.notes)
    whole = drawing.area
    area = Box(whole.left, whole.top, whole.right, whole.bottom - remarks.above)
    count, width = columns_of(area)
    names = Names(drawing.plant, function)
    blocks = [block_of(drawing, device, names, width, sample) for device in devices]
    pages = min((_pages(blocks, area, count, short, together) for short in _SHORT for together in (True, False)), key=len)
    key, number = sheet_key("devices", name or "supply", taken), _number(name)
    return Devices(function, place, key, number, remarks, area, tuple(pages))


def _pages(blocks: Sequence[Block], area: Box, count: int, short: int, together: bool) -> list[Page]:
    """Devices one after the other in `count` columns to a sheet; those of no more than `short` lines are not parted. `together`:
    of others no few lines go on alone, which may take a sheet more."""
    pages = [Page()]
    free = area.height - HEAD
    for block in blocks:
        rows, more = list(block.rows), False
        while rows or not more:
            fit = _fitting(rows, free - TITLE - BETWEEN)
            tall = sum_of(row.lines for row in rows)
            kept = fit < len(rows) and (sum_of(row.lines for row in rows[:fit]) < _KEPT or (tall <= short and not more))
            if (kept or free < TITLE + BETWEEN + LINE) and pages[-1].columns[-1]:
                _next_column(pages, count)
                free = area.height - HEAD
                continue
            fit = max(_leaving(rows, fit) if together else fit, 1)
            piece = Piece(block, rows[:fit], more)
            pages[-1].columns[-1].append(piece)
            free -= piece.height
            rows, more = continued(rows, fit), True
    return pages


def _fitting(rows: Sequence[Row], room: float) -> int:
    """How many rows have room."""
    count = 0
    for row in rows:
        room -= row.lines * LINE
        if room < 0:
            break
        count += 1
    return count


def _leaving(rows: Sequence[Row], fit: int) -> int:
    """How many of the rows that fit stay, so that those that go on are not fewer than those kept with a title, and no terminal is
    parted from its first conductors."""
    whole = fit
    while _KEPT < whole < len(rows) and (sum_of(row.lines for row in rows[whole:]) < _KEPT or goes_on(rows[whole])):
        whole -= 1
    return whole if fit - whole <= _KEPT else fit


def _next_column(pages: list[Page], count: int) -> None:
    if len(pages[-1].columns) < count:
        pages[-1].columns.append([])
    else:
        pages.append(Page())
