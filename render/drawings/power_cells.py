"""Cells of the single-line diagram: a symbol or a cable in the run of a line, with its labels, ready to be placed.

A cell hangs on a vertical line. Its symbol is centred on it, labels stand right of it, the earth left.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from netdsl.model.kinds import BARS
from netdsl.model.plant import Device, Role
from netdsl.network.types import Network
from render.drawings.feeders import Join, Step, Wiring
from render.layout.bounds import bounds
from render.layout.fonts import text_width, wrap
from render.sheet import DESIGNATION, MEDIUM, NORMAL, WIDE, Arc, Circle, Label, Line, Primitive
from render.symbols import conductor_count, moved, placed, symbol, symbol_names
from render.words.ratings import cable_run, cable_type, handle_words, rating_lines, supply_lines

#: distance of base lines below a designation and between ratings, mm
_NAME_PITCH, _LINE_PITCH = 5.4, 4.0
_GAP = 2.4  # between a label and the cell's border
_LABEL_OFF = 2.5  # between a symbol and its label
_STROKE_REACH = 3.2  # right of a line, strokes and the screen's oval included
#: symbols of parts that go by another name in the catalogue
_NAMES = {
    "motor-single-phase": "single-phase-motor",
    "motor-protection-breaker": "motor-breaker",
    "rectifier": "supply-24v",
    "fuse-switch": "fuse-switch-disconnector",
    "thermostat": "make-contact",
    "contact": "make-contact",
    "strip": "terminal",
}


@dataclass(frozen=True, slots=True)
class Body:
    """A symbol without its leads, centred on 0, 0: `half` its height / 2, `left` and `right` its extent, mm."""

    primitives: tuple[Primitive, ...]
    half: float
    left: float
    right: float
    open: bool  # the line goes on below it


#: the screen round a cable; the catalogue's oval is higher than a full column allows
_OVAL = Body((Arc(0.0, 0.0, 2.4, 4.0, 0.0, 360.0, MEDIUM, (1.6, 1.0)),), 4.0, 2.4, 2.4, True)


@dataclass(frozen=True, slots=True)
class Cell:
    """One thing on the line.

    `of`: designation. `names`: lines in 3.5 mm, `lines` in 2.5 mm. `body`: symbol, None for a label beside the plain line.
    `strokes`: wiring whose conductors are counted on the line here. `refer`: key of the place that its last line refers to.
    """

    kind: str  # "device", "cable", "strokes", "end"
    of: str
    names: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    body: Body | None = None
    earth: bool = False
    source: bool = False  # nothing leads to it
    strokes: Wiring | None = None
    refer: str = ""
    shared: bool = False  # of a way that meets another one before this cable

    @property
    def label_height(self) -> float:
        """Height of its labels, mm."""
        first = DESIGNATION if self.names else NORMAL
        below = len(self.lines) if self.names else len(self.lines) - 1
        return first + max(len(self.names) - 1, 0) * _NAME_PITCH + max(below, 0) * _LINE_PITCH + 0.9 if self.of else 0.0

    @property
    def height(self) -> float:
        """Least height it takes, mm."""
        if self.kind == "strokes":
            return _strokes_height(self.strokes) + 2.2
        symbol_height = 2 * self.body.half if self.body else 0.0
        symbol_height += _strokes_height(self.strokes)
        return max(symbol_height + 1.5, self.label_height + _GAP, 6.0)


def _strokes_height(wiring: Wiring | None) -> float:
    count = _stroke_count(wiring)
    return 1.4 * (count - 1) + 3.0 if count else 0.0


def _stroke_count(wiring: Wiring | None) -> int:
    return 0 if wiring is None else wiring.poles + wiring.neutral + wiring.earth


@cache
def body_of(name: str) -> Body:
    """The symbol called `name` without the leads at its head and foot."""
    drawn = symbol(name)
    foot = drawn.ports["out"][1] if "out" in drawn.ports else None
    top, bottom = 0.0, foot if foot is not None else drawn.box.bottom
    kept: list[Primitive] = []
    for part in drawn.primitives:
        if isinstance(part, Line) and len(part.points) == 2 and part.points[0][0] == part.points[1][0] == 0.0:
            first, last = sorted(point[1] for point in part.points)
            if first == 0.0 and last == foot:
                continue
            if first == 0.0:
                top = max(top, last)
                continue
            if last == foot:
                bottom = min(bottom, first)
                continue
        kept.append(part)
    return _centred(kept, top, bottom, foot is not None, through=top == 0.0 and foot == bottom)


def _centred(parts: list[Primitive], top: float, bottom: float, is_open: bool, through: bool) -> Body:

    box = bounds(tuple(parts))
    if through:  # the line runs on behind the symbol
        top, bottom = box.top, box.bottom
        parts = [*parts, Line(((0.0, top), (0.0, bottom)), WIDE)]
    shift = -(top + bottom) / 2
    half = max((bottom - top) / 2, 0.0)
    return Body(moved(parts, 0.0, shift), half, max(-box.left, 0.0), max(box.right, 0.0), is_open)


def symbol_name(device: Device) -> str:
    """Name of the symbol that stands for a device: its own, else that of its kind, else the general box."""
    known = symbol_names()
    for name in (device.symbol, _NAMES.get(device.symbol, ""), device.kind, _NAMES.get(device.kind, "")):
        if name in known:
            return name
    return "box"


class CellMaker:
    """Makes the cells of each step once; `room`: width for labels right of a line, mm."""

    def __init__(self, network: Network, room: float) -> None:
        self.network = network
        self.room = room
        self._made: dict[str, tuple[Cell, ...]] = {}

    def cells(self, step: Step) -> tuple[Cell, ...]:
        """Cells of what leads to the step's device, of the device, and of what it feeds outside the power path."""
        made = self._made.get(step.device)
        if made is None:
            cables = tuple(self.cable(name, step.wiring) for name in step.wiring.cables)
            counted = () if cables or not self._changes(step) else (Cell("strokes", step.device, strokes=step.wiring),)
            made = (*cables, *counted, self.device(step), *self._ends(step))
            self._made[step.device] = made
        return made

    def height(self, step: Step) -> float:
        """Least height of the step's cells, mm."""
        return sum(cell.height for cell in self.cells(step))

    def _changes(self, step: Step) -> bool:
        """Whether the number of conductors is other than above, so that it is shown again."""
        graph = self.network.power.graph
        feeding = next((name for name in graph.predecessors(step.device)), None) if step.device in graph else None
        if feeding is None or step.wiring.poles == 0:
            return False
        above = [graph.edges[other, feeding] for other in graph.predecessors(feeding)]
        same = any((edge["poles"], edge["neutral"]) == (step.wiring.poles, step.wiring.neutral) for edge in above)
        return bool(above) and not same

    def cable(self, name: str, wiring: Wiring) -> Cell:
        """A cable: designation, construction, length and ways; a screened one with its dashed oval."""
        cable = self.network.plant.cables[name]
        body = _OVAL if cable.screen else None
        room = self.room - _LABEL_OFF - _STROKE_REACH
        whole = ", ".join(text for text in (cable_type(cable), cable_run(cable)) if text)
        if text_width(whole) <= room:
            lines = [whole]
        else:
            lines = [*wrap(cable_type(cable), room, lines=2), *wrap(cable_run(cable), room, lines=2)]
        return Cell("cable", name, self._names(name, room), tuple(lines), body, strokes=wiring)

    def device(self, step: Step) -> Cell:
        """A device with its ratings; a terminal strip with the terminals passed."""
        device = self.network.plant.devices[step.device]
        if device.kind in BARS:
            body = Body((Line(((-5.0, 0.0), (5.0, 0.0)), 0.7),), 0.0, 5.0, 5.0, True)
        else:
            body = body_of(symbol_name(device))
        room = self.room - _LABEL_OFF - body.right
        lines = self._device_lines(device, step, room)
        return Cell(
            "device", device.id, self._names(device.id, room), lines, body, self._earthed(device), device.category == "supply"
        )

    def _device_lines(self, device: Device, step: Step, room: float) -> tuple[str, ...]:
        texts: tuple[str, ...] = rating_lines(device)
        if device.category == "supply":
            texts = (*((device.title,) if device.title else ()), *supply_lines(device))
        elif device.category == "strip" and step.wiring.terminals:
            texts = (" ".join(_short(step.wiring.terminals)),)
        elif not texts and device.title:
            texts = (device.title,)
        interlock = self._interlock(device)
        if interlock:  # its ratings move up to one line, so that the column does not grow
            texts = (", ".join(texts), interlock)
        texts = _with_handle(texts, handle_words(device), room)
        if device.category != "supply" and self._afield(device):
            texts = (*texts, device.place)
        return tuple(line for text in texts for line in wrap(text, room, lines=2))[:6]

    def _interlock(self, device: Device) -> str:
        """What a device is mechanically interlocked with: the fitter mounts that, no wire tells of it."""
        pairs = [
            pair.devices for pair in self.network.plant.interlocks if pair.kind == "mechanical" and device.id in pair.devices
        ]
        others = dict.fromkeys(name for pair in pairs for name in pair if name != device.id)
        inside = f"{device.function}-"
        short = [name[len(device.function) :] if name.startswith(inside) else name for name in others]
        return f"mechanical interlock {', '.join(short)}" if short else ""

    def _afield(self, device: Device) -> bool:
        place = self.network.plant.places.get(device.place)
        return place is not None and place.kind in ("field", "box")

    def _names(self, name: str, room: float) -> tuple[str, ...]:
        """The designation, parted before its product and at the points of its function where it is too long for one line."""
        if text_width(name, DESIGNATION) <= room or not name.startswith("="):
            return wrap(name, room, DESIGNATION)
        at = name.index("-")
        lines: list[str] = []
        for part in (*name[:at].replace(".", ". ").split(), name[at:]):
            joined = lines[-1] + part if lines and not part.startswith("-") else ""
            if joined and text_width(joined, DESIGNATION) <= room:
                lines[-1] = joined
            else:
                lines += wrap(part, room, DESIGNATION)
        return tuple(lines)

    def _earthed(self, device: Device) -> bool:
        """Whether a protective conductor or its mounting joins the device to the earth graph; strips show theirs elsewhere."""
        earth = self.network.earth
        node = earth.node_of.get(device.id)
        if node is None or device.category != "device" or node not in earth.graph:
            return False
        return earth.graph.degree(node) > 0 or (node == earth.root and device.id != node)

    def _ends(self, step: Step) -> tuple[Cell, ...]:
        """Arrows to what the device feeds outside the power path, and to what hangs on another branch."""
        room = self.room - _LABEL_OFF
        cells: list[Cell] = []
        for join in step.joins:
            cells += [self._joining(name, join) for name in join.wiring.cables]
            lines = wrap(f"to {join.device}", room, lines=2)
            cells.append(Cell("end", step.device, (), (*lines, "sheet"), refer=f"at {join.device}"))
        others = step.control or self._beyond(step)
        if others and not step.joins:
            cells.append(Cell("end", step.device, (), wrap("to " + _listed(others), room, lines=3)))
        elif self._is_star_point(step.device):
            cells.append(Cell("end", step.device, (), ("star point",)))
        return tuple(cells)

    def _is_star_point(self, name: str) -> bool:
        """Whether the load side of a device is joined to itself in all poles, as behind a star contactor."""
        terminals = self.network.plant.devices[name].terminals
        nets = [self.network.net(f"{name}:{key}") for key, terminal in terminals.items() if terminal.role is Role.LOAD_OUT]
        return len(nets) > 2 and nets[0] is not None and all(net is nets[0] for net in nets)

    def _joining(self, name: str, join: Join) -> Cell:
        """The cable of a second way to a device; where it is that of the first, it says so instead of telling it twice."""
        cell = self.cable(name, join.wiring)
        if name not in join.again:
            return cell
        words = f"{'same' if join.shared else 'other'} cores of the cable at {join.device}"
        return replace(cell, lines=wrap(words, self.room - _LABEL_OFF - _STROKE_REACH, lines=2), shared=join.shared)

    def _beyond(self, step: Step) -> tuple[str, ...]:
        """Devices wired to the load side of a device that feeds no other in the power path: control circuits."""
        network, device = self.network, self.network.plant.devices[step.device]
        if step.device not in network.power.graph or network.power.graph.out_degree(step.device):
            return ()
        found: dict[str, None] = {}
        for name, terminal in device.terminals.items():
            if terminal.role in (Role.LOAD_OUT, Role.SUPPLY_OUT):
                for wire in network.at_terminal.get(f"{device.id}:{name}", ()):
                    found.update((end.device, None) for end in network.runs[wire].conductor.ends if end.device != device.id)
        return tuple(found)


