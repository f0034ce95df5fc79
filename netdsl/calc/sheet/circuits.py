"""The calculation in one row per circuit: load, device, conductor, drop, fault currents, disconnection, selectivity, margin."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import islice

from msgspec import Struct

from netdsl.calc.basis import Calculation, Result, answers
from netdsl.calc.circuit import Circuit
from netdsl.calc.devices import Characteristics
from netdsl.calc.protection import Trips
from netdsl.model.kinds import PROTECTIVE
from netdsl.quantities import number_text


class CircuitRow(Struct, frozen=True):
    """One circuit. Each figure is the one of its results that is nearest to its limit, or farthest beyond it; None where none is
    computed. `device`: what protects it, `conductor`: that of `capacity`, with its section. `largest`: the most that flows in a
    short circuit at its beginning, `smallest`: the least at its end, to earth included. `worst`: of all its limits the one kept
    by the least; `broken`: how many are not kept. `missing`: kinds of results that lack data, `left`: how many of its devices are
    not judged for a reason."""

    circuit: str
    title: str
    device: str
    conductor: str
    load: Result | None
    capacity: Result | None
    drop: Result | None
    largest: Result | None
    smallest: Result | None
    disconnection: Result | None
    selectivity: Result | None
    worst: Result | None
    broken: int
    missing: tuple[str, ...]
    left: int

    @property
    def results(self) -> tuple[Result, ...]:
        """The figures it shows."""
        faults = (self.largest, self.smallest, self.disconnection, self.selectivity)
        found = (self.load, self.capacity, self.drop, *faults, self.worst)
        return tuple(result for result in found if result is not None)


def is_trivial(result: Result) -> bool:
    """Whether a margin of nothing is no news: a release that is set to the very current of its load."""
    limit = result.limit or 0.0
    return result.question == "overload.rated" and abs(result.value - limit) < 1e-6 * limit


def is_graded(result: Result) -> bool:
    """Whether the margin of a result tells how near it is to its limit."""
    return result.margin_percent is not None and answers()[result.question].graded and not is_trivial(result)


def worst_of(results: Iterable[Result]) -> Result | None:
    """Of the limits in some results the one that is kept by the least or missed by the most; None where there is none."""
    held = (result for result in results if result.limit is not None)
    return min((result for result in held if not result.holds or is_graded(result)), key=_left, default=None)


def _left(result: Result) -> float:
    margin = result.margin_percent
    return round(margin if margin is not None else 0.0 if result.holds else -1e9, 6)


def selectivity_word(result: Result) -> str:
    """`total`, `none`, or `to 949 A`, the current up to which devices discriminate."""
    if ": none" in result.note:
        return "none"
    whole = result.beside is not None and result.value >= result.beside.value * (1 - 1e-9)
    return "total" if whole else f"to {result.shown}"


def margin_text(result: Result) -> str:
    """`82 %`, or `NOT KEPT, by 12 %`; "" without a limit."""
    margin = result.margin_percent
    if not result.holds:
        return "NOT KEPT" if margin is None else f"NOT KEPT, by {-margin:.0f} %"
    return "" if margin is None else f"{round(margin)} %"


def least_margin(row: CircuitRow) -> tuple[int, float]:
    """What puts the circuit with the least margin first: those with a limit that is not kept, then by margin; last those that no
    limit is about."""
    worst = row.worst
    if worst is None:
        return (1, 0.0)
    margin = worst.margin_percent
    return (0, round(margin if margin is not None else -1e9, 6))


def circuit_rows(calculation: Calculation, results: Sequence[Result], left: Iterable[str] = ()) -> tuple[CircuitRow, ...]:
    """A row for each circuit that some results are about, in the order of the power tree. `left`: the circuit of each thing that
    is not judged."""
    groups: dict[str, list[Result]] = {}
    for result in results:
        if result.feeder and result.feeder not in calculation.plant.places:
            groups.setdefault(result.feeder, []).append(result)
    counted, order = Counter(left), calculation.network.power.order
    feeder_of = {name: calculation.of(Circuit).feeder(name) for name in order}
    behind = {feeder: number for number, feeder in enumerate(dict.fromkeys(feeder_of.values()))}
    protecting: dict[str, list[str]] = {}
    for name, feeder in feeder_of.items():
        if calculation.plant.devices[name].kind in PROTECTIVE:
            protecting.setdefault(feeder, []).append(name)
    absent: dict[str, dict[str, None]] = {}
    for gap in calculation.missing:
        absent.setdefault(gap.feeder, {}).update(dict.fromkeys(gap.absent))
    return tuple(
        _row(
            calculation,
            feeder,
            groups[feeder],
            _device(calculation, protecting.get(feeder, []), groups[feeder]),
            tuple(absent.get(feeder, ())),
            counted[feeder],
        )
        for feeder in sorted(groups, key=lambda feeder: behind.get(feeder, len(behind)))
    )


def _row(
    calculation: Calculation, feeder: str, results: list[Result], device: str, missing: tuple[str, ...], left: int
) -> CircuitRow:
    plant = calculation.plant
    of = _Of(results)
    capacity = of.worst("current-carrying-capacity")
    named = next((table[feeder].title for table in (plant.functions, plant.devices) if feeder in table), "")
    return CircuitRow(
        feeder,
        named,
        device,
        _conductor(calculation, capacity) if capacity is not None else "",
        of.most("load-current", max) or of.most("source-load", max),
        capacity,
        of.worst("voltage-drop.running") or of.worst("control-drop"),
        of.most("fault-current.largest", max),
        of.most(("fault-current.smallest", "fault-current.earth"), min),
        of.worst("disconnection"),
        of.most("selectivity", min),
        worst_of(results),
        sum(not result.holds for result in results),
        missing,
        left,
    )


class _Of(Struct, frozen=True):
    """Results of one circuit by their question."""

    results: Sequence[Result]

    def worst(self, question: str) -> Result | None:
        found = [result for result in self.results if result.question == question]
        return min(found, key=_left, default=None) if any(each.limit is not None for each in found) else next(iter(found), None)

    def most(self, questions: str | tuple[str, ...], pick: Callable[..., Result]) -> Result | None:
        wanted = (questions,) if isinstance(questions, str) else questions
        found = [result for result in self.results if result.question in wanted]
        return pick(found, key=lambda result: result.value) if found else None


def _device(calculation: Calculation, own: Sequence[str], results: Sequence[Result]) -> str:
    """The protective devices of a circuit with their ratings; where it has none of its `own` the nearest ahead of it."""
    circuit, devices = calculation.of(Circuit), calculation.plant.devices
    if not own:
        paths = (path for result in results if result.subject in devices for path in circuit.paths(result.subject))
        ahead = ((path.origin, *circuit.protections(path))[-1] for path in paths)
        own = list(islice(ahead, 1))
    named = (_named(calculation, name) for name in own[:2])
    more = f" and {len(own) - 2} more" if len(own) > 2 else ""
    return ", ".join(named) + more


def _named(calculation: Calculation, name: str) -> str:
    release = calculation.of(Characteristics).of(name)
    if release is None and calculation.plant.devices[name].category == "supply":
        return ""
    return name if release is None else calculation.of(Trips).described(release)


def _conductor(calculation: Calculation, capacity: Result) -> str:
    """`=RP1-W1 4G4`, or the first of some wires with its section."""
    plant, name = calculation.plant, next(iter(capacity.conductors), "")
    cable = plant.cables.get(plant.conductors[name].cable or "") if name else None
    if cable is not None:
        return f"{cable.id} {cable.construction}"
    section = calculation.network.runs[name].section_mm2 if name else None
    return f"{capacity.subject} {number_text(section)} mm²" if section else capacity.subject
