"""The power tree as a single-line diagram shows it: groups of feeders, each a tree of chains. No geometry here.

A group is what hangs on one bar. A branch too long for a sheet goes on in the column beside it. Where one is too wide it is
cut, and what was below the cut becomes a group of its own that names the device it comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.kinds import BARS, INNER_SUPPLIES, PROTECTIVE
from netdsl.model.plant import Device
from netdsl.network.types import Network
from netdsl.sums import sum_of
from render.drawings.feeder_steps import Branch, Step, Steps

#: kinds that may share out power without a bar of their own
_SHARING = BARS | {"supply", "strip", "isolator", "breaker", "fuse", "outside", "terminal-box", "plug", "residual-device"}
#: kinds that are told on other drawings: their circuit is control, not power
_CONTROL = frozenset(
    "push-button selector emergency-stop safety-relay level-switch switch transmitter lamp relay relay-socket aux-contact"
    " potentiometer controller timer buzzer meter sensor thermostat earth-bar screen-bar".split()
)

#: share of the longest branch that the taps of one column may take
_TAPPED = 0.55


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
    that feed a group of their own; `folded`: those whose branch goes on in the next column."""

    groups: tuple[Group, ...]
    parent: Mapping[str, str]
    steps: Mapping[str, Step]
    origins: frozenset[str]
    folded: frozenset[str] = frozenset()

    def path(self, device: str) -> tuple[str, ...]:
        """Devices from the supply to `device`, both included."""
        return _path(self.parent, device)


def _path(parent: Mapping[str, str], device: str) -> tuple[str, ...]:
    """Devices from the one that nothing feeds to `device`."""
    path = [device]
    while path[-1] in parent:
        path.append(parent[path[-1]])
    return tuple(reversed(path))


def feeders(network: Network, widest: int, longest: float, height: Callable[[Step], float], trunk: float = 0.0) -> Feeders:
    """Arrange the power tree for sheets of `widest` columns and `longest` mm; `height` says what a step takes, mm; `trunk`:
    what a trunk may take, where that is not as much."""
    return _Arranger(network, widest, longest, height, trunk or longest).arrange()


class _Arranger:
    """Works from the leaves up, without recursion, so no plant is too deep."""

    def __init__(self, network: Network, widest: int, longest: float, height: Callable[[Step], float], trunk: float) -> None:
        self.network = network
        self.widest, self.longest, self.height, self.trunk_most = widest, longest, height, trunk
        known = [name for name in network.power.order if name in network.plant.devices]
        self.rank = {name: number for number, name in enumerate(known)}
        self.parent = self._parents(known)
        self.children: dict[str, list[str]] = {name: [] for name in known}
        for name, feeding in self.parent.items():
            self.children[feeding].append(name)
        self.control = self._prune(known)
        gone = {name for names in self.control.values() for name in names}
        self.order = [name for name in known if name not in gone]
        maker = Steps(network, self.parent, self.control, self.rank, frozenset(self.order))
        self.steps = {name: maker.step(name) for name in self.order}
        self._gather()
        self.folded: frozenset[str] = frozenset()
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
        return Feeders(
            tuple(groups), self.parent, self.steps, frozenset(group.origin for group in groups if group.origin), self.folded
        )

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

    def _gather(self) -> None:
        """Put the protective devices behind a 24 V supply that feed control alone into one column, as many as it has room for."""
        converted: set[str] = set()
        gone: set[str] = set()
        for name in self.order:
            if self._device(name).kind in INNER_SUPPLIES or self.parent.get(name) in converted:
                converted.add(name)
            taps = [child for child in self.children[name] if self._is_tap(child)] if name in converted else []
            while len(taps) > 1:
                count = len(taps)
                step = replace(self.steps[taps[0]], taps=tuple(self.steps[tap] for tap in taps))
                while count > 2 and self.height(step) > self.longest * _TAPPED:
                    count -= 1
                    step = replace(step, taps=step.taps[:count])
                self.steps[taps[0]] = step
                gone.update(taps[1:count])
                taps = taps[count:]
            self.children[name] = [child for child in self.children[name] if child not in gone]
        self.order = [name for name in self.order if name not in gone]

    def _is_tap(self, name: str) -> bool:
        step = self.steps[name]
        return not (self.children[name] or step.joins or step.wiring.cables) and self._device(name).kind in PROTECTIVE

    def _leaf_counts(self) -> dict[str, int]:
        counts: dict[str, int] = {}
        for name in reversed(self.order):
            counts[name] = sum_of(counts[child] for child in self.children[name]) or 1
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
        if shares and sum_of(self.height(self.steps[name]) for name in trunk) <= self.trunk_most:
            return trunk, True
        return [supply], len(self.children[supply]) > 1

    def _main_way(self, below: list[str]) -> str | None:
        """The one of `below` that leads on to the bar: the only one, or the one with a bar and most of the loads."""
        if len(below) == 1:
            return below[0]
        total = sum_of(self.leaves[name] for name in below)
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
            width = sum_of(made[child].width for child in below)
            height = self.height(step) + max((tall[child] for child in below), default=0.0)
            if below and width < self.widest and height > self.longest:
                # what is too long for a sheet goes on in the column beside it
                made[name], tall[name] = Branch((step,), tuple(made[child] for child in below), fold=True), self.height(step)
                self.folded |= {name}
            elif below and (width > self.widest or height > self.longest):
                cuts.append(name)
                made[name], tall[name] = Branch((step,), cut=True), self.height(step)
            elif len(below) == 1:
                only = made[below[0]]
                made[name], tall[name] = replace(only, steps=(step, *only.steps)), height
            else:
                ordered = sorted(below, key=lambda child: bool(self.steps[child].wiring.aside))  # what its output feeds first
                made[name], tall[name] = Branch((step,), tuple(made[child] for child in ordered)), height
        return made, cuts
