"""Capacity of one conductor: the value of its table, and the factors of how it is laid and loaded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from msgspec import Struct

from netdsl.calc.basis import Calculation, Figure, Gap, Given, Input, Question, formula, of_connections
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import tables
from netdsl.calc.conductors.laying import Laying, Spot
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import alike
from netdsl.model.plant import Conductor

_BUILDING = "IEC 60364-5-52, 523 and annex B"
_MACHINE = "IEC 60204-1, 12.4 and annex D"
_ABSENT = ("current-carrying capacity", "overload protection")


class Capacity(Struct, frozen=True):
    """Capacity of one conductor. `amps`: of all its cables together, A, by `formula` with the values in `givens`: the table value
    times `factors`, these as they stand in the formula. `parallel`: cables side by side under its name. `three`: by a table for
    three loaded conductors."""

    amps: float
    factors: str
    parallel: int
    givens: tuple[Input, ...]
    source: str
    three: bool = True

    @property
    def formula(self) -> str:
        """The formula of `amps`."""
        return f"{{I_0}} * {self.factors}"


class _Lack(NamedTuple):
    """Why no capacity is known: kind of the gap and its remedy."""

    kind: str
    remedy: str


class Ampacities(Question):
    """Capacities by conductor; those that are laid and loaded alike share one."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant

    @property
    def laying(self) -> Laying:
        """How conductors are laid."""
        return self._laid.laying

    @of_connections
    def _laid(self) -> _LaidCapacities:
        return _LaidCapacities(self._calculation)

    def of(self, conductor: str, section_mm2: float | None = None, alone: bool = False) -> Capacity | None:
        """Capacity of a conductor, all its parallel cables together; `section_mm2`: as if it had that section. `alone`: without
        the factors of grouping and harmonics, and without noting what is missing. None if unknown."""
        made = self._plant.conductors[conductor]
        section = section_mm2 or self._calculation.network.runs[conductor].section_mm2
        percent = 0.0 if alone else self._third_harmonic(conductor)
        loaded = self.laying.loaded(made)
        found = self._laid.of(made, section, percent, alone, loaded)
        if isinstance(found, _Lack):
            if not alone:
                self._note(made, found)
            return None
        return found

    def _third_harmonic(self, conductor: str) -> float:
        """Third harmonic, percent of the line current, where the neutral of a cable of four or five cores carries it."""
        step = self._circuit.step_of.get(conductor)
        if step is None or not step.neutral or len(step.poles) < 3:
            return 0.0
        cable = self._plant.conductors[conductor].cable
        if not cable or cable != self._plant.conductors[step.neutral[0]].cable:
            return 0.0
        return self._calculation.of(LoadCurrents).third_harmonic(step)

    def _note(self, made: Conductor, lack: _Lack) -> None:
        step = self._circuit.step_of.get(made.id)
        span = self._circuit.span_of(made.cable or made.id)
        feeder = self._circuit.feeder(step.fed) if step else self._circuit.feeder(made.ends[0].device)
        if span is not None:
            self._calculation.gaps.note(Gap(feeder, lack.kind, (made.cable or made.id,), _ABSENT, span, lack.remedy))


