"""How the parts of a circuit stand one above the other: which end is above, in which row each stands.

Contacts stand with the end nearer to what gives above, so every way runs downward, those beside each other in one row, and all
loads in the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from netdsl.sums import sum_of
from render.drawings.circuit_groups import Link
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import RETURN, STRAY, Circuit, End, Net, Ranks, is_directed, joint


def components(parts: Mapping[str, Part], links: Sequence[Link]) -> list[Circuit]:
    """Parts that links join, in order of the links; what nothing joins stands for itself."""
    import networkx as nx

    graph: nx.Graph = nx.Graph()
    graph.add_nodes_from(parts)
    graph.add_edges_from((link.ends[0][0], link.ends[1][0]) for link in links)
    of = {key: number for number, keys in enumerate(nx.connected_components(graph)) for key in keys}
    found: dict[int, Circuit] = {}
    for link in links:
        circuit = found.setdefault(of[link.ends[0][0]], Circuit({}, []))
        circuit.links.append(link)
        for key, _ in link.ends:
            circuit.parts.setdefault(key, parts[key])
    for key, part in parts.items():
        found.setdefault(of[key], Circuit({}, [])).parts.setdefault(key, part)
    return list(found.values())


def arrange(circuit: Circuit, net: Net) -> None:
    """Turn every part, and give it a row; what was parted from another circuit stands as it stood there."""
    if not circuit.rank:
        ranks = Ranks(circuit, net)
        rank = circuit.rank = ranks.ranks()
        _turn(circuit, rank)
        _turn_bridging(circuit, rank, ranks.near)
        for link in circuit.links:
            circuit.ends[link.key] = _end(circuit, net, link, 0), _end(circuit, net, link, 1)
    circuit.degree.update(key for link in circuit.links for key, _ in link.ends)
    circuit.used.update((end.part, end.way, end.top) for pair in circuit.ends.values() for end in pair)
    _rows(circuit, circuit.rank)


def _turn(circuit: Circuit, rank: Mapping[str, int]) -> None:
    for part in circuit.parts.values():
        pairs = [way for way in part.ways if way.a and way.b and way.a != way.b]
        if part.kind in ("contact", "poles", "load", "terminal", "through") and pairs:
            total = sum_of(rank[way.a] - rank[way.b] for way in pairs)
            if total > 0 and not is_directed(part):
                circuit.flipped.add(part.key)


def _turn_bridging(circuit: Circuit, rank: Mapping[str, int], near: Mapping[str, Sequence[str]]) -> None:
    """Turn contacts to whose both ends current comes otherwise, so that the end at a load is below."""
    joined: dict[str, list[str]] = {}
    for link in circuit.links:
        one, other = (joint(circuit.parts[key], node) for key, node in link.ends)
        joined.setdefault(one, []).append(other)
        joined.setdefault(other, []).append(one)
    taking = {node for part in circuit.parts.values() if _consumes(circuit, part) for node in part.nodes}
    for part in circuit.parts.values():
        if part.kind != "contact" or len(part.ways) > 1:
            continue
        far, close = circuit.bottom(part, 0), circuit.top(part, 0)
        otherwise = any(rank[node] < rank[far] for node in near[far] if node != close)
        if far and close and otherwise and _reach(close, joined) & taking and not _reach(far, joined) & taking:
            circuit.flipped ^= {part.key}


def _reach(node: str, joined: Mapping[str, Sequence[str]]) -> set[str]:
    """What links join to a node, itself included."""
    found, waiting = {node}, [node]
    while waiting:
        more = [other for other in joined.get(waiting.pop(), ()) if other not in found]
        found.update(more)
        waiting += more
    return found


def _end(circuit: Circuit, net: Net, link: Link, number: int) -> End:
    rank = circuit.rank
    key, node = link.ends[number]
    part = circuit.parts[key]
    way = next(n for n, way in enumerate(part.ways) if node in (way.a, way.b))
    if part.kind in ("rail", "refer", "pin"):
        # a common: what comes back to it comes from below
        returns = part.kind == "pin" and rank[node] > RETURN - STRAY and node not in net.takes
        return End(key, way, not returns and key not in circuit.above)
    if part.ways[way].a == part.ways[way].b:
        far_key, far_node = link.ends[1 - number]
        far = joint(circuit.parts[far_key], far_node)
        return End(key, way, (rank[far], far) < (rank[node], node))
    return End(key, way, circuit.top(part, way) == node)


def _rows(circuit: Circuit, rank: Mapping[str, int]) -> None:
    parts = circuit.parts
    # sorted keeps the order of text where ranks are the same
    order = {key: number for number, key in enumerate(sorted(parts, key=lambda key: _place(circuit, parts[key], rank)))}
    down: list[tuple[str, str]] = []
    level: list[tuple[str, str]] = []
    beside: list[tuple[End, End]] = []
    for one, other in circuit.ends.values():
        if one.part == other.part:
            continue
        if one.top == other.top:
            # those joined below may lie apart: beside one contact there may be two in a row
            eats = [_consumes(circuit, parts[end.part]) for end in (one, other)]
            if one.top and not any(eats):
                level.append((one.part, other.part))
            elif one.top and eats[0] != eats[1]:
                beside.append((one, other) if eats[0] else (other, one))
        else:
            pair = (other.part, one.part) if one.top else (one.part, other.part)
            if order[pair[0]] < order[pair[1]]:
                down.append(pair)
    # what is fed from the end of a load stands below what feeds that, not at the head of the circuit
    for load, fed in beside:
        feeding = [end.part for pair in circuit.ends.values() if load in pair for end in pair if not end.top]
        down += [(part, fed.part) for part in feeding if order[part] < order[fed.part]]
    row = dict.fromkeys(parts, 0)
    down.sort(key=lambda pair: order[pair[0]])
    consumers = [key for key, part in parts.items() if _consumes(circuit, part)]
    for _ in range(8):
        before = dict(row)
        for upper, lower in down:
            row[lower] = max(row[lower], row[upper] + 1)
        for first, second in level:
            if not _ends_below(circuit, parts[first]) and not _ends_below(circuit, parts[second]):
                row[first] = row[second] = max(row[first], row[second])
        circuit.load_row = max((row[key] for key in consumers), default=max(row.values()))
        row.update(dict.fromkeys(consumers, circuit.load_row))
        if row == before:
            break
    last = max(row.values())
    for key, part in parts.items():
        if part.kind == "rail" and key not in circuit.above:
            row[key] = last
    circuit.row = row


def _place(circuit: Circuit, part: Part, rank: Mapping[str, int]) -> tuple[int, int]:
    nodes = [circuit.top(part, n) or circuit.bottom(part, n) for n in range(len(part.ways))]
    first = min(rank[joint(part, node)] for node in nodes)
    return first, part.key not in circuit.above


def _consumes(circuit: Circuit, part: Part) -> bool:
    """Whether a part stands in the row of loads."""
    return part.kind in ("load", "sink") or (part.kind == "pin" and part.key not in circuit.above)


def _ends_below(circuit: Circuit, part: Part) -> bool:
    return part.kind == "rail" and part.key not in circuit.above
