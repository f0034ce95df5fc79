"""The circuits of one group measured for a sheet: names of their potentials, circuits parted where they are too large."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import inf

from netdsl.model.kinds import Category
from netdsl.network.types import Network
from render.drawings.circuit_cards import card_stacks
from render.drawings.circuit_cuts import Cuts
from render.drawings.circuit_draft import terminal_name
from render.drawings.circuit_groups import Group, Grouped
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_leads import ONWARD
from render.drawings.circuit_looks import Looks
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Net
from render.drawings.circuit_rows import arrange, components
from render.drawings.circuit_shelves import NUMBERS, RAIL, Room, Shelf, Shelves
from render.drawings.circuit_together import Together
from render.drawings.circuit_wires import POWER, Wires
from render.layout.fonts import Box, text_width

USUAL = 5.5  # room for what wires are where nothing is said
_NARROW = 120.0  # for circuits, mm, below which potentials are named on the left alone
_TIGHT, _FOLDED = 105.0, 8.0  # for circuits, below which names stand above references; room for a potential then, mm
#: of words at conductors where a circuit is too wide, mm: tried one after the other
_REACHES = (inf, 60.0, 45.0, 30.0, 20.0, 12.0)


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
        refer = max((looks.reference(fed[part.rail].key) for part in rails), default=-2.0)
        self.left = self.named + refer + 2.0
        # where names and references would leave circuits too little, they stand below each other
        self.folded = area.width - self.left - 2.0 < _TIGHT
        self.rail = _FOLDED if self.folded else RAIL
        if self.folded:
            self.left = max(self.named, refer + 3.0) + 2.0
        # on a small sheet long names stand at one end alone
        self.right = self.named if area.width - self.left - self.named > _NARROW else 2.0
        self.width = area.width - self.left - self.right
        self.height = area.height
        self.whole = area.width * area.height
        self.wires = Wires(network, group, looks)
        self.cuts = Cuts(drawn, group, net, looks)

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
        self.feeds = any(self.fed[rail].key in self.group.parts for rail in self.names)
        self.height = area.height - (ONWARD if self.feeds else 0.0)
        room = Room(self.width, self.left + self.right, self.height, self.rail, self.feeds, bool(self.group.also))
        together = Together(self.network.plant)
        return Shelves(room, self.whole, together, self._is_power).sheets(self._layouts())

    def inset(self, shelf: Shelf) -> float:
        """How far from the left of the area a shelf begins, mm: beyond the names of its potentials. One that has none and is
        wider than these leave, as a block that cannot be parted, takes their room."""
        if shelf.above or shelf.below:
            return self.left
        return self.left - min(max(shelf.width - self.width, 0.0), self.left)

    # --- circuits -------------------------------------------------------------------------------------------------
    def _layouts(self) -> list[Layout]:
        cards = [part for part in self.group.parts.values() if part.kind == "card"]
        rest = {key: part for key, part in self.group.parts.items() if part.kind != "card"}
        waiting = components(rest, self.group.links)
        found: list[Layout] = []
        while waiting:
            circuit = waiting.pop(0)
            arrange(circuit, self.net)
            layout = Layout(circuit, self.looks, self.wires.labels(circuit))
            wide = layout.width > self.width
            parted = (
                self.cuts.part(layout, wide, self.width)
                if wide or Shelf(rail=self.rail).with_(layout).height > self.height
                else []
            )
            if parted:
                waiting = parted + waiting
            else:
                found.append(self._narrowed(layout))
        return [*card_stacks(self.looks, cards, self.height - NUMBERS), *found]

    def _narrowed(self, layout: Layout) -> Layout:
        """What no cut parts and is too wide for a sheet, as a circuit of two terminals: with words below each other."""
        room = self.width + (0.0 if any(part.kind == "rail" for part in layout.circuit.parts.values()) else self.left)
        for reach in _REACHES:
            if layout.width <= room:
                break
            layout = Layout(layout.circuit, self.looks, self.wires.labels(layout.circuit, reach), narrow=True)
        return layout

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
