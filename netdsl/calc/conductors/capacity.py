"""Current-carrying capacity of every conductor as it is installed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from netdsl.calc.basis import Answer, Calculation, Figure, Gap, Given, Later, Result, Sense, SheetQuestion
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.conductors import tables
from netdsl.calc.conductors.laying import Laying, Spot
from netdsl.calc.loads import LoadCurrents
from netdsl.model.plant import Conductor
from netdsl.quantities import Quantity

_BUILDING = "IEC 60364-5-52, 523 and annex B"
_MACHINE = "IEC 60204-1, 12.4 and annex D"
_ABSENT = ("current-carrying capacity", "overload protection")


class Capacity(NamedTuple):
    """Capacity of one conductor. `base`: table value, A; `factor`: product of all factors; `formula` with its `givens`.
    `parallel`: cables side by side under its name. `three`: by a table for three loaded conductors."""

    base: float
    factor: float
    parallel: int
    formula: str
    givens: tuple[Given, ...]
    source: str
    three: bool = True

    @property
    def amps(self) -> float:
        """Capacity of all cables together, A."""
        return self.base * self.factor * self.parallel


class _Lack(NamedTuple):
    """Why no capacity is known: kind of the gap and its remedy."""

    kind: str
    remedy: str


class Capacities(SheetQuestion):
    """Current-carrying capacity: table value times the factors of ambient, grouping, loaded cores and harmonics."""

    place = 200
    answers = (
        Answer("current-carrying-capacity", "Current-carrying capacity", "I_z", of_conductors=True),
        Answer("required-capacity", "Capacity required of the table", "I_t", of_conductors=True),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self.laying = Laying(calculation)
        self._known: dict[object, Capacity | _Lack] = {}
        self._steps: dict[tuple[str, str], Result | None] = {}
        self._least: dict[tuple[str, str], tuple[float, Capacity] | None] = {}

    def conductor(self, conductor: str, section_mm2: float | None = None) -> Result | None:
        """Capacity of a conductor (all its parallel cables together), A; `section_mm2`: as if it had that section. None if unknown."""
        found = self.of(conductor, section_mm2)
        if found is None:
            return None
        step = self._circuit.step_of.get(conductor)
        feeder = self._circuit.feeder(step.fed) if step else ""
        return self._result(conductor, feeder, found.amps, found, (conductor,))

    def of(self, conductor: str, section_mm2: float | None = None, alone: bool = False) -> Capacity | None:
        """The same as a bare number with its factors. `alone`: without the factors of grouping and harmonics, and without
        noting what is missing. None if unknown."""
        made = self._plant.conductors[conductor]
        section = section_mm2 or self._calculation.network.runs[conductor].section_mm2
        percent = 0.0 if alone else self._third_harmonic(conductor)
        loaded = self.laying.loaded(made)
        key = (self.laying.key(made), section, percent, alone, loaded)
        if key not in self._known:
            self._known[key] = self._made(made, section, percent, alone, loaded)
        found = self._known[key]
        if isinstance(found, _Lack):
            if not alone:
                self._note(made, found)
            return None
        return found

    def subject(self, step: Step) -> str:
        """What the capacity of a step is listed under: its cable, where that is its alone, else its first conductor."""
        if len(step.cables) == 1 and self._uses[step.cables[0]] == 1:
            return step.cables[0]
        return step.poles[0][0]

    def key_of(self, question: str, step: Step) -> str:
        """The key of what a question says about the conductors of a step: where they are part of several steps, as behind a
        drive and its bypass, also the device that feeds them in this one."""
        subject = self.subject(step)
        beside = self._feeders[step.poles[0][0]] > 1
        return f"{question} {subject} from {step.feeder}" if beside else f"{question} {subject}"

    def step(self, step: Step) -> Result | None:
        """The smallest capacity among the live poles of a step, A (conductors in parallel within a pole added); None if unknown."""
        key = (step.feeder, step.fed)
        if key not in self._steps:
            self._steps[key] = self._of_step(step)
        return self._steps[key]

    def required(self, step: Step) -> Result | None:
        """The table value, A, that one conductor of a step must have: load current over the product of its factors; None if
        unknown."""
        amps = self._calculation.of(LoadCurrents).step(step)
        worst = self._worst(step)
        if amps is None or worst is None:
            return None
        _, found = worst
        count = max(len(pole) for pole in step.poles) * found.parallel
        formula = "{I_b} / (" + " * ".join(found.formula.split(" * ")[1:] or ["1"]) + ")"
        if len(step.poles[0]) > 1:
            formula += f" / {len(step.poles[0])}"
        givens = Later(lambda: (self._load(step, amps), *found.givens))
        subject = self.subject(step)
        return Result(
            self.key_of("required-capacity", step),
            "required-capacity",
            subject,
            self._circuit.feeder(step.fed),
            amps / found.factor / count,
            "A",
            formula,
            givens,
            found.source,
            conductors=step.conductors,
            span=self._circuit.span_of(subject),
        )

    def results(self) -> Iterator[Result]:
        """`current-carrying-capacity` of every step of the power circuit, held to its load current, and `required-capacity` where
        factors tell it from the load current."""
        for step in self._circuit.steps.values():
            found = self.step(step) if step.poles else None
            if found is None:
                continue
            amps = self._calculation.of(LoadCurrents).step(step)
            if amps is not None:
                load = self._load(step, amps)
                found = found._replace(limit=amps, sense=Sense.AT_LEAST, limit_words="load current", limit_given=load)
            yield found
            needed = self.required(step) if amps else None
            if needed is not None and amps is not None and abs(needed.value - amps) > 1e-6 * amps:
                yield needed

    # --- steps ----------------------------------------------------------------------------------------------------
    def _of_step(self, step: Step) -> Result | None:
        worst = self._worst(step)
        if worst is None:
            return None
        amps, found = worst
        parallel = len(step.poles[0])
        note = (
            "conductors in parallel share the current only if alike in section, length and way"
            if (parallel > 1 or found.parallel > 1)
            else ""
        )
        if not note and step.phases < 3 and found.three:
            note = "table for three loaded conductors; two bear more"
        key = self.key_of("current-carrying-capacity", step)
        result = self._result(self.subject(step), self._circuit.feeder(step.fed), amps, found, step.conductors, note, key)
        if parallel > 1:
            alike = abs(amps - parallel * found.amps) < 1e-9 * amps
            formula = f"{parallel} * {found.formula}" if alike else "{I_sum}"
            more = () if alike else (Given("I_sum", amps, "A", "capacities of the conductors in parallel, added"),)
            result = result._replace(formula=formula, inputs=(*found.givens, *more))
        return result

    def _worst(self, step: Step) -> tuple[float, Capacity] | None:
        """The pole that bears least, A, and the least of its conductors; None where one of them is not known."""
        key = (step.feeder, step.fed)
        if key not in self._least:
            self._least[key] = self._made_worst(step)
        return self._least[key]

    def _made_worst(self, step: Step) -> tuple[float, Capacity] | None:
        least: tuple[float, Capacity] | None = None
        for number, pole in enumerate(step.poles):
            if number and self._alike(pole, step.poles[0]):
                continue
            total, smallest = 0.0, None
            for name in pole:
                found = self.of(name)
                if found is None:
                    return None
                total += found.amps
                smallest = found if smallest is None or found.amps < smallest.amps else smallest
            if smallest is not None and (least is None or total < least[0]):
                least = total, smallest
        return least

    def _alike(self, pole: tuple[str, ...], other: tuple[str, ...]) -> bool:
        """Whether two poles of one step are single conductors of one cable, or wires laid alike, of one section."""
        if len(pole) != 1 or len(other) != 1:
            return False
        runs = self._calculation.network.runs
        one, two = runs[pole[0]], runs[other[0]]
        if one.section_mm2 != two.section_mm2 or one.conductor.cable != two.conductor.cable:
            return False
        return one.conductor.cable is not None or (
            one.routes == two.routes and one.conductor.attributes == two.conductor.attributes
        )

    @cached_property
    def _uses(self) -> dict[str, int]:
        """How many steps each cable serves."""
        found: dict[str, int] = {}
        for step in self._circuit.steps.values():
            for cable in step.cables:
                found[cable] = found.get(cable, 0) + 1
        return found

    @cached_property
    def _feeders(self) -> Counter[str]:
        """How many steps the first conductor of a step is part of."""
        return Counter(step.poles[0][0] for step in self._circuit.steps.values() if step.poles)

    def _load(self, step: Step, amps: float) -> Given:
        return Given("I_b", amps, "A", f"load current of {step.fed}", result=f"load-current {step.feeder} -> {step.fed}")

    def _result(
        self, subject: str, feeder: str, amps: float, found: Capacity, conductors: tuple[str, ...], note: str = "", key: str = ""
    ) -> Result:
        question = "current-carrying-capacity"
        givens = Later(lambda: (*found.givens, self._section(conductors[0])))
        return Result(
            key or f"{question} {subject}",
            question,
            subject,
            feeder,
            amps,
            "A",
            found.formula,
            givens,
            found.source,
            note=note,
            conductors=conductors,
            span=self._circuit.span_of(subject),
        )

    def _section(self, conductor: str) -> Given:
        """The section of a conductor, with the line that gives it."""
        run = self._calculation.network.runs[conductor]
        span = run.origin.get("section") or self._circuit.span_of(run.conductor.cable or conductor)
        return Given("S", run.section_mm2 or "auto", "mm²" if run.section_mm2 else "", f"section of {conductor}", span)

    # --- one conductor --------------------------------------------------------------------------------------------
    def _third_harmonic(self, conductor: str) -> float:
        """Third harmonic, percent of the line current, where the neutral of a cable of four or five cores carries it."""
        step = self._circuit.step_of.get(conductor)
        if step is None or not step.neutral or len(step.poles) < 3:
            return 0.0
        cable = self._plant.conductors[conductor].cable
        if not cable or cable != self._plant.conductors[step.neutral[0]].cable:
            return 0.0
        return self._calculation.of(LoadCurrents).third_harmonic(step)

    def _made(self, made: Conductor, section: float | None, percent: float, alone: bool, loaded: int) -> Capacity | _Lack:
        if section is None:
            return _Lack("section", "give its section, to the wire or to the `defaults` that fit it")
        spots = self.laying.of(made)
        ways = len(self._calculation.network.runs[made.id].routes)
        if not spots or len(spots) < ways:
            return _Lack("method", "add `method=`, or `along=` a route whose kind says how it is laid")
        found = [self._at(made, section, percent, replace(spot, circuits=1) if alone else spot, loaded) for spot in spots]
        lacking = next((lack for lack in found if isinstance(lack, _Lack)), None)
        return lacking or min((one for one in found if isinstance(one, Capacity)), key=lambda one: one.amps)

    def _at(self, made: Conductor, section: float, percent: float, spot: Spot, loaded: int) -> Capacity | _Lack:
        """The capacity of a conductor at one stretch of its way."""
        leads = self._circuit.leads
        insulation = leads.insulation(made)
        metal = "Al" if leads.stated(made, "material") == "Al" else "Cu"
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
        parts = [
            given,
            _figure("k_ambient", warm, "", "factor of the ambient temperature"),
            _figure("k_group", side, "", "factor of the circuits side by side"),
            *self._special(made, percent, as_copper),
        ]
        factor = 1.0
        for part in parts[1:]:
            factor *= float(part.value)
        parallel = leads.parallel(made)
        formula = " * ".join("{" + part.symbol + "}" for part in parts) + (f" * {parallel}" if parallel > 1 else "")
        source = _MACHINE if machine else _BUILDING
        three = base is None or base.loaded == 3
        return Capacity(float(given.value), factor, parallel, formula, (*parts, *spot.givens), source, three)

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
        value = self._circuit.leads.stated(made, name)
        return value.value if isinstance(value, Quantity) else None

    def _note(self, made: Conductor, lack: _Lack) -> None:
        step = self._circuit.step_of.get(made.id)
        span = self._circuit.span_of(made.cable or made.id)
        feeder = self._circuit.feeder(step.fed) if step else self._circuit.feeder(made.ends[0].device)
        if span is not None:
            self._calculation.gaps.note(Gap(feeder, lack.kind, (made.cable or made.id,), _ABSENT, span, lack.remedy))


def _figure(symbol: str, found: Figure, unit: str, words: str) -> Given:
    return Given(symbol, found.value, unit, words, None, found.source, found.confidence)
