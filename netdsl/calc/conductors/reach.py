"""The way of the current to a load, piece by piece: what flows in each piece and the impedance it meets."""

from __future__ import annotations

from cmath import exp
from collections.abc import Callable
from math import pi, sqrt

from msgspec import Struct

from netdsl.calc.circuit import Circuit, Lead, in_parallel
from netdsl.calc.loads import LoadCurrents, Loads, Tree
from netdsl.kept import Asking, meanwhile
from netdsl.sums import sum_of

#: what counts of the current at separately fed winding ends, and its angle against that of the line
OWN_WINDING = 2 / sqrt(3)
_BACK = exp(-1j * pi / 6)


class Piece(Struct, frozen=True):
    """Conductors in parallel, or a device (`conductors` empty): current, A against the phase's voltage, impedance, ohm."""

    current: complex
    impedance: complex
    conductors: tuple[str, ...]
    length_m: float


class Reach(Struct, eq=False):
    """One phase from `origin` to a device: the reach of the device before it, then pieces; `lost`: sum of current times
    impedance, V. `choked`: a reactor on the way is left out, as its drop belongs to the drive."""

    origin: str
    before: Reach | None
    own: tuple[Piece, ...]
    lost: complex
    choked: bool

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """All pieces from the origin on."""
        found: list[tuple[Piece, ...]] = []
        reach: Reach | None = self
        while reach is not None:
            found.append(reach.own)
            reach = reach.before
        return tuple(piece for own in reversed(found) for piece in own)


class Reaches:
    """Reaches by device and phase, each worked out once."""

    def __init__(
        self,
        circuit: Circuit,
        loads: LoadCurrents,
        source: Callable[[str], complex | None] | None = None,
        celsius: Callable[[str], float | None] | None = None,
    ) -> None:
        """`source`: impedance of one pole of a supply, ohm, None if unknown, where its own drop counts too; `celsius`:
        temperature of a conductor, °C, where it is not that of its insulation in service."""
        self._circuit, self._phasors, self._source, self._celsius = circuit, loads.phasors, source, celsius
        self._wiring, self._flows = loads.wiring, loads.flows

    @meanwhile(None, key=lambda _, stage, phase, __, by="": (stage, phase, by))
    def to(self, stage: str, phase: int, asker: str, by: str = "") -> Asking[Reach | None]:
        """The worst way of a phase to a device, of those from the device `by` where it is named; None where a current, length or
        section on a way is unknown; gaps are noted in the circuit they belong to, else in that of `asker`."""
        fed = self._wiring.stages[stage].fed_by
        lives = {net: live for net in fed if (live := self._wiring.live(net)) is not None}
        nets = [net for net, live in lives.items() if live.phase == phase] or list(lives)[phase : phase + 1] or list(lives)[:1]
        found: list[Reach] = []
        for net in nets:
            for tree in self._flows.trees(net):
                if tree.giver == stage or (by and self._wiring.stages[tree.giver].device != by):
                    continue
                reach = yield from self._by(tree, net, tuple(fed[net]), phase, asker)
                if reach is None:
                    return None
                found.append(reach)
        return max(found, key=lambda reach: reach.lost.real, default=None)

    def bundle(self, conductors: tuple[str, ...], asker: str) -> complex | None:
        """Impedance of conductors in parallel in service, ohm; None with the gap noted."""
        found = self._circuit.impedances.parallel(conductors, asker)
        if found is None or self._celsius is None:
            return None if found is None else found[1]
        leads = ((lead, name) for name in conductors if isinstance(lead := self._circuit.leads.like(name), Lead))
        return in_parallel(lead.at(self._celsius(name)) for lead, name in leads)

    def length(self, conductors: tuple[str, ...]) -> float:
        """Length of the first of parallel conductors, m; 0 where it is not stated, as the impedance may be instead."""
        return self._circuit.network.runs[conductors[0]].length_m or 0.0 if conductors else 0.0

    def _by(self, tree: Tree, net: str, nodes: tuple[str, ...], phase: int, asker: str) -> Asking[Reach | None]:
        """The way by one giver of a net."""
        giver = self._wiring.stages[tree.giver].device
        before: Reach | None = None
        if not self._wiring.begins(tree.giver):
            before = yield self.to, tree.giver, phase, asker
            if before is None:
                return None
        live = self._wiring.live(net)
        index = live.phase if live else phase
        found = self._along(tree, nodes[0], index, asker)
        if found is None:
            return None
        choked = before is not None and before.choked
        own = self._own(giver, before)
        if own is None:
            return None
        if own:
            current = self.current(tree.all, tree.giver, index)
            if current is None:
                return None
            if before is not None and self._belongs_to_drives(giver, tree.all, before):
                choked = True
            else:
                branch = self._flows.parallel.of(giver)
                found.append(Piece(current * (branch.ratio if branch else 1.0), own, (), 0.0))
        lost = sum_of((piece.current * piece.impedance for piece in reversed(found)), before.lost if before else 0j)
        return Reach(before.origin if before else giver, before, tuple(reversed(found)), lost, choked)

    def _along(self, tree: Tree, node: str, phase: int, asker: str) -> list[Piece] | None:
        """Conductors from a node of a tree up to its giver; None where a current or an impedance is unknown."""
        found: list[Piece] = []
        point = tree.joints.point_of.get(node, "")
        while point in tree.up:
            above, conductors = tree.up[point]
            current = self.current(tree.to(point), tree.giver, phase)
            impedance = self.bundle(conductors, asker)
            if current is None or impedance is None:
                return None
            current *= self._flows.parallel.ratio(conductors[0]) if conductors else 1.0
            found.append(Piece(current, impedance + self._carrier(point), conductors, self.length(conductors)))
            point = above
        return found

    def _own(self, giver: str, before: Reach | None) -> complex | None:
        """What a giver itself adds, ohm: a device its impedance; where the way begins, the supply's if that counts too, None if
        that is not known."""
        if before is not None:
            return self._circuit.impedances.device(giver)
        return self._source(giver) if self._source is not None else 0j

    def current(self, loads: Loads, giver: str, phase: int) -> complex | None:
        """Current of loads together in one phase, A. Of a motor's winding ends fed separately, that which would lose as much in
        the phase: the winding's current, I / sqrt(3), flows at both its ends, so that 2/3 of I count."""
        total = self._phasors.within(loads, giver)
        if total is None:
            return None
        if len(loads) == 1 and (name := next(iter(loads)))[-2:] in ("/1", "/2"):
            return total[phase] * OWN_WINDING * (_BACK if name.endswith("1") else _BACK.conjugate())
        return total[phase]

    def _carrier(self, point: str) -> complex:
        """Impedance of the bar at a point."""
        device = point.rpartition(":")[0]
        made = self._circuit.plant.devices.get(device)
        return self._circuit.impedances.device(device) if made is not None and made.category == "busbar" else 0j

    def _belongs_to_drives(self, device: str, behind: Loads, before: Reach) -> bool:
        """Whether a reactor stands before drives only, or behind one."""
        devices = self._circuit.plant.devices
        if devices[device].kind != "reactor":
            return False
        return devices[before.origin].kind == "drive" or all(devices[name.partition("/")[0]].kind == "drive" for name in behind)
