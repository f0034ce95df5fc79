"""Cables in parallel that are fused by themselves: how they share what flows, by their impedances (IEC 60364-4-43, 433.4.2)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.trees import Tree
from netdsl.calc.loads.wiring import Wiring
from netdsl.kept import cached_property
from netdsl.model.kinds import Kind
from netdsl.sums import sum_of

#: what is in for as long as it is not blown or tripped: contactors and switches may be open
_ALWAYS_IN = frozenset({Kind.FUSE, Kind.BREAKER})


class Branch(NamedTuple):
    """One of several ways side by side. `devices`: its protective devices, the nearest to the source first; `share`: of all that
    flows in them together, that in this one; `cold` and `together`: impedance of one pole, ohm, at the temperature of the largest
    fault, of the branch and of all branches side by side; `beside`: the first device of each of the others; `ratio`: its
    share with its angle."""

    devices: tuple[str, ...]
    share: float
    cold: complex
    together: complex
    beside: tuple[str, ...]
    ratio: complex


class ParallelBranches:
    """Branches from the same nets to the same nets, each through fuses or breakers of its own and nothing else. Where a length or
    a section is missing, or a branch has no impedance, each counts with all that flows, as if the others were out."""

    def __init__(self, circuit: Circuit, wiring: Wiring, trees: Callable[[str], tuple[Tree, ...]]) -> None:
        """`trees`: how a net carries current, one tree for each giver."""
        self._circuit, self._wiring, self._trees = circuit, wiring, trees

    def may_share(self) -> bool:
        """Whether there would be any, if nothing that they lack were missing."""
        return bool(self._groups)

    def __bool__(self) -> bool:
        """Whether there are any."""
        return bool(self._found)

    def of(self, device: str) -> Branch | None:
        """The branch that a protective device lies in; None where it has none beside it."""
        return self._by_device.get(device)

    def share(self, conductor: str) -> float:
        """Share of a conductor in what flows in its branch and those beside it together; 1 outside of such branches."""
        branch = self._by_conductor.get(conductor)
        return 1.0 if branch is None else branch.share

    def ratio(self, conductor: str) -> complex:
        """The same with its angle."""
        branch = self._by_conductor.get(conductor)
        return 1.0 if branch is None else branch.ratio

    @cached_property
    def _by_device(self) -> dict[str, Branch]:
        return {device: branch for branch in self._found for device in branch.devices}

    @cached_property
    def _by_conductor(self) -> dict[str, Branch]:
        return {name: branch for branch, own in self._found.items() for name in own}

    @cached_property
    def _groups(self) -> list[list[tuple[str, ...]]]:
        """The protective devices of branches, side by side."""
        groups: dict[tuple[frozenset[str], frozenset[str]], list[tuple[str, ...]]] = {}
        chains = [self._chain(device) for device in self._wiring.stages if self._protects(device)]
        inner = {device for chain in chains for device in chain[1:]}
        for chain in chains:
            first, last = self._wiring.stages[chain[0]], self._wiring.stages[chain[-1]]
            if chain[0] not in inner and first.fed_by and last.feeds:
                groups.setdefault((frozenset(first.fed_by), frozenset(last.feeds)), []).append(chain)
        return [group for group in groups.values() if len(group) > 1]

    @cached_property
    def _found(self) -> dict[Branch, tuple[str, ...]]:
        """All branches, each with its own live conductors."""
        found: dict[Branch, tuple[str, ...]] = {}
        for group in self._groups:
            found.update(self._shared(group))
        return found

    def _protects(self, stage: str) -> bool:
        made = self._circuit.plant.devices.get(stage)
        return made is not None and made.kind in _ALWAYS_IN

    def _chain(self, device: str) -> tuple[str, ...]:
        """A protective device with those that follow it, as long as nothing else leaves or joins."""
        found = [device]
        while True:
            nets = self._wiring.stages[found[-1]].feeds
            takers = {taker for net in nets for taker in self._wiring.takers.get(net, ())}
            givers = {giver for net in nets for giver in self._wiring.givers.get(net, ())}
            (following,) = takers if len(takers) == 1 else ("",)
            if givers != {found[-1]} or following in ("", *found) or not self._protects(following):
                return tuple(found)
            if set(self._wiring.stages[following].fed_by) != set(nets):
                return tuple(found)
            found.append(following)

    def _shared(self, group: list[tuple[str, ...]]) -> dict[Branch, tuple[str, ...]]:
        """The branches of a group with their conductors; empty where an impedance is not known."""
        ways = [self._ways(chain, {device for other in group for device in other}) for chain in group]
        own = [[bundle for bundle in way if not any(bundle in other for other in ways if other is not way)] for way in ways]
        ohms = [self._ohms(chain, bundles) for chain, bundles in zip(group, own, strict=True)]
        known = [each for each in ohms if each is not None and each[0] and each[1]]
        if len(known) < len(group):
            return {}
        cold, warm = (1 / sum_of(1 / each[n] for each in known) for n in (0, 1))
        self._circuit.settings.assume(
            "parallel-branches",
            "cables in parallel that are fused by themselves are all in and share the current by their impedances; that a fault"
            " in one of them is fed from its far end too is not counted",
            "IEC 60364-4-43, 433.4.2 and 434.4",
            "memory",
        )
        found = {}
        for chain, bundles, each in zip(group, own, known, strict=True):
            beside = tuple(other[0] for other in group if other is not chain)
            branch = Branch(chain, abs(warm / each[1]), each[0], cold, beside, warm / each[1])
            found[branch] = tuple(name for bundle in bundles for name in bundle)
        return found

    def _ways(self, chain: tuple[str, ...], members: set[str]) -> list[tuple[str, ...]]:
        """Conductors, in bundles, from the nets before a chain through it to all that the nets behind it feed."""
        found: dict[tuple[str, ...], None] = {}
        for number, device in enumerate((*chain, "")):
            before = chain[number - 1] if number else ""
            nets = self._wiring.stages[device].fed_by if device else self._wiring.stages[before].feeds
            for net in nets:
                for tree in self._trees(net):
                    if (not before and tree.giver not in members) or tree.giver == before:
                        nodes = self._wiring.stages[device].fed_by[net] if device else self._ends(net, before, members)
                        for node in nodes:
                            found.update(dict.fromkeys(_up(tree, node)))
        return list(found)

    def _ends(self, net: str, device: str, members: set[str]) -> Iterable[str]:
        """Nodes of a net at which what flows in from a device leaves it; where nothing draws, those of what it leads to."""
        takers = [taker for taker in self._wiring.takers.get(net, ()) if taker not in members]
        if takers:
            return [node for taker in takers for node in self._wiring.stages[taker].fed_by[net]]
        fed = {step.fed for step in self._circuit.out_of.get(device, ())}
        return [node for node in self._circuit.network.nets[net].nodes if node.rpartition(":")[0] in fed]

    def _ohms(self, chain: tuple[str, ...], bundles: Iterable[tuple[str, ...]]) -> tuple[complex, complex] | None:
        """Impedance of one pole of a branch, ohm, cold and in service: of the pole that has most; None where it is not known."""
        poles: dict[int, list[complex]] = {}
        for bundle in bundles:
            live = self._wiring.live(self._circuit.network.runs[bundle[0]].net)
            found = self._circuit.impedances.parallel(bundle, None)
            if found is None or live is None:
                return None
            total = poles.setdefault(live.phase, [0j, 0j])
            total[0], total[1] = total[0] + found[0], total[1] + found[1]
        if not poles:
            return None
        devices = sum_of((self._circuit.impedances.device(device) for device in chain), 0j)
        cold, warm = max(poles.values(), key=lambda total: abs(total[1]))
        return cold + devices, warm + devices


def _up(tree: Tree, node: str) -> Iterable[tuple[str, ...]]:
    """Conductors in bundles from a node of a tree to its giver."""
    point = tree.joints.point_of.get(node, "")
    while point in tree.up:
        point, conductors = tree.up[point]
        if conductors:
            yield conductors
