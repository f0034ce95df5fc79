"""The protective conductors by which supplies are earthed in the panels that they feed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from netdsl.calc.basis import Calculation, Question
from netdsl.calc.circuit import Circuit, Step
from netdsl.model.kinds import Category
from netdsl.network.search import trace, walk, way_to
from netdsl.sums import sum_of

#: earth nodes that only hand on what arrives, up to the bar
_PASSING = frozenset({"strip", "through"})
#: where such a way ends: what is earthed directly at the supply has the protective conductor of its own circuit
_BARS = frozenset({"bar", "place", "strip"})


class Feed(NamedTuple):
    """One piece of the protective conductor that feeds a panel: the `supply`, `step`: the largest phase conductors beside it,
    `line_mm2`: the section of one pole of them, `conductors`: the protective ones, those in parallel together."""

    supply: str
    step: Step
    line_mm2: float
    conductors: tuple[str, ...]


class FeedEarths(Question):
    """Protective conductors between supplies and the bars of the panels they feed."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._earth = calculation.network.earth

    def feeds(self) -> Iterator[Feed]:
        """Every feed of which protective and phase conductors are known, in order of declaration. Where one supply feeds several
        panels, phases belong to the protective conductor in their cable, or to that which leads into the same enclosure."""
        for supply in self._plant.devices.values():
            node = self._earth.node_of.get(supply.id)
            if supply.category != Category.SUPPLY or node is None or node not in self._earth.graph:
                continue
            if not self._earth.graph.nodes[node]["node"].needs_earth:
                continue
            ways = [self._way(node, beside) for beside in sorted(self._earth.graph.adj[node])]
            for way, nodes in ways:
                end = nodes[-1]
                if self._earth.graph.nodes[end]["node"].kind not in _BARS or not all(way):
                    continue
                steps = [step for step in self._circuit.out_of.get(supply.id, ()) if self._together(step, way, end)]
                if len(ways) == 1 and not steps:
                    steps = list(self._circuit.out_of.get(supply.id, ()))
                for conductors, node_before in zip(way, nodes, strict=False):
                    steps = self._leaving(node_before) or steps
                    step = max(steps, key=self._line_mm2, default=None)
                    if step is not None and self._line_mm2(step):
                        yield Feed(supply.id, step, self._line_mm2(step), conductors)

    def _leaving(self, node: str) -> list[Step]:
        """The steps that leave a strip or device which hands the protective conductor on: inside, phases are often thinner."""
        made = self._earth.graph.nodes[node]["node"]
        if made.kind not in _PASSING:
            return []
        return [step for member in made.members for step in self._circuit.out_of.get(member, ())]

    def _line_mm2(self, step: Step) -> float:
        """Section of the thinnest pole of a step, all in parallel together, mm2: poles that are joined by mistake count once."""
        runs, parallel = self._calculation.network.runs, self._circuit.leads.parallel
        poles = (sum_of((runs[name].section_mm2 or 0.0) * parallel(runs[name].conductor) for name in pole) for pole in step.poles)
        return min(poles, default=0.0)

    def other_way(self, conductors: tuple[str, ...]) -> bool:
        """Whether the two ends of protective conductors are joined by another way as well."""
        graph = self._earth.graph
        ends = next(((a, b) for a, b, names in graph.edges(data="conductors") if tuple(names) == conductors), None)
        if ends is None:
            return False

        def beyond(node: str) -> Iterator[str]:
            return (other for other in graph.adj[node] if {node, other} != set(ends))

        return any(node == ends[1] for node in walk((ends[0],), beyond))

    def _way(self, start: str, beside: str) -> tuple[tuple[tuple[str, ...], ...], list[str]]:
        """The protective conductors from a supply to the nearest bar beyond a neighbour, and the earth nodes on the way."""
        graph = self._earth.graph

        def beyond(node: str) -> Iterator[str]:
            passing = graph.nodes[node]["node"].kind in _PASSING
            return (other for other in sorted(graph.adj[node]) if passing and other != start)

        came = trace((beside,), beyond)
        goal = next((node for node in came if graph.nodes[node]["node"].kind not in _PASSING), beside)
        nodes = [start, *way_to(goal, came)]
        return tuple(tuple(graph.edges[a, b]["conductors"]) for a, b in pairwise(nodes)), nodes

    def _together(self, step: Step, way: tuple[tuple[str, ...], ...], end: str) -> bool:
        """Whether the phases of a step lie with the first protective conductors of a way, or lead into the same enclosure."""
        cables = {self._plant.conductors[name].cable for name in way[0]} - {None}
        if cables & set(step.cables):
            return True
        beside = {self._plant.conductors[name].cable for name in self._live_beside(cables)}
        members = self._earth.graph.nodes[end]["node"].members
        return not beside and self._enclosure(step.fed) in {self._enclosure(member) for member in members}

    def _live_beside(self, cables: set[str | None]) -> tuple[str, ...]:
        """Cores of these cables that are phases of some circuit."""
        names = [name for cable in cables if cable is not None for name in self._plant.cables[cable].conductors]
        return tuple(name for name in names if name in self._circuit.step_of)

    def _enclosure(self, thing: str) -> str:
        device = self._plant.devices.get(thing)
        place = self._plant.places.get(device.place if device else thing)
        return place.enclosure if place else ""
