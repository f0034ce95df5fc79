"""Which points a state of the movers joins, and by which way: followed edge by edge, without any solver."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping

from netdsl.states.types import Circuit, Edge, Load, Mover, Pole

#: whether a mover is on
State = Mapping[Mover, bool]


def is_closed(edge: Edge, state: State) -> bool:
    """Whether a way conducts in a state."""
    return any(state[mover] for mover in edge.closed.movers) is edge.closed.on


class Joined:
    """Points joined by closed ways. A way ends at the pole of a source: what lies behind it is another circuit."""

    def __init__(self, circuit: Circuit, state: State) -> None:
        self.circuit = circuit
        self.roots = circuit.roots
        self.state = state
        self._parent = list(range(circuit.points))
        on = {mover for mover, is_on in state.items() if is_on}
        closed = [edge for edge in circuit.edges if on.isdisjoint(edge.closed.movers) is not edge.closed.on]
        ending: list[Edge] = []
        for edge in closed:
            if edge.a in self.roots or edge.b in self.roots:
                ending.append(edge)
            else:
                self._parent[self._find(edge.a)] = self._find(edge.b)
        self._at: dict[int, set[int]] = {}  # roots by the island that they touch
        self._islands: dict[int, set[int]] = {}  # islands by root
        self._beside: dict[int, set[int]] = {root: {root} for root in self.roots}  # roots that one way joins
        for edge in ending:
            for near, far in ((edge.a, edge.b), (edge.b, edge.a)):
                if near in self.roots and far in self.roots:
                    self._beside[near].add(far)
                elif near in self.roots:
                    island = self._find(far)
                    self._at.setdefault(island, set()).add(near)
                    self._islands.setdefault(near, set()).add(island)
        self._poles_at: dict[int, list[Pole]] = {}
        self.live = self._live()

    def _find(self, point: int) -> int:
        parent = self._parent
        while parent[point] != point:
            parent[point] = parent[parent[point]]
            point = parent[point]
        return point

    def roots_at(self, point: int) -> set[int]:
        """The roots that a point is joined to."""
        if point not in self.roots:
            return self._at.get(self._find(point), set())
        return self._beside[point].union(*(self._at[island] for island in self._islands.get(point, ())))

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

    def _live(self) -> set[str]:
        """Sources that give voltage: those that stand outside, and those inside devices that are fed by one."""
        groups = {pole.group: pole for pole in self.circuit.poles if pole.potential.kind in ("ac", "dc")}
        found: set[str] = set()
        waiting = [group for group, pole in groups.items() if self.state[pole.voltage]]
        while True:
            more = [group for group in waiting if self._is_fed(self.circuit.fed_by.get(group, ()), found)]
            if not more:
                return found
            found.update(more)
            waiting = [group for group in waiting if group not in found]

    def _is_fed(self, points: tuple[int, ...], live: set[str]) -> bool:
        """Whether two unlike poles of one live source stand at `points`; nothing connected there counts as fed."""
        if not points or not live:
            return not points
        poles = [pole for point in points for pole in self.poles_at(point) if pole.group in live]
        return any(are_opposite(one, other) for n, one in enumerate(poles) for other in poles[n + 1 :])


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
