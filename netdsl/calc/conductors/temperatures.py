"""Temperature of conductors at the load they carry, where a project chooses it for their resistance in service."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Formula, Given, Result, SheetQuestion
from netdsl.calc.circuit import OPERATING_C, Circuit
from netdsl.calc.conductors.ampacity import Ampacities
from netdsl.calc.conductors.capacity import Capacities
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property, kept

#: the rise goes with the square of the current; circuits side by side count as fully loaded, so that a conductor stays warmer
_TEMPERATURE = Formula("{T_op} - ({T_op} - {theta}) * {k_group}^2 * (1 - ({I_b} / {I_z})^2)")
_SOURCE = "BS 7671, appendix 4, 6.1, conductor temperature below full load (from memory)"


class ConductorTemperatures(SheetQuestion):
    """Temperatures of conductors by their load: nothing where the project takes that of their insulation in service."""

    place = 250
    answers = (Answer("conductor-temperature", "Temperature of a conductor at its load", "T", of_conductors=True),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._capacities = calculation.of(Capacities)

    def results(self) -> Iterator[Result]:
        """`conductor-temperature` of the first conductor of every step of the power circuit."""
        for step in self._circuit.steps.values() if self.chosen else ():
            found = self.of(step.poles[0][0]) if step.poles else None
            if found is not None:
                yield found

    @cached_property
    def chosen(self) -> bool:
        """Whether the project takes conductors as warm as their load makes them."""
        return self._calculation.settings.word("conductor-temperature") == "part-load"

    @kept
    def of(self, conductor: str) -> Result | None:
        """Temperature of a conductor at its load, °C; None where its load or its capacity is not known, or it is not chosen."""
        step = self._circuit.step_of.get(conductor)
        if not self.chosen or step is None:
            return None
        amps = self._calculation.of(LoadCurrents).conductor(conductor)
        capacity = self._calculation.of(Ampacities).of(conductor)
        if amps is None or capacity is None:
            return None
        made = self._calculation.plant.conductors[conductor]
        warm, subject = OPERATING_C[self._circuit.leads.insulation(made)], self._capacities.subject(step)
        beside = {
            each.symbol: each for each in capacity.givens if isinstance(each, Given) and each.symbol in ("theta", "k_group")
        }
        if len(beside) < 2:
            return None
        load, most = f"load-current {step.feeder} -> {step.fed}", self._capacities.key_of("current-carrying-capacity", step)
        givens = (
            Given("T_op", warm, "°C", "temperature that the insulation bears in service", self._circuit.span_of(subject)),
            *beside.values(),
            Given("I_b", amps, "A", f"load current of {conductor}", result=load),
            Given("I_z", capacity.amps, "A", f"capacity of {conductor}", result=most),
        )
        return Result.worked(
            "conductor-temperature",
            subject,
            self._circuit.feeder(step.fed),
            _TEMPERATURE,
            "°C",
            givens,
            _SOURCE,
            key=self._capacities.key_of("conductor-temperature", step),
            conductors=step.conductors,
            span=self._circuit.span_of(subject),
        )
