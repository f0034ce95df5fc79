"""Which circuit diagram shows what: every conductor, contact and load in one group, references where a conductor leaves it.

A group is a function, the part of a place that belongs to none, or the functions of a place that are too short for sheets of
their own: beside the common part, so that one more of them leaves that as it is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

from msgspec import Struct, field

from netdsl.model.kinds import Category
from netdsl.model.plant import Plant
from netdsl.network.types import Network
from render.drawings.circuit_parts import ONCE, Join, Part, Parts, Way, is_card

_SHORT, _FEW = 10, 40  # conductors and terminals of a function that has no sheets of its own

SHARED = ".F"  # behind the place in the name of the sheets that its short functions share
COUNTER = " counter"  # behind the key of a link, where what a reference names is drawn
#: part and node at which a link ends
Spot = tuple[str, str]


class Link(Struct, frozen=True):
    """A line between two parts. `kind`: of the Join, "inside" (two contacts of one terminal), "counter" (what a reference
    names is drawn there). `of`: the conductor, or what else it stands for."""

    key: str
    kind: str
    ends: tuple[Spot, Spot]
    of: str


class Group(Struct):
    """What one circuit diagram shows. `function` "" for the common part of `place`, and for short functions there, `also`."""

    function: str
    place: str
    also: tuple[str, ...] = ()
    parts: dict[str, Part] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)


class Grouped(Struct):
    """`groups` in order; `pairs`: each reference, and each terminal that stands in several places, with
    what it names, both ways, by keys of parts; `led`: of each rail that several groups tap their numbers."""

    groups: list[Group]
    pairs: dict[str, list[str]] = field(default_factory=dict)
    led: dict[str, list[int]] = field(default_factory=dict)

    def name(self, one: str, other: str) -> None:
        """Let two parts name the place of each other."""
        self.pairs.setdefault(one, []).append(other)
        self.pairs.setdefault(other, []).append(one)

    def refer(self, link: Link, near: int, group: Group, other: Group) -> None:
        """Draw `link` in `group`, where its end `near` stands, up to a reference, and a counterpart in `other`."""
        here, there = link.ends[near], link.ends[1 - near]
        go, come = f"{link.key} goes on", f"{link.key} comes"
        for owner, key, spot in ((group, go, there), (other, come, here)):
            owner.parts[key] = Part(key, "refer", spot[1].partition(":")[0], (Way(spot[1], spot[1]),))
        group.links.append(Link(link.key, link.kind, (here, (go, there[1])), link.of))
        # what was a counterpart already stays one: a conductor is drawn in one place alone
        other.links.append(Link(f"{link.key}{COUNTER}", "counter", (there, (come, here[1])), link.of))
        self.name(go, come)


def short_functions(plant: Plant) -> dict[str, str]:
    """Functions of so few conductors and terminals that those of an enclosure share their sheets, with that enclosure; a function
    that is alone is not."""
    if len(plant.functions) < 2:
        return {}
    counts = Counter(conductor.function for conductor in plant.conductors.values())
    held: Counter[str] = Counter()
    for device in plant.devices.values():
        held[device.function] += len(device.terminals)
    found: dict[str, str] = {}
    for device in plant.devices.values():
        place = plant.places.get(device.place)
        short = counts[device.function] <= _SHORT and held[device.function] <= _FEW
        if short and device.function not in found and place is not None and place.enclosure:
            found[device.function] = place.enclosure
    return {function: found[function] for function in plant.functions if function in found}


def grouped(network: Network) -> Grouped:
    """The circuit diagrams of a network, functions in order of text behind the common parts."""
    return _Maker(Parts(network)).made()


class _Maker:
    def __init__(self, parts: Parts) -> None:
        self.parts = parts
        self.plant = parts.plant
        self.groups: dict[tuple[str, str], Group] = {}
        self.short = short_functions(self.plant)
        self.home: dict[str, tuple[str, str]] = {}
        self.shown: dict[str, dict[tuple[str, str], Part]] = {}

    def made(self) -> Grouped:
        """All groups; every conductor has been given to one."""
        for part in self.parts.parts.values():
            if part.kind in ONCE:
                self.home[part.key] = self._home(part)
        for device in self.plant.devices.values():
            if is_card(device):
                key = f"{device.id} card"
                self._group(self._name(device.function, [device.id])).parts[key] = Part(key, "card", device.id, (Way("", ""),))
        grouped_ = Grouped([])
        for join in self.parts.joins:
            self._join(join, grouped_)
        for node, holders in self.parts.holder.items():
            once = [part for part in holders if part.kind in ONCE]
            for one, other in pairwise(once):
                link = Link(f"{node} {one.key} {other.key}", "inside", ((one.key, node), (other.key, node)), node)
                self._link(link, self.home[one.key], self.home[other.key], grouped_)
        for key, name in self.home.items():
            self._group(name).parts.setdefault(key, self.parts.parts[key])
        order = {function: number for number, function in enumerate(self.plant.functions)}
        grouped_.groups += sorted(self.groups.values(), key=lambda group: (order.get(group.function, -1), bool(group.also)))
        taken: dict[str, dict[int, None]] = {}
        for number, group in enumerate(grouped_.groups):
            for part in group.parts.values():
                if part.kind == "rail":
                    taken.setdefault(part.rail, {})[number] = None
        grouped_.led = {rail: list(numbers) for rail, numbers in taken.items() if len(numbers) > 1}
        return grouped_

    def _group(self, name: tuple[str, str]) -> Group:
        function, place = name[0], name[1].removesuffix(SHARED)
        also = tuple(short for short, at in self.short.items() if at == place) if place != name[1] else ()
        return self.groups.setdefault(name, Group(function, place, also))

    def _home(self, part: Part) -> tuple[str, str]:
        """The group of a part: where most of its conductors are written, its own function before others."""
        device = self.plant.devices.get(part.device)
        own = device.function if device is not None else ""
        landed = [name for node in part.nodes for name in self.parts.network.at_terminal.get(node.partition("/")[0], ())]
        signal = part.kind == "source" and device is not None and device.category != Category.SUPPLY
        far = [end.device for name in landed for end in self.plant.conductors[name].ends]
        if part.kind in ("load", "through", "sink", "source") and not signal:
            return self._name(own, [part.device, *far])
        counted = Counter(self.plant.conductors[name].function for name in landed)
        best = max(counted, key=lambda function: (counted[function], function == own), default=own)
        return self._name(best, [part.device, *far])  # what stands in the field belongs to the panel that it is wired to

    def _name(self, function: str, devices: Iterable[str]) -> tuple[str, str]:
        if function:
            return ("", self.short[function] + SHARED) if function in self.short else (function, "")
        for identity in devices:
            device = self.plant.devices.get(identity)
            place = self.plant.places.get(device.place if device is not None else identity)
            if place is not None and place.enclosure:
                return "", place.enclosure
        return "", ""

    def _join(self, join: Join, grouped_: Grouped) -> None:
        devices = [node.partition(":")[0] for node in join.ends]
        conductor = self.plant.conductors.get(join.key)
        function = conductor.function if conductor is not None else ""
        if conductor is None:
            device = self.plant.devices[devices[0]]
            function = device.function
        name = self._name(function, devices)
        holders = [self._holder(node, name) for node in join.ends]
        homes = [self.home.get(part.key) if part is not None else None for part in holders]
        known = [home for home in homes if home is not None]
        if known and name not in known:
            name = known[0]
        spots = []
        for number, (node, part) in enumerate(zip(join.ends, holders, strict=True)):
            if part is None:
                rail = self.parts.rails.get(node, node)
                part = Part(f"{join.key} tap {number}", "rail", devices[number], (Way(node, node),), rail)
            if part.kind in ("terminal", "pin"):
                part = self._instance(part, name, grouped_)
            spots.append((part.key, node))
            if part.kind not in ONCE:
                self._group(name).parts.setdefault(part.key, part)
        link = Link(join.key, join.kind, (spots[0], spots[1]), join.key)
        self._link(link, homes[0] or name, homes[1] or name, grouped_, name)

    def _link(
        self, link: Link, one: tuple[str, str], other: tuple[str, str], grouped_: Grouped, name: tuple[str, str] | None = None
    ) -> None:
        """Give a link to its group; `one`, `other`: the groups in which its ends stand."""
        for spot, home in zip(link.ends, (one, other), strict=True):
            if spot[0] in self.home:
                self._group(home).parts.setdefault(spot[0], self.parts.parts[spot[0]])
        if one == other:
            self._group(one).links.append(link)
            return
        near = 1 if name == other else 0
        grouped_.refer(link, near, self._group((one, other)[near]), self._group((one, other)[1 - near]))

    def _instance(self, part: Part, name: tuple[str, str], grouped_: Grouped) -> Part:
        """A terminal as it stands in one group; its first place names all others, and they that."""
        found = self.shown.setdefault(part.key, {})
        if name not in found:
            first = next(iter(found.values()), None)
            found[name] = Part(f"{part.key} in {name[0] or name[1]}", part.kind, part.device, part.ways)
            device = self.plant.devices.get(part.device)
            if first is not None and not (device is not None and is_card(device)):  # a card names all its places
                grouped_.name(first.key, found[name].key)
        return found[name]

    def _holder(self, node: str, name: tuple[str, str]) -> Part | None:
        """The part on which an end lands, one of group `name` before others; None for a tap of a rail."""
        if node in self.parts.rails:
            return None
        holders = self.parts.holder.get(node, [])
        if not holders:
            return Part(node, "terminal", node.partition(":")[0], (Way(node, node),))
        return next((part for part in holders if self.home.get(part.key) == name), holders[0])
