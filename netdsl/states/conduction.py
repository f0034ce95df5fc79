"""Which points a state of the movers joins, and by which way: followed edge by edge, without any solver."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping

from netdsl.states.types import Circuit, Closed, Edge, Load, Mover, Pole

#: whether a mover is on
State = Mapping[Mover, bool]


def is_closed(edge: Edge, state: State) -> bool:
    """Whether a way conducts in a state."""
    return any(state[mover] for mover in edge.closed.movers) is edge.closed.on


class Standing:
    """What no state of a circuit changes: points joined by ways that are always closed, ways by what closes them, sources."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit, self.roots = circuit, circuit.roots
        always: list[Edge] = []
        moving: dict[Closed, list[Edge]] = {}
        for edge in circuit.edges:
            if edge.closed.movers:
                moving.setdefault(edge.closed, []).append(edge)
            elif not edge.closed.on:
                always.append(edge)
        inner, self.ending = self._parted(always)
        self.parent = list(range(circuit.points))
        join(self.parent, inner)
        self.moving = [(closed, *self._parted(edges)) for closed, edges in moving.items()]
        groups = {pole.group: pole for pole in circuit.poles if pole.potential.kind in ("ac", "dc")}
        #: sources with the mover that says whether each gives voltage, and the points at which it is fed itself
        self.sources = [(group, pole.voltage, circuit.fed_by.get(group, ())) for group, pole in groups.items()]

    def _parted(self, edges: Iterable[Edge]) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
        """The ends of ways, in both directions those that end at a pole by themselves."""
        inner: list[tuple[int, int]] = []
        ending: list[tuple[int, int]] = []
        for edge in edges:
            if edge.a in self.roots or edge.b in self.roots:
                ending += ((near, far) for near, far in ((edge.a, edge.b), (edge.b, edge.a)) if near in self.roots)
            else:
                inner.append((edge.a, edge.b))
        return inner, ending


class Joined:
    """Points joined by closed ways. A way ends at the pole of a source: what lies behind it is another circuit."""

    def __init__(self, standing: Standing, state: State) -> None:
        self.circuit, self.roots, self.state = standing.circuit, standing.roots, state
        parent = self._parent = standing.parent.copy()
        on = {mover for mover, is_on in state.items() if is_on}
        ending = standing.ending.copy()
        for closed, inner, more in standing.moving:
            if on.isdisjoint(closed.movers) is not closed.on:
                join(parent, inner)
                ending += more
        self._at: dict[int, set[int]] = {}  # roots by the island that they touch
        self._islands: dict[int, set[int]] = {}  # islands by root
        self._beside: dict[int, set[int]] = {}  # other roots that one way joins to one
        for near, far in ending:
            if far in self.roots:
                self._beside.setdefault(near, set()).add(far)
            else:
                island = first(parent, far)
                self._at.setdefault(island, set()).add(near)
                self._islands.setdefault(near, set()).add(island)
        self._poles_at: dict[int, list[Pole]] = {}
        self.live = self._live(standing, on)

    def roots_at(self, point: int) -> set[int]:
        """The roots that a point is joined to."""
        if point not in self.roots:
            return self._at.get(first(self._parent, point), set())
        return {point}.union(self._beside.get(point, ()), *(self._at[island] for island in self._islands.get(point, ())))

    def poles_at(self, point: int) -> list[Pole]:
        """The poles that a point is joined to, whether they give voltage or not."""
        found = self._poles_at.get(point)
        if found is None:
            found = self._poles_at[point] = [pole for root in sorted(self.roots_at(point)) for pole in self.roots[root]]
        return found

    def fed(self, load: Load) -> tuple[Pole, Pole] | None:
        """The two poles between which a load lies, its own source live; None where it gets nothing."""
        behind = self.poles_at(load.b)
        for one in self.poles_at(load.a):
            for other in behind:
                if are_opposite(one, other) and one.group in self.live:
                    return one, other
        return None

    def _live(self, standing: Standing, on: set[Mover]) -> set[str]:
        """Sources that give voltage: those that stand outside, and those inside devices that are fed by one."""
        giving = [(group, fed_by) for group, voltage, fed_by in standing.sources if voltage in on]
        found = {group for group, fed_by in giving if not fed_by}
        waiting = {group: self._feeding(fed_by) for group, fed_by in giving if fed_by}
        while more := [group for group, feeding in waiting.items() if not feeding.isdisjoint(found)]:
            found.update(more)
            for group in more:
                del waiting[group]
        return found

    def _feeding(self, points: tuple[int, ...]) -> set[str]:
        """Sources of which two unlike poles stand at `points`."""
        poles = [pole for point in points for pole in self.poles_at(point)]
        return {one.group for n, one in enumerate(poles) for other in poles[n + 1 :] if are_opposite(one, other)}


def first(parent: list[int], point: int) -> int:
    """The point that stands for all that `point` is joined to, in a list that leads to it step by step."""
    while parent[point] != point:
        parent[point] = parent[parent[point]]
        point = parent[point]
    return point


def join(parent: list[int], ends: Iterable[tuple[int, int]]) -> None:
    """Join points two by two."""
    for a, b in ends:
        parent[first(parent, a)] = first(parent, b)


def are_opposite(one: Pole, other: Pole) -> bool:
    """Whether a load between two poles gets voltage: they belong to one source, and of direct voltage one is its 0 V."""
    a, b = one.potential, other.potential
    kinds = {"ac" if potential.pole == "PEN" else potential.kind for potential in (a, b)}
    if one.group != other.group or a.id == b.id or kinds not in ({"ac"}, {"dc"}):
        return False
    return kinds == {"ac"} or (a.pole == "0V") != (b.pole == "0V")


def way(
    circuit: Circuit, start: int, goals: Iterable[int], closed: Callable[[Edge], bool], bars: Iterable[int] = ()
) -> tuple[tuple[Edge, int], ...] | None:
    """The way of fewest edges from `start` to one of `goals`, each with the point it leads to; None where there is none.

    It passes no point of `bars`.
    """
    around: dict[int, list[tuple[Edge, int]]] = {}
    for edge in circuit.edges:
        if closed(edge):
            around.setdefault(edge.a, []).append((edge, edge.b))
            around.setdefault(edge.b, []).append((edge, edge.a))
    wanted, barred = set(goals), set(bars)
    came: dict[int, tuple[Edge, int] | None] = {start: None}
    open_ = deque([start])
    while open_:
        point = open_.popleft()
        if point in wanted:
            return _back(came, point)
        if point in barred and point != start:
            continue
        for edge, other in around.get(point, ()):
            if other not in came:
                came[other] = (edge, point)
                open_.append(other)
    return None


def _back(came: dict[int, tuple[Edge, int] | None], point: int) -> tuple[tuple[Edge, int], ...]:
    steps = []
    while (step := came[point]) is not None:
        steps.append((step[0], point))
        point = step[1]
    return tuple(reversed(steps))
