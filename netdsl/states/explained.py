"""Why a load gets voltage, way by way, or what keeps it from getting any."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush
from typing import NamedTuple

from netdsl.states.conduction import Joined, are_opposite, is_closed, way
from netdsl.states.told import edge_words, way_words
from netdsl.states.types import Circuit, Edge, Load, Pole


class Explanation(NamedTuple):
    """Whether a load is fed. Fed: the way from its live pole through it and back. Not fed: `open`, the fewest ways through
    devices that would have to close, and `dead` where its source itself gives no voltage."""

    fed: bool
    way: str
    open: tuple[str, ...]
    dead: str = ""


def explained(joined: Joined, load: Load) -> Explanation:
    """What the present state does to a load."""
    poles = joined.fed(load)
    if poles is not None:
        return Explanation(True, _through(joined, load, poles), ())
    best: tuple[int, tuple[str, ...], str] | None = None
    for one, other in _sources(joined.circuit):
        sides = [_least_open(joined, load.a, one.point), _least_open(joined, load.b, other.point)]
        if sides[0] is None or sides[1] is None:
            continue
        opened = tuple(dict.fromkeys(edge_words(edge) for side in sides for edge in side or ()))
        dead = "" if one.group in joined.live else one.potential.device
        if best is None or (len(opened), dead) < (best[0], best[2]):
            best = (len(opened), opened, dead)
    return Explanation(False, "", best[1] if best else (), best[2] if best else "")


def _through(joined: Joined, load: Load, poles: tuple[Pole, Pole]) -> str:
    roots = set(joined.circuit.roots)
    live, back = poles if poles[0].potential.pole not in ("0V", "N", "PEN") else poles[::-1]
    ends = list(zip((load.a, load.b), load.nodes, strict=True))
    if poles[0] is not live:
        ends.reverse()
    (enters, node), (leaves, far) = ends

    def closed(edge: Edge) -> bool:
        return is_closed(edge, joined.state)

    forth = way(joined.circuit, live.point, [enters], closed, roots) or ()
    home = way(joined.circuit, leaves, [back.point], closed, roots) or ()
    return f"{way_words(live.potential.id, forth, node)} | {way_words(far, home, back.potential.id)}"


def _sources(circuit: Circuit) -> Iterator[tuple[Pole, Pole]]:
    """Pairs of poles between which a load could lie, each way round."""
    power = [pole for pole in circuit.poles if pole.potential.kind != "pwm"]
    for one in power:
        for other in power:
            if are_opposite(one, other):
                yield one, other


def _least_open(joined: Joined, start: int, goal: int) -> list[Edge] | None:
    """The open ways on the way with fewest of them between two points; None where there is no way at all."""
    around: dict[int, list[tuple[Edge, int]]] = {}
    for edge in joined.circuit.edges:
        around.setdefault(edge.a, []).append((edge, edge.b))
        around.setdefault(edge.b, []).append((edge, edge.a))
    best: dict[int, int] = {start: 0}
    came: dict[int, tuple[Edge, int]] = {}
    queue = [(0, start)]
    while queue:
        cost, point = heappop(queue)
        if point == goal:
            break
        if cost > best[point] or (point in joined.roots and point != start):
            continue
        for edge, other in around.get(point, ()):
            more = cost + (not is_closed(edge, joined.state))
            if more < best.get(other, 1 << 30):
                best[other] = more
                came[other] = (edge, point)
                heappush(queue, (more, other))
    if goal not in best:
        return None
    found = []
    point = goal
    while point != start:
        edge, point = came[point]
        if not is_closed(edge, joined.state):
            found.append(edge)
    return found[::-1]
