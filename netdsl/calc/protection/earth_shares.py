"""Protective conductors beside each other, and on several ways: what each of them carries of a fault."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from netdsl.calc.basis import Calculation, Gap, Given, Question
from netdsl.calc.circuit import Circuit, Lead, Missing
from netdsl.calc.protection.earth_demands import EarthDemands
from netdsl.calc.protection.earth_faults import EarthFaults, Edge
from netdsl.kept import cached_property
from netdsl.sums import sum_of

if TYPE_CHECKING:
    import networkx as nx

#: taken for what has no impedance, as where supplies are earthed in common, ohm
_NEARLY_NOTHING = 1e-6
_SLACK = 1 + 1e-6
_KIRCHHOFF = "Kirchhoff's laws on the protective conductors as laid"


class EarthShares(Question):
    """Every protective conductor with what its circuits ask of it alone.

    A conductor beside others is held to what it would carry if it were alone, a core in a cable to the phases in that cable. Only
    where one of them bears the whole fault, or the project counts on all of them together (`parallel-earths=shared`), those
    beside it are held to their share, by their impedances. Conductors that lie on another way than that of least impedance are
    held to what comes by that way.
    """

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._earth = calculation.network.earth
        self._demands = EarthDemands(calculation)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Edges as their faults make them, conductors in parallel together."""
        return tuple(EarthFaults(self._calculation).edges())

    @cached_property
    def apart(self) -> tuple[Edge, ...]:
        """Edges of one conductor each, with the fault that asks most of it; without those of which a section is missing."""
        found: dict[str, Edge] = {}
        for edge in (*self.edges, *self._other_ways()):
            for one in self._split(edge):
                (name,) = one.conductors
                known = found.get(name)
                if known is None or self._needs(one) > self._needs(known) * _SLACK:
                    found[name] = one
        return tuple(found.values())

    def _needs(self, edge: Edge) -> float:
        lead = self._lead(edge.conductors[0])
        return self._demands.least(edge, lead) if lead is not None else 0.0

    # --- beside each other ----------------------------------------------------------------------------------------
    def _split(self, edge: Edge) -> Iterator[Edge]:
        leads = [self._lead(name) for name in edge.conductors]
        known = [lead for lead in leads if lead is not None]
        if edge.step is None or not edge.line_mm2:
            return
        if len(leads) == len(known) == 1:
            yield edge
            return
        alone = [
            replace(edge, conductors=(lead.conductor,), line_mm2=self.beside_mm2(lead, edge.line_mm2), touch=[]) for lead in known
        ]
        bears = [_section(lead) * _SLACK >= self._demands.least(one, lead) for one, lead in zip(alone, known, strict=True)]
        if len(known) < len(leads):
            yield from alone  # how they share is not known
            return
        if all(bears):
            yield from alone
            return
        counted = any(bears) or self._calculation.settings.word("parallel-earths") == "shared"
        shares = self._shares(edge.conductors) if counted else None
        for number, one in enumerate(alone):
            if bears[number] or not counted:
                yield one
            elif shares is not None:
                share = shares[number]
                whole = edge.share.value if edge.share is not None else 1.0
                yield replace(one, line_mm2=edge.line_mm2, share=replace(share, value=share.value * whole))
            else:
                self._note(one.conductors, edge)

    def beside_mm2(self, lead: Lead, line_mm2: float) -> float:
        """Phase conductors beside a conductor, mm2: one pole of those in its own cable, of `line_mm2` together where it lies in
        none."""
        cable = self._plant.conductors[lead.conductor].cable
        runs, leads = self._calculation.network.runs, self._circuit.leads
        own = [
            (runs[name].section_mm2 or 0.0) * leads.parallel(self._plant.conductors[name])
            for name in (self._plant.cables[cable].conductors if cable else ())
            if name in self._circuit.step_of and self._circuit.step_of[name].poles
        ]
        return min(max(own, default=0.0) or line_mm2, line_mm2)

    def _shares(self, conductors: Sequence[str]) -> list[Given] | None:
        """Shares of conductors in parallel, by their admittances; None where a length is missing."""
        found = [self._circuit.leads.of(name) for name in conductors]
        known = [lead for lead in found if not isinstance(lead, Missing)]
        if len(known) < len(found):
            return None
        admittances = [1 / (lead.at(None) or _NEARLY_NOTHING) for lead in known]
        total = abs(sum_of(admittances))
        return [self._share(lead.conductor, abs(y) / total, conductors) for lead, y in zip(known, admittances, strict=True)]

    def _share(self, name: str, share: float, beside: Sequence[str]) -> Given:
        others = ", ".join(other for other in beside if other != name)
        words = f"share of the fault current in {name}" + (f", beside {others}" if others else ", the rest by other ways")
        return Given("s", share, "", words, None, _KIRCHHOFF, "verified")

    def _note(self, conductors: Sequence[str], edge: Edge) -> None:
        """Note conductors whose share of a fault is not known, for they or others around them state no length."""
        for name in conductors:
            conductor = self._plant.conductors[name]
            cable = self._plant.cables.get(conductor.cable or "")
            thing, span = (cable.id, cable.span) if cable else (conductor.id, conductor.span)
            feeder = self._circuit.feeder(edge.step.fed) if edge.step is not None else ""
            remedy = "add `length=` to it and to the protective conductors that go another way"
            self._calculation.gaps.note(Gap(feeder, "length", (thing,), ("its share of a fault",), span, remedy))

    def _lead(self, name: str) -> Lead | None:
        lead = self._circuit.leads.laid(name)
        return None if isinstance(lead, Missing) or not lead.section_mm2 else lead

    # --- on several ways ------------------------------------------------------------------------------------------
    def _other_ways(self) -> Iterator[Edge]:
        """Of rings of protective conductors: each edge beside the way of least impedance, for every fault of which a part comes
        by it."""
        rings = self._rings()
        if not rings:
            return
        for thing, line, step, stress, origin in EarthFaults(self._calculation).faults():
            nodes = self._circuit.earths.nodes(thing, origin) or ()
            if len(nodes) < 2:
                continue
            taken = {frozenset(pair) for pair in pairwise(nodes)}
            for ring in rings:
                passed = [node for node in nodes if node in ring]
                if len(passed) < 2:
                    continue
                currents = self._currents(ring, passed[0], passed[-1])
                for (one, other), conductors in _edges(ring):
                    if frozenset((one, other)) in taken or not conductors:
                        continue
                    if currents is None:
                        self._note(conductors, Edge(conductors, line, step))
                        continue
                    share = self._share(conductors[0], currents[one, other], conductors)
                    yield Edge(conductors, line, step, stress, share=share)

    def _rings(self) -> list[nx.Graph]:
        """Parts of the earth graph in which several ways lead from any node to any other."""
        import networkx as nx

        graph = self._earth.graph
        if graph.number_of_edges() < graph.number_of_nodes() - nx.number_connected_components(graph) + 1:
            return []  # a forest
        blocks = [sorted(block) for block in nx.biconnected_components(graph) if len(block) > 2]
        return [graph.subgraph(block) for block in sorted(blocks)]

    def _currents(self, ring: nx.Graph, entry: str, leaves: str) -> dict[tuple[str, str], float] | None:
        """Of a fault current of 1 that enters a ring at a node and leaves it at another, what each edge carries; None where the
        impedance of one is not known."""
        import numpy as np

        numbers = {node: number for number, node in enumerate(sorted(ring.nodes))}
        matrix = np.zeros((len(numbers), len(numbers)), dtype=complex)
        admittances = {}
        for (one, other), conductors in _edges(ring):
            z = self._circuit.impedances.parallel(conductors, None)
            if z is None:
                return None
            y = admittances[one, other] = 1 / (z[1] or _NEARLY_NOTHING)
            a, b = numbers[one], numbers[other]
            matrix[a, a] += y
            matrix[b, b] += y
            matrix[a, b] -= y
            matrix[b, a] -= y
        kept = [number for node, number in numbers.items() if node != leaves]
        driven = np.array([1.0 if number == numbers[entry] else 0.0 for number in kept], dtype=complex)
        volts = np.zeros(len(numbers), dtype=complex)
        volts[kept] = np.linalg.solve(matrix[np.ix_(kept, kept)], driven)
        return {(one, other): abs(y * (volts[numbers[one]] - volts[numbers[other]])) for (one, other), y in admittances.items()}


def _edges(ring: nx.Graph) -> list[tuple[tuple[str, str], tuple[str, ...]]]:
    """Edges of a ring in order of their nodes, with their conductors."""
    found = ((sorted((one, other)), tuple(names or ())) for one, other, names in ring.edges(data="conductors"))
    return [((pair[0], pair[1]), names) for pair, names in sorted(found)]


def _section(lead: Lead) -> float:
    return (lead.section_mm2 or 0.0) * lead.parallel