def _with_handle(texts: tuple[str, ...], handle: str, room: float) -> tuple[str, ...]:
    """The lines of a device with the place of its handle: behind the last where that leaves room, so that few columns grow."""
    joined = ", ".join(text for text in (*texts[-1:], handle) if text)
    return (*texts[:-1], joined) if text_width(joined) <= room else (*texts, handle)


def _short(terminals: tuple[str, ...]) -> tuple[str, ...]:
    return terminals if len(terminals) <= 6 else (*terminals[:5], "…")


def _listed(names: tuple[str, ...]) -> str:
    shown = ", ".join(names[:3])
    return shown if len(names) <= 3 else f"{shown} and {len(names) - 3} more"


def draw_cell(cell: Cell, x: float, top: float, height: float) -> tuple[list[Primitive], list[Label]]:
    """Primitives of `cell` whose line runs at `x` from `top` on for `height` mm; labels apart, the referring one first."""
    middle = top + height / 2
    if cell.kind == "strokes":
        return [_run(x, top, top + height, cell.of), *strokes(cell.strokes, x, middle, cell.of)], []
    if cell.kind == "end":
        return _draw_end(cell, x, top, height)
    parts: list[Primitive] = []
    right, left = _STROKE_REACH, 0.0
    if cell.kind == "cable":
        parts += _cable(cell, x, top, height)
    elif cell.body is not None:
        half, right, left = cell.body.half, cell.body.right, cell.body.left
        parts += placed_body(cell.body, x, middle, cell.of)
        if not cell.source:
            parts.append(_run(x, top, middle - half, cell.of))
        if cell.body.open:
            parts.append(_run(x, middle + half, top + height, cell.of))
    if cell.earth:
        parts += placed(symbol("earth-tail"), x - left, middle, cell.of)
    return parts, labels(cell, x + right + _LABEL_OFF, middle - cell.label_height / 2)


