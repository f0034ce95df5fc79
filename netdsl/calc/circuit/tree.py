"""The power tree as the calculation walks it: its steps, and the circuit that each device is listed under."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.calc.basis import Calculation, Question, kept_of_connections, of_connections
from netdsl.calc.circuit.leads import Leads
from netdsl.calc.circuit.steps import Step
from netdsl.findings import Span
from netdsl.model.kinds import TAPPED


class PowerTree(Question):
    """The power tree of a plant, step by step. Everything is worked out once, on first use."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self.network = calculation.network
        self.plant = calculation.plant
        self.settings = calculation.settings
        self.gaps = calculation.gaps
        self.leads = Leads(self.network, self.settings)
        self.frequency_hz = self.leads.frequency_hz

    @of_connections
    def steps(self) -> dict[tuple[str, str], Step]:
        """Steps by (feeder, fed), in the order of the power tree."""
        behind = dict(self.network.power.graph.adjacency())
        return {
            (feeder, fed): self._step(feeder, fed, data["conductors"], data["cables"], data["neutral"])
            for feeder in self.network.power.order
            for fed, data in behind[feeder].items()
        }

    @of_connections
    def into(self) -> dict[str, tuple[Step, ...]]:
        """Steps that feed each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.fed, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @of_connections
    def out_of(self) -> dict[str, tuple[Step, ...]]:
        """Steps that leave each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.feeder, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @of_connections
    def step_of(self) -> dict[str, Step]:
        """The step that each live or neutral conductor of the power tree belongs to."""
        return {conductor: step for step in self.steps.values() for conductor in (*step.conductors, *step.neutral)}

    def _step(self, feeder: str, fed: str, conductors: Iterable[str], cables: tuple[str, ...], neutral: bool) -> Step:
        poles: dict[str, list[str]] = {}
        returns: list[str] = []
        for name in conductors:
            run = self.network.runs.get(name)
            if run is None:
                continue
            if run.net in self._return_nets:
                returns.append(name)
            else:
                poles.setdefault(run.net, []).append(name)
        live = tuple(tuple(pole) for pole in poles.values())
        return Step(feeder, fed, live, tuple(returns), cables, neutral, tuple(name for pole in live for name in pole))

    @of_connections
    def _return_nets(self) -> frozenset[str]:
        """Nets of a neutral or 0 V."""
        nets = self.network.nets.values()
        return frozenset(net.id for net in nets for potential in net.certain if potential.pole in ("N", "0V"))

    # --- feeders --------------------------------------------------------------------------------------------------
    @kept_of_connections
    def feeder(self, device: str) -> str:
        """The circuit a device is listed under: its function; in the common part the first device behind the last busbar or
        strip that several circuits leave, or the device itself."""
        made = self.plant.devices.get(device)
        if made is None or made.function:
            return made.function if made else device
        here = device
        for _ in range(len(self.network.power.order)):
            steps = self.into.get(here, ())
            if not steps or len(self.out_of.get(steps[0].feeder, ())) > 1 or self.plant.devices[steps[0].feeder].function:
                return here
            before = self.plant.devices[steps[0].feeder]
            if before.category in ("supply", *TAPPED):
                return here
            here = before.id
        return here

    def span_of(self, thing: str) -> Span | None:
        """Where a device, cable or conductor is declared."""
        for table in (self.plant.devices, self.plant.cables, self.plant.conductors, self.plant.places):
            if thing in table:
                span: Span = table[thing].span
                return span
        return None
