"""Graphs of a network, with what is known of each node and edge, and what is asked of them beyond a walk.

networkx knows far more and takes a quarter of a check of a small plant to load: it is asked for the parts that rings make of a
graph, which few plants have, and for nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import Any, TypeVar

from netdsl.network.search import walk

_T = TypeVar("_T", bound=Hashable)
#: what is known of a node or an edge, by name
Known = dict[str, Any]
_Near = dict[str, dict[str, Known]]


class Nodes(dict[str, Known]):
    """What is known of each node, in order of adding."""

    def __call__(self, data: str) -> Iterator[tuple[str, Any]]:
        """Each node with what is known of it by the name `data`."""
        return ((node, known.get(data)) for node, known in self.items())


class Edges:
    """What is known of each edge, `edges[one, other]`; all pairs of nodes that are joined."""

    def __init__(self, near: _Near, directed: bool) -> None:
        self._near, self._directed = near, directed

    def __getitem__(self, pair: tuple[str, str]) -> Known:
        return self._near[pair[0]][pair[1]]

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return ((one, other) for one, other, _ in self.known())

    def __call__(self, data: str) -> Iterator[tuple[str, str, Any]]:
        """Each pair with what is known of its edge by the name `data`."""
        return ((one, other, known.get(data)) for one, other, known in self.known())

    def known(self) -> Iterator[tuple[str, str, Known]]:
        """Each pair once with all that is known of its edge."""
        done: set[str] = set()
        for one, others in self._near.items():
            for other, known in others.items():
                if other not in done:
                    yield one, other, known
            if not self._directed:
                done.add(one)


class Graph:
    """An undirected graph. `nodes`: what is known of each; `adj`: from each those beside it with what is known of the edge."""

    def __init__(self) -> None:
        self.nodes = Nodes()
        self.adj: _Near = {}
        self.edges = Edges(self.adj, directed=False)

    def add_node(self, node: str, /, **known: Any) -> None:
        """Add a node, or more that is known of it."""
        self.nodes.setdefault(node, {}).update(known)
        self.adj.setdefault(node, {})

    def add_edge(self, one: str, other: str, /, **known: Any) -> None:
        """Join two nodes, which need not be there yet."""
        self.add_node(one)
        self.add_node(other)
        self.adj[one][other] = self.adj[other][one] = {**self.adj[one].get(other, {}), **known}

    def __contains__(self, node: object) -> bool:
        return node in self.nodes

    def __iter__(self) -> Iterator[str]:
        return iter(self.nodes)

    def has_edge(self, one: str, other: str) -> bool:
        """Whether two nodes are joined."""
        return other in self.adj.get(one, ())

    def degree(self, node: str) -> int:
        """How many nodes are beside one."""
        return len(self.adj[node])


class DirectedGraph:
    """A graph whose edges lead from one node to another. `succ`, `pred`: to and from each node those joined to it, with what is
    known of the edge."""

    def __init__(self) -> None:
        self.nodes = Nodes()
        self.succ: _Near = {}
        self.pred: _Near = {}
        self.edges = Edges(self.succ, directed=True)

    def add_node(self, node: str, /, **known: Any) -> None:
        """Add a node, or more that is known of it."""
        self.nodes.setdefault(node, {}).update(known)
        self.succ.setdefault(node, {})
        self.pred.setdefault(node, {})

    def add_edge(self, one: str, other: str, /, **known: Any) -> None:
        """Lead from one node to another, which need not be there yet."""
        self.add_node(one)
        self.add_node(other)
        self.succ[one][other] = self.pred[other][one] = {**self.succ[one].get(other, {}), **known}

    def __contains__(self, node: object) -> bool:
        return node in self.nodes

    def __iter__(self) -> Iterator[str]:
        return iter(self.nodes)

    def has_edge(self, one: str, other: str) -> bool:
        """Whether an edge leads from one node to another."""
        return other in self.succ.get(one, ())

    def behind(self, node: str) -> set[str]:
        """All that is reached from a node, without it."""
        return set(walk((node,), self.succ.__getitem__)) - {node}

    def ahead(self, node: str) -> set[str]:
        """All from which a node is reached, without it."""
        return set(walk((node,), self.pred.__getitem__)) - {node}

    def in_order(self) -> Iterator[str]:
        """Each node behind all that lead to it; none that a circle leads to."""
        missing = {node: len(before) for node, before in self.pred.items()}
        ready = [node for node, count in missing.items() if not count]
        for node in ready:  # which grows meanwhile
            yield node
            for other in self.succ[node]:
                missing[other] -= 1
                if not missing[other]:
                    ready.append(other)


def components(near: Mapping[_T, Iterable[_T]]) -> Iterator[list[_T]]:
    """The parts of an undirected graph that nothing joins, in order of their first nodes."""
    done: set[_T] = set()
    for node in near:
        if node not in done:
            found = list(walk((node,), near.__getitem__))
            done.update(found)
            yield found


def dominators(start: _T, near: Callable[[_T], Iterable[_T]]) -> dict[_T, _T]:
    """For each node of an undirected graph that is reached from `start`, the last other one that every way to it passes.

    Cooper, Harvey and Kennedy, "A simple, fast dominance algorithm": what is above a node is where all that lead to it meet,
    until nothing changes; `start` itself has none.
    """
    order = _latest_first(start, near)
    number = {node: at for at, node in enumerate(order)}
    above = {start: start}
    changed = True
    while changed:
        changed = False
        for node in order[1:]:
            meeting: _T | None = None
            for other in near(node):
                if other not in above:
                    continue
                meeting = other if meeting is None else _meeting(meeting, other, above, number)
            assert meeting is not None  # that from which it was found stands before it
            if above.get(node) != meeting:
                above[node], changed = meeting, True
    del above[start]
    return above


def _meeting(one: _T, other: _T, above: Mapping[_T, _T], number: Mapping[_T, int]) -> _T:
    """The last node that is above two, or one of them."""
    while one != other:
        if number[one] > number[other]:
            one = above[one]
        else:
            other = above[other]
    return one


def _latest_first(start: _T, near: Callable[[_T], Iterable[_T]]) -> list[_T]:
    """What is reached, each before all that a search into the depth finds through it, the last found first."""
    seen, done = {start}, []
    stack = [(start, iter(near(start)))]
    while stack:
        node, others = stack[-1]
        other = next((each for each in others if each not in seen), None)
        if other is None:
            done.append(node)
            stack.pop()
        else:
            seen.add(other)
            stack.append((other, iter(near(other))))
    return done[::-1]
