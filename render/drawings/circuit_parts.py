"""What circuit diagrams are made of: contacts, poles, loads, blocks, terminals, each with the nodes at its ends.

Every conductor is drawn once, and with it what its two ends land on. A contact, a pole or a load has one place in the set; a
terminal of a strip or of an electronic device stands wherever a conductor of the sheet lands on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from msgspec import Struct

from netdsl.model.kinds import BARS, CONVERTERS, PASSED, Category, Kind
from netdsl.model.plant import Consumer, Device, Path, Role, Terminal
from netdsl.network.nodes import PROTECTIVE_ROLES
from netdsl.network.types import Network
from render.drawings.circuit_pairs import SUNK, is_pair, loops, role_of

#: kinds that stand once in the set
ONCE = frozenset({"contact", "poles", "load", "through", "sink", "source"})
#: roles of terminals from which current comes
GIVING = frozenset(
    {Role.SUPPLY_OUT, Role.REFERENCE_OUT, Role.DIGITAL_OUT, Role.SAFETY_OUT, Role.ANALOGUE_OUT, Role.MOTOR_OUT, Role.LOAD_OUT}
)
_TAKING = frozenset({Role.LINE_IN, Role.NEUTRAL, Role.SUPPLY_IN})
_MANY = 3  # a bridge over more terminals of a strip is a rail, whatever it carries


class Way(Struct, frozen=True):
    """One current path through a part: the nodes at its two ends, "" for none. `path`, `consumer`: what lies between."""

    a: str
    b: str
    path: Path | None = None
    consumer: Consumer | None = None


class Part(Struct, frozen=True):
    """Something with ends. `kind`: one of ONCE, "pin" (a terminal of an electronic device), "terminal" (current passes),
    "rail" (a tap of `rail`), "refer" (goes on elsewhere), "card" (a block that lists channels). `ways` stand side by side."""

    key: str
    kind: str
    device: str
    ways: tuple[Way, ...]
    rail: str = ""

    @property
    def nodes(self) -> tuple[str, ...]:
        """All its nodes, each once."""
        return tuple(dict.fromkeys(node for way in self.ways for node in (way.a, way.b) if node))

    @property
    def is_signal(self) -> bool:
        """Whether it is what a signal enters or leaves, apart from the symbol of its device."""
        return self.key.endswith(" loop")

    @property
    def is_shared(self) -> bool:
        """Whether its ways begin at one terminal, as those to the outputs of an electronic fuse do."""
        return self.kind == "poles" and len(self.ways) > 1 and self.ways[0].a == self.ways[1].a


def is_stated(terminal: Terminal) -> bool:
    """Whether an address or a tag of a channel is stated."""
    return bool(terminal.attributes.text("address") or terminal.attributes.text("tag"))


def is_card(device: Device) -> bool:
    """Whether a device has a block that lists its channels: where one is stated."""
    return device.kind == Kind.CONTROLLER and any(map(is_stated, device.terminals.values()))


class Join(Struct, frozen=True):
    """What joins two nodes: a conductor, or a bridge, a link inside a device, two halves of a plug. `kind` says which."""

    key: str
    kind: str
    ends: tuple[str, str]


def with_changes(contacts: Iterable[Way], wired: Iterable[str]) -> list[tuple[Way, ...]]:
    """Contacts for themselves, but the break and the make side of a change-over contact together where all three ends of it are
    `wired`."""
    found: list[tuple[Way, ...]] = []
    for way in contacts:
        before = found[-1][0] if found else way
        sides = before.path and before.path.kind, way.path and way.path.kind
        of_one = sides == ("break", "make") and before.a == way.a and not (way.path and way.path.positions)
        if of_one and {way.a, way.b, before.b} <= set(wired):
            found[-1] = before, way
        else:
            found.append((way,))
    return found


class Parts:
    """All parts of a network. `holder`: the parts that have a node, those that stand once and those that do not; `joins`:
    conductors first, in order of text; `rails`: node -> name of the rail that it is a tap of."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.plant = network.plant
        self.parts: dict[str, Part] = {}
        self.holder: dict[str, list[Part]] = {}
        self.joins: list[Join] = [Join(run.id, "conductor", run.nodes) for run in network.runs.values()]
        self.rails: dict[str, str] = {}
        self._wired = {node for run in network.runs.values() for node in run.nodes}
        for place in network.plant.places.values():
            node = f"{place.id}:PE"
            if node in self._wired:
                self._add(Part(node, "terminal", place.id, (Way(node, node),)))
        for device in network.plant.devices.values():
            self._device(device)

    # --- by device ------------------------------------------------------------------------------------------------
    def _device(self, device: Device) -> None:
        if device.category == Category.STRIP or device.kind in PASSED:
            self._strip(device)
        elif device.kind in BARS or device.kind == Kind.EARTH_BAR:
            whole = device.kind == Kind.EARTH_BAR
            for name in device.terminals:
                self.rails[f"{device.id}:{name}"] = device.id if whole else f"{device.id}:{name}"
        elif device.category == Category.SUPPLY:
            nodes = self._used(device, device.terminals)
            if nodes:
                self._add(Part(f"{device.id} source", "source", device.id, tuple(Way("", node) for node in nodes)))
        else:
            self._equipment(device)

    def _strip(self, device: Device) -> None:
        bridged: dict[str, int] = {}
        for number, bridge in enumerate(device.bridges):
            nodes = [node for name in bridge if (node := self.node(device, name)) is not None]
            nets = {self.network.net_of[node] for node in nodes}
            held = any(self.network.nets[net].certain or self.network.nets[net].mark for net in nets)
            if held or len(bridge) > _MANY:
                for node in nodes:
                    self.rails[node] = f"{device.id}:{bridge[0]}"
            else:
                shown = [node for node in nodes if node in self._wired]
                self.joins += [
                    Join(f"{device.id} bridge {number} {one}", "bridge", (one, other)) for one, other in pairwise(shown)
                ]
            bridged.update(dict.fromkeys(nodes, number))
        for name, terminal in device.terminals.items():
            if terminal.split:
                pair = f"{device.id}:{name}/in", f"{device.id}:{name}/out"
                used = [node for node in pair if node in self._wired or node in bridged]
                if used and not all(node in self.rails for node in used):
                    self._add(Part(f"{device.id}:{name}", "terminal", device.id, (Way(*pair),)))
            else:
                node = self.node(device, name)
                if node in self._wired and node not in self.rails and node is not None:
                    self._add(Part(node, "terminal", device.id, (Way(node, node),)))
        for coupling in self.plant.couplings:
            if coupling.halves[0] == device.id:
                other = self.plant.devices[coupling.halves[1]]
                for name in device.terminals:
                    here, there = self.node(device, name), self.node(other, name)
                    if here in self._wired and there in self._wired and here is not None and there is not None:
                        self.joins.append(Join(f"{here} plug", "plug", (here, there)))

    def _equipment(self, device: Device) -> None:
        left = dict.fromkeys(self._used(device, device.terminals))
        poles = [path for path in (*device.paths, *self._outputs(device)) if path.kind in ("pole", "link")]
        for contact in with_changes(self._contacts(device, left), left):
            names = dict.fromkeys(node[len(device.id) + 1 :] for way in contact for node in (way.a, way.b))
            self._add(Part(f"{device.id}:{'-'.join(names)}", "contact", device.id, contact))
        for consumer in device.consumers:
            a, b = self.node(device, consumer.a), self.node(device, consumer.b)
            if a is not None and b is not None and (a in self._wired or b in self._wired):
                self._add(Part(f"{device.id}:{consumer.a}-{consumer.b}", "load", device.id, (Way(a, b, None, consumer),)))
        left = {node: None for node in left if node not in self.holder}
        known = [self._way(device, path, left) for path in poles]
        ways = [way for way in known if way is not None]
        taken = {node for way in ways for node in (way.a, way.b)}
        earth = [node for node in left if node not in taken and role_of(device, node) in PROTECTIVE_ROLES]
        if ways:
            earth = self._onward(earth, [way.b for way in ways])
            if device.symbol == "electronic-fuse":  # what feeds its electronics comes back beside its outputs
                earth += [node for node in left if role_of(device, node) == Role.SUPPLY_COMMON]
            self._add(Part(f"{device.id} poles", "poles", device.id, (*ways, *(Way("", node) for node in earth))))
            left = {node: None for node in left if node not in taken and node not in earth}
        elif device.kind in CONVERTERS:
            left = self._converter(device, left, earth)
        self._rest(device, left, bool(ways))

    def _outputs(self, device: Device) -> Iterable[Path]:
        """The ways to the outputs of a housing, each of which is a protective device of its own."""
        if device.kind != Kind.HOUSING:
            return ()
        return [path for channel in self.plant.devices.values() if channel.host == device.id for path in channel.paths]

    def _contacts(self, device: Device, left: Iterable[str]) -> list[Way]:
        """Contacts with a conductor at both ends; one with a free end only where its other end has no such contact."""
        paths = [path for path in device.paths if path.kind in ("make", "break")]
        known = [way for path in paths if (way := self._way(device, path, left)) is not None]
        whole = {node for way in known if way.a in left and way.b in left for node in (way.a, way.b)}
        found: list[Way] = []
        for each in known:
            if (each.a in left and each.b in left) or not {each.a, each.b} & whole:
                found.append(each)
                whole.update((each.a, each.b))
        return found

    def _converter(self, device: Device, left: Iterable[str], earth: list[str]) -> dict[str, None]:
        """A drive or a supply: what it takes above, what it gives below; the terminals that remain."""
        small = device.kind != Kind.DRIVE
        poles = {self.node(device, name) for source in device.sources for name in source.poles} if small else set()
        gives = [node for node in left if node in poles or role_of(device, node) in ((Role.MOTOR_OUT,) if not small else GIVING)]
        takes = [node for node in left if node not in gives and role_of(device, node) in _TAKING]
        count = max(len(takes), len(gives))
        if not count:
            return dict.fromkeys(left)
        pairs = [Way(takes[n] if n < len(takes) else "", gives[n] if n < len(gives) else "") for n in range(count)]
        earth = self._onward(earth, gives)
        self._add(Part(f"{device.id} through", "through", device.id, (*pairs, *(Way("", node) for node in earth))))
        return {node: None for node in left if node not in takes and node not in gives and node not in earth}

    def _rest(self, device: Device, left: Iterable[str], powered: bool) -> None:
        """Terminals that belong to no contact, pole or load."""
        nodes = list(left)
        if is_pair(device, nodes, sum(f"{device.id}:{name}" in self._wired for name in device.terminals)):
            self._add(Part(f"{device.id} pair", "through", device.id, (Way(nodes[0], nodes[1]),)))
            return
        sunk = [node for node in nodes if role_of(device, node) in SUNK | PROTECTIVE_ROLES]
        if sunk and not powered and any(role_of(device, node) in SUNK for node in sunk):
            self._add(Part(f"{device.id} sink", "sink", device.id, tuple(Way(node, "") for node in sunk)))
            nodes = [node for node in nodes if node not in sunk]
        if device.kind == Kind.POTENTIOMETER and len(nodes) == 3:
            slider = next((node for node in nodes if role_of(device, node) in GIVING), nodes[1])
            first, last = (node for node in nodes if node != slider)
            self._add(Part(f"{device.id} pair", "through", device.id, (Way(first, last), Way("", slider))))
            return
        for node, common in loops(device, nodes):
            ends = (Way("", node), Way("", common)) if role_of(device, node) in GIVING else (Way(node, common),)
            self._add(Part(f"{node} loop", "source" if len(ends) > 1 else "through", device.id, ends))
            nodes = [other for other in nodes if other not in (node, common)]
        for node in nodes:
            self._add(Part(node, "pin", device.id, (Way(node, ""),)))

    def _onward(self, earth: list[str], gives: Iterable[str]) -> list[str]:
        """Earth terminals, first those from which a core of the same cable leads on as from the terminals that give: beside
        these it comes straight to the same load."""
        cables = {cable for node in gives for cable in self._cables(node)}
        return sorted(earth, key=lambda node: not any(cable in cables for cable in self._cables(node)))

    def _cables(self, node: str) -> list[str]:
        landed = self.network.at_terminal.get(node.partition("/")[0], ())
        return [cable for name in landed if (cable := self.plant.conductors[name].cable) is not None]

    # --- nodes ----------------------------------------------------------------------------------------------------
    def node(self, device: Device, terminal: str) -> str | None:
        """The node of a terminal; of a split one its inner side, of one with levels the first."""
        name = f"{device.id}:{terminal}"
        return next((node for node in (name, f"{name}/in", f"{name}.1") if node in self.network.net_of), None)

    def _used(self, device: Device, names: Iterable[str]) -> list[str]:
        return [node for name in names if (node := self.node(device, name)) is not None and node in self._wired]

    def _way(self, device: Device, path: Path, left: Iterable[str]) -> Way | None:
        """The way of a path on which something lands; a link with one end free is no way."""
        a, b = self.node(device, path.a), self.node(device, path.b)
        if a is None or b is None:
            return None
        landed = (a in left) + (b in left)
        return Way(a, b, path) if landed > (path.kind == "link") else None

    def _add(self, part: Part) -> None:
        """Keep a part; what shares a node with one before it is joined to that inside the device."""
        self.parts[part.key] = part
        for node in part.nodes:
            self.holder.setdefault(node, []).append(part)
