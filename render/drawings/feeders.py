"""The power tree as a single-line diagram shows it: groups of feeders, each a tree of chains. No geometry here.

A group is what hangs on one bar. Where a branch is too wide or too long for a sheet it is cut, and what was below
the cut becomes a group of its own that names the device it comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.kinds import BARS
from netdsl.model.plant import Device
from netdsl.network.types import Network

#: kinds that may share out power without a bar of their own
_SHARING = BARS | {"supply", "strip", "isolator", "breaker", "fuse", "outside", "terminal-box", "plug", "residual-device"}
#: kinds that are told on other drawings: their circuit is control, not power
_CONTROL = frozenset(
    "push-button selector emergency-stop safety-relay level-switch switch transmitter lamp relay relay-socket aux-contact"
    " potentiometer controller timer buzzer meter sensor thermostat earth-bar screen-bar".split()
)


class Wiring(Struct, frozen=True):
    """What leads to a device: number of phase `poles`, `neutral` and `earth` carried along, `cables` by id."""

    poles: int = 0
    neutral: bool = False
    earth: bool = False
    cables: tuple[str, ...] = ()
    terminals: tuple[str, ...] = ()  # of the device fed, in order of text


class Join(Struct, frozen=True):
    """A way to a device that hangs on another branch: a bypass, a second feed.

    `again`: cables of it that stand on the device's own branch too. `shared`: it has no cable core but those of that branch,
    so that the ways meet before the cable.
    """

    device: str
    wiring: Wiring
    again: frozenset[str] = frozenset()
    shared: bool = False


class Step(Struct, frozen=True):
    """A device in the power path and the wiring that feeds it.

    `control`: devices outside the power path that it feeds. `joins`: ways to devices that hang on another branch.
    """

    device: str
    wiring: Wiring
    control: tuple[str, ...] = ()
    joins: tuple[Join, ...] = ()


class Branch(Struct, frozen=True):
    """A chain of `steps` and what it parts into. `cut`: what follows is a group of its own."""

    steps: tuple[Step, ...]
    children: tuple[Branch, ...] = ()
    cut: bool = False

    @property
    def width(self) -> int:
        """Columns it takes."""
        return sum(child.width for child in self.children) if self.children else 1

    def leaves(self) -> tuple[Step, ...]:
        """The last step of each of its columns, from left to right."""
        if not self.children:
            return self.steps[-1:]
        return tuple(leaf for child in self.children for leaf in child.leaves())


class Group(Struct, frozen=True):
    """What hangs on one bar.

    `trunk`: from the supply down to above the bar. `bar`: the device it is, "" where a point merely parts. `shared`: a bar
    is drawn at all. `origin`: the device of another group that feeds it, "" for a supply.
    """

    trunk: tuple[Step, ...]
    bar: str
    feeders: tuple[Branch, ...]
    origin: str = ""
    shared: bool = True


class Feeders(Struct, frozen=True):
    """All groups in order of drawing; for each device the one that feeds it (the first, where several do); `origins`: devices
    that feed a group of their own."""

    groups: tuple[Group, ...]
    parent: Mapping[str, str]
    steps: Mapping[str, Step]
    origins: frozenset[str]

    def path(self, device: str) -> tuple[str, ...]:
        """Devices from the supply to `device`, both included."""
        return _path(self.parent, device)


def _path(parent: Mapping[str, str], device: str) -> tuple[str, ...]:
    """Devices from the one that nothing feeds to `device`."""
    path = [device]
    while path[-1] in parent:
        path.append(parent[path[-1]])
    return tuple(reversed(path))


def feeders(network: Network, widest: int, longest: float, height: Callable[[Step], float]) -> Feeders:
    """Arrange the power tree for sheets of `widest` columns and `longest` mm; `height` says what a step takes, mm."""
    return _Arranger(network, widest, longest, height).arrange()


class _Arranger:
    """Works from the leaves up, without recursion, so no plant is too deep."""

    def __init__(self, network: Network, widest: int, longest: float, height: Callable[[Step], float]) -> None:
        self.network = network
        self.widest, self.longest, self.height = widest, longest, height
        known = [name for name in network.power.order if name in network.plant.devices]
        self.rank = {name: number for number, name in enumerate(known)}
        self.parent = self._parents(known)
        self.children: dict[str, list[str]] = {name: [] for name in known}
        for name, feeding in self.parent.items():
            self.children[feeding].append(name)
        self.control = self._prune(known)
        gone = {name for names in self.control.values() for name in names}
        self.order = [name for name in known if name not in gone]
        self.drawn = frozenset(self.order)
        self.steps = {name: self._step(name) for name in self.order}
        self.leaves = self._leaf_counts()

    def arrange(self) -> Feeders:
        """All groups: those of the supplies, those cut out of others, and what no supply feeds."""
        roots = [name for name in self.order if name not in self.parent]
        supplies = [name for name in roots if self._is_source(name)]
        trunks = {name: self._trunk(name) for name in supplies}
        in_trunk = {name for trunk, _ in trunks.values() for name in trunk}
        branches, cuts = self._branches(in_trunk)
        cuts += [name for trunk, _ in trunks.values() for name in trunk[:-1] if set(self.children[name]) - in_trunk]
        later: dict[str, list[Group]] = {}
        for name in sorted(cuts, key=self.rank.__getitem__):
            below = tuple(branches[child] for child in self.children[name] if child not in in_trunk)
            later.setdefault(_path(self.parent, name)[0], []).append(Group((), "", below, origin=name))
        groups = []
        for supply, (trunk, shared) in trunks.items():
            groups += [self._group(trunk, shared, branches), *later.pop(supply, [])]
        loose = [name for name in roots if name not in in_trunk and (self.children[name] or self._is_load(name))]
        if loose:
            groups.append(Group((), "", tuple(branches[name] for name in loose), shared=False))
        groups += [group for others in later.values() for group in others]
        return Feeders(tuple(groups), self.parent, self.steps, frozenset(group.origin for group in groups if group.origin))

    def _device(self, name: str) -> Device:
        return self.network.plant.devices[name]

    def _is_source(self, name: str) -> bool:
        return self._device(name).category in ("supply", "outside")

    def _is_load(self, name: str) -> bool:
        return self._device(name).category == "device" and self._device(name).kind not in _CONTROL

    def _parents(self, known: list[str]) -> dict[str, str]:
        """The device each hangs on: the earliest in order of those that feed it, so that no ring remains."""
        graph = self.network.power.graph
        parents = {}
        for name in known:
            # of a ring or a second feed the earliest alone, so that a tree remains; the others become joins
            feeding = [self.rank[other] for other in graph.predecessors(name) if other in self.rank] if name in graph else []
            first = min(feeding, default=len(known))
            if first < self.rank[name]:
                parents[name] = known[first]
        return parents

    def _prune(self, known: list[str]) -> dict[str, tuple[str, ...]]:
        """Take control devices that feed no power off the tree; they are named at what feeds them."""
        taken: dict[str, list[str]] = {}
        for name in reversed(known):
            if name in self.parent and self._device(name).kind in _CONTROL and not self.children[name]:
                feeding = self.parent[name]
                self.children[feeding].remove(name)
                taken.setdefault(feeding, []).extend([name, *taken.pop(name, [])])
        return {name: tuple(sorted(names, key=self.rank.__getitem__)) for name, names in taken.items()}

    def _step(self, name: str) -> Step:
        graph = self.network.power.graph
        fed = [other for other in graph.successors(name) if other in self.drawn] if name in graph else []
        others = sorted((other for other in fed if self.parent.get(other) != name), key=self.rank.__getitem__)
        joins = tuple(self._join(name, other) for other in others)
        feeding = self.parent.get(name)
        wiring = Wiring() if feeding is None else self._wiring(feeding, name)
        return Step(name, wiring, self.control.get(name, ()), joins)

    def _join(self, feeding: str, name: str) -> Join:
        wiring, first = self._wiring(feeding, name), self.parent.get(name, feeding)
        again = frozenset(wiring.cables) & frozenset(self._wiring(first, name).cables)
        cores = self._cores(feeding, name)
        return Join(name, wiring, again, bool(cores) and cores <= self._cores(first, name))

    def _cores(self, feeding: str, name: str) -> frozenset[str]:
        """Cable cores that lead from one device to the next."""
        runs = self.network.runs
        wires = self.network.power.graph.edges[feeding, name].get("conductors", ())
        return frozenset(wire for wire in wires if wire in runs and runs[wire].conductor.cable)

    def _wiring(self, feeding: str, name: str) -> Wiring:
        edge = self.network.power.graph.edges[feeding, name]
        cables = tuple(edge.get("cables", ()))
        earth = any(self._carries_earth(cable) for cable in cables)
        runs = self.network.runs
        ends = [end for wire in edge.get("conductors", ()) if wire in runs for end in runs[wire].conductor.ends]
        terminals = tuple(dict.fromkeys(end.terminal for end in ends if end.device == name))
        return Wiring(int(edge.get("poles", 0)), bool(edge.get("neutral", False)), earth, cables, terminals)

    def _carries_earth(self, cable: str) -> bool:
        """Whether one of the cable's connected cores is a protective conductor."""
        made = self.network.plant.cables.get(cable)
        if made is None:
            return False
        used = {self.network.runs[wire].conductor.core for wire in made.conductors if wire in self.network.runs}
        return any(core.earth and core.name in used for core in made.cores)

    def _leaf_counts(self) -> dict[str, int]:
        counts: dict[str, int] = {}
        for name in reversed(self.order):
            counts[name] = sum(counts[child] for child in self.children[name]) or 1
        return counts

    def _trunk(self, supply: str) -> tuple[list[str], bool]:
        """Devices from `supply` to the point that shares out, and whether there is one (else: a single chain)."""
        trunk = [supply]
        while self._device(trunk[-1]).kind not in BARS:
            following = self._main_way(self.children[trunk[-1]])
            if following is None:
                break
            trunk.append(following)
        last = trunk[-1]
        shares = self._device(last).kind in BARS or (len(self.children[last]) > 1 and self._device(last).kind in _SHARING)
        if shares and sum(self.height(self.steps[name]) for name in trunk) <= self.longest:
            return trunk, True
        return [supply], len(self.children[supply]) > 1

    def _main_way(self, below: list[str]) -> str | None:
        """The one of `below` that leads on to the bar: the only one, or the one with a bar and most of the loads."""
        if len(below) == 1:
            return below[0]
        total = sum(self.leaves[name] for name in below)
        return next((name for name in below if 2 * self.leaves[name] >= total and self._leads_to_bar(name)), None)

    def _leads_to_bar(self, name: str) -> bool:
        while self._device(name).kind not in BARS:
            if not self.children[name]:
                return False
            name = max(self.children[name], key=lambda child: (self.leaves[child], -self.rank[child]))
        return True

    def _group(self, trunk: list[str], shared: bool, branches: dict[str, Branch]) -> Group:
        last = trunk[-1]
        bar = last if self._device(last).kind in BARS else ""
        steps = tuple(self.steps[name] for name in (trunk[:-1] if bar else trunk))
        return Group(steps, bar, tuple(branches[child] for child in self.children[last]), shared=shared)

    def _branches(self, in_trunk: set[str]) -> tuple[dict[str, Branch], list[str]]:
        """For each device off the trunks the branch that begins with it, cut so that it fits a sheet; and the cuts."""
        made: dict[str, Branch] = {}
        tall: dict[str, float] = {}
        cuts: list[str] = []
        for name in reversed(self.order):
            if name in in_trunk:
                continue
            step, below = self.steps[name], self.children[name]
            width = sum(made[child].width for child in below)
            height = self.height(step) + max((tall[child] for child in below), default=0.0)
            if below and (width > self.widest or height > self.longest):
                cuts.append(name)
                made[name], tall[name] = Branch((step,), cut=True), self.height(step)
            elif len(below) == 1:
                only = made[below[0]]
                made[name], tall[name] = replace(only, steps=(step, *only.steps)), height
            else:
                made[name], tall[name] = Branch((step,), tuple(made[child] for child in below)), height
        return made, cuts
