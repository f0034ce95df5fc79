"""What a proposal rests on and could not be computed: a size that no check failed since none could be made has not passed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from netdsl.calc import Calculation
from netdsl.calc.basis import Gap, Result
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.conductors import Capacities, Overloads
from netdsl.calc.protection import Disconnections, Withstands
from netdsl.model.kinds import CONVERTERS, Kind
from netdsl.network.search import walk
from netdsl.sizing.items import POWER, Item
from netdsl.sizing.ways import back

#: what sections and ratings do not depend on
_APART = frozenset({"distortion", "enclosure temperature", "motor cable length", "peak voltage at the motor", "standing leakage"})
#: what of a conductor no other depends on
_OF_ITS_OWN = frozenset({"current-carrying capacity", "overload protection"})
#: loads that always have a voltage drop
_LOADS = frozenset({Kind.MOTOR, Kind.HEATER})


class Lacking:
    """What is missing in a calculation, asked item by item."""

    def __init__(self, calculation: Calculation) -> None:
        judged = calculation.judged  # first: with it what is missing is known
        self._calculation = calculation
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._gaps = [gap for gap in calculation.missing if not set(gap.absent) <= _APART]
        self._supplies = frozenset(device.id for device in self._plant.devices.values() if device.category == "supply")
        self._made = frozenset(pair for result in judged if result.limit is not None for pair in _pairs(result))
        self._thin = {
            result.subject: result.conductors
            for result in judged
            if result.question == "protective-conductor.table" and result.limit is None and _below(result)
        }
        self._unknown = frozenset(calculation.of(Disconnections).unknown())

    def of(self, item: Item) -> str:
        """Why an item cannot be said to pass: `disconnection, let-through: the fault level of -G0 is missing`; "" where every
        check that applies to it was made."""
        around, own = self._around(item), self._names(item.conductors)
        found = [
            _told(gap)
            for gap in self._gaps
            if (own if item.conductors and set(gap.absent) <= _OF_ITS_OWN else around).intersection(gap.things)
        ]
        return "; ".join(dict.fromkeys(found or self._unmade(item)))

    # --- what is missing ------------------------------------------------------------------------------------------------
    def _around(self, item: Item) -> frozenset[str]:
        """What lies on the ways to an item and behind it: devices, conductors, cables. Protective conductors bear what any supply
        gives."""
        steps = self._steps(item)
        fed = {item.device} if item.device else {step.fed for step in steps}
        if item.conductors and not steps:
            return self._names(item.conductors) | self._supplies
        ways = [path for device in sorted(fed) for path in self._circuit.paths(device)]
        before = {step for path in ways for step in path.steps}
        behind = tuple(walk(sorted(fed), lambda name: [step.fed for step in self._circuit.out_of.get(name, ())]))
        devices = {name for path in ways for name in path.devices} | set(behind)
        beyond = {step for name in behind for step in self._circuit.out_of.get(name, ())}
        conductors = [name for step in (*before, *beyond) for name in (*step.conductors, *step.neutral)]
        conductors += [name for device in behind for edge in back(device, self._circuit) for name in edge]
        return frozenset(devices) | self._names((*item.conductors, *conductors))

    def _steps(self, item: Item) -> list[Step]:
        found = (self._circuit.step_of.get(name) for name in item.conductors)
        return list(dict.fromkeys(step for step in found if step is not None))

    def _names(self, conductors: Iterable[str]) -> frozenset[str]:
        found = set(conductors)
        return frozenset(found | {cable for name in found if (cable := self._plant.conductors[name].cable)})

    # --- what was not made, though nothing was noted as missing -----------------------------------------------------------
    def _unmade(self, item: Item) -> Iterator[str]:
        """Checks that every conductor of a power circuit has to pass and that gave no result."""
        runs = self._calculation.network.runs
        for subject, conductors in self._thin.items():
            if not set(conductors).isdisjoint(item.conductors) and (subject, "protective-conductor.adiabatic") not in self._made:
                yield "protective conductor by the adiabatic equation: the energy that a fault to earth lets through is not known"
        for step in self._steps(item):
            if any(runs[name].klass in POWER for name in step.conductors):
                yield from self._of_step(step)
                yield from self._of_loads(step.fed)

    def _of_step(self, step: Step) -> Iterator[str]:
        limits = self._calculation.of(Overloads).limits
        if not step.poles or limits.idle(step.fed):
            return
        if self._calculation.of(Capacities).step(step) is None:
            yield "current-carrying capacity: nothing gives it"
        if limits.of(step) is None:
            yield "overload protection: nothing that limits the current is stated, neither before it nor behind it"
        borne = any((name, "fault-withstand") in self._made for name in step.conductors)
        if not borne and not self._calculation.of(Withstands).exempt(step):
            yield f"short circuit: nothing that breaks one ahead of it in time is stated; `upstream=` of {self._origins(step)}"

    def _origins(self, step: Step) -> str:
        return ", ".join(dict.fromkeys(path.origin for path in self._circuit.paths(step.feeder))) or step.feeder

    def _of_loads(self, fed: str) -> Iterator[str]:
        """What lies behind a device, up to what converts, and has no voltage drop or disconnection though it is to have one."""
        for name in walk((fed,), self._behind):
            if name in self._unknown:
                yield f"disconnection: not computed for {name}"
            load = not self._circuit.out_of.get(name) and self._plant.devices[name].kind in _LOADS
            if load and (name, "voltage-drop") not in self._made:
                yield f"voltage drop: not computed for {name}"

    def _behind(self, name: str) -> list[str]:
        converts = self._plant.devices[name].kind in CONVERTERS
        return [] if converts else [step.fed for step in self._circuit.out_of.get(name, ())]


def _pairs(result: Result) -> Iterator[tuple[str, str]]:
    """Each thing a result is about with its question, and with the first word of that."""
    questions = {result.question, result.question.partition(".")[0]}
    return ((name, question) for name in (result.subject, *result.conductors) for question in sorted(questions))


def _below(result: Result) -> bool:
    return result.limit_given is not None and result.value > result.limit_given.value * (1 + 1e-9)


def _told(gap: Gap) -> str:
    of = f" of {', '.join(gap.things)}" if gap.things else ""
    absent = [words for words in gap.absent if words not in _APART]
    return f"{', '.join(absent)}: the {gap.kind}{of} is missing"
