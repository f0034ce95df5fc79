"""What load currents are made of: the circuit net by net, what single loads draw, what flows where, the ways back, starts."""

from __future__ import annotations

from netdsl.calc.basis import Calculation, Question, of_connections
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.demand import Demands
from netdsl.calc.loads.drawn import Demand
from netdsl.calc.loads.exclusive import Exclusive
from netdsl.calc.loads.flows import Flows
from netdsl.calc.loads.phasors import LoadPhasors
from netdsl.calc.loads.returns import Returns
from netdsl.calc.loads.starting import Starts
from netdsl.calc.loads.wiring import Wiring
from netdsl.kept import cached_property, kept


class LoadParts(Question):
    """Each made once when first asked for; voltage drops ask some of them too."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)

    def apart_from_sections(self) -> bool:
        """As long as nothing flows in several ways, of which each takes its share by its impedance."""
        return self._undivided

    @cached_property
    def _undivided(self) -> bool:
        return not self.flows.divided() and not self.returns.divided(filter(self.is_load, self.wiring.devices()))

    @of_connections
    def wiring(self) -> Wiring:
        """The power circuit net by net."""
        return Wiring(self._circuit)

    @cached_property
    def demands(self) -> Demands:
        """What single loads draw."""
        return Demands(self._circuit, self._calculation.settings, self.wiring, self.motors_behind)

    @cached_property
    def phasors(self) -> LoadPhasors:
        """Currents of loads in the three phases."""
        together = self._calculation.of(Exclusive).together
        return LoadPhasors(self._circuit, self._calculation.settings, self.wiring, self.demands, self.motors_behind, together)

    @cached_property
    def flows(self) -> Flows:
        """Loads behind devices and conductors."""
        return Flows(self._circuit, self.wiring, self.demands.draws)

    @cached_property
    def returns(self) -> Returns:
        """Neutral conductors back to the source."""
        return Returns(self._circuit, self.wiring, self.flows)

    @cached_property
    def starts(self) -> Starts:
        """Starting currents."""
        return Starts(self._circuit, self._calculation.settings, self.demands)

    def demand(self, device: str) -> Demand | None:
        """What a load draws by its own data, without the project's margin; None if unknown or no load."""
        return self.demands.of(device) if self.is_load(device) else None

    @kept
    def is_load(self, device: str) -> bool:
        """Whether a device draws current itself: a consumer, or a drive, transformer or supply seen from its input."""
        return device in self.wiring.stages and self.demands.draws(device)

    def key_of(self, device: str) -> str:
        """The key of the result about a load."""
        return f"load-current {device}"

    @kept
    def motors_behind(self, drive: str) -> tuple[str, ...]:
        """Motors that a drive feeds."""
        found = self.flows.behind(drive) if drive in self.wiring.stages else {}
        devices = self._circuit.plant.devices
        return tuple(name for name in found if "/" not in name and devices[name].kind == "motor")
