"""Formulas that say when two points are joined, by eliminating points one after the other.

Taking a point out of a network leaves, for each pair of its neighbours, a way through it. Done in order of fewest neighbours,
this is what Gaussian elimination does to a sparse matrix, over "or" and "and": the formulas grow with the circuit and not with
the number of its paths, which bridging contacts multiply, and they need no counting of levels. They say as well when two points
are *not* joined, which a coil that has to drop needs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from heapq import heapify, heappop, heappush

from netdsl.states.formulas import FALSE, TRUE, Formulas
from netdsl.states.types import Edge


class Reach:
    """When points are joined to roots. A way does not pass through a root."""

    def __init__(self, formulas: Formulas, edges: Iterable[Edge], roots: Iterable[int], closed: Callable[[Edge], int]) -> None:
        self._formulas = formulas
        self._roots = frozenset(roots)
        self._around: dict[int, dict[int, int]] = {}
        for edge in edges:
            self._add(edge.a, edge.b, closed(edge))
        self._reached: dict[int, dict[int, int]] = {root: {root: TRUE} for root in self._roots}
        self._solve()

    def roots_of(self, point: int) -> Mapping[int, int]:
        """For each root that a point may be joined to, the formula that says when."""
        return self._reached.get(point, {})

    def joined(self, point: int, root: int) -> int:
        """When a point is joined to a root."""
        return self._reached.get(point, {}).get(root, FALSE)

    def _add(self, one: int, other: int, formula: int) -> None:
        if one == other or formula == FALSE:
            return
        for near, far in ((one, other), (other, one)):
            found = self._around.setdefault(near, {})
            found[far] = self._formulas.either(found.get(far, FALSE), formula)

    def _solve(self) -> None:
        order: list[tuple[int, dict[int, int]]] = []
        queue = [(len(found), point) for point, found in self._around.items() if point not in self._roots]
        heapify(queue)
        while queue:
            size, point = heappop(queue)
            if len(self._around.get(point, ())) != size or point not in self._around:
                continue  # taken out, or queued again with the neighbours it has now
            neighbours = self._around.pop(point)
            order.append((point, neighbours))
            for other in neighbours:
                del self._around[other][point]
            listed = sorted(neighbours)
            for number, one in enumerate(listed):
                for other in listed[number + 1 :]:
                    self._add(one, other, self._formulas.both(neighbours[one], neighbours[other]))
            for other in listed:
                if other not in self._roots:
                    heappush(queue, (len(self._around[other]), other))
        for root in self._roots:
            self._reached[root].update(self._around.get(root, {}))
        self._fill(order)

    def _fill(self, order: list[tuple[int, dict[int, int]]]) -> None:
        """Back from the last point taken out: what each of its neighbours then was joined to, it is joined to as well."""
        both, either = self._formulas.both, self._formulas.either
        for point, neighbours in reversed(order):
            found: dict[int, int] = {}
            for other in sorted(neighbours):
                reached = {other: TRUE} if other in self._roots else self._reached.get(other, {})
                for root, formula in reached.items():
                    found[root] = either(found.get(root, FALSE), both(neighbours[other], formula))
            self._reached[point] = found
