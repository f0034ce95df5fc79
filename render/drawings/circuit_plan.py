"""All circuit diagrams of a plant planned: what stands on which sheet, in which zone, and where each potential comes from."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from msgspec import Struct, field

from netdsl.model.kinds import Kind
from netdsl.model.plant import Role
from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.circuit_groups import SHARED, Group, grouped
from render.drawings.circuit_homes import Homes
from render.drawings.circuit_leads import Lead, lines_of, merged
from render.drawings.circuit_looks import Looks
from render.drawings.circuit_pages import USUAL, Pages
from render.drawings.circuit_parts import GIVING, Part
from render.drawings.circuit_pen import CircuitPen
from render.drawings.circuit_places import Place
from render.drawings.circuit_ranks import Net
from render.layout.fonts import Box
from render.layout.frame import zone
from render.layout.remarks import Remarks
from render.sheet import sheet_key
from render.words.remarks import CAUTION, scope_words, shade_words

_ROOM = 60.0  # below circuits for where potentials lead that are fed on another sheet, mm
_RETURNS = frozenset({"0V", "-", "N", "PE", "PEN"})
_SIGNS = "Contacts at rest. Dot: joined. Circle: strip terminal. Arrow: goes on. /B4: zone B4 here. E2 B4: of sheet E2."


class Planned(Struct):
    """The sheets of one group: key and number without their own count, remarks, a pen for each."""

    group: Group
    key: str
    number: str
    remarks: Remarks
    pens: list[CircuitPen] = field(default_factory=list)


class CircuitPlan:
    """`planned`: by group; `where`: of each part key and number of its sheet, and zone; `fed`: of each rail the tap by which
    it is fed; `keys`: the sheet that shows each device."""

    def __init__(self, drawing: Drawing) -> None:
        network, plant = drawing.network, drawing.plant
        drawn = grouped(network)
        self.size = drawing.size
        net = _net(network)
        self.homes = Homes(drawn, plant, drawing.asked)
        self.fed = dict(self._feeds(drawn.groups, net.gives))
        taken: set[str] = set()
        names = [group.function or group.place + SHARED * bool(group.also) for group in drawn.groups]
        self.homes.numbers = [f"{name.lstrip('=+') or 'G'}/E" for name in names]
        self.planned: list[Planned] = []
        self.where: dict[str, Place] = {}
        for number, group in enumerate(drawn.groups):
            own = Planned(
                group,
                sheet_key("circuit", names[number] or "supply", taken),
                self.homes.numbers[number],
                Remarks((), drawing.notes),
            )
            looks = Looks(self.homes, number, group.function, _main_place(network, group))
            said = (_SIGNS, *shade_words(plant), *scope_words(group.function), CAUTION)
            pages = Pages(network, drawn, group, looks, drawing.area, net, self.fed)
            own.remarks = Remarks.of(said, drawing.notes)
            whole = drawing.area
            below = own.remarks.above + (USUAL if pages.wires.usual.words() else 0.0)
            area = Box(whole.left, whole.top, whole.right, whole.bottom - below)
            for index, shelves in enumerate(pages.shared(area)):
                pen = CircuitPen(area, pages, shelves)
                for name, x, y in pen.places:
                    self.where[name] = Place(f"{own.key}.{index + 1}", f"{own.number}{index + 1}", zone(drawing.size, x, y))
                own.pens.append(pen)
            self.planned.append(own)
        self._lead_on()
        homes = self.homes.home.items()
        self.keys = {device: self.where[part.key].key for device, part in homes if part.key in self.where}

    def _lead_on(self) -> None:
        """Say on the sheet that feeds a potential where it leads; on a further one where there is no room."""
        used: dict[str, list[Place]] = {}
        for planned in self.planned:
            for pen in planned.pens:
                for rail, tap in pen.rails().items():
                    if self.where[self.fed[rail].key].key != self.where[tap].key:
                        used.setdefault(rail, []).append(self.where[tap])
        for planned in self.planned:
            waiting: list[tuple[CircuitPen, Sequence[Lead]]] = []
            for pen in planned.pens:
                here = {key for key, _, _ in pen.places}
                feeds = [rail for rail in pen.rails() if self.fed[rail].key in here and rail in used]
                leads = [
                    Lead(rail, pen.pages.names[rail], tuple(used[rail]), self.where[self.fed[rail].key].zone) for rail in feeds
                ]
                told = merged(leads)
                if told and pen.take(told) and pen.take(merged(leads, zones=False)):
                    waiting.append((pen, told))
            for pen, untold in waiting:  # once each has said its own below its circuits
                origin = self.where[self.fed[untold[0].rail].key]
                left = [lead.elsewhere(origin) for lead in untold]
                while left:
                    lines = len(lines_of(left, pen.area.width))
                    last = self._with_room(planned, pen, lines, [other for other, _ in waiting])
                    if pen.onward is None:
                        number = planned.pens.index(last) + 1
                        at = zone(self.size, last.area.left, last.foot)
                        pen.onward = Place(f"{planned.key}.{number}", f"{planned.number}{number}", at)
                    left = list(last.take(left, origin))

    def _with_room(self, planned: Planned, pen: CircuitPen, lines: int, full: Sequence[CircuitPen]) -> CircuitPen:
        """A sheet behind that of `pen`, none of those `full`, with room for `lines` on where potentials lead, or for many of
        them; else a new one."""
        for other in planned.pens[planned.pens.index(pen) + 1 :]:
            if other not in full and (lines <= other.room() or other.foot < other.area.bottom - _ROOM):
                return other
        planned.pens.append(CircuitPen(pen.area, pen.pages, ()))
        return planned.pens[-1]

    def _feeds(self, groups: list[Group], gives: Container[str]) -> Iterator[tuple[str, Part]]:
        """Each rail with the tap that its sheets name: at which an output makes it, else in the common part where it has one
        there."""
        taps: dict[str, list[tuple[bool, bool, Part]]] = {}
        for group in groups:
            made = {key for link in group.links for (key, _), (_, far) in (link.ends, link.ends[::-1]) if far in gives}
            for part in group.parts.values():
                if part.kind == "rail":
                    taps.setdefault(part.rail, []).append((part.key not in made, bool(group.function), part))
        for rail, found in taps.items():
            yield rail, min(found, key=lambda tap: tap[:2])[2]


def _net(network: Network) -> Net:
    live: dict[str, int] = {}
    for net in network.nets.values():
        returns = any(potential.pole in _RETURNS for potential in net.certain)
        sure = any(potential.pole not in _RETURNS and potential.kind != "earth" for potential in net.certain)
        maybe = any(potential.pole not in _RETURNS and potential.kind != "earth" for potential in net.possible)
        live.update(dict.fromkeys(net.nodes, -1 if returns else 2 if sure else 1 if maybe else 0))
    gives = {
        f"{device.id}:{terminal.name}"
        for device in network.plant.devices.values()
        for terminal in device.terminals.values()
        if terminal.role in GIVING
    }
    for device in network.plant.devices.values():
        if device.kind != Kind.MOTOR:  # what tells by thermistors how warm a winding is sends its current through them
            sensed = (terminal.name for terminal in device.terminals.values() if terminal.role == Role.THERMISTOR)
            gives.update(f"{device.id}:{name}" for name in list(sensed)[:1])
    takes = (
        f"{device.id}:{terminal.name}"
        for device in network.plant.devices.values()
        for terminal in device.terminals.values()
        if terminal.role == Role.ANALOGUE_IN
    )
    return Net(live, frozenset(gives), frozenset(takes))


def _main_place(network: Network, group: Group) -> str:
    """The enclosure in which most of a group stands."""
    plant = network.plant
    if not group.function:
        return group.place
    place = plant.places.get(plant.functions[group.function].place or "")
    if place is not None and place.enclosure:
        return place.enclosure
    counted: dict[str, int] = {}
    for part in group.parts.values():
        device = plant.devices.get(part.device)
        held = plant.places.get(device.place) if device is not None else None
        if held is not None and held.enclosure:
            counted[held.enclosure] = counted.get(held.enclosure, 0) + 1
    return max(counted, key=lambda name: counted[name], default="")
