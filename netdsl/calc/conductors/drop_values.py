"""The formula of a voltage drop section by section, and what is put into it."""

from __future__ import annotations

from cmath import phase as angle
from collections.abc import Sequence
from math import cos, sin

from netdsl.calc.basis import Calculation, Given, Input
from netdsl.calc.circuit import Circuit, Lead, Missing, in_service
from netdsl.calc.conductors.losses import Loss
from netdsl.calc.conductors.temperatures import ConductorTemperatures
from netdsl.findings import Span
from netdsl.kept import kept


class DropValues:
    """Currents, impedances and angles of the sections of a drop, with the conductors that they are made of."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._circuit = calculation.of(Circuit)

    def givens(
        self,
        loss: Loss,
        numbers: dict[str, float],
        nominal: Given | None,
        whole: tuple[float, Span],
        more: tuple[Input, ...],
        by: str = "",
    ) -> tuple[Input, ...]:
        """Values of a drop: `numbers` by symbol, the nominal voltage, the magnitude of the whole phasor, V, `more` of a start;
        `by`: what feeds the motor by a way on which less flows than the conductors are laid out for."""
        if "D" not in numbers:
            shown = self._shown(numbers, loss.ways, more, by)
        else:
            words = f"lost in phase with the voltage in {len(loss.reach.pieces)} sections from {loss.reach.origin}"
            origin = self._circuit.plant.devices[loss.reach.origin].span
            shown = (Given("D", numbers["D"], "V", words, origin), *(each for way in loss.ways for each in self._way(way)))
        magnitude = Given("dU", whole[0], "V", "magnitude of the whole phasor of the drop", whole[1])
        return (*shown, *((nominal,) if nominal else ()), magnitude, *more)

    def _shown(
        self, numbers: dict[str, float], ways: tuple[tuple[str, ...], ...], more: tuple[Input, ...], by: str
    ) -> tuple[Input, ...]:
        """Current, impedance and angle of each section as the formula names them, and the conductors that it is made of."""
        found: list[Input] = []
        for number, way in enumerate(ways, 1):
            flows = "" if by else self._flows(way)
            first = self._circuit.plant.conductors[way[0]].span if way else None
            at = ("while the motor starts" if more else "in service") + (f" by {by}" if by else "")
            said = (
                ("I", "A", f"current in section {number}, {at}", flows),
                ("R", "Ω", f"resistance of section {number}, conductors as warm as in service", ""),
                ("cos", "", f"power factor in section {number}", flows),
                ("X", "Ω", f"reactance of section {number}", ""),
                ("sin", "", f"sine of its angle in section {number}", flows),
            )
            for name, unit, words, result in said:
                symbol = f"{name}{number}"
                found.append(Given(symbol, numbers[symbol], unit, words, first, result=result))
            found += self._way(way)
        return (*found, *self._warm(ways))

    def _flows(self, way: tuple[str, ...]) -> str:
        """Key of the load current in a section."""
        step = self._circuit.step_of.get(way[0]) if way else None
        return f"load-current {step.feeder} -> {step.fed}" if step else ""

    @kept
    def _way(self, way: tuple[str, ...]) -> tuple[Input, ...]:
        """Section, length, resistance per length and temperature of the conductors of a section."""
        leads = (self._circuit.leads.of(name) for name in way)
        return tuple(
            each
            for lead in leads
            if not isinstance(lead, Missing)
            for each in (*self._circuit.leads.givens(lead), *(() if lead.stated else (self._warmth(lead),)))
        )

    def _warmth(self, lead: Lead) -> Given:
        """Temperature of a conductor as its resistance is taken."""
        found = self._calculation.of(ConductorTemperatures).of(lead.conductor)
        if found is None:
            return in_service(lead.operating_c)
        return Given("T", found.value, "°C", "temperature of the conductor at its load", result=found.key)

    def _warm(self, ways: tuple[tuple[str, ...], ...]) -> tuple[Input, ...]:
        """What brings the resistance at 20 °C to that in service, of each metal, and the reactance per length."""
        leads = (self._circuit.leads.of(name) for way in ways for name in way)
        metals = dict.fromkeys(lead.material for lead in leads if not isinstance(lead, Missing) and not lead.stated)
        reactance = self._calculation.settings.given("reactance-per-length", "x")
        return (*(self._circuit.leads.warming(metal) for metal in metals), reactance)


def by_sections(count: int, three_phases: bool) -> str:
    """The formula of the drop over so many sections."""
    inner = " + ".join(f"{{I{n}}} * ({{R{n}}} * {{cos{n}}} + {{X{n}}} * {{sin{n}}})" for n in range(1, count + 1))
    root = "sqrt(3) * " if three_phases else ""
    return f"100 * {root}{inner} / {{U}}" if count == 1 else f"100 * {root}({inner}) / {{U}}"


def numbers_of(terms: Sequence[tuple[complex, complex]]) -> dict[str, float]:
    """Current, A, resistance and reactance, ohm, and angle of each section by their symbols in the formula."""
    found: dict[str, float] = {}
    for number, (current, impedance) in enumerate(terms, 1):
        lag = -angle(current)
        values = (("I", abs(current)), ("R", impedance.real), ("cos", cos(lag)), ("X", impedance.imag), ("sin", sin(lag)))
        found |= {f"{name}{number}": value for name, value in values}
    return found
