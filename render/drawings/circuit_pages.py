"""Circuits shared out to sheets: side by side on shelves, shelves one below the other; what is too large is parted.

Power stands above control. The circuits of a shelf share their potentials and their row of loads.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from netdsl.model.kinds import Category
from netdsl.network.types import ConductorClass, Network
from render.drawings.circuit_cuts import Cuts
from render.drawings.circuit_draft import terminal_name
from render.drawings.circuit_groups import Group, Grouped, Link
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_leads import ONWARD
from render.drawings.circuit_looks import Looks
from render.drawings.circuit_parts import Part
from render.drawings.circuit_rows import Circuit, Net, arrange, components
from render.drawings.circuit_together import Together
from render.layout.fonts import Box, text_width
from render.words.terminals import section_text

RAIL, NUMBERS, GAP = 5.0, 5.0, 5.0
USUAL = 5.5  # room for what wires are where nothing is said
_APART = 6.0
_NEVER = -1000.0
_NARROW = 120.0  # for circuits, mm, below which potentials are named on the left alone
_TIGHT, _FOLDED = 105.0, 8.0  # for circuits, below which names stand above references; room for a potential then, mm
_LEAST, _EASE = 0.35, 1.4  # of the area of a sheet, below which it stays nearly empty; of that, below which there is room
#: by how much of its height a shelf may grow, and by how many mm one of power for control: tried one after the other
_GROWTH, _MIXED = (0.35, 1.0), (8.0, 40.0, 100.0, _NEVER)
_OPEN = 8  # shelves and sheets that are still filled
_POWER = frozenset({ConductorClass.MAINS, ConductorClass.MOTOR})


class Shelf(Struct):
    """Circuits side by side. `layouts` with where each begins; `above`, `below`: rails in order; `rail`: room for one, mm."""

    layouts: list[tuple[float, Layout]] = field(default_factory=list)
    power: bool = False
    above: list[str] = field(default_factory=list)
    below: list[str] = field(default_factory=list)
    width: float = 0.0
    upper: float = 0.0
    lower: float = 0.0
    foot: float = 0.0
    rail: float = RAIL

    @property
    def height(self) -> float:
        """With numbers of paths, potentials and what is said below, mm."""
        rails = self.rail * (len(self.above) + len(self.below)) + 2.0 * (bool(self.above) + bool(self.below))
        return NUMBERS + rails + self.upper + self.lower + self.foot

    def with_(self, layout: Layout) -> Shelf:
        """The shelf with one circuit more."""
        rails = [part for part in layout.circuit.parts.values() if part.kind == "rail"]
        above, below = list(self.above), list(self.below)
        for part in rails:
            side = above if part.key in layout.circuit.above else below
            if part.rail not in side:
                side.append(part.rail)
        start = self.width + _APART if self.layouts else 0.0
        return Shelf(
            [*self.layouts, (start, layout)],
            self.power,
            above,
            below,
            start + layout.width,
            max(self.upper, layout.upper),
            max(self.lower, layout.lower),
            max(self.foot, layout.foot),
            self.rail,
        )


class Usual(Struct, frozen=True):
    """What wires of a group are where nothing is said: section and colour by "power", "control", "earth"."""

    wires: Mapping[str, tuple[float | None, str | None]]

    def words(self) -> str:
        """As stated on a sheet."""
        said = [
            f"{kind} {text}"
            for kind, (section, colour) in self.wires.items()
            if (text := " ".join(part for part in (f"{section:g} mm²" if section else "", colour or "") if part))
        ]
        return f"Wires where nothing is said: {', '.join(said)}." if said else ""


class Pages:
    """The circuits of one group. `usual`: its wires; `left`, `right`: room for the names of potentials, `named`: for one, mm;
    `fed`: of each rail the tap that its sheets name."""

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
        refer = max(
            (looks.reference(fed[part.rail].key) for part in rails if fed[part.rail].key not in group.parts), default=-2.0
        )
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
        self.usual = self._usual()
        self.least = _LEAST * area.width * area.height
        self.together = Together(network.plant)
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
        return self._sheets(self._layouts())

    def inset(self, shelf: Shelf) -> float:
        """How far from the left of the area a shelf begins, mm: beyond the names of its potentials. One that has none and is
        wider than these leave, as a block that cannot be parted, takes their room."""
        if shelf.above or shelf.below:
            return self.left
        return self.left - min(max(shelf.width - self.width, 0.0), self.left)

    # --- circuits -------------------------------------------------------------------------------------------------
    def _layouts(self) -> list[Layout]:
        waiting = components(self.group.parts, self.group.links)
        found: list[Layout] = []
        while waiting:
            circuit = waiting.pop(0)
            arrange(circuit, self.net)
            layout = Layout(circuit, self.looks, self._labels(circuit))
            wide = layout.width > self.width
            parted = (
                self.cuts.part(layout, wide, self.width)
                if wide or Shelf(rail=self.rail).with_(layout).height > self.height
                else []
            )
            if parted:
                waiting = parted + waiting
            else:
                found.append(layout)
        return found

    # --- words at conductors --------------------------------------------------------------------------------------
    def _kind(self, name: str) -> str:
        run = self.network.runs[name]
        if run.klass == ConductorClass.EARTH:
            return "earth"
        return "power" if run.klass in _POWER else "control"

    def _usual(self) -> Usual:
        counts: dict[str, Counter[tuple[float | None, str | None]]] = {kind: Counter() for kind in ("power", "control", "earth")}
        for link in self.group.links:
            run = self.network.runs.get(link.key)
            if run is not None and run.conductor.cable is None and not run.conductor.is_tooth:
                counts[self._kind(link.key)][run.section_mm2, run.colour] += 1
        return Usual({kind: counted.most_common(1)[0][0] for kind, counted in counts.items() if counted})

    def _label(self, link: Link) -> str:
        run = self.network.runs.get(link.key)
        if run is None:
            return {"bridge": "bridge", "plug": "plug"}.get(link.kind, "")
        conductor = run.conductor
        if conductor.cable:
            said = f"{self.looks.names.of(conductor.cable)} {conductor.core}"
        else:
            usual = self.usual.wires.get(self._kind(link.key))
            plain = usual == (run.section_mm2, run.colour) or conductor.is_tooth
            said = "" if plain else " ".join(text for text in (section_text(run), run.colour or "") if text)
            said = "comb" if conductor.is_tooth else said
        return " ".join(text for text in (conductor.mark or "", said) if text)

    def _labels(self, circuit: Circuit) -> dict[tuple[str, int, bool], list[Mention]]:
        """Words at the ends: each at the end where fewest lines meet, with where its line leads if there are several."""
        counts: Counter[tuple[str, int, bool]] = Counter()
        for pair in circuit.ends.values():
            counts.update((end.part, end.way, end.top) for end in pair)
        found: dict[tuple[str, int, bool], list[Mention]] = {}
        for link in circuit.links:
            text = self._label(link) if link.kind != "counter" else ""
            if not text:
                continue
            ends = [(end.part, end.way, end.top) for end in circuit.ends[link.key]]
            number = min((0, 1), key=lambda n: (counts[ends[n]], circuit.parts[ends[n][0]].kind == "rail", n))
            if counts[ends[number]] > 1:
                text += f" → {self._short(link.ends[1 - number][1])}"
            # of what is no conductor, as a bridge, the device at whose end it stands
            of = link.key if link.key in self.network.runs else ""
            found.setdefault(ends[number], []).append(Mention(text, of=of))
        return found

    def _short(self, node: str) -> str:
        owner, _, name = node.rpartition(":")
        return f"{self.looks.names.of(owner)}:{name}"

    # --- shelves --------------------------------------------------------------------------------------------------
    def _sheets(self, layouts: Sequence[Layout]) -> list[list[Shelf]]:
        """The fewest sheets that a few ways of filling give; of as many those of which most are full, then those on which what
        moves together stands together, that it is understood from one sheet; then the first, in which heights differ least."""
        kinds = [(layout, self._is_power(layout)) for layout in layouts]
        self.of_power = {id(layout) for layout, power in kinds if power}
        if self.group.also:  # as they come: one more moves none before it
            return self._at_ease(self._stacked(self._shelves(kinds, _GROWTH[-1], _MIXED[-2], 1), apart=False))
        power, control = ([each for each in kinds if each[1] == wanted] for wanted in (True, False))
        orders = [power + control, power + self.together.sorted(control)]
        shelves = [self._shelves(order, own, mixed) for order in orders for own in _GROWTH for mixed in _MIXED]
        found = min((self._stacked(each, apart) for each in shelves for apart in (False, True)), key=self._measure)
        return self._at_ease(found)

    def _at_ease(self, sheets: Sequence[Sequence[Shelf]]) -> list[list[Shelf]]:
        """Sheets with the shelves of those that have much room as wide as there is room."""
        return [[self._wider(shelf) if self._area(sheet) < _EASE * self.least else shelf for shelf in sheet] for sheet in sheets]

    def _wider(self, shelf: Shelf) -> Shelf:
        wider = Shelf(power=shelf.power, rail=self.rail)
        for _, layout in shelf.layouts:
            layout.widen(layout.width + (self.width - shelf.width) * layout.width / shelf.width)
            wider = wider.with_(layout)
        return wider

    def _area(self, sheet: Sequence[Shelf]) -> float:
        """What the shelves of a sheet take with the names of their potentials, mm²."""
        return sum((shelf.width + self.left + self.right) * shelf.height for shelf in sheet)

    def _measure(self, sheets: list[list[Shelf]]) -> tuple[int, int, int, float]:
        """Of a way of filling its sheets, those that stay nearly empty but the last, the devices spread over several, and where
        room is wanted below for where potentials lead, the height of the last."""
        sparse = sum(self._area(sheet) < self.least for sheet in sheets[:-1])
        held = [[layout for shelf in sheet for _, layout in shelf.layouts] for sheet in sheets]
        spread = self.together.spread([layout for layout in each if id(layout) not in self.of_power] for each in held)
        last = sum(shelf.height for shelf in sheets[-1]) if self.feeds and sheets else 0.0
        return len(sheets), sparse, spread, last

    def _shelves(self, order: Sequence[tuple[Layout, bool]], own: float, mixed: float, still: int = _OPEN) -> list[Shelf]:
        """Circuits on shelves: on one of the last `still` if that makes it no more than `own` of its height higher, control on
        one of power no more than `mixed` mm."""
        shelves: list[Shelf] = []
        for layout, power in order:
            for number in range(max(len(shelves) - still, 0), len(shelves)):
                shelf = shelves[number]
                if shelf.width + layout.width > self.width:
                    continue
                wider = shelf.with_(layout)
                growth = own * shelf.height if shelf.power == power else mixed
                if wider.width <= self.width and wider.height <= min(self.height, shelf.height + growth):
                    shelves[number] = wider
                    break
            else:
                shelves.append(Shelf(power=power, rail=self.rail).with_(layout))
        return shelves

    def _stacked(self, shelves: Sequence[Shelf], apart: bool) -> list[list[Shelf]]:
        """Shelves below each other; `apart`: those of control on no sheet of power."""
        sheets: list[list[Shelf]] = []
        for shelf in shelves:
            for sheet in sheets[-_OPEN:]:
                if apart and sheet[0].power != shelf.power:
                    continue
                if sum(other.height + GAP for other in sheet) + shelf.height <= self.height:
                    sheet.append(shelf)
                    break
            else:
                sheets.append([shelf])
        return sheets

    def _is_power(self, layout: Layout) -> bool:
        runs = [self.network.runs.get(link.key) for link in layout.circuit.links]
        return any(run is not None and run.klass in _POWER for run in runs)


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
