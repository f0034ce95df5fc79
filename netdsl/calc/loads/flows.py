"""What flows in each conductor of the power circuit: which loads lie behind it, net by net, each counted once.

A load is named by its device; a motor whose winding ends are fed separately (star-delta) by its three shares, `M1/1` the
line's current into the first ends, `M1/2` that into the second ends, `M1/0` that into the star point; one of several windings,
for one speed each, by the number that its terminals begin with: `M1/1U`, `M1/2U`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from netdsl.calc.basis import amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.inner_points import merged
from netdsl.calc.loads.parallel import ParallelBranches
from netdsl.calc.loads.rings import Ring, rings
from netdsl.calc.loads.trees import Joints, Loads, Through, Tree
from netdsl.calc.loads.wiring import Wiring, speed_of
from netdsl.kept import Asking, cached_property, kept, meanwhile
from netdsl.model.kinds import PROTECTIVE, TAPPED
from netdsl.network.search import trace_by


class Flows:
    """Loads behind every device and conductor. `draws` tells whether a device is a load."""

    def __init__(self, circuit: Circuit, wiring: Wiring, draws: Callable[[str], bool]) -> None:
        self._circuit, self._wiring, self._draws = circuit, wiring, draws
        self._plant, self._network = circuit.plant, circuit.network

    @cached_property
    def parallel(self) -> ParallelBranches:
        """Branches side by side that share what flows."""
        return ParallelBranches(self._circuit, self._wiring, self.trees)

    def into(self, device: str) -> Loads:
        """Loads behind a device, of one in a branch beside others its share of them."""
        loads, branch = self.behind(device), self.parallel.of(device)
        return loads if branch is None else _part(loads, branch.share)

    @meanwhile({})
    def behind(self, stage: str) -> Asking[Loads]:
        """Loads that a stage feeds."""
        found: dict[str, float] = {}
        known: set[tuple[str, ...]] = set()
        for net in self._wiring.stages[stage].feeds:
            takers = tuple(self._wiring.takers.get(net, ()))
            if takers in known and not any(self._split(taker) for taker in takers):
                continue  # the next phase of the same loads
            known.add(takers)
            trees: tuple[Tree, ...] = yield self.trees, net
            for tree in trees:
                if tree.giver == stage:
                    _join(found, tree.all)
        made = self._plant.devices[self._wiring.stages[stage].device]
        share = amount(made, "simultaneity") if made.kind in PROTECTIVE or made.category == "supply" else None
        return {name: own * share for name, own in found.items()} if share is not None else found

    def at_carrier(self, carrier: str) -> Loads:
        """Loads behind all terminals of a strip, bar or box."""
        found: dict[str, float] = {}
        for net in self._wiring.carried(carrier):
            for tree in self.trees(net):
                for node, point in tree.joints.point_of.items():
                    if node.startswith(f"{carrier}:"):
                        _join(found, tree.behind.get(point, {}))
        return found

    @kept
    def through(self, conductor: str) -> tuple[Through, ...]:
        """What goes through a conductor, for each giver of its net from which it does."""
        found = []
        run, share = self._network.runs[conductor], self.parallel.share(conductor)
        for tree in self.trees(run.net):
            points = [tree.joints.point_of.get(node, "") for node in run.nodes]
            for one, other in (points, points[::-1]):
                if (one, other) in tree.rings:
                    found.append(Through(_part(tree.rings[one, other], share), tree.joints.near[one][other], tree.giver))
                    continue
                parent, conductors = tree.up.get(one, ("", ()))
                if parent == other and conductor in conductors:
                    found.append(Through(_part(tree.behind.get(one, {}), share), conductors, tree.giver))
        return tuple(found)

    @meanwhile(())
    def trees(self, net: str) -> Asking[tuple[Tree, ...]]:
        """How a net carries current, one tree for each giver."""
        found: list[Tree] = []
        for giver in self._wiring.givers.get(net, ()):
            straight = yield from self._straight(net, giver)
            found.append(straight or (yield from self._branched(net, giver)))
        return tuple(found)

    def divided(self) -> bool:
        """Whether what flows anywhere may share between several conductors or branches."""
        trees = (tree for net in self._wiring.givers for tree in self.trees(net))
        return self.parallel.may_share() or any(
            tree.rings or any(len(conductors) > 1 for _, conductors in tree.up.values()) for tree in trees
        )

    @kept
    def joints(self, net: str) -> Joints:
        """The points of a net and the conductors between them."""
        found = self._network.nets[net]
        point_of = {node: node for node in found.nodes}
        if len(found.nodes) > 2:
            merged(self._plant, point_of)
        near: dict[str, dict[str, tuple[str, ...]]] = {}
        for name in found.conductors:
            one, other = map(point_of.get, self._network.runs[name].nodes)
            if one != other and one is not None and other is not None:  # the one conductor that earths a 0 V leaves its net
                near.setdefault(one, {})[other] = (*near.get(one, {}).get(other, ()), name)
                near.setdefault(other, {})[one] = (*near.get(other, {}).get(one, ()), name)
        return Joints(point_of, near)

    # --- devices --------------------------------------------------------------------------------------------------
    def _split(self, stage: str) -> bool:
        """Whether a motor's winding ends are fed separately."""
        found = self._wiring.stages[stage]
        return len(found.fed_by) > 3 and self._plant.devices[found.device].kind == "motor"

    def _sink(self, net: str, taker: str) -> Asking[Loads]:
        """What a taker draws from a net."""
        if not self._draws(taker if taker in self._plant.devices else self._wiring.stages[taker].device):
            own: Loads = yield self.behind, taker
            return own or self._star(net, taker)
        if not self._split(taker):
            return {taker: 1.0}
        ends = self._wiring.stages[taker].fed_by[net]
        if speed := speed_of(ends):
            return {f"{taker}/{speed}U": 1.0}
        second = any(node.endswith("2") for node in ends)
        return {f"{taker}/{2 if second else 1}": 1.0}

    def _star(self, net: str, taker: str) -> Loads:
        """What flows into the contactor that makes the star point of a motor."""
        if self._plant.devices[self._wiring.stages[taker].device].kind != "contactor":
            return {}
        motor = next((name for name in self._wiring.takers[net] if name != taker and self._split(name)), None)
        return {f"{motor}/0": 1.0} if motor else {}

    # --- nets -----------------------------------------------------------------------------------------------------
    def _straight(self, net: str, giver: str) -> Asking[Tree | None]:
        """The tree of a net that is one conductor from its giver to its only taker; None for any other."""
        found, takers = self._network.nets[net], self._wiring.takers.get(net, {})
        if len(found.nodes) != 2 or len(found.conductors) != 1 or len(takers) != 1:
            return None
        taker = next(iter(takers))
        ends = [node for node in found.nodes if node.rpartition(":")[0] == taker]
        begins = [node for node in found.nodes if node.rpartition(":")[0] == giver]
        if len(ends) != 1 or len(begins) != 1 or ends == begins:
            return None
        (end,), (begin,), conductors = ends, begins, found.conductors
        joints = Joints({begin: begin, end: end}, {begin: {end: conductors}, end: {begin: conductors}})
        sink = yield from self._sink(net, taker)
        whole = {name: share for name, share in sink.items() if not name.endswith("/0")}
        return Tree(giver, joints, {end: (begin, conductors)}, {end: sink, begin: sink}, whole)

    def _branched(self, net: str, giver: str) -> Asking[Tree]:
        joints = self.joints(net)
        starts = tuple(dict.fromkeys(joints.point_of[node] for node in self._wiring.nodes(giver, net)))
        order = trace_by(starts, lambda point: joints.near.get(point, {}).items())
        up = {point: way for point, way in order.items() if way is not None}
        found = self.rings(net, tuple(order), starts)
        before = {point: way[0] for point, way in up.items()} | {point: ring.entry for ring in found for point in ring.points}
        behind: dict[str, dict[str, float]] = {}
        whole: dict[str, float] = {}
        for taker in self._wiring.takers.get(net, ()):
            sink: Loads = (yield from self._sink(net, taker)) if taker != giver else {}
            for node in self._wiring.stages[taker].fed_by[net]:
                point = joints.point_of.get(node, "")
                _join(behind.setdefault(point, {}) if point in order else whole, sink)
        for point in reversed(order):
            if point in behind:
                self._diversify(point, behind)
                _join(behind.setdefault(before[point], {}) if point in up else whole, behind[point])
        whole = {name: share for name, share in whole.items() if not name.endswith("/0")}
        along = {edge: own for ring in found for edge, own in ring.along(behind).items()}
        toward = {point: ring.net(behind, (up[point][0], point)) for ring in found for point in ring.points if point in up}
        return Tree(giver, joints, up, behind, whole, along, toward)

    def rings(self, net: str, order: Sequence[str], starts: Sequence[str]) -> tuple[Ring, ...]:
        """Rings of a net, whose points are found in this order from those that feed it."""
        return rings(self.joints(net), order, starts, self._ohms, self._circuit.settings)

    @kept
    def rings_from(self, net: str, giver: str) -> tuple[Ring, ...]:
        """Rings of a net as one giver feeds them."""
        point_of = self.joints(net).point_of
        starts = tuple(dict.fromkeys(point_of[node] for node in self._wiring.nodes(giver, net)))
        trees = (tree for tree in self.trees(net) if tree.giver == giver and tree.rings)
        return tuple(ring for tree in trees for ring in self.rings(net, (*starts, *tree.up), starts))

    def _ohms(self, conductors: tuple[str, ...]) -> complex | None:
        """Impedance of conductors in parallel in service, ohm; None where it is not known."""
        found = self._circuit.impedances.parallel(conductors, None)
        return None if found is None else found[1]

    def _diversify(self, point: str, behind: dict[str, dict[str, float]]) -> None:
        """Apply the simultaneity of a strip or bar to the loads behind it; the project's own only once to each load."""
        device = point.rpartition(":")[0]
        share = self._simultaneity(device)
        if share is None:
            return
        stated = "simultaneity" in self._plant.devices[device].ratings
        loads = behind[point]
        if stated:
            behind[point] = {name: own * share for name, own in loads.items()}
        elif share < 1 and len(loads) > 1:
            behind[point] = {name: min(own, share) for name, own in loads.items()}

    @kept
    def _simultaneity(self, device: str) -> float | None:
        made = self._plant.devices.get(device)
        if made is None or made.category not in TAPPED:
            return None
        stated = amount(made, "simultaneity")
        if stated is None and made.category == "busbar":
            return self._circuit.settings.number("simultaneity")
        return stated


def _part(loads: Loads, share: float) -> Loads:
    return loads if share == 1.0 else {name: own * share for name, own in loads.items()}


def _join(into: dict[str, float], more: Loads) -> None:
    for name, share in more.items():
        if share > into.get(name, 0.0):
            into[name] = share
