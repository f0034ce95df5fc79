"""Rings of live conductors on the way to a fault, which both ways round feed."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Calculation
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.loads import LoadCurrents, Ring, across
from netdsl.kept import cached_property, kept
from netdsl.sums import sum_of

#: what is less than this share of a way's impedance is rounding
_NOTHING = 1e-9
#: conductors of a net that can have a ring
_LEAST = 3


class RingWays:
    """Ways through rings, which a path passes on one side only."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit = calculation.of(Circuit)
        self._calculation = calculation

    @kept
    def of(self, path: Path) -> tuple[complex, tuple[str, ...]] | None:
        """By how much both ways round of the rings on a path have less impedance than the way that it takes, ohm, of one pole,
        conductors cold (negative, or 0); and the devices on the other ways. None where the impedance of one is not known."""
        total, beside = 0j, dict[str, None]()
        for net, first, last in self._pieces(path) if self._ringed else ():
            for ring in self._rings(net, path.devices[first]):
                less = self._less(path, ring, net, first, last)
                if less is None:
                    return None
                if less:
                    total += less
                    others = {point.rpartition(":")[0]: None for point in sorted((ring.entry, *ring.points))}
                    beside.update({name: None for name in others if name not in path.devices} or others)
        return total, tuple(beside)

    @cached_property
    def _ringed(self) -> frozenset[str]:
        """Nets in which live conductors make a ring."""
        loads, nets = self._calculation.of(LoadCurrents), self._circuit.network.nets
        large = (net for net in loads.wiring.givers if len(nets[net].conductors) >= _LEAST)
        return frozenset(net for net in large if any(tree.rings for tree in loads.flows.trees(net)))

    def _pieces(self, path: Path) -> Iterator[tuple[str, int, int]]:
        """Runs of steps of a path in one net with a ring: the net of a pole, and the numbers of the devices at both ends."""
        runs, ringed = self._circuit.network.runs, self._ringed
        nets = [frozenset(runs[pole[0]].net for pole in step.poles) for step in path.steps]
        first = 0
        while first < len(nets):
            own, last = nets[first], first + 1
            while last < len(nets) and own & nets[last]:
                own, last = own & nets[last], last + 1
            if own and min(own) in ringed:
                yield min(own), first, last
            first = last

    def _rings(self, net: str, giver: str) -> Iterator[Ring]:
        loads = self._calculation.of(LoadCurrents)
        for tree in loads.flows.trees(net):
            if tree.rings and loads.wiring.stages[tree.giver].device == giver:
                yield from loads.flows.rings_from(net, tree.giver)

    def _less(self, path: Path, ring: Ring, net: str, first: int, last: int) -> complex | None:
        """What one ring makes of it; 0 where the path does not pass it, None where an impedance is not known."""
        begin = ring.entry.rpartition(":")[0]
        if begin not in path.devices[first : last + 1]:
            return 0j
        start = path.devices.index(begin, first)
        point_of = {point.rpartition(":")[0]: point for point in sorted(ring.points, reverse=True)}
        end = max((number for number in range(start + 1, last + 1) if path.devices[number] in point_of), default=start)
        if end == start:
            return 0j
        ohms = self._ohms(ring, net)
        taken = [self._circuit.impedances.step(step) for step in path.steps[start:end]]
        known = [live[0][0] for live in taken if live is not None]
        if ohms is None or len(known) < len(taken):
            return None
        way = sum_of(known, 0j)
        both = across(ring, point_of[path.devices[end]], ohms)
        return both - way if abs(both) < abs(way) * (1 - _NOTHING) else 0j

    def _ohms(self, ring: Ring, net: str) -> dict[tuple[str, str], complex] | None:
        """Impedance of each edge of a ring, conductors cold, ohm; None where one is not known."""
        near = self._calculation.of(LoadCurrents).flows.joints(net).near
        found: dict[tuple[str, str], complex] = {}
        for one, other in ring.shares:
            if one < other:
                conductors = near.get(one, {}).get(other, ())
                own = self._circuit.impedances.parallel(conductors, None) if conductors else (0j, 0j, 0j)
                if own is None:
                    return None
                found[one, other] = own[0]
        return found
