"""Impedances on the way to a fault as values of a formula: the source and what lies before, the last step, the ways back."""

from __future__ import annotations

from netdsl.calc.basis import Calculation, Given, Input, Question
from netdsl.calc.circuit import Circuit, Missing, Path, Step, in_service
from netdsl.calc.faults.currents import Faults
from netdsl.calc.faults.points import Point
from netdsl.calc.faults.series import Series
from netdsl.kept import cached_property, kept

HOT = "at the end of the fault"


class FaultGivens(Question):
    """Values that several results of fault currents share, each put together once."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)

    def returning(self, point: Point, series: Series, when: str) -> tuple[Input, ...]:
        """Impedance of the neutral conductors from a device to its source, with section and length of each."""
        ohms, words = series.neutral, f"neutral conductors, {when}"
        if ohms is None:
            return ()
        return (
            Given("R_N", ohms.real, "Ω", words, point.span),
            Given("X_N", ohms.imag, "Ω", words, point.span),
            *(given for bundle in point.returning for given in self._bundle(bundle, when == HOT)),
        )

    @kept
    def _bundle(self, conductors: tuple[str, ...], hot: bool) -> tuple[Input, ...]:
        return tuple(given for conductor in conductors for given in self._lead(conductor, hot))

    def series(self, source: str, path: Path, series: Series, when: str) -> tuple[Input, ...]:
        """Impedance up to the device before, with the result that gives it, and of the last step, with its conductors."""
        parent, step = path.parent, series.step
        if parent is None or path.step is None or step is None:
            return self._up_to(source, path.device, series.before, when)
        key = source if parent.parent is None else f"fault-current.largest {parent.device}"
        span = self._calculation.plant.conductors[path.step.poles[0][0]].span if path.step.poles else None
        words = f"last step, {when}"
        return (
            *self._up_to(key, parent.device, series.before, when),
            Given("R_step", step.real, "Ω", words, span),
            Given("X_step", step.imag, "Ω", words, span),
            *self._conductors(path, when != self.cold),
            *self._own(path.device),
        )

    def _own(self, device: str) -> tuple[Input, ...]:
        """What a reactor or a busbar itself adds to the step that ends in it."""
        own = self._circuit.impedances.device(device)
        span = self._calculation.plant.devices[device].span
        parts = (("R_d", "resistance", own.real), ("X_d", "reactance", own.imag))
        return tuple(
            Given(name, ohms, "Ω", f"{words} of {device}, in the last step", span) for name, words, ohms in parts if ohms
        )

    @kept
    def _up_to(self, key: str, device: str, ohms: complex, when: str) -> tuple[Given, Given]:
        words = f"source and conductors up to {device}, {when}"
        return (
            Given("R_before", ohms.real, "Ω", words, result=key),
            Given("X_before", ohms.imag, "Ω", words, result=key),
        )

    def _conductors(self, path: Path, hot: bool) -> tuple[Input, ...]:
        """Section and length of the first pole of the last step; `hot`: with its temperature at the end of the fault."""
        return self._first_pole(path.step, hot) if path.step is not None and path.step.poles else ()

    @kept
    def _first_pole(self, step: Step, hot: bool) -> tuple[Input, ...]:
        first = step.poles[0][0]
        chain = (name for piece in self._circuit.impedances.chain(step, first) for name in piece[:1])
        return tuple(given for name in (first, *chain) for given in self._lead(name, hot))

    def _lead(self, conductor: str, hot: bool) -> tuple[Input, ...]:
        lead = self._circuit.leads.of(conductor)
        if isinstance(lead, Missing):
            return ()
        givens = self._circuit.leads.givens(lead)
        if not hot or lead.stated:
            return givens
        chosen = self._circuit.impedances.end_c is not None
        return (*givens, self._calculation.settings.given("fault-temperature", "T") if chosen else in_service(lead.operating_c))

    def protective(self, point: Point) -> tuple[Input, ...]:
        """Section and length of each protective conductor from the device (or its enclosure) to the supply."""
        devices = self._calculation.plant.devices
        thing = point.device if point.device in self._calculation.network.earth.node_of else devices[point.device].place
        return self._way_back(thing, point.far.origin)

    @kept
    def _way_back(self, thing: str, origin: str) -> tuple[Input, ...]:
        edges = self._circuit.earths.path(thing, origin) or ()
        return tuple(given for edge in edges for given in self._bundle(edge, True))

    @cached_property
    def cold(self) -> str:
        return f"at {self._circuit.impedances.cold_c:g} °C"

    @kept
    def volts(self, origin: str) -> Given:
        source = self._calculation.of(Faults).source(origin)
        device = self._calculation.plant.devices[origin]
        value = source.voltage if source else 0.0
        return Given("U", value, "V", f"voltage of {origin}", device.span)
