"""What is asked of graphs beyond a walk, held to an independent library on graphs made by chance."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from netdsl.network.graphs import DirectedGraph, Graph, components, dominators

NAMES = st.sampled_from([f"n{number}" for number in range(9)])
EDGES = st.lists(st.tuples(NAMES, NAMES).filter(lambda pair: pair[0] != pair[1]), max_size=25)


def undirected(edges: list[tuple[str, str]]) -> tuple[Graph, nx.Graph]:
    mine, theirs = Graph(), nx.Graph()
    for number, pair in enumerate(edges):
        mine.add_edge(*pair, number=number)
        theirs.add_edge(*pair, number=number)
    return mine, theirs


def directed(edges: list[tuple[str, str]]) -> tuple[DirectedGraph, nx.DiGraph]:
    mine, theirs = DirectedGraph(), nx.DiGraph()
    for number, pair in enumerate(edges):
        mine.add_edge(*pair, number=number)
        theirs.add_edge(*pair, number=number)
    return mine, theirs


@given(EDGES)
def test_an_undirected_graph_has_its_nodes_and_edges_once_and_in_order(edges: list[tuple[str, str]]) -> None:
    mine, theirs = undirected(edges)
    mine.add_node("alone", node=1)
    theirs.add_node("alone", node=1)
    assert list(mine) == list(theirs) and ("alone" in mine, "n99" in mine) == (True, False)
    assert list(mine.nodes("node")) == list(theirs.nodes("node"))
    assert list(mine.edges.known()) == list(theirs.edges(data=True))
    assert list(mine.edges("number")) == list(theirs.edges(data="number"))
    assert [mine.edges[pair[::-1]] for pair in mine.edges] == [theirs.edges[pair] for pair in theirs.edges]
    assert [mine.degree(node) for node in mine] == [theirs.degree(node) for node in theirs]
    assert all(mine.has_edge(one, other) is theirs.has_edge(one, other) for one in mine for other in (*mine, "n99"))


@given(EDGES)
def test_a_directed_graph_says_what_is_ahead_and_behind(edges: list[tuple[str, str]]) -> None:
    mine, theirs = directed(edges)
    assert list(mine) == list(theirs)
    assert list(mine.edges.known()) == list(theirs.edges(data=True))
    for node in mine:
        assert (list(mine.succ[node]), list(mine.pred[node])) == (list(theirs.succ[node]), list(theirs.pred[node]))
        assert (mine.behind(node), mine.ahead(node)) == (nx.descendants(theirs, node), nx.ancestors(theirs, node))
    assert all(mine.has_edge(one, other) is theirs.has_edge(one, other) for one in mine for other in (*mine, "n99"))


@given(EDGES)
def test_each_node_comes_behind_all_that_lead_to_it(edges: list[tuple[str, str]]) -> None:
    mine, theirs = directed([(one, other) for one, other in edges if one < other])
    assert list(mine.in_order()) == list(nx.topological_sort(theirs))
    circle, _ = directed([("a", "b"), ("b", "c"), ("c", "b"), ("a", "d")])
    assert list(circle.in_order()) == ["a", "d"]


@given(EDGES)
def test_parts_that_nothing_joins_are_told_apart(edges: list[tuple[str, str]]) -> None:
    mine, theirs = undirected(edges)
    assert [set(found) for found in components(mine.adj)] == list(nx.connected_components(theirs))


@given(EDGES)
def test_what_every_way_passes_dominates(edges: list[tuple[str, str]]) -> None:
    mine, theirs = undirected(edges)
    for start in mine:
        above = nx.immediate_dominators(theirs.to_directed(), start)
        assert dominators(start, mine.adj.__getitem__) == {node: one for node, one in above.items() if node != start}
