"""What a device sheet says of one device, row by row: its terminals with what lands on each, its settings, its notes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from netdsl.model.plant import CableScreen, Device, Role, ScreenTermination, Terminal
from netdsl.network.queries import mate_of
from netdsl.network.types import Run
from netdsl.network.unused import jumpered_terminals
from netdsl.sums import sum_of
from render.drawing import Drawing
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.sheet import DESIGNATION, NORMAL
from render.words.cables import how_text
from render.words.names import Names
from render.words.purposes import as_wired, note_lines, setting_lines, use_words
from render.words.ratings import handle_words, rating_lines
from render.words.terminals import contacts_of, linked_to, section_text

FREE = "free"
JUMPER = "jumper"
#: shares of a column's width: number of the terminal, what it is for, conductor, where that leads, the sheet with that
SHARES = (0.12, 0.285, 0.225, 0.19, 0.18)
CONTACT = 7.0  # the contact of half a plug connection, before what the terminal is for
_GAP = 2.0  # between two texts in a row
TITLE_GAP = 3.0  # between a designation and the title of its device
_SIGN = 4.0  # width of the sign before a caution


class Cell(Struct, frozen=True):
    """Lines at one stop. `of`: designation they belong to, `link`: of what they lead to, `height` and `bold` as of a label.
    `along`: the conductor along which `link` is reached, of a cell that says on which sheet that is; its lines are as long."""

    lines: tuple[str, ...]
    of: str = ""
    link: str = ""
    height: float = NORMAL
    bold: bool = False
    along: str = ""


class Row(Struct, frozen=True):
    """A row: cells by stop (mm from the left of the column), and how many lines it takes. `kind`: "terminal", "setting", "note",
    "title" of more lines of it, above the rule, or "words" below the head. `contacts`: "pins" or "sockets" of a terminal of half
    a plug connection."""

    kind: str
    cells: tuple[tuple[float, Cell], ...]
    lines: int
    contacts: str = ""


class Block(Struct, frozen=True):
    """A device: its title beside the designation, and its rows."""

    device: Device
    name: str
    title: str
    rows: tuple[Row, ...]


def stops(width: float) -> tuple[float, ...]:
    """Where the cells of a row begin in a column `width` mm wide."""
    return tuple(width * sum_of(SHARES[:number]) for number in range(len(SHARES)))


def block_of(drawing: Drawing, device: Device, names: Names, width: float, sheet: Callable[[str, str], str]) -> Block:
    """The rows of a device for a column `width` mm wide. `sheet`: for a terminal and a conductor on it the number of its sheet,
    or one as long."""
    name = names.of(device.id)
    lines = broken(device.title or (device.part.title if device.part is not None else ""), title_room(name, width))
    more = broken(" ".join(lines[1:]), width)
    rows = [_row("title", [(0.0, Cell(more, device.id))])] if more else []
    rows += [*_words(drawing, device, names, width), *_terminals(drawing, device, names, width, sheet)]
    title = lines[0] if lines else ""
    return Block(device, name, title, (*rows, *_settings(device, width), *_notes(drawing, device, width)))


def title_room(name: str, width: float) -> float:
    """What a designation leaves beside it for words in a column, mm; a long one next to nothing."""
    return max(width - text_width(name, DESIGNATION, True) - TITLE_GAP, 20.0)


def goes_on(row: Row) -> bool:
    """Whether a row is of a further conductor on the terminal of the row before."""
    return row.kind == "terminal" and all(stop for stop, _ in row.cells)


def continued(rows: Sequence[Row], count: int) -> list[Row]:
    """What is left of `rows` behind the first `count`, the first of them with the number of its terminal said again."""
    rest = list(rows[count:])
    if rest and goes_on(rest[0]):
        before = next(row for row in reversed(rows[:count]) if any(not stop for stop, _ in row.cells))
        number = next(cell for cell in before.cells if not cell[0])
        rest[0] = _row("terminal", [number, *rest[0].cells])
    return rest


def _row(kind: str, cells: list[tuple[float, Cell]], contacts: str = "") -> Row:
    return Row(kind, tuple(cells), max((len(cell.lines) for _, cell in cells), default=0) or 1, contacts)


def _words(drawing: Drawing, device: Device, names: Names, width: float) -> Iterator[Row]:
    where = f"at {device.place}" if device.place else ""
    mate = mate_of(drawing.plant, device.id)
    met = f"meets {names.of(mate)}" if mate else ""
    said = ", ".join(text for text in (*rating_lines(device), contacts_of(device), where, handle_words(device), met) if text)
    if lines := broken(said, width, united=True):
        yield _row("words", [(0.0, Cell(lines, device.id))])


def _terminals(drawing: Drawing, device: Device, names: Names, width: float, sheet: Callable[[str, str], str]) -> Iterator[Row]:
    at = stops(width)
    contacts, jumpers = contacts_of(device), jumpered_terminals(device)
    room = [width * share - _GAP for share in SHARES]
    room[4] += _GAP  # nothing follows
    room[0] -= CONTACT if contacts else 0.0
    for terminal in device.terminals.values():
        key = f"{device.id}:{terminal.name}"
        said = use_words(device, as_wired(terminal, drawing.asked.get(key, ())))
        first = [
            (at[0], Cell(broken(terminal.name, room[0]), key, key, bold=True)),
            (at[1], Cell(broken(said, room[1], united=True), key)),
        ]
        ends = [*_conductors(drawing, device, terminal, names), *_screens(drawing, device, terminal, names)]
        if not ends:
            joined = linked_to(device, terminal.name)
            nothing = JUMPER if terminal.name in jumpers else FREE
            lands = broken(f"link to {', '.join(joined)}", room[3] + room[4]) if joined else (nothing,)
            yield _row("terminal", [*first, (at[3], Cell(lands, key))], contacts)
        number, words = first
        rest = words[1].lines
        for place, (of, conductor, far, far_id) in enumerate(ends):
            cells = [
                (at[2], Cell(broken(conductor, room[2]), of)),
                (at[3], Cell(broken(far, room[3]), far_id, far_id)),
                (at[4], Cell(broken(sheet(far_id, of), room[4]), of, far_id, along=of)),
            ]
            shown = [] if place else [number]
            # what a terminal is for goes on beside its other conductors
            take = len(rest) if place == len(ends) - 1 else max(len(cell.lines) for _, cell in (*shown, *cells))
            now, rest = rest[:take], rest[take:]
            yield _row("terminal", [*shown, *([(at[1], Cell(now, key))] if now else []), *cells], "" if place else contacts)


def _conductors(drawing: Drawing, device: Device, terminal: Terminal, names: Names) -> Iterator[tuple[str, str, str, str]]:
    """Of each conductor on a terminal: what it is called, what it is, where it leads and the id of that."""
    key = f"{device.id}:{terminal.name}"
    for name in dict.fromkeys(drawing.network.at_terminal.get(key, ())):
        run = drawing.network.runs[name]
        one, other = run.conductor.ends
        far = other if one.id == key else one
        yield name, conductor_words(run, names), names.end(far.device, far.terminal), far.id


def conductor_words(run: Run, names: Names) -> str:
    """A conductor as a device sheet calls it: mark, then core of its cable, or section and colour."""
    conductor = run.conductor
    said = f"{names.of(conductor.cable)} {conductor.core}" if conductor.cable else f"{section_text(run)} {run.colour or ''}"
    return " ".join(f"{conductor.mark or ''} {said}".split())


def _screens(drawing: Drawing, device: Device, terminal: Terminal, names: Names) -> Iterator[tuple[str, str, str, str]]:
    """The screens that end on a terminal; those that name the device alone end on its first terminal for screens."""
    if terminal.role is not Role.SCREEN:
        return
    first = next(one.name for one in device.terminals.values() if one.role is Role.SCREEN)
    for cable, screen, index in drawing.of(screens_at).get(device.id, ()):
        if (screen.ends[index].terminal or first) == terminal.name:
            yield cable, *_screen(cable, screen, index, names)


def screens_at(drawing: Drawing) -> dict[str, list[tuple[str, CableScreen, int]]]:
    """By device the screens that end on it: cable, screen, which of its ends."""
    found: dict[str, list[tuple[str, CableScreen, int]]] = {}
    for cable in drawing.plant.cables.values():
        for screen in cable.screens:
            for index, end in enumerate(screen.ends):
                found.setdefault(end.device, []).append((cable.id, screen, index))
    return found


def _screen(cable: str, screen: CableScreen, index: int, names: Names) -> tuple[str, str, str]:
    pair = f" pair {screen.pair}" if screen.pair else ""
    here = f"{names.of(cable)} screen{pair}, {how_text(screen.ends[index])}"
    if len(screen.ends) < 2:
        return here, "far end not stated", ""
    far = screen.ends[1 - index]
    return here, f"{_at(far, names)} {how_text(far)}", f"{far.device}:{far.terminal}" if far.terminal else far.device


def _at(end: ScreenTermination, names: Names) -> str:
    return names.end(end.device, end.terminal) if end.terminal else names.of(end.device)


def _settings(device: Device, width: float) -> Iterator[Row]:
    at = stops(width)
    lines = setting_lines(device)
    if lines:
        yield _row("words", [(0.0, Cell(("Settings",), device.id, bold=True))])
    for line in lines:
        given = "set" if line.given else "default"
        room = width * (SHARES[3] + SHARES[4]) - _GAP
        cells = [
            (at[0], Cell(broken(line.name, at[2] - _GAP), device.id)),
            (at[2], Cell(broken(line.value, width * SHARES[2] - _GAP), device.id)),
            (at[3], Cell(broken(f"{given}; {line.choice}" if line.choice else given, room, united=True), device.id)),
        ]
        yield _row("setting", cells)


def _notes(drawing: Drawing, device: Device, width: float) -> Iterator[Row]:
    for caution, text in note_lines(drawing.plant, device.id):
        sign = [(0.0, Cell(("!",), device.id, bold=True))] if caution else []
        yield _row("note", [*sign, (_SIGN, Cell(broken(text, width - _SIGN), device.id))])
