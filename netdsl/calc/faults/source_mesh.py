"""What lies between supplies that feed together: bars and ties, through which a fault is fed from every side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from netdsl.calc.basis import Calculation
from netdsl.calc.circuit import Circuit, Path, Step
from netdsl.kept import cached_property, kept
from netdsl.model.kinds import CONVERTERS, TAPPED
from netdsl.network.search import walk

#: taken for what has no impedance, ohm
_NEARLY_NOTHING = 1e-9


class SourceMesh:
    """The steps between supplies as one network, whichever way the power tree has them. A strip is one node for each net on it,
    for circuits pass on it side by side."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant

    def at(self, path: Path, sources: Mapping[str, complex]) -> tuple[Path, complex] | None:
        """The last bar or strip on a path that lies between the sources, as the path to it, and the impedance of one pole from
        which all of them feed it, ohm; None where the path meets none. `sources`: impedance of each, ohm."""
        known = self._impedances(tuple(sources.items()))
        here: Path | None = path
        while here is not None and here.step is not None:
            node = self._node(here.device, here.step)
            if node in known and self._plant.devices[here.device].category in TAPPED:
                return here, known[node]
            here = here.parent
        return None

    @kept
    def _impedances(self, sources: tuple[tuple[str, complex], ...]) -> dict[str, complex]:
        """Impedance at each node between the sources, ohm."""
        near = self._between([name for name, _ in sources])
        if not near:
            return {}
        import numpy as np  # few plants have sources that feed together

        row = {node: number for number, node in enumerate(near)}
        matrix = np.zeros((len(row), len(row)), dtype=complex)
        for name, ohms in sources:
            if name in row:
                matrix[row[name], row[name]] += 1 / (ohms or _NEARLY_NOTHING)
        for one, others in near.items():
            for other, z in others.items():
                matrix[row[one], row[one]] += 1 / (z or _NEARLY_NOTHING)
                matrix[row[one], row[other]] -= 1 / (z or _NEARLY_NOTHING)
        whole = np.linalg.inv(matrix)
        return {node: complex(whole[number, number]) for node, number in row.items()}

    def _between(self, sources: Iterable[str]) -> dict[str, dict[str, complex]]:
        """Nodes on the ways from source to source, with those beside each and the impedance between, ohm."""
        ends = frozenset(sources)
        near = self._steps
        found = {node: dict(near.get(node, {})) for node in walk(sorted(ends & near.keys()), lambda node: near.get(node, {}))}
        leaves = [node for node, others in found.items() if len(others) < 2 and node not in ends]
        for leaf in leaves:
            for other in found.pop(leaf):
                del found[other][leaf]
                if len(found[other]) < 2 and other not in ends:
                    leaves.append(other)
        return found

    @cached_property
    def _steps(self) -> dict[str, dict[str, complex]]:
        """Steps of the power tree in both directions, ohm, conductors cold; those behind what converts power left out."""
        found: dict[str, dict[str, complex]] = {}
        for step in self._circuit.steps.values():
            live = self._circuit.impedances.step(step) if step.poles else None
            if live is None or self._plant.devices[step.feeder].kind in CONVERTERS:
                continue
            one, other = self._node(step.feeder, step), self._node(step.fed, step)
            ohms = live[0][0] + self._circuit.impedances.device(step.fed)
            found.setdefault(one, {})[other] = ohms
            found.setdefault(other, {})[one] = ohms
        return found

    def _node(self, device: str, step: Step) -> str:
        made = self._plant.devices[device]
        if made.category != "strip" and made.kind != "terminal-box":
            return device
        net = self._circuit.network.runs[step.poles[0][0]].net if step.poles else ""
        return f"{device} {net}"
