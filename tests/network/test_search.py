"""Walks over what is joined: each once, the nearest first, and the way back."""

from __future__ import annotations

from itertools import islice

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from netdsl.network.search import trace, walk, way_to

RING = {"a": "bd", "b": "ac", "c": "bd", "d": "ca", "e": "a"}


def test_a_walk_gives_starts_then_what_is_next_to_them() -> None:
    assert list(walk("a", RING.__getitem__)) == ["a", "b", "d", "c"]
    assert list(walk("eba", RING.__getitem__)) == ["e", "b", "a", "c", "d"]
    assert list(walk("", RING.__getitem__)) == []


def test_a_walk_looks_no_further_than_it_is_asked() -> None:
    assert list(islice(walk((1,), lambda number: (number + 1, number + 2)), 4)) == [1, 2, 3, 4]


def test_the_way_to_what_is_not_reached_is_empty() -> None:
    came = trace("a", RING.__getitem__)
    assert way_to("e", came) == []
    assert way_to("a", came) == ["a"]


def test_of_two_ways_as_long_the_first_is_taken() -> None:
    assert way_to("c", trace("a", RING.__getitem__)) == ["a", "b", "c"]
    assert way_to("c", trace("a", lambda here: reversed(RING[here]))) == ["a", "d", "c"]


def test_a_deep_trace_follows_what_it_found_last() -> None:
    assert list(trace("a", {"a": "bc", "b": "d", "c": "e", "d": "", "e": ""}.__getitem__, deep=True)) == ["a", "b", "c", "e", "d"]
    assert way_to("c", trace("a", RING.__getitem__, deep=True)) == ["a", "d", "c"]


def test_ways_from_several_starts_begin_at_the_nearest() -> None:
    assert way_to("c", trace("ed", RING.__getitem__)) == ["d", "c"]


@given(st.sets(st.tuples(st.integers(0, 12), st.integers(0, 12)), max_size=40), st.integers(0, 12))
def test_every_way_is_a_shortest_one(edges: set[tuple[int, int]], start: int) -> None:
    graph = nx.DiGraph(sorted(edges))
    graph.add_nodes_from(range(13))
    lengths = nx.single_source_shortest_path_length(graph, start)
    came = trace((start,), graph.successors)
    assert list(came) == list(walk((start,), graph.successors))
    assert {node: len(way_to(node, came)) - 1 for node in came} == lengths
    for node in came:
        way = way_to(node, came)
        assert way[0] == start and way[-1] == node and nx.is_path(graph, way)
