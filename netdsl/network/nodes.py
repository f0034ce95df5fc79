"""Electrical points: every terminal is one node, a split strip terminal two, a metal place one (its `PE`)."""

from __future__ import annotations

from collections.abc import Container

from msgspec import Struct, field

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Conductor, Device, End, Place, Plant, Role, Terminal

#: roles of the terminals between which a conductor is a protective one
PROTECTIVE_ROLES = frozenset({Role.EARTH, Role.EARTH_THROUGH})
#: names that mean protective earth on a strip, a busbar or a supply whatever the role says
PROTECTIVE_NAMES = frozenset({"PE", "PEN"})
#: what has terminals by these names
_NAMED = frozenset({Category.STRIP, Category.BUSBAR, Category.SUPPLY})
_MOTOR_OUT = (Role.MOTOR_OUT,)
_SIDES = ("/in", "/out")


class Joiner:
    """Union-find over whole numbers; the smallest member names its set, so the result never depends on the order."""

    __slots__ = ("_parent",)

    def __init__(self, size: int) -> None:
        self._parent = list(range(size))

    def add(self) -> int:
        """A new member, alone in its set."""
        self._parent.append(len(self._parent))
        return len(self._parent) - 1

    def find(self, member: int) -> int:
        """The smallest member of the set of `member`."""
        parent = self._parent
        while parent[member] != member:
            parent[member] = parent[parent[member]]
            member = parent[member]
        return member

    def join(self, one: int, other: int) -> None:
        """Make one set of the sets of both."""
        a, b = self.find(one), self.find(other)
        if a != b:
            self._parent[max(a, b)] = min(a, b)


class Nodes(Struct):
    """All nodes in order of declaration: `names`, the device or place and the terminal behind each (None for a place);
    `ends`: the nodes where each conductor lands."""

    plant: Plant
    names: list[str] = field(default_factory=list)
    owners: list[str] = field(default_factory=list)
    terminals: list[Terminal | None] = field(default_factory=list)
    index: dict[str, int] = field(default_factory=dict)
    ends: dict[str, tuple[int, int]] = field(default_factory=dict)

    def add(self, name: str, owner: str, terminal: Terminal | None) -> int:
        """The index of node `name`, made where it is new."""
        known = self.index.get(name)
        if known is not None:
            return known
        self.index[name] = len(self.names)
        self.names.append(name)
        self.owners.append(owner)
        self.terminals.append(terminal)
        return len(self.names) - 1

    def device(self, node: int) -> Device | None:
        """The device of a node, None where it is a place."""
        return self.plant.devices.get(self.owners[node])

    def names_of(self, conductor: Conductor) -> tuple[str, str]:
        """Names of the nodes where a conductor lands."""
        one, other = self.ends[conductor.id]
        return self.names[one], self.names[other]

    def of_terminal(self, device: str, terminal: str, side: str = "in") -> int | None:
        """The node of a terminal of a device (of its `side` where it is split, its first level where it has two)."""
        # a reference that names no side or level means the inner side, the first level
        name = f"{device}:{terminal}"
        found = self.index.get(name)
        return self.index.get(f"{name}/{side}", self.index.get(f"{name}.1")) if found is None else found


def node_name(plant: Plant, conductor: Conductor, end: End) -> str:
    """The node where `end` of `conductor` lands. At a split terminal, unnamed, a cable lands outside and a wire inside."""
    device = plant.devices.get(end.device)
    terminal = device.terminals.get(end.terminal) if device else None
    if terminal is None or not terminal.split:
        return end.id
    return f"{end.id}/{end.side or ('out' if conductor.cable else 'in')}"


def is_protective(device: Device | Place | None, terminal: str) -> bool:
    """Whether `terminal` of a device or place belongs to the protective earth (functional earth does not)."""
    if not isinstance(device, Device):
        return device is not None and device.metal
    known = device.terminals.get(terminal)
    if known is None:
        return False
    if known.role in PROTECTIVE_ROLES or known.kind == "earth":
        return True
    return terminal in PROTECTIVE_NAMES and device.category in _NAMED


def protective_end(plant: Plant, end: End) -> bool:
    """Whether a conductor's end lands on the protective earth."""
    return is_protective(plant.devices.get(end.device) or plant.places.get(end.device), end.terminal)


def is_drive(device: Device) -> bool:
    """Whether a device makes a motor's voltage itself: a drive, or outside equipment with drive outputs."""
    return device.kind == Kind.DRIVE or bool(with_role(device, _MOTOR_OUT))


def with_role(device: Device, roles: Container[Role]) -> list[str]:
    """Names of the terminals of `device` that have one of these roles."""
    return [name for name, terminal in device.terminals.items() if terminal.role in roles]


def nodes_of(plant: Plant) -> Nodes:
    """Every node of the plant: terminals of devices, then places, then whatever else a conductor names."""
    nodes = Nodes(plant)
    for device in plant.devices.values():
        owner = device.id
        for terminal in device.terminals.values():
            name = f"{owner}:{terminal.name}"
            for side in _SIDES if terminal.split else ("",):
                nodes.add(name + side, owner, terminal)
    for place in plant.places.values():
        if place.metal:
            nodes.add(f"{place.id}:PE", place.id, None)
    for conductor in plant.conductors.values():
        one, other = conductor.ends
        nodes.ends[conductor.id] = (
            nodes.add(node_name(plant, conductor, one), one.device, None),
            nodes.add(node_name(plant, conductor, other), other.device, None),
        )
    return nodes


def bonded_plate(plant: Plant, place: Place) -> bool:
    """Whether a metal plate is bonded to what it is mounted in by its mounting alone."""
    parent = plant.places.get(place.parent or "")
    wanted = place.kind == "plate" and place.metal and place.attributes.get("bonded") != "no"
    return wanted and parent is not None and parent.metal


def rail_place(plant: Plant, device: Device) -> Place | None:
    """The metal place to which a device is bonded by what it stands on: a bonded rail's strip, a screen bar; else None."""
    bonded = (device.rail_bonded and device.category == Category.STRIP) or device.kind == Kind.SCREEN_BAR
    place = plant.places.get(device.place) if bonded else None
    return place if place is not None and place.metal else None