def _cable(cell: Cell, x: float, top: float, height: float) -> list[Primitive]:
    """The line of a cable: the oval of its screen, below it a stroke for each conductor."""
    counted = _strokes_height(cell.strokes)
    half = cell.body.half if cell.body else 0.0
    spare = max(height - counted - 2 * half, 0.0) / (3 if cell.body else 2)
    parts: list[Primitive] = [_run(x, top, top + height, cell.of)]
    if cell.body:
        parts += placed_body(cell.body, x, top + spare + half, cell.of)
    return parts + strokes(cell.strokes, x, top + height - spare - counted / 2, cell.of)


def placed_body(body: Body, x: float, y: float, of: str) -> list[Primitive]:
    """The symbol with its centre at `x, y`."""

    return list(moved(body.primitives, x, y, of))


def labels(cell: Cell, x: float, top: float) -> list[Label]:
    """Names and lines of a cell, the first one's capitals at `top`."""
    made = []
    y = top + (DESIGNATION if cell.names else NORMAL)
    for index, name in enumerate(cell.names):
        made.append(Label(x, y + index * _NAME_PITCH, name, DESIGNATION, of=cell.of))
    y += max(len(cell.names) - 1, 0) * _NAME_PITCH + (_LINE_PITCH if cell.names else 0.0)
    made += [Label(x, y + index * _LINE_PITCH, line, of=cell.of) for index, line in enumerate(cell.lines)]
    return made


