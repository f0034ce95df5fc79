"""Connection drawings: each drive with all its terminals, what each is connected to up to the field, settings and notes.

Any other device on which there is a caution or a remark has one too: a note must stand on paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct, field

from netdsl.model.plant import Device
from render.drawing import Drawing, in_set
from render.drawings.connection_layout import Laid, Widths, widths_of
from render.drawings.connection_page import (
    GROUP_GAP,
    HEADS,
    NOTE_PITCH,
    TAIL_HEAD,
    ConnectionPen,
    Head,
    Slice,
    head_of,
    note_rows,
    setting_heights,
)
from render.drawings.connection_rows import RowMaker
from render.drawings.connection_words import groups_of
from render.layout.fonts import Box
from render.layout.remarks import Remarks
from render.sheet import Sheet, sheet_key
from render.words.names import Names
from render.words.purposes import SettingLine, note_lines, setting_lines
from render.words.ratings import rating_lines
from render.words.remarks import CAUTION, MARKS, scope_words, shade_words

KIND = "Connection diagram"
_SIGNS = "Dot: ways part. Ring with a letter: goes on where the same letter stands. Dashed: screen."
_STATE = (
    "An input is followed to what feeds it. Contacts are drawn at rest. Settings: set for this plant, or default as delivered."
)
_BELOW = 3.0  # between the box and what stands below it


class _Page(Struct):
    """One sheet: slices of the box, settings and lines of notes below it."""

    slices: list[Slice] = field(default_factory=list)
    settings: list[SettingLine] = field(default_factory=list)
    beside: list[SettingLine] = field(default_factory=list)  # settings in the right half, where there are no notes
    notes: list[tuple[bool, str]] = field(default_factory=list)


class _Drive(Struct, frozen=True):
    """A drive with the names, the space and the content of its sheets."""

    device: Device
    key: str
    number: str
    area: Box
    widths: Widths
    head: Head
    remarks: Remarks
    pages: tuple[_Page, ...]

    def part(self, index: int) -> str:
        """Suffix of sheet `index`, nothing where there is one only."""
        return f".{index + 1}" if len(self.pages) > 1 else ""


@in_set(200)
def connection_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """The connection drawings of all drives and of devices with notes, function by function, without frames."""
    plant = drawing.plant
    noted = {note.subject for note in plant.notes}
    devices = [device for device in plant.devices.values() if device.kind == "drive" or device.id in noted]
    taken: set[str] = set()
    for function in ("", *plant.functions):
        for device in (device for device in devices if device.function == function):
            mark = function.lstrip("=")
            of = device.product.lstrip("-")
            printed = f"{mark}/C.{of}" if mark else f"C.{of}"
            yield from _sheets(drawing, _drive(drawing, device, sheet_key("connections", device.id, taken), printed))


def _drive(drawing: Drawing, device: Device, key: str, number: str) -> _Drive:
    network, whole = drawing.network, drawing.area
    said = (" ".join((_SIGNS, _STATE, MARKS, *shade_words(network.plant), *scope_words(device.function))), CAUTION)
    remarks = Remarks.of(said, drawing.notes)
    area = Box(whole.left, whole.top, whole.right, whole.bottom - remarks.above)
    names = Names(network.plant, device.function)
    groups = groups_of(drawing, device, names)
    widths = widths_of(groups, area.width)
    where = f"at {device.place}" if device.place else ""
    head = head_of(device.id, device.title, ", ".join(text for text in (*rating_lines(device), where) if text), area.width)
    room = area.height - HEADS - head.height
    maker = RowMaker(network, names, device, widths, room - GROUP_GAP)
    slices = [Slice(name, maker.group(points)) for name, points in groups]
    pages = _pages(slices, room)
    _add_tail(pages, setting_lines(device), note_rows(note_lines(network.plant, device.id), area), area, room)
    return _Drive(device, key, number, area, widths, head, remarks, tuple(pages))


def _pages(slices: Iterable[Slice], room: float) -> list[_Page]:
    """Groups shared out to sheets; one is split, between terminals, only where a sheet of its own would not hold it."""
    pages = [_Page()]
    free = room
    for whole in slices:
        apart = whole.height <= room or free < max(room / 4, whole.laid[0].height + GROUP_GAP)
        if whole.height > free and pages[-1].slices and apart:
            pages.append(_Page())
            free = room
        for number, part in enumerate(_split(whole, free, room)):
            if number:
                pages.append(_Page())
                free = room
            pages[-1].slices.append(part)
            free -= part.height
    return pages


def _split(whole: Slice, free: float, room: float) -> list[Slice]:
    """The parts of a group that fit what is `free` on this sheet and the `room` of those that follow."""
    parts: list[list[Laid]] = [[]]
    left = free - GROUP_GAP
    for laid in whole.laid:
        if laid.height > left and parts[-1]:
            parts.append([])
            left = room - GROUP_GAP
        parts[-1].append(laid)
        left -= laid.height
    return [Slice(whole.name, tuple(part)) for part in parts]


def _add_tail(
    pages: list[_Page], settings: Sequence[SettingLine], notes: Sequence[tuple[bool, str]], area: Box, room: float
) -> None:
    """Put settings and notes below the last groups, on further sheets where there is no room. Without notes the settings
    take both halves."""
    middle = len(settings) if notes else (len(settings) + 1) // 2
    halves = (list(settings[:middle]), list(settings[middle:]))
    tall = [setting_heights(part, area) for part in halves]
    free = room - sum(part.height for part in pages[-1].slices) - _BELOW
    rest = list(notes)
    if TAIL_HEAD + max(*map(sum, tall), len(rest) * NOTE_PITCH) > free and pages[-1].slices:
        pages.append(_Page())
        free = room
    while halves[0] or halves[1] or rest:
        page = pages[-1]
        for column, part, heights in zip((page.settings, page.beside), halves, tall, strict=True):
            _take(column, part, heights, free - TAIL_HEAD)
        count = max(int((free - TAIL_HEAD) / NOTE_PITCH), 1)
        page.notes, rest = rest[:count], rest[count:]
        if halves[0] or halves[1] or rest:
            pages.append(_Page())
            free = room


def _take(column: list[SettingLine], lines: list[SettingLine], heights: list[float], free: float) -> None:
    """Move to `column` what has room, one line at least."""
    while lines and (heights[0] <= free or not column):
        free -= heights.pop(0)
        column.append(lines.pop(0))


def _sheets(drawing: Drawing, drive: _Drive) -> Iterator[Sheet]:
    device = drive.device
    part_of = drawing.part_of(device.function, device.place)
    for index, page in enumerate(drive.pages):
        pen = ConnectionPen(drive.area, drive.widths, drawing.key_of)
        if page.slices:
            pen.heads()
        pen.device(drive.area.top + HEADS - 2.0, drive.head)
        y = drive.area.top + HEADS + drive.head.height
        if page.slices:
            y = pen.box(y, page.slices, device.id) + _BELOW
        for column, right in ((page.settings, False), (page.beside, True)):
            if column:
                pen.settings(y, column, right, device.id)
        if page.notes:
            pen.notes(y, page.notes, bool(setting_lines(device)), device.id)
        part, title = drive.part(index), f"Connections {device.id}"
        yield Sheet(
            drive.key + part, drive.number + part, title, KIND, part_of, (*pen.parts, *drive.remarks.labels), drawing.size
        )
