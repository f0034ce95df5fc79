"""A circuit in slices, each with some of its loads and all that they depend on: what is played in a slice does what it does in
the whole, at a cost that does not grow with what else there is in the plant."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from netdsl.states.machine import Builder
from netdsl.states.types import Channel, Circuit, Edge, Load, Mover, Pole
from netdsl.states.ways import Islands, Variables, Wants


class Slicer:
    """Slices of one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        variables = Variables()
        self._wants = Wants(circuit, Islands(circuit), variables)
        self._builder = Builder(circuit, self._wants, variables)
        self._parted: dict[Mover, list[int]] = {}
        for place, edge in enumerate(circuit.edges):
            for mover in edge.closed.movers:
                self._parted.setdefault(mover, []).append(place)
        self._fixed = [place for place, edge in enumerate(circuit.edges) if not edge.closed.movers]
        self._supplied: dict[str, list[Load]] = {}
        for load in circuit.loads:
            if load.kind == "load":
                self._supplied.setdefault(load.device, []).append(load)
        self._poles: dict[str, list[Pole]] = {}
        for pole in circuit.poles:
            self._poles.setdefault(pole.group, []).append(pole)

    def by_function(self, most: int) -> Iterator[tuple[str, Circuit, tuple[Load, ...]]]:
        """A slice for the loads of each function, those of none first; for every `most` of them where there are more."""
        plant = self.circuit.network.plant
        found: dict[str, list[Load]] = {name: [] for name in ("", *plant.functions)}
        for load in self.circuit.loads:
            found[plant.devices[load.device].function].append(load)
        for function, loads in found.items():
            for first in range(0, len(loads), most):
                some = tuple(loads[first : first + most])
                yield function, self.of(some), some

    def of(self, loads: Iterable[Load]) -> Circuit:
        """The slice of `loads`: with the loads on which the movers depend that they depend on, and what feeds all of them. Its
        points are numbered anew, and no terminal has one."""
        circuit = self.circuit
        held, listed, groups = self._needed(loads)
        movers = set(listed)
        channels = [channel for mover in circuit.releases if mover in movers for channel in circuit.releases[mover]]
        poles = tuple(pole for group in groups for pole in self._poles[group])
        points = [point for load in held for point in (load.a, load.b)]
        points += [point for channel in channels for point in (channel.feed, channel.back)]
        points += [pole.point for pole in poles]
        points += [point for group in groups for point in circuit.fed_by.get(group, ())]
        edges, number = self._edges(movers, points)
        moved = {pole: pole._replace(point=number[pole.point]) for pole in poles}
        kept = {load: load._replace(a=number[load.a], b=number[load.b]) for load in held}
        return replace(
            circuit,
            point_of={},
            points=len(number),
            edges=edges,
            poles=tuple(moved.values()),
            loads=tuple(kept[load] for load in circuit.loads if load in kept),
            movements={mover: movement for mover, movement in circuit.movements.items() if mover in movers},
            selectors={name: each for name, each in circuit.selectors.items() if movers.issuperset(each)},
            interlocked=tuple(pair for pair in circuit.interlocked if movers.issuperset(pair)),
            exclusive=tuple(group for group in circuit.exclusive if movers.issuperset(group)),
            early={one: handle for one, handle in circuit.early.items() if one in movers and handle in movers},
            coils={mover: tuple(kept[load] for load in each) for mover, each in circuit.coils.items() if mover in movers},
            releases={
                mover: tuple(_renumbered(channel, number) for channel in each)
                for mover, each in circuit.releases.items()
                if mover in movers
            },
            fed_by={group: tuple(number[point] for point in each) for group, each in circuit.fed_by.items() if group in groups},
            roots={
                number[root]: tuple(moved[p] for p in here if p in moved)
                for root, here in circuit.roots.items()
                if root in number
            },
        )

    def _needed(self, loads: Iterable[Load]) -> tuple[dict[Load, None], dict[Mover, None], dict[str, None]]:
        """Loads, movers and sources of a slice: those that decide what is needed are needed themselves."""
        circuit, wants = self.circuit, self._wants
        held, groups = dict.fromkeys(loads), dict[str, None]()
        movers: dict[Mover, None] = {}
        while True:
            size = (len(held), len(movers), len(groups))
            points = [point for load in held for point in (load.a, load.b)]
            behind = [point for group in groups for point in circuit.fed_by.get(group, ())]
            met = [root for point in (*points, *behind) for root in wants.roots_of(point)]
            groups.update(dict.fromkeys(pole.group for root in met for pole in circuit.roots[root]))
            formulas = [wants.fed(load) for load in held]
            formulas += [formula for point in behind for formula in wants.roots_of(point).values()]
            movers.update(dict.fromkeys(self._builder.cone(formulas)))
            sources = (pole.voltage for group in groups for pole in self._poles[group])
            movers.update(dict.fromkeys(mover for mover in sources if mover in circuit.movements))
            held.update(dict.fromkeys(load for mover in movers for load in circuit.coils.get(mover, ())))
            released = {mover.device: None for mover in circuit.releases if mover in movers}
            held.update(dict.fromkeys(load for device in released for load in self._supplied.get(device, ())))
            if size == (len(held), len(movers), len(groups)):
                return held, movers, groups

    def _edges(self, movers: set[Mover], points: Sequence[int]) -> tuple[tuple[Edge, ...], dict[int, int]]:
        """The ways that the movers of a slice part and that its points meet, between points numbered anew, and these numbers.

        A way that others part is left open: nothing in the slice depends on it, or its movers would be among those.
        """
        roots = self.circuit.roots
        ways = sorted({*self._fixed, *(place for mover in movers for place in self._parted.get(mover, ()))})
        around: dict[int, list[int]] = {}
        for place in ways:
            for point in (self.circuit.edges[place].a, self.circuit.edges[place].b):
                around.setdefault(point, []).append(place)
        number: dict[int, int] = {}
        # a way ends at a root, but for one that is joined to others
        open_ = list(dict.fromkeys(points))
        found: set[int] = set()
        while open_:
            point = open_.pop()
            if point in number:
                continue
            number[point] = len(number)
            for place in around.get(point, ()) if point not in roots or len(self._wants.roots_of(point)) > 1 else ():
                found.add(place)
                open_ += (self.circuit.edges[place].a, self.circuit.edges[place].b)
        edges = (self.circuit.edges[place] for place in sorted(found))
        return tuple(edge._replace(a=number[edge.a], b=number[edge.b]) for edge in edges), number


def _renumbered(channel: Channel, number: dict[int, int]) -> Channel:
    return channel._replace(feed=number[channel.feed], back=number[channel.back])
