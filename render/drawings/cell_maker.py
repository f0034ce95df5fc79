"""Makes the cells of each step of a feeder: which symbol, what is said beside it, what it leads to."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

from msgspec.structs import replace

from netdsl.model.kinds import BARS
from netdsl.model.plant import Device, Role
from netdsl.network.queries import mate_of
from netdsl.network.types import Network
from netdsl.sums import sum_of
from render.drawings.feeder_steps import Join, Step, Wiring
from render.drawings.power_cells import LABEL_OFF, OVAL, STROKE_REACH, TAP_LEAD, WAY, Body, Cell, body_of
from render.layout.fonts import text_width, wrap
from render.sheet import DESIGNATION, Line
from render.words.ratings import cable_run, cable_type, handle_words, rating_lines, supply_lines

_PLACE = "sheet S88 / B8"  # as long as a reference comes


def symbol_name(device: Device) -> str:
    """Name of the symbol that stands for a device: its own, else its kind's; a block with that name where none is drawn."""
    return device.symbol or device.kind


def _nowhere(_: str) -> str:
    """Key of the sheet that shows a thing, of a set that has none."""
    return ""


class CellMaker:
    """Makes cells; `room`: width for labels right of a line, mm; `link`: key of the sheet that shows a thing.

    `cells` gives, once made for each step, those of what leads to its device, of the device, and of what it feeds outside the
    power path.
    """

    def __init__(self, network: Network, room: float, link: Callable[[str], str] = _nowhere) -> None:
        self.network = network
        self.room = room
        self.link = link
        self.tell(frozenset(), {})

    def tell(self, drawn: frozenset[tuple[str, str]], also: Mapping[str, Sequence[str]]) -> None:
        """Which second ways are `drawn` as lines, from device to device, and which devices feed others `also`, from elsewhere."""
        self.drawn, self._also = drawn, also
        self.cells = cache(self._cells)

    def _cells(self, step: Step) -> tuple[Cell, ...]:
        if step.taps:
            return self._taps(step)
        cables = tuple(self.cable(name, step.wiring, step.device) for name in step.wiring.cables)
        counted = () if cables or not self._changes(step) else (Cell("strokes", step.device, strokes=step.wiring),)
        return (*cables, *counted, self.device(step), *self._ends(step))

    def height(self, step: Step) -> float:
        """Least height of the step's cells, mm."""
        return sum_of(cell.tight for cell in self.cells(step))

    def _changes(self, step: Step) -> bool:
        """Whether the number of conductors is other than above, so that it is shown again."""
        graph = self.network.power.graph
        feeding = next((name for name in graph.predecessors(step.device)), None) if step.device in graph else None
        if feeding is None or step.wiring.poles == 0:
            return False
        above = [graph.edges[other, feeding] for other in graph.predecessors(feeding)]
        same = any((edge["poles"], edge["neutral"]) == (step.wiring.poles, step.wiring.neutral) for edge in above)
        return bool(above) and not same

    def cable(self, name: str, wiring: Wiring, leads: str = "") -> Cell:
        """A cable: designation, construction, length and ways; a screened one with its dashed oval."""
        cable = self.network.plant.cables[name]
        body = OVAL if cable.screen else None
        room = self.room - LABEL_OFF - STROKE_REACH
        whole = ", ".join(text for text in (cable_type(cable), cable_run(cable)) if text)
        if text_width(whole) <= room:
            lines = [whole]
        else:
            lines = [*wrap(cable_type(cable), room, lines=2), *wrap(cable_run(cable), room, lines=2)]
        return Cell("cable", name, self._names(name, room), tuple(lines), body, strokes=wiring, leads=leads)

    def device(self, step: Step) -> Cell:
        """A device with its ratings; a terminal strip with the terminals passed."""
        device = self.network.plant.devices[step.device]
        if device.kind in BARS:
            body = Body((Line(((-5.0, 0.0), (5.0, 0.0)), 0.7),), 0.0, 5.0, 5.0, True)
        else:
            body = body_of(symbol_name(device))
        room = self.room - LABEL_OFF - body.right
        lines = self._device_lines(device, step, room)
        also = self._also.get(device.id, ())
        referring, before = "{}", [""] * bool(also)
        if also:
            referring = f"also from {also[-1]} {{}}"
            if text_width(referring.format(_PLACE)) > room:
                referring, before = f"{also[-1]} {{}}", ["also from", ""]
        return Cell(
            "device",
            device.id,
            self._names(device.id, room),
            (*lines, *(f"also from {name}" for name in also[:-1]), *before),
            body,
            self._earthed(device),
            device.category == "supply",
            refer=f"at {also[-1]}" if also else "",
            referring=referring,
            links=self.link(device.id),
        )

    def _taps(self, step: Step) -> tuple[Cell, ...]:
        """Protective devices that leave one line, each with what it feeds."""
        made = []
        for tap in step.taps:
            device = self.network.plant.devices[tap.device]
            body = body_of(symbol_name(device))
            room = self.room - LABEL_OFF - TAP_LEAD - 2 * body.half - 4.0
            to = ", ".join(tap.control or self._beyond(tap))
            texts = (", ".join([*rating_lines(device)[:1], *([f"to {to}"] if to else [])]), device.title)
            lines = tuple(line for text in texts for line in wrap(text, room, lines=3))[:4]
            made.append(Cell("device", device.id, self._names(device.id, room), lines, body, links=self.link(device.id)))
        counted = (Cell("strokes", step.device, strokes=step.wiring),) if self._changes(step) else ()
        return (*counted, Cell("taps", step.device, taps=tuple(made)))

    def _device_lines(self, device: Device, step: Step, room: float) -> tuple[str, ...]:
        texts: tuple[str, ...] = rating_lines(device)
        if device.category == "supply":
            texts = (*((device.title,) if device.title else ()), *supply_lines(device))
        elif device.category == "strip" and step.wiring.terminals:
            texts = (" ".join(_short(step.wiring.terminals)),)
        elif not texts and device.title:
            texts = (device.title,)
        mate = mate_of(self.network.plant, device.id)
        if mate:
            texts = (*texts, f"meets {mate}")
        interlock = self._interlock(device)
        if interlock:  # its ratings move up to one line, so that the column does not grow
            texts = (", ".join(texts), interlock)
        texts = _with_handle(texts, handle_words(device), room)
        if device.category != "supply" and self._afield(device):
            texts = (*texts, device.place)
        # more lines would make one device as high as two
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
        return place is not None and place.kind in ("field", "box", "pit")

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
        kind = "way" if self._goes_on(step) else "end"
        room = self.room - (WAY + 1.4 if kind == "way" else LABEL_OFF)
        cells: list[Cell] = []
        for join in step.joins:
            drawn = (step.device, join.device) in self.drawn
            over = [name for name in join.wiring.cables if not (drawn and join.shared)]
            if kind == "end":
                cells += [self._joining(name, join, drawn) for name in over]
            if not drawn:
                by = f"{', '.join(over)} " if over and kind == "way" else ""  # a cable on the line would be that of what follows
                lines = wrap(f"{by}to {join.device}", room, lines=2)
                cells.append(Cell(kind, step.device, (), (*lines, "sheet"), refer=f"at {join.device}"))
        others = step.control or self._beyond(step)
        if others and not step.joins:
            cells.append(Cell(kind, step.device, (), wrap("to " + _listed(others), room, lines=3)))
        elif self._is_star_point(step.device):
            cells.append(Cell("end", step.device, (), ("star point",)))
        return tuple(cells)

    def _goes_on(self, step: Step) -> bool:
        """Whether the line goes on below the device to what hangs on it."""
        graph = self.network.power.graph
        aside = {*step.control, *(join.device for join in step.joins)}
        return step.device in graph and any(name not in aside for name in graph.successors(step.device))

    def _is_star_point(self, name: str) -> bool:
        """Whether the load side of a device is joined to itself in all poles, as behind a star contactor."""
        terminals = self.network.plant.devices[name].terminals
        nets = [self.network.net(f"{name}:{key}") for key, terminal in terminals.items() if terminal.role is Role.LOAD_OUT]
        return len(nets) > 2 and nets[0] is not None and all(net is nets[0] for net in nets)

    def _joining(self, name: str, join: Join, drawn: bool) -> Cell:
        """The cable of a second way to a device; where it is that of the first, it says so instead of telling it twice, and where
        that is not `drawn` beside it on which sheet it is told."""
        cell = self.cable(name, join.wiring)
        if name not in join.again:
            return cell
        words = f"{'same' if join.shared else 'other'} cores of the cable at {join.device}"
        room = self.room - LABEL_OFF - STROKE_REACH
        lines = wrap(words, room, lines=2)
        if drawn:
            return replace(cell, lines=lines)
        referring = f"{lines[-1]} {{}}"
        if text_width(referring.format(_PLACE)) <= room:
            return replace(cell, lines=lines, refer=f"at {join.device}", referring=referring)
        return replace(cell, lines=(*lines, ""), refer=f"at {join.device}")

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
