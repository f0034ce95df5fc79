"""What a proposal rests on and could not be computed: a size that no check failed since none could be made has not passed."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.calc import Calculation
from netdsl.calc.basis import Gap
from netdsl.calc.circuit import Circuit
from netdsl.network.search import walk
from netdsl.sizing.items import Item

#: what sections and ratings do not depend on
_APART = frozenset({"distortion", "enclosure temperature", "motor cable length", "peak voltage at the motor", "standing leakage"})


class Lacking:
    """The gaps of a calculation, asked item by item."""

    def __init__(self, calculation: Calculation) -> None:
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._gaps = [gap for gap in calculation.missing if not set(gap.absent) <= _APART]
        self._supplies = frozenset(device.id for device in self._plant.devices.values() if device.category == "supply")

    def of(self, item: Item) -> str:
        """Why an item cannot be said to pass: `not computed for want of the fault level of -G0: disconnection, let-through`; ""
        where nothing that it depends on is missing."""
        if not self._gaps:
            return ""
        around = self._around(item)
        found = [gap for gap in self._gaps if around.intersection(gap.things)]
        return "; ".join(dict.fromkeys(map(_told, found)))

    def _around(self, item: Item) -> frozenset[str]:
        """What lies on the ways to an item and behind it: devices, conductors, cables. Protective conductors bear what any supply
        gives."""
        steps = [self._circuit.step_of[name] for name in item.conductors if name in self._circuit.step_of]
        fed = {item.device} if item.device else {step.fed for step in steps}
        if item.conductors and not steps:
            return self._names(item.conductors) | self._supplies
        ways = [path for device in sorted(fed) for path in self._circuit.paths(device)]
        before = {step for path in ways for step in path.steps}
        behind = walk(sorted(fed), lambda name: [step.fed for step in self._circuit.out_of.get(name, ())])
        devices = {name for path in ways for name in path.devices} | set(behind)
        beyond = {step for name in behind for step in self._circuit.out_of.get(name, ())}
        conductors = [name for step in (*before, *beyond) for name in (*step.conductors, *step.neutral)]
        return frozenset(devices) | self._names((*item.conductors, *conductors))

    def _names(self, conductors: Iterable[str]) -> frozenset[str]:
        found = set(conductors)
        return frozenset(found | {cable for name in found if (cable := self._plant.conductors[name].cable)})


def _told(gap: Gap) -> str:
    of = f" of {', '.join(gap.things)}" if gap.things else ""
    absent = [words for words in gap.absent if words not in _APART]
    return f"not computed for want of the {gap.kind}{of}: {', '.join(absent)}"