def _run(x: float, top: float, bottom: float, of: str) -> Line:
    return Line(((x, top), (x, bottom)), WIDE, of=of)


def _draw_end(cell: Cell, x: float, top: float, height: float) -> tuple[list[Primitive], list[Label]]:
    """A line that ends in an arrow, with what it leads to beside it."""
    tip = top + height - 1.0
    head = Line(((x, tip), (x - 1.0, tip - 2.6), (x + 1.0, tip - 2.6)), MEDIUM, closed=True, fill=True, of=cell.of)
    return [_run(x, top, tip - 2.6, cell.of), head], labels(cell, x + _LABEL_OFF, top + height / 2 - cell.label_height / 2)


def strokes(wiring: Wiring | None, x: float, y: float, of: str) -> list[Primitive]:
    """Slant strokes round `y` on a line, one a conductor: neutral with a dot, protective with a bar at its tip."""
    if wiring is None or not _stroke_count(wiring):
        return []
    counted = conductor_count(wiring.poles, wiring.neutral, wiring.earth)
    kept = [part for part in counted.primitives if not _is_run(part)]

    return list(moved(kept, x, y - 5.0, of))


def _is_run(part: Primitive) -> bool:
    return isinstance(part, Line) and part.points[0][0] == part.points[-1][0]


def dot(x: float, y: float, of: str = "") -> Circle:
    """Where a line parts."""
    return Circle(x, y, 0.8, WIDE, fill=True, of=of)
