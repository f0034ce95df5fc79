"""Conductors of control circuits: their resistance, and those that lie between two points of one net."""

from __future__ import annotations

import heapq

from netdsl.calc.basis import Calculation, Gap, Given, Input
from netdsl.calc.circuit import OPERATING_C, Circuit, Lead
from netdsl.kept import cached_property, kept
from netdsl.network.search import trace_by

#: taken for a conductor of unknown length while a way is looked for, so that it is taken only where there is no other, ohm
_UNKNOWN = 1e6


class ControlLeads:
    """Resistances at operating temperature, direct current: at the sections of control circuits reactance is no part of it."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._network = calculation.network

    @kept
    def ohms(self, conductor: str) -> float | None:
        """Resistance of a conductor; a wire without length or section gets the assumed one, a cable without length None."""
        run = self._network.runs[conductor]
        leads = self._calculation.of(Circuit).leads
        lead = leads.like(conductor)
        if isinstance(lead, Lead):
            return lead.at(None).real
        if run.conductor.cable is not None:
            return None
        settings = self._calculation.settings
        length = run.length_m if run.length_m is not None else settings.number("control-wire-length")
        section = run.section_mm2 or settings.number("control-wire-section")
        material = leads.material(run.conductor)
        per_km = leads.ohm_per_km(section, leads.fine(run.conductor), material).value
        warming, rise = leads.warming(material), OPERATING_C[leads.insulation(run.conductor)] - 20
        factor = warming.value if warming.symbol == "k_warm" else 1 + warming.value * rise
        return per_km * length / 1000 * factor

    def between(self, net: str, start: str, end: str) -> tuple[str, ...] | None:
        """Conductors from node `start` to node `end` of a net, along the way of least resistance; None where none leads there."""
        if start == end:
            return ()
        short = self._short(net, start, end)
        if short is not None:
            return short
        tree = self._tree(net, end)
        if start not in tree:
            return None
        found = []
        while start != end:
            start, conductor = tree[start]
            if conductor is not None:
                found.append(conductor)
        return tuple(found)

    def _short(self, net: str, start: str, end: str) -> tuple[str, ...] | None:
        """The same in a net of one or two conductors that nothing inside a device joins; None where this is not the way."""
        conductors = self._network.nets[net].conductors
        if not 0 < len(conductors) < 3 or net in self._links:
            return None
        runs = self._network.runs
        wanted = {start, end}
        direct = [name for name in conductors if wanted == set(runs[name].nodes)]
        if len(direct) == 1:
            return (direct[0],)
        if direct or len(conductors) == 1:
            return None
        for first, last in (conductors, conductors[::-1]):
            one, other = runs[first].nodes, runs[last].nodes
            if start in one and end in other:
                return (first, last) if _other(one, start) == _other(other, end) else None
        return None

    def total(self, conductors: tuple[str, ...]) -> float | None:
        """Resistance of conductors in series, ohm; None where one is unknown."""
        total = 0.0
        for conductor in conductors:
            ohms = self.ohms(conductor)
            if ohms is None:
                return None
            total += ohms
        return total

    def given(self, conductors: tuple[str, ...], symbol: str, words: str) -> tuple[Input, ...]:
        """The resistance of conductors in series as a value, at the place of the one with the most of it, and that one's own
        data."""
        if not conductors:
            return (Given(symbol, 0.0, "Ω", f"{words}: none between", None, "joined inside devices", "verified"),)
        most = max(conductors, key=lambda name: self.ohms(name) or 0.0)
        run = self._network.runs[most]
        lead = self._calculation.of(Circuit).leads.of(most)
        said = f"{words}, {len(conductors)} in series, the most in {most}" if len(conductors) > 1 else f"{words}: {most}"
        total = Given(symbol, self.total(conductors) or 0.0, "Ω", said, run.conductor.span)
        return (total, *(self._calculation.of(Circuit).leads.givens(lead) if isinstance(lead, Lead) else ()))

    def note_missing(self, conductors: tuple[str, ...], feeder: str, absent: str) -> None:
        """Note the cables without a length among conductors."""
        for name in conductors:
            cable = self._network.plant.cables.get(self._network.runs[name].conductor.cable or "")
            if cable is not None and self.ohms(name) is None:
                gap = Gap(feeder, "length", (cable.id,), (absent,), cable.span, "add `length=`")
                self._calculation.gaps.note(gap)

    @kept
    def _tree(self, net: str, root: str) -> dict[str, tuple[str, str | None]]:
        """From each node of a net one step nearer to `root`, with the conductor in between."""
        around = self._neighbours(net)
        came = trace_by((root,), lambda node: around.get(node, ()))
        found = {node: step or (root, None) for node, step in came.items()}
        ends = sum(map(len, around.values()))
        one_way = len(found) >= len(around) and ends == 2 * (len(found) - 1)
        return found if one_way else self._nearest(around, root)

    def _nearest(self, around: dict[str, list[tuple[str, str | None]]], root: str) -> dict[str, tuple[str, str | None]]:
        """The same where several ways lead to a node: along that of least resistance."""
        found: dict[str, tuple[str, str | None]] = {}
        heap: list[tuple[float, int, str, str, str | None]] = [(0.0, 0, root, root, None)]
        count = 0
        while heap:
            ohms, _, node, before, conductor = heapq.heappop(heap)
            if node in found:
                continue
            found[node] = (before, conductor)
            for other, by in around.get(node, ()):
                if other not in found:
                    own = 0.0 if by is None else self.ohms(by)
                    count += 1
                    heapq.heappush(heap, (ohms + (_UNKNOWN if own is None else own), count, other, node, by))
        return found

    @kept
    def _neighbours(self, net: str) -> dict[str, list[tuple[str, str | None]]]:
        net_of, runs = self._network.net_of, self._network.runs
        around: dict[str, list[tuple[str, str | None]]] = {}
        joins: list[tuple[str, str, str | None]] = [*self._links.get(net, ())]
        for name in self._network.nets[net].conductors:
            one, other = runs[name].nodes
            if net_of[one] == net_of[other]:
                joins.append((one, other, name))
        for one, other, conductor in joins:
            for here, there in ((one, other), (other, one)):
                if here in around:
                    around[here].append((there, conductor))
                else:
                    around[here] = [(there, conductor)]
        return around

    @cached_property
    def _links(self) -> dict[str, list[tuple[str, str, None]]]:
        """By net: nodes that bridges and links inside devices join."""
        found: dict[str, list[tuple[str, str, None]]] = {}
        net_of = self._network.net_of
        plant = self._network.plant
        for device in plant.devices.values():
            mate = device.host or next((each.halves[1] for each in plant.couplings if each.halves[0] == device.id), "")
            for name in device.terminals if mate else ():
                here, there = f"{device.id}:{name}", f"{mate}:{name}"
                if here in net_of and net_of.get(there) == net_of[here]:
                    found.setdefault(net_of[here], []).append((here, there, None))
        for device in plant.devices.values():
            groups = [*device.bridges, *((path.a, path.b) for path in device.paths if path.kind == "link")]
            for group in groups:
                nodes: dict[str, list[str]] = {}
                for node in (node for name in group for node in _nodes(device.id, name)):
                    if node in net_of:
                        nodes.setdefault(net_of[node], []).append(node)
                for net, joined in nodes.items():
                    found.setdefault(net, []).extend((joined[0], node, None) for node in joined[1:])
        return found


def _other(nodes: tuple[str, str], one: str) -> str:
    return nodes[1] if nodes[0] == one else nodes[0]


def _nodes(device: str, terminal: str) -> tuple[str, ...]:
    name = f"{device}:{terminal}"
    return (name, f"{name}/in", f"{name}/out", f"{name}.1", f"{name}.2")
