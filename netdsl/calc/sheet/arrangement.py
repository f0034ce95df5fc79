"""How the calculation sheet is arranged: its summary, and the results by circuit, by conductor and by enclosure."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from netdsl.calc.basis import Calculation, Input, Result, answers
from netdsl.calc.circuit import Circuit
from netdsl.calc.control import CoilVoltages, Inrushes, SourceLoads
from netdsl.calc.coordination import EquipmentWithstands, LongestCircuits, RunUps, Selectivities, StartDuties
from netdsl.calc.protection import Disconnections, Withstands
from netdsl.calc.sheet.circuits import is_graded
from netdsl.calc.sheet.words import origin_words, symbol

TIGHTEST = 10


class Section(Struct, frozen=True):
    """A part of the sheet: its heading, the circuit or enclosure it is about ("" for the plant), its results."""

    heading: str
    feeder: str
    results: tuple[Result, ...]


class Summary(Struct, frozen=True):
    """What the sheet says in short. `broken`: results beyond their limit; `tightest`: those within it by the least, the
    tightest first; of several alike along one circuit the first stands for all, and a release set to its load is none of them.
    `absent`: kinds of results that could not be computed, counted circuit by circuit; `left`: devices that are not judged for a
    reason."""

    figures: int
    limits: int
    broken: tuple[Result, ...]
    tightest: tuple[Result, ...]
    absent: int
    left: int

    @property
    def counts(self) -> str:
        """`640 figures; 320 limits, 319 kept, 1 not kept; 2 not computed for want of data, 4 not judged`: what could not be
        computed never counts as kept."""
        kept = self.limits - len(self.broken)
        limits = f"{self.figures} figures; {self.limits} limits, {kept} kept, {len(self.broken)} not kept"
        return f"{limits}; {self.absent} not computed for want of data, {self.left} not judged"


class NotJudged(Struct, frozen=True):
    """Something a question leaves out: the circuit, the device, what is not judged there, and why."""

    feeder: str
    device: str
    what: str
    reason: str


def summary_of(calculation: Calculation, results: Sequence[Result]) -> Summary:
    """The summary of some results, with what is missing beside them."""
    held = [result for result in results if result.limit is not None and result.sense]
    near = [result for result in held if result.holds and is_graded(result)]
    near.sort(key=lambda result: round(result.margin_percent or 0.0, 6))
    alike = {(result.question, result.feeder, result.value, result.limit): result for result in reversed(near)}
    first = {result.key for result in alike.values()}
    tightest = [result for result in near if result.key in first]
    broken = tuple(result for result in held if not result.holds)
    absent = {(gap.feeder, each) for gap in calculation.missing for each in gap.absent}
    return Summary(len(results), len(held), broken, tuple(tightest[:TIGHTEST]), len(absent), len(not_judged(calculation)))


def sections_of(calculation: Calculation, results: Sequence[Result]) -> tuple[Section, ...]:
    """Results by circuit in order of first mention, of each first those of its devices by question, then those of its
    conductors along the circuit; enclosures after all circuits, the plant as a whole last."""
    groups: dict[str, list[Result]] = {}
    for result in results:
        groups.setdefault(result.feeder, []).append(result)
    places = calculation.plant.places
    order = sorted(groups, key=lambda feeder: (feeder in places, feeder == ""))
    return tuple(section for feeder in order for section in _parts(calculation, feeder, groups[feeder]))


def _parts(calculation: Calculation, feeder: str, results: Sequence[Result]) -> tuple[Section, ...]:
    heading = heading_of(calculation, feeder)
    if feeder in calculation.plant.places:
        heading += ": enclosure"
    wires: dict[str, list[Result]] = {}
    for result in results:
        if _about_conductors(result):
            wires.setdefault(_stretch(calculation, result), []).append(result)
    others = tuple(result for result in results if not _about_conductors(result))
    along = tuple(result for group in wires.values() for result in group)
    found = (Section(heading, feeder, others), Section(f"{heading}: conductors", feeder, along))
    return tuple(section for section in found if section.results)


def _about_conductors(result: Result) -> bool:
    current = result.question == "load-current" and bool(result.conductors)
    return current or answers()[result.question].of_conductors


def _stretch(calculation: Calculation, result: Result) -> str:
    """What the conductors of a result lie between, so that all about one stretch stands together."""
    name = result.conductors[0] if result.conductors else result.subject
    step = calculation.of(Circuit).step_of.get(name)
    return f"{step.feeder} -> {step.fed}" if step else name


def heading_of(calculation: Calculation, feeder: str) -> str:
    """A circuit, enclosure or device with its title."""
    plant = calculation.plant
    for table in (plant.functions, plant.devices, plant.places):
        if feeder in table:
            text: str = table[feeder].title
            return f"{feeder} {text}".rstrip()
    return feeder or "The plant as a whole"


def not_judged(calculation: Calculation) -> tuple[NotJudged, ...]:
    """What is left out with a reason: disconnection, conductors and equipment in a fault, selectivity."""
    feeder, places = calculation.of(Circuit).feeder, calculation.plant.places
    left = (
        ("automatic disconnection", calculation.of(Disconnections).not_judged()),
        ("conductors to it in a short circuit", calculation.of(Withstands).not_judged()),
        ("its short-circuit strength", calculation.of(EquipmentWithstands).not_judged()),
        ("selectivity", calculation.of(Selectivities).not_judged()),
        ("voltage while it pulls in", calculation.of(CoilVoltages).not_judged()),
        ("inrush of what comes on behind it", calculation.of(Inrushes).not_judged()),
        ("tripping by its supply", calculation.of(SourceLoads).not_judged()),
        ("frequent starts", calculation.of(StartDuties).not_judged()),
        ("longest circuit", calculation.of(LongestCircuits).not_judged()),
        ("run-up against its protection", calculation.of(RunUps).not_judged()),
    )
    found = (
        NotJudged(thing if thing in places else feeder(thing), thing, what, reason)
        for what, things in left
        for thing, reason in things
    )
    return tuple(sorted(found, key=lambda each: (each.what, each.reason)))


def worked(result: Result) -> tuple[str, ...]:
    """How a value came about: symbol and formula, then the values put in; of a value taken as it is, what it is."""
    name = symbol(result.question)
    if not result.computed:
        words = next((given.words for given in result.givens if "{" + given.symbol + "}" == result.formula.text), "")
        return (f"{name}: {words}",) if words else ()
    same = " <= " in result.formula.text  # a condition: it begins with what is held to its limit
    formula, inserted = result.formula_text, result.inserted
    lines = [formula] if same else [f"{name} = {formula}"]
    if inserted != formula:
        lines.append(inserted if same else f"{' ' * len(name)} = {inserted}")
    return tuple(lines)


def sources_of(result: Result, symbols: bool) -> tuple[str, ...]:
    """Sources of a result: of its formula, then of each figure in it, one source once; with `symbols`, whose it is."""
    named: dict[str, list[str]] = {}
    givens: tuple[Input, ...] = (*result.rests_on, *((result.limit_given,) if result.limit_given is not None else ()))
    for given in givens:
        words = origin_words(given.source, given.confidence)
        if words:
            named.setdefault(words, []).append(given.symbol)
    own = () if any(words.startswith(f"{result.source} (") for words in named) and not symbols else (result.source,)
    figures = (f"{', '.join(dict.fromkeys(of))}: {words}" if symbols else words for words, of in named.items())
    return tuple(dict.fromkeys(words for words in (*own, *figures) if words))


def about(calculation: Calculation) -> tuple[str, ...]:
    """What the sheet is about: project, number, revision."""
    project = calculation.plant.project
    number = project.attributes.get("number", "")
    found = [project.title + (f", {number}" if number else "")]
    if project.revisions:
        last = project.revisions[-1]
        found.append(f"Revision {last.index} of {last.date}" + (f": {last.text}" if last.text else ""))
    return tuple(found)
