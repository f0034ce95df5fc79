"""Current-carrying capacity of every conductor as it is installed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Calculation, Given, Input, Later, Limit, Result, Said, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.conductors.ampacity import Ampacities, Capacity
from netdsl.calc.loads import RatedLoads
from netdsl.kept import cached_property, kept


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
        self._single = calculation.of(Ampacities)

    def conductor(self, conductor: str, section_mm2: float | None = None) -> Result | None:
        """Capacity of a conductor (all its parallel cables together), A; `section_mm2`: as if it had that section. None if
        unknown."""
        found = self._single.of(conductor, section_mm2)
        if found is None:
            return None
        step = self._circuit.step_of.get(conductor)
        feeder = self._circuit.feeder(step.fed) if step else ""
        return self._result(conductor, feeder, found.amps, found, (conductor,))

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

    @kept
    def step(self, step: Step) -> Result | None:
        """The smallest capacity among the live poles of a step, A (conductors in parallel within a pole added); None if
        unknown."""
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
            text = f"{parallel} * {found.formula}" if alike else "{I_sum}"
            more = () if alike else (Given("I_sum", amps, "A", "capacities of the conductors in parallel, added"),)
            givens = (*found.givens, *more)
            result = replace(result, value=formula(text).of(givens), formula=formula(text), inputs=givens)
        return result

    def required(self, step: Step) -> Result | None:
        """The table value, A, that one conductor of a step must have: load current over the product of its factors; None if
        unknown."""
        load, worst = self._calculation.of(RatedLoads).judged(step), self._worst(step)
        if load is None or worst is None:
            return None
        _, found = worst
        count = max(len(pole) for pole in step.poles)
        text = f"{{I_b}} / ({found.factors})" + (f" / {count}" if count > 1 else "")
        givens = (load, *found.givens)
        subject = self.subject(step)
        return Result.worked(
            "required-capacity",
            subject,
            self._circuit.feeder(step.fed),
            formula(text),
            "A",
            givens,
            found.source,
            key=self.key_of("required-capacity", step),
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
            load = self._calculation.of(RatedLoads).judged(step)
            if load is not None:
                words = "rated load current" if load.words.startswith("rated") else "load current"
                found = replace(found, beside=Limit(load.value, Sense.AT_LEAST, words, load))
            yield found
            needed = self.required(step) if load is not None and load.value else None
            if needed is not None and load is not None and abs(needed.value - load.value) > 1e-6 * load.value:
                yield needed

    # --- steps ----------------------------------------------------------------------------------------------------

    @kept
    def _worst(self, step: Step) -> tuple[float, Capacity] | None:
        """The pole that bears least, A, and the least of its conductors; None where one of them is not known."""
        least: tuple[float, Capacity] | None = None
        for number, pole in enumerate(step.poles):
            if number and self._alike(pole, step.poles[0]):
                continue
            total, smallest = 0.0, None
            for name in pole:
                found = self._single.of(name)
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
            formula(found.formula),
            givens,
            found.source,
            note=note,
            conductors=conductors,
            span=self._circuit.span_of(subject),
        )

    def _section(self, conductor: str) -> Input:
        """The section of a conductor, with the line that gives it."""
        run = self._calculation.network.runs[conductor]
        span = run.origin.get("section") or self._circuit.span_of(run.conductor.cable or conductor)
        words = f"section of {conductor}"
        return Given("S", run.section_mm2, "mm²", words, span) if run.section_mm2 else Said("S", "auto", "", words, span)