class _LaidCapacities:
    """Capacities by how a conductor is laid and loaded, and by any section that it may have."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit, self._runs = calculation.of(Circuit), calculation.network.runs
        self.laying = Laying(calculation)

    @alike(lambda self, made, *how: (self.laying.key(made), *how))
    def of(self, made: Conductor, section: float | None, percent: float, alone: bool, loaded: int) -> Capacity | _Lack:
        """The capacity of a conductor of a section, mm2. `percent`: third harmonic that its neutral carries, of the line current;
        `alone`: without the factor of grouping; `loaded`: conductors of its circuit that carry current."""
        if section is None:
            return _Lack("section", "give its section, to the wire or to the `defaults` that fit it")
        spots = self.laying.of(made)
        ways = len(self._runs[made.id].routes)
        if not spots or len(spots) < ways:
            return _Lack("method", "add `method=`, or `along=` a route whose kind says how it is laid")
        found = [self._at(made, section, percent, replace(spot, circuits=1) if alone else spot, loaded) for spot in spots]
        lacking = next((lack for lack in found if isinstance(lack, _Lack)), None)
        return lacking or min((one for one in found if isinstance(one, Capacity)), key=lambda one: one.amps)

    def _at(self, made: Conductor, section: float, percent: float, spot: Spot, loaded: int) -> Capacity | _Lack:
        """The capacity of a conductor at one stretch of its way."""
        leads = self._circuit.leads
        insulation = leads.insulation(made)
        metal = "Al" if leads.stated(made).get("material") == "Al" else "Cu"
        base = tables.base(spot.method, insulation, section, spot.machine, loaded, metal)
        words = f"{insulation}, {section:g} mm², method {spot.method}"
        given = self._base(made, base, words + (f", {base.loaded} loaded" if base is not None else ""))
        if given is None:
            kind = f"{insulation} {section:g} mm² by method {spot.method}"
            return _Lack("ampacity", f"no table rates {kind}: state `ampacity=`, or another section or `method=`")
        machine = base.machine if base else spot.machine
        warm = tables.ambient(insulation, spot.ambient_c, machine, spot.method.startswith(tables.GROUND))
        side = tables.grouping(spot.row, spot.circuits, spot.method, machine)
        if warm is None:
            return _Lack("ambient", f"no table rates {insulation} at {spot.ambient_c:g} °C: choose another insulation or way")
        if side is None:
            return _Lack("grouping", f"no table rates {spot.circuits} circuits side by side: spread them, or state `circuits=`")
        as_copper = metal == "Al" and base is not None and base.metal == "Cu" and self._own(made, "ampacity") is None
        parts = (
            _figure("k_ambient", warm, "", "factor of the ambient temperature"),
            _figure("k_group", side, "", "factor of the circuits side by side"),
            *self._special(made, percent, as_copper),
        )
        parallel = leads.parallel(made)
        factors = " * ".join("{" + part.symbol + "}" for part in parts) + (f" * {parallel}" if parallel > 1 else "")
        source = _MACHINE if machine else _BUILDING
        three = base is None or base.loaded == 3
        amps = formula(f"{{I_0}} * {factors}").of((given, *parts))
        return Capacity(amps, factors, parallel, (given, *parts, *spot.givens), source, three)

    def _base(self, made: Conductor, base: tables.Base | None, words: str) -> Given | None:
        """Capacity before all factors: as the text states it, else that of the table."""
        own = self._own(made, "ampacity")
        if own is not None:
            return Given("I_0", own, "A", "capacity as stated", self._circuit.span_of(made.cable or made.id))
        return _figure("I_0", base.figure, "A", f"table value, {words}") if base else None

    def _special(self, made: Conductor, percent: float, as_copper: bool) -> Iterator[Given]:
        """Factors that few conductors have: harmonics in the neutral, aluminium rated as copper, what the text itself adds."""
        span = self._circuit.span_of(made.cable or made.id)
        if percent > 0:
            row = tables.harmonic(percent)
            words = f"factor of the loaded neutral, third harmonic {percent:g} %, by the {row.basis} current"
            yield Given("k_harmonic", row.capacity, "", words, None, row.figure.source, row.figure.confidence)
        if as_copper:
            yield _figure("k_aluminium", tables.aluminium(), "", "aluminium against copper")
        own = self._own(made, "correction")
        if own is not None:
            yield Given("k", own, "", "correction as stated", span)

    def _own(self, made: Conductor, name: str) -> float | None:
        return self._circuit.leads.stated(made).amount(name)


def _figure(symbol: str, found: Figure, unit: str, words: str) -> Given:
    return Given(symbol, found.value, unit, words, None, found.source, found.confidence)
