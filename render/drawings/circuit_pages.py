"""The circuits of one group measured for a sheet: names of their potentials, circuits parted where they are too large."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from math import ceil

from msgspec import Struct

from netdsl.model.kinds import Category
from netdsl.network.types import Network
from netdsl.sums import sum_of
from render.drawings.circuit_cards import card_stacks
from render.drawings.circuit_cuts import Cuts
from render.drawings.circuit_draft import terminal_name
from render.drawings.circuit_groups import Group, Grouped
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_leads import ONWARD, height_of
from render.drawings.circuit_looks import Looks
from render.drawings.circuit_narrower import Narrower
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Circuit, Net
from render.drawings.circuit_rejoined import rejoined
from render.drawings.circuit_rows import arrange, components
from render.drawings.circuit_shelves import FOLDED, NUMBERS, RAIL, Room, Shelf, Shelves
from render.drawings.circuit_together import Together
from render.drawings.circuit_wires import POWER, Wires
from render.layout.fonts import Box, text_width

USUAL = 5.5  # room for what wires are where nothing is said
_NARROW = 120.0  # for circuits, mm, below which potentials are named on the left alone
_LEAD = 40.0  # of the name of a place to which a potential leads, with its share of the name of that, mm
_SMALL = 250.0  # of sheets on which that is worth less than a circuit in one piece
_TIGHT = 105.0  # for circuits, mm, below which names stand above references
_SPARED = 0.5  # of the room for a name, where none stands beside it
#: as many times as wide as a sheet no words below each other make a circuit fit
_HOPELESS = 4.0
#: of the room, beyond which a circuit with the shortest words does not fit in any way that is easier to read
_NEARLY = 1.1


class _Sides(Struct, frozen=True):
    """Room for the names of potentials left and right, mm; `folded`: whether they stand above where they are fed."""

    left: float
    right: float
    folded: bool


class Pages:
    """The circuits of one group. `wires`: its conductors; `left`, `right`: room for the names of potentials, `named`: for one,
    mm; `fed`: of each rail the tap that its sheets name."""

    def __init__(
        self, network: Network, drawn: Grouped, group: Group, looks: Looks, area: Box, net: Net, fed: Mapping[str, Part]
    ) -> None:
        self.network = network
        self.drawn = drawn
        self.group = group
        self.looks = looks
        self.net = net
        self.fed = fed
        rails = [part for part in group.parts.values() if part.kind == "rail"]
        self.names = self._names(rails)
        self.named = max(map(text_width, self.names.values()), default=0.0) + 3.0
        self.refer = max((looks.reference(fed[part.rail].key) for part in rails), default=-2.0)
        self.area = area
        self._take(self._sides()[0])
        self.height = area.height
        self.whole = area.width * area.height
        self.wires = Wires(network, group, looks)
        self.cuts = Cuts(drawn, group, looks)

    def _sides(self) -> list[_Sides]:
        """How names of potentials may stand beside the circuits, the easiest to read first."""
        left, folded = self.named + self.refer + 2.0, max(self.named, self.refer + 3.0) - _SPARED
        found = [_Sides(left, self.named, False)] if self.area.width - left - self.named > _NARROW else []
        found += [_Sides(left, 2.0, False)] if self.area.width - left - 2.0 >= _TIGHT else []
        return [*found, _Sides(folded, 2.0, True)]

    def _take(self, sides: _Sides) -> None:
        self.left, self.right, self.folded = sides.left, sides.right, sides.folded
        self.rail = FOLDED if sides.folded else RAIL
        self.width = self.area.width - sides.left - sides.right

    def _make_room(self, layouts: Sequence[Layout]) -> None:
        """Let names of potentials stand so that as few circuits as can be are too large; of a small sheet, where some are all the
        same, so that these are parted least."""
        counts = []
        for sides in (choices := self._sides()):
            self._take(sides)
            counts.append(len([layout for layout in layouts if self._fits(layout)]))
        best = max(counts)
        small = self.area.width < _SMALL and best < len(layouts)
        self._take(choices[-1 if small and counts[-1] == best else counts.index(best)])

    def _fits(self, layout: Layout) -> bool:
        return layout.width <= self._room(layout) and Shelf(rail=self.rail).height_with(layout) <= self.height

    def _room(self, layout: Layout) -> float:
        """The width that a circuit has, mm: also that which the names of its potentials leave of the room for all."""
        return self.width + self.left - self._named(dict.fromkeys(rail for rail, _ in layout.rails))

    def _named(self, rails: Collection[str]) -> float:
        """The room that the names of some potentials take, mm."""
        if not rails:
            return 0.0
        refer = max(self.looks.reference(self.fed[rail].key) for rail in rails)
        name = self.name_room(rails)
        return max(name, refer + 3.0) - _SPARED if self.folded else name + refer + 2.0

    def name_room(self, rails: Collection[str]) -> float:
        """The room that the longest name of some potentials takes, mm."""
        return max(text_width(self.names[rail]) for rail in rails) + 3.0

    def _names(self, rails: Sequence[Part]) -> dict[str, str]:
        """The name of each potential, with its device where two would have the same, with its terminal where that has two."""
        plain = {part.rail: rail_name(self.network, part) for part in rails}
        counts = Counter(plain.values())
        devices = {part.rail: self.looks.names.of(part.device) for part in rails}
        told = {rail: f"{name} {devices[rail]}" if counts[name] > 1 else name for rail, name in plain.items()}
        again = Counter(told.values())
        return {rail: f"{name}:{terminal_name(rail)}" if again[name] > 1 and ":" in rail else name for rail, name in told.items()}

    def shared(self, area: Box) -> list[list[Shelf]]:
        """The shelves of each sheet."""
        own = [rail for rail in self.names if self.fed[rail].key in self.group.parts]
        self.height = area.height - (ONWARD if own else 0.0)
        layouts = self._layouts()
        room = Room(self.width, self.left + self.right, self.height, self.rail, self._leads(own), bool(self.group.also))
        return Shelves(room, self.whole, Together(self.network.plant), self._is_power).sheets(layouts)

    def _leads(self, rails: Sequence[str]) -> float:
        """About how much is said of where the potentials lead that are fed here, mm: of those that lead to the same groups at
        once."""
        if not rails:
            return 0.0
        led = {tuple(self.drawn.led.get(rail, ())) for rail in rails}
        return height_of(max(sum_of(ceil(len(groups) * _LEAD / self.area.width) for groups in led), 1))

    def inset(self, shelf: Shelf) -> float:
        """How far from the left of the area a shelf begins, mm: beyond the names of all potentials; one that is wider than these
        leave, beyond those of its own."""
        spare = self.left - self._named([*shelf.above, *shelf.below])
        return self.left - min(max(shelf.width - self.width, 0.0), spare)

    # --- circuits -------------------------------------------------------------------------------------------------
    def _layouts(self) -> list[Layout]:
        cards = [part for part in self.group.parts.values() if part.kind == "card"]
        rest = {key: part for key, part in self.group.parts.items() if part.kind != "card"}
        waiting = [self._measured(circuit) for circuit in components(rest, self.group.links)]
        self._make_room(waiting)
        found: list[Layout] = []
        while waiting:
            layout = waiting.pop(0)
            fitting = self._fitted(layout)
            parted = [] if fitting else self.cuts.part(layout, layout.width > self._room(layout), self.width)
            if parted:
                waiting = [*map(self._measured, parted), *waiting]
            else:
                found.append(fitting or self._narrowest(layout))
        if self.cuts.parted:
            found = rejoined(self.cuts, found, lambda circuit: self._fitted(self._measured(circuit)))
        return [*card_stacks(self.looks, cards, self.height - NUMBERS), *found]

    def _fitted(self, layout: Layout) -> Layout | None:
        """A circuit as it fits on a sheet, with words below each other where need be; None where it does not."""
        room = self._room(layout)
        if layout.width <= room:
            return layout if self._fits(layout) else None
        if layout.width > _HOPELESS * room:
            return None
        narrower = Narrower(layout, self.looks, self.wires)
        if narrower.least() > _NEARLY * room:
            return None
        return next(filter(self._fits, narrower.layouts()), None)

    def _measured(self, circuit: Circuit) -> Layout:
        arrange(circuit, self.net)
        return Layout(circuit, self.looks, self.wires.labels(circuit))

    def _narrowest(self, layout: Layout) -> Layout:
        """What fits on no sheet in the least width that it is found to take."""
        if layout.width <= self._room(layout):
            return layout
        narrower = Narrower(layout, self.looks, self.wires)
        return min((layout, *narrower.layouts()), key=lambda each: each.width)

    def _is_power(self, layout: Layout) -> bool:
        runs = [self.network.runs.get(link.key) for link in layout.circuit.links]
        return any(run is not None and run.klass in POWER for run in runs)


def rail_name(network: Network, part: Part) -> str:
    """The name of a potential: its mark, else its pole or voltage; of what has none the first terminal of its rail."""
    net = network.net(part.ways[0].a)
    device = network.plant.devices.get(part.device)
    bar = f" {part.device}" if device is not None and device.category != Category.STRIP else ""
    if net is not None and net.mark:
        return net.mark + bar
    if device is not None and device.kind == "earth-bar":
        return f"PE{bar}"
    held = net.certain if net is not None else ()
    if len({potential.pole for potential in held}) != 1:
        return part.rail
    potential = held[0]
    if potential.kind == "dc" and potential.pole not in ("0V", "-") and potential.voltage:
        return f"{potential.voltage:g} V DC{bar}"
    return {"0V": "0 V", "-": "0 V"}.get(potential.pole, potential.pole) + bar
